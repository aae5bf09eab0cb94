"""The other way of writing: ezdxf saves the whole drawing. For what can't be inserted into.

A save rewrites everything, so it is proven by reading everything back: each original entity in its layout
or block, each of ours, and an audit that finds no more than in the original.
"""

from __future__ import annotations

import contextlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from ezdxf.audit import Auditor
from ezdxf.document import Drawing
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.layouts.base import BaseLayout
from ezdxf.layouts.blocklayout import BlockLayout

from perpend.dxf.insert.save_changes import creation_date
from perpend.dxf.insert.take_out_loaded import is_our_block
from perpend.dxf.load import LoadedDrawing, load_bytes
from perpend.dxf.xdata import sign
from perpend.errors import InputError, InternalError

_R12: Final = "AC1009"
_R2000: Final = "AC1015"

Inventory = dict[str, Counter[tuple[str, ...]]]


@dataclass(frozen=True, slots=True)
class Expected:
    """What must be found in the saved file.

    Attributes:
        original: the original's entities by layout or block.
        faults: what an audit of the original finds.
        has_handles: whether entities keep their handles in the file.
    """

    original: Inventory
    faults: int
    has_handles: bool


def expect(path: Path, data: bytes, doc: Drawing, app_id: str) -> Expected:
    """Take stock of a drawing before anything is drawn in it.

    Args:
        path: its name, for error sentences.
        data: its bytes; they are loaded a second time, because an audit changes what it looks at.
        doc: the document that will be drawn in.
        app_id: registered application whose XDATA marks what is ours.
    """
    has_handles = doc.dxfversion > _R12 or bool(doc.header.get("$HANDLING", 0))
    faults = _faults(load_bytes(path, data).doc.audit())
    return Expected(_inventory(doc, has_handles, app_id), faults, has_handles)


def save_whole(loaded: LoadedDrawing, temporary: Path) -> bytes:
    """Save a loaded document, in the form it had, and return the bytes of the file.

    Raises:
        InputError: ezdxf can't save it.
    """
    path, doc = loaded.path, loaded.doc
    created = creation_date(loaded.data)
    if created is not None:  # ezdxf takes the moment of loading for it
        doc.header["$TDCREATE"] = created
    try:
        doc.saveas(temporary, fmt="bin" if loaded.binary else "asc")
    except (OSError, MemoryError):
        raise
    except Exception as error:
        reason = " ".join(str(error).split()) or type(error).__name__
        raise InputError(
            f"{path} can be read but not be written ({reason}): save it as DXF R2000 or later, in text form."
        ) from None
    return temporary.read_bytes()


def prove_save(path: Path, written: bytes, ours: Counter[str], expected: Expected, app_id: str) -> None:
    """Read a saved drawing back and compare it with what it must hold.

    Args:
        path: the original's name, for error sentences.
        written: the saved file.
        ours: how many entities of ours of each type must be in the layouts.
        expected: what was there before.
        app_id: registered application whose XDATA marks what is ours.

    Raises:
        InternalError: something is missing, changed, or worse than before.
    """
    try:
        doc = load_bytes(path, written).doc
    except InputError as error:
        raise InternalError(f"The new drawing did not read back: {error}") from None
    found = _inventory(doc, expected.has_handles, app_id)
    for name, entities in expected.original.items():
        lost = entities - found.get(name, Counter())
        if lost:
            first = " ".join(next(iter(lost)))
            raise InternalError(
                f"A save would lose {lost.total()} entities of {name} ({first} first); nothing was written."
            )
    drawn = Counter(entity.dxftype() for entity in drawn_by_us(doc, app_id))
    if drawn != ours:
        raise InternalError(
            f"A save would keep {drawn.total()} of our {ours.total()} entities; nothing was written."
        )
    faults = _faults(doc.audit())
    if faults > expected.faults:
        raise InternalError(
            f"An audit finds {faults} faults in the saved drawing and {expected.faults} in the original; "
            "nothing was written."
        )


def drawn_by_us(doc: Drawing, app_id: str) -> list[DXFEntity]:
    """Return the entities that carry our XDATA, layout by layout."""
    return [entity for layout in doc.layouts for entity in layout if entity.has_xdata(app_id)]


def _inventory(doc: Drawing, has_handles: bool, app_id: str) -> Inventory:
    """Count the entities that are not ours, by layout or block."""
    found: Inventory = {}
    for layout in (*doc.layouts, *doc.blocks):
        if isinstance(layout, BlockLayout) and is_our_block(layout, app_id):
            continue
        found[layout.name.lower()] = Counter(
            _identity(entity, has_handles) for entity in layout if not entity.has_xdata(app_id)
        )
    return found


def _identity(entity: DXFEntity, has_handles: bool) -> tuple[str, ...]:
    name = entity.dxf.handle if has_handles else str(entity.dxf.get("layer", "0"))
    parts = getattr(entity, "vertices", None) or getattr(entity, "attribs", None)
    count = str(len(parts)) if isinstance(parts, list) else ""
    return (entity.dxftype(), name, count)


def _faults(auditor: Auditor) -> int:
    return len(auditor.errors) + len(auditor.fixes)


@contextlib.contextmanager
def drawn_as_r2000(doc: Drawing) -> Iterator[None]:
    """Let ezdxf make light polylines in a document of R12, which `suit_r12` turns into what R12 knows."""
    release = doc._dxfversion
    doc._dxfversion = max(release, _R2000)
    try:
        yield
    finally:
        doc._dxfversion = release


def suit_r12(doc: Drawing, app_id: str) -> None:
    """Turn our light polylines and block marks into what R12 knows; no later release is touched.

    Args:
        doc: the document with our entities in it.
        app_id: registered application whose XDATA marks what is ours.
    """
    if doc.dxfversion > _R12:
        return
    ours = [block for block in doc.blocks if is_our_block(block, app_id)]
    for layout in doc.layouts:
        for light in layout.query("LWPOLYLINE"):
            if light.has_xdata(app_id):
                _replace(layout, light)
    for block in ours:
        if block.block is not None and block.block_record.has_xdata(app_id):
            block.block.set_xdata(app_id, block.block_record.get_xdata(app_id))
        for light in block.query("LWPOLYLINE"):
            _replace(block, light)


def _replace(layout: BaseLayout, light: DXFEntity) -> None:
    assert isinstance(light, LWPolyline)
    attributes = {
        name: light.dxf.get(name)
        for name in ("layer", "linetype", "color", "ltscale")
        if light.dxf.hasattr(name)
    }
    heavy = layout.add_polyline2d(
        list(light.get_points("xyseb")), format="xyseb", close=light.closed, dxfattribs=attributes
    )
    heavy.dxf.flags = heavy.dxf.flags | (light.dxf.flags & 128)
    if light.xdata:
        for app_id, tags in light.xdata.data.items():
            heavy.set_xdata(app_id, list(tags)[1:])
            sign(heavy, app_id)
    layout.delete_entity(light)
