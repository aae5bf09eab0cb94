"""What blocks hold, known before they are opened, and how their references carry it into the drawing."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

from perpend.dxf.entity_attributes import layer_of
from perpend.model.geometry import Point

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.entities.insert import Insert
    from ezdxf.math import Matrix44

TEXTS: Final = frozenset({"TEXT", "MTEXT", "ATTRIB"})
SILENT: Final = frozenset({"ATTDEF", "SEQEND", "VERTEX", "ENDBLK", "VIEWPORT", "POINT"})
"""Kinds that draw nothing of interest and are passed over without a word."""

_DYNAMIC: Final = "AcDbBlockRepBTag"
"""Extended data by which the copy of a dynamic block names its definition."""

_DEEPEST: Final = 200
"""Nesting that is followed at all; a block below is counted as too deep."""


@dataclass(slots=True)
class Block:
    """What a block holds, known before it is opened.

    Attributes:
        layers: layers in it and below it; ``0`` stands for the reference's own.
        has_text: True when there are texts in it or below it.
        count: entities it expands to.
        depth: levels of blocks, itself included.
        cycle: name of a block that contains itself, here or below; or empty.
        external: True when its content is in another file.
        shapes: its own entities by layer, texts and references apart.
        texts: its own texts.
        inserts: its own block references.
    """

    layers: set[str] = field(default_factory=set)
    has_text: bool = False
    count: int = 0
    depth: int = 1
    cycle: str = ""
    external: bool = False
    shapes: dict[str, list[DXFEntity]] = field(default_factory=dict)
    texts: list[DXFEntity] = field(default_factory=list)
    inserts: list[Insert] = field(default_factory=list)


class BlockIndex:
    """Looks into each block definition once, at its first reference."""

    def __init__(self, doc: Drawing) -> None:
        self.doc = doc
        self._known: dict[str, Block] = {}

    def get(self, name: str, above: tuple[str, ...] = ()) -> Block:
        """Index a block and everything below it, once."""
        key = name.lower()
        if key in above:
            return Block(cycle=name)
        known = self._known.get(key)
        if known is not None:
            return known
        block = Block()
        layout = self.doc.blocks.get(name)
        if layout is not None:
            block.external = (
                bool(layout.block.is_xref or layout.block.is_xref_overlay) if layout.block else False
            )
            for entity in layout:
                self._index(entity, block, (*above, key))
        self._known[key] = block
        return block

    def name_of(self, name: str) -> str:
        """Return the name a drafter gave a block: that of the definition behind a dynamic block's copy."""
        if not name.upper().startswith("*U") or name not in self.doc.block_records:
            return name
        record = self.doc.block_records.get(name)
        if not record.has_xdata(_DYNAMIC):
            return name
        for tag in record.get_xdata(_DYNAMIC):
            original = self.doc.entitydb.get(str(tag.value)) if tag.code == 1005 else None
            if original is not None and original.dxf.hasattr("name"):
                return str(original.dxf.name)
        return name

    def _index(self, entity: DXFEntity, block: Block, above: tuple[str, ...]) -> None:
        kind = entity.dxftype()
        block.count += 1
        if kind == "INSERT":
            insert: Any = entity
            if not insert.dxf.get("name"):
                return  # a damaged reference shows nothing
            inner = self.get(str(insert.dxf.name), above) if len(above) <= _DEEPEST else Block(depth=_DEEPEST)
            block.cycle = block.cycle or inner.cycle
            block.layers |= {layer_of(entity) if name == "0" else name for name in inner.layers}
            block.has_text |= inner.has_text
            block.count += cells(insert) * inner.count
            block.depth = max(block.depth, inner.depth + 1)
            block.inserts.append(insert)
            block.layers.add(layer_of(entity))
        elif kind in TEXTS:
            block.has_text = True
            block.texts.append(entity)
        elif kind not in SILENT:
            block.layers.add(layer_of(entity))
            block.shapes.setdefault(layer_of(entity), []).append(entity)


def _rows_and_columns(entity: Any) -> tuple[int, int]:  # noqa: ANN401 - an Insert
    return max(1, int(entity.dxf.get("row_count", 1))), max(1, int(entity.dxf.get("column_count", 1)))


def cells(entity: Any) -> int:  # noqa: ANN401 - an Insert
    """Return how many times a block reference shows its block: rows × columns."""
    return math.prod(_rows_and_columns(entity))


def place_of_cells(entity: Any, outer: Matrix44 | None) -> Iterator[Matrix44]:  # noqa: ANN401 - an Insert
    """Yield the matrix of every cell of a block reference, into the drawing."""
    from ezdxf.math import Matrix44, Vec3

    base = entity.matrix44()
    rows, columns = _rows_and_columns(entity)
    if rows * columns == 1:
        yield base if outer is None else base * outer
        return
    ocs = entity.ocs()
    turn = Matrix44.z_rotate(math.radians(entity.dxf.get("rotation", 0.0)))
    for row, column in itertools.product(range(rows), range(columns)):
        along = Vec3(column * entity.dxf.get("column_spacing", 0.0), row * entity.dxf.get("row_spacing", 0.0))
        cell = base * Matrix44.translate(*ocs.to_wcs(turn.transform(along)).xyz)
        yield cell if outer is None else cell * outer


def foot_of(carrier: Matrix44, entity: Any, doc: Drawing) -> Point:  # noqa: ANN401 - an Insert
    """Return where a block reference is inserted, drawing axes."""
    layout = doc.blocks.get(str(entity.dxf.name))
    base = layout.block.dxf.base_point if layout is not None and layout.block else (0.0, 0.0, 0.0)
    at = carrier.transform(base)
    return (at.x, at.y)
