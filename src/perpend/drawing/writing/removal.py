"""Taking everything of ours out of a loaded document, where its text can't be worked on."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from ezdxf.document import Drawing
from ezdxf.entities.blockrecord import BlockRecord
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.sections.table import Table

_USED_BY: Final = {"LAYER": "layer", "LTYPE": "linetype", "STYLE": "style", "DIMSTYLE": "dimstyle"}
_POINTING: Final = {
    "STYLE": ("dimtxsty",),
    "LTYPE": ("linetype", "dimltype", "dimltex1", "dimltex2"),
    "LAYER": (),
    "DIMSTYLE": (),
}


def remove_ours(doc: Drawing, app_id: str = "PERPEND") -> int:
    """Delete every entity, block and table record that carries our XDATA.

    A table record or block that something of the drafter's uses by now stays, without our XDATA; so does an
    entity of ours inside a block of the drafter's.

    Args:
        doc: the document; it is changed.
        app_id: registered application whose XDATA marks what is ours.

    Returns:
        How many entities, blocks and records were deleted.
    """
    blocks = {record.dxf.name for record in doc.block_records if record.has_xdata(app_id)}
    removed = _delete_entities(doc, app_id, blocks)
    removed += _delete_blocks(doc, blocks)
    for name, table in _tables(doc).items():
        used = {value.lower() for value in _names_in_use(doc, name)}
        for record in list(table):
            if record.has_xdata(app_id) and record.dxf.name.lower() not in used:
                table.remove(record.dxf.name)
                removed += 1
    doc.entitydb.purge()
    for entity in doc.entitydb.values():
        entity.discard_xdata(app_id)
    if removed and app_id in doc.appids:
        doc.appids.remove(app_id)
    return removed


def _delete_entities(doc: Drawing, app_id: str, blocks: set[str]) -> int:
    removed = 0
    for layout in doc.layouts:
        for entity in [entity for entity in layout if entity.has_xdata(app_id)]:
            geometry = entity.dxf.get("geometry", "") if entity.dxftype() == "DIMENSION" else ""
            if geometry[:2].upper() == "*D":
                blocks.add(geometry)
            layout.delete_entity(entity)
            removed += 1
    return removed


def _delete_blocks(doc: Drawing, names: set[str]) -> int:
    """Delete those of the named blocks that nothing outside of them uses."""
    leaving = {name.lower() for name in names}
    while True:
        used = {name.lower() for name in _blocks_in_use(doc, leaving)}
        if not leaving & used:
            break
        leaving -= used
    present = [name for name in leaving if name in doc.blocks]
    for name in present:
        doc.blocks.delete_block(name, safe=False)
    return len(present)


def _blocks_in_use(doc: Drawing, leaving: set[str]) -> Iterator[str]:
    for owner in doc.block_records:
        if owner.dxf.name.lower() in leaving or not isinstance(owner, BlockRecord):
            continue
        for entity in owner.entity_space:
            if entity.dxftype() == "INSERT":
                yield entity.dxf.name
            elif entity.dxf.get("geometry"):
                yield entity.dxf.geometry
    for style in doc.dimstyles:
        for attribute in ("dimblk", "dimblk1", "dimblk2", "dimldrblk"):
            if style.dxf.get(attribute):
                yield style.dxf.get(attribute)


def _tables(doc: Drawing) -> dict[str, Table[Any]]:
    return {"DIMSTYLE": doc.dimstyles, "LAYER": doc.layers, "STYLE": doc.styles, "LTYPE": doc.linetypes}


def _names_in_use(doc: Drawing, table: str) -> Iterator[str]:
    attribute = _USED_BY[table]
    for entity in doc.entitydb.values():
        if not _is_record(entity):
            value = entity.dxf.get(attribute) if entity.dxf.is_supported(attribute) else None
            if isinstance(value, str):
                yield value
        else:
            yield from _pointed_at(entity, table)


def _is_record(entity: DXFEntity) -> bool:
    return entity.dxftype() in ("LAYER", "LTYPE", "STYLE", "DIMSTYLE", "APPID", "BLOCK_RECORD", "VPORT")


def _pointed_at(record: DXFEntity, table: str) -> Iterator[str]:
    for attribute in _POINTING[table]:
        value = record.dxf.get(attribute) if record.dxf.is_supported(attribute) else None
        if isinstance(value, str):
            yield value
