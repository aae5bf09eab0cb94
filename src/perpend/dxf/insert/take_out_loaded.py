"""Taking everything of ours out of a loaded document, where its text can't be worked on."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import Any, Final

from ezdxf.document import Drawing
from ezdxf.entities.blockrecord import BlockRecord
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.layouts.blocklayout import BlockLayout
from ezdxf.sections.table import Table

from perpend.dxf.entity_attributes import layer_of
from perpend.dxf.xdata import our_entities

_USED_BY: Final = {"LAYER": "layer", "LTYPE": "linetype", "STYLE": "style", "DIMSTYLE": "dimstyle"}
_POINTING: Final = {
    "STYLE": ("dimtxsty",),
    "LTYPE": ("linetype", "dimltype", "dimltex1", "dimltex2"),
    "LAYER": (),
    "DIMSTYLE": (),
}


def theirs_in(doc: Drawing, app_id: str, copies: Collection[str] = ()) -> list[str]:
    """Name the entities that carry our mark and are the drafter's: copies, and texts with other words.

    Copies that go, as they are drawn anew, are not among them.
    """
    marked = [entity for layout in doc.layouts for entity in layout if entity.has_xdata(app_id)]
    ours = {id(entity) for entity in our_entities(marked, app_id)}
    return [
        f"{e.dxftype()} #{e.dxf.handle} on {layer_of(e)}"
        for e in marked
        if id(e) not in ours and e.dxf.handle not in copies
    ]


def remove_ours(doc: Drawing, app_id: str = "PERPEND", copies: Collection[str] = ()) -> int:
    """Delete every entity, block and table record of ours.

    A table record or block that something of the drafter's uses by now stays, without our XDATA; so does an
    entity of ours inside a block of the drafter's, a copy of one of ours, and a text with other words.

    Args:
        doc: the document; it is changed.
        app_id: registered application whose XDATA marks what is ours.
        copies: handles of copies of ours that go as well, as they are drawn anew.

    Returns:
        How many entities, blocks and records were deleted.
    """
    blocks = {layout.name for layout in doc.blocks if is_our_block(layout, app_id)}
    removed = _delete_entities(doc, app_id, blocks, copies)
    removed += _delete_records(doc, "DIMSTYLE", app_id)
    removed += _delete_blocks(doc, blocks)
    for name in ("LAYER", "STYLE", "LTYPE"):
        removed += _delete_records(doc, name, app_id)
    doc.entitydb.purge()
    for entity in doc.entitydb.values():
        entity.discard_xdata(app_id)
    if removed and app_id in doc.appids:
        doc.appids.remove(app_id)
    return removed


def _delete_records(doc: Drawing, name: str, app_id: str) -> int:
    """Delete those of our records in a table that nothing uses."""
    table = _tables(doc)[name]
    used = {value.lower() for value in _names_in_use(doc, name)}
    leaving = [
        record.dxf.name
        for record in table
        if record.has_xdata(app_id) and record.dxf.name.lower() not in used
    ]
    for record_name in leaving:
        table.remove(record_name)
    return len(leaving)


def is_our_block(layout: BlockLayout, app_id: str) -> bool:
    """Tell whether a block is ours; in R12, which has no BLOCK_RECORD, the BLOCK itself carries the mark."""
    block = layout.block
    return layout.block_record.has_xdata(app_id) or (block is not None and block.has_xdata(app_id))


def _delete_entities(doc: Drawing, app_id: str, blocks: set[str], copies: Collection[str]) -> int:
    leaving = [*our_entities((entity for layout in doc.layouts for entity in layout), app_id)]
    known = {id(entity) for entity in leaving}
    others = (doc.entitydb.get(handle) for handle in copies)
    leaving += [entity for entity in others if entity is not None and id(entity) not in known]
    for entity in leaving:
        geometry = entity.dxf.get("geometry", "") if entity.dxftype() == "DIMENSION" else ""
        if geometry[:2].upper() == "*D":
            blocks.add(geometry)
        doc.entitydb.delete_entity(entity)
    return len(leaving)


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
            elif entity.dxf.is_supported("geometry") and entity.dxf.hasattr("geometry"):
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
