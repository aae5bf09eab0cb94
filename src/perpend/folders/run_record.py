"""What earlier runs did, kept in the output folder so that unchanged drawings are not done again.

The record grows by a line as each drawing is done, so that a run that is cut off, even by the power, is
taken up where it ended; at the end of a run it is written anew, a line for each drawing.
"""

from __future__ import annotations

import contextlib
import dataclasses
import hashlib
import json
import os
from collections.abc import Callable, Iterable, Iterator
from datetime import date
from pathlib import Path
from typing import Any, Final

from perpend.dxf.insert.atomic_file import whole_file
from perpend.errors import InputError
from perpend.folders.orders import Order, Outcome, State
from perpend.version import __version__

_FORM: Final = 4
_USUAL: Final = Outcome("", State.CLEAN)
"""Tells of what type each value is."""


def fingerprint(order: Order, settings_sha256: str, rulebook_sha256: str) -> str:
    """Hash all that decides the outcome of an order.

    Where waivers stand beside a drawing, they and the day count too: waivers run out.

    Raises:
        OSError: the drawing can't be read.
    """
    from perpend.decisions.accepted import SIDECAR_SUFFIX
    from perpend.settings import sidecar_of

    digest = hashlib.sha256()
    command = f"{order.command} --propose" if order.propose else order.command
    for part in (__version__, command, settings_sha256, rulebook_sha256):
        digest.update(part.encode() + b"\0")
    waivers = sidecar_of(order.source, SIDECAR_SUFFIX)
    if waivers is not None:
        digest.update(date.today().isoformat().encode() + waivers.read_bytes() + b"\0")
    digest.update(order.source.read_bytes())
    return digest.hexdigest()


def hash_of(place: Path) -> str:
    """Return the sha256 of a file's bytes.

    Raises:
        OSError: it can't be read.
    """
    with place.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def record_place(out: Path, command: str) -> Path:
    """Return where the record of a command (``annotate`` or ``check``) is kept."""
    return out / f".perpend-batch-{command}.jsonl"


def load_record(place: Path) -> dict[str, Outcome]:
    """Return the outcomes of earlier runs by name; a line that can't be read counts as none."""
    found: dict[str, Outcome] = {}
    with contextlib.suppress(OSError), place.open(encoding="utf-8", errors="replace") as lines:
        for line in lines:
            with contextlib.suppress(ValueError, KeyError, TypeError, AttributeError, RecursionError):
                outcome = _outcome(json.loads(line))
                found[outcome.name] = outcome
    return found


def _outcome(entry: dict[str, Any]) -> Outcome:
    if entry.pop("form") != _FORM:
        raise ValueError("written by another version")
    tables = {name: tuple(tuple(row) for row in entry[name]) for name in ("schedule", "findings")}
    outcome = Outcome(**{**entry, **tables, "state": State(entry["state"])})
    for name, usual in dataclasses.asdict(_USUAL).items():
        kind = (int, float) if isinstance(usual, float) else type(usual)
        if not isinstance(getattr(outcome, name), kind):
            raise TypeError(f"{name} is none")
    return outcome


def _line(outcome: Outcome) -> str:
    entry = {"form": _FORM, **dataclasses.asdict(outcome), "reused": False, "worked_in": False}
    return json.dumps(entry) + "\n"


def counts(outcome: Outcome) -> bool:
    """Say whether a later run may build on an outcome: it was done, whatever was found."""
    return bool(outcome.fingerprint) and outcome.state in (State.CLEAN, State.VIOLATIONS)


@contextlib.contextmanager
def growing_record(place: Path) -> Iterator[Callable[[Outcome], None]]:
    """Open the record to add to it; yields what adds an outcome.

    A disk that fills up is let be: what is lost is done again by the next run, and the end of this one tells.

    Raises:
        InputError: it can't be opened.
    """

    def add(outcome: Outcome) -> None:
        if counts(outcome) and not outcome.reused:
            with contextlib.suppress(OSError):
                os.write(handle, _line(outcome).encode())

    try:
        handle = os.open(place, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o666)
    except OSError as error:
        raise InputError(f"{place} can't be written ({error.strerror or error}): look at --out.") from None
    try:
        yield add
    finally:
        os.close(handle)


def save_record(place: Path, outcomes: Iterable[Outcome]) -> None:
    """Write the record anew.

    Raises:
        InputError: it can't be written; the one that grew stays.
    """
    with whole_file(place) as temporary, temporary.open("w", encoding="utf-8") as file:
        file.writelines(_line(outcome) for outcome in outcomes if counts(outcome))
