"""Telling an output of ours that nobody has touched from one that somebody has worked in.

An insertion carries an imprint, which proves the bytes before it and so the whole file. A file that ezdxf
saved carries a seal instead: a string in the XDATA of one of our entities with the hash of the file itself,
taken while the string still held zeros.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING, Final

from perpend.dxf.insert.take_out import strip_ours
from perpend.dxf.insert.undo_record import hash_of

if TYPE_CHECKING:
    from ezdxf.entities.dxfentity import DXFEntity

_NAME: Final = "file sha256"
_DIGITS: Final = 64
_STRING: Final = 1000
_SEAL: Final = re.compile(rb"file sha256 ([0-9a-f]{64})")


def leave_room(entities: Iterable[DXFEntity], app_id: str) -> None:
    """Put a seal of zeros on the first of our entities, for `seal` to fill in once the file is there."""
    entity = next(iter(entities), None)
    if entity is not None:
        entity.set_xdata(app_id, [*entity.get_xdata(app_id), (_STRING, f"{_NAME} {'0' * _DIGITS}")])


def seal(data: bytes) -> bytes:
    """Fill in the seal of a saved file; a file without room for one is returned as it is."""
    blank = f"{_NAME} {'0' * _DIGITS}".encode("ascii")
    return data.replace(blank, f"{_NAME} {hash_of(data)}".encode("ascii"), 1)


def is_untouched(data: bytes, app_ids: Iterable[str]) -> bool:
    """Say whether a file is, to the byte, one that we wrote.

    Args:
        data: the bytes of the file.
        app_ids: registered applications whose XDATA marks what is ours.
    """
    for found in _SEAL.finditer(data):
        zeros = data[: found.start(1)] + b"0" * _DIGITS + data[found.end(1) :]
        if hash_of(zeros) == found[1].decode("ascii"):
            return True
    results = (strip_ours(data, app_id) for app_id in app_ids)
    return any(result.exact and result.removed > 0 for result in results)
