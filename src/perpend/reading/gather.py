"""One pass over a layout: what stands on the layers that matter, blocks opened where needed.

The layer decides before anything else is looked at, so that a drawing's other entities cost next to
nothing. Blocks are indexed once; only those that hold something of interest are opened, and only
after their depth, their count and their cells were found to be within the budget.

Glossary:
    effective layer: the layer an entity shows on; inside a block, layer ``0`` means the layer of
        the block reference.
    own: drawn by an earlier run of perpend (extended data of the application ``PERPEND``).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from perpend.errors import InputError
from perpend.model import Ignored, Point
from perpend.reading.options import APPLICATION, ReadingOptions, Role
from perpend.reading.strokes import SHAPES, Origin, Stroke, strokes_of

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.entities.insert import Insert
    from ezdxf.layouts.base import BaseLayout
    from ezdxf.math import Matrix44

_TEXTS = frozenset({"TEXT", "MTEXT", "ATTRIB"})
_SILENT = frozenset({"ATTDEF", "SEQEND", "VERTEX", "ENDBLK", "VIEWPORT", "POINT"})


@dataclass(frozen=True, slots=True)
class RawText:
    """A text entity that has not been looked into yet, and where it comes from."""

    entity: DXFEntity
    origin: Origin


@dataclass(frozen=True, slots=True)
class BlockReference:
    """A visible reference of a block that may be an opening or a joint symbol."""

    handle: str
    layer: str
    block: str
    at: Point
    strokes: tuple[Stroke, ...]
    instance: int


@dataclass(slots=True)
class Gathered:
    """What one pass over a layout found.

    Attributes:
        strokes: per role, what is drawn on its layers.
        texts: every visible text that may be a mark, not looked into yet.
        opening_blocks: references of door and window blocks.
        joint_symbols: block references that stand on a joint layer.
        own_joints: joint lines of an earlier run.
        own_count: how many entities of an earlier run were passed over.
        hidden: entities on layers of interest that are frozen, off or invisible, per layer.
        ignored: what was left out, and why.
        external: names of external references that are not in the file.
    """

    strokes: dict[Role, list[Stroke]] = field(default_factory=lambda: {role: [] for role in Role})
    texts: list[RawText] = field(default_factory=list)
    opening_blocks: list[BlockReference] = field(default_factory=list)
    joint_symbols: list[BlockReference] = field(default_factory=list)
    own_joints: list[Stroke] = field(default_factory=list)
    own_count: int = 0
    hidden: Counter[str] = field(default_factory=Counter)
    ignored: list[Ignored] = field(default_factory=list)
    external: set[str] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class _Layer:
    name: str
    roles: frozenset[Role]
    frozen: bool
    off: bool

    @property
    def visible(self) -> bool:
        return not (self.frozen or self.off)


@dataclass(slots=True)
class _Block:
    """What a block holds, known before it is opened."""

    layers: set[str] = field(default_factory=set)
    has_text: bool = False
    count: int = 0
    depth: int = 1
    cycle: str = ""
    external: bool = False
    shapes: dict[str, list[DXFEntity]] = field(default_factory=dict)
    texts: list[DXFEntity] = field(default_factory=list)
    inserts: list[Insert] = field(default_factory=list)


def gather(doc: Drawing, layout: BaseLayout, options: ReadingOptions, file: str) -> Gathered:
    """Collect everything of interest from one layout.

    Raises:
        InputError: a coordinate is not a number, blocks contain each other, or a block would expand
            beyond the budget.
    """
    return _Gatherer(doc, options, file).run(layout)


class _Gatherer:
    def __init__(self, doc: Drawing, options: ReadingOptions, file: str) -> None:
        self.doc = doc
        self.options = options
        self.file = file
        self.out = Gathered()
        self.layers: dict[str, _Layer] = {}
        self.blocks: dict[str, _Block] = {}
        self.instances = 0
        self.expanded = 0

    def run(self, layout: BaseLayout) -> Gathered:
        """Walk the layout once."""
        for entity in layout:
            if entity.xdata is not None and APPLICATION in entity.xdata:
                self._own(entity)
                continue
            kind = entity.dxftype()
            if kind == "INSERT":
                self._insert(entity)  # type: ignore[arg-type]
                continue
            layer = self._layer(entity.dxf.layer)
            if kind in _TEXTS:
                self._text(entity, layer)
            elif layer.roles:
                self._shape(entity, kind, layer)
        return self.out

    def _layer(self, name: str) -> _Layer:
        known = self.layers.get(name)
        if known is None:
            frozen = off = False
            if name in self.doc.layers:
                record = self.doc.layers.get(name)
                frozen, off = record.is_frozen(), record.is_off()
            known = self.layers[name] = _Layer(name, self.options.roles_of(name), frozen, off)
        return known

    def _own(self, entity: DXFEntity) -> None:
        self.out.own_count += 1
        if own_kind(entity) == "joint" and entity.dxftype() in SHAPES:
            origin = Origin(str(entity.dxf.handle), entity.dxf.layer)
            self.out.own_joints += strokes_of(entity, origin, self.file, self.options.budget.points)

    def _text(self, entity: DXFEntity, layer: _Layer, origin: Origin | None = None) -> None:
        if layer.visible and not entity.dxf.get("invisible", 0) and Role.JOINTS not in layer.roles:
            self.out.texts.append(RawText(entity, origin or Origin(str(entity.dxf.handle), layer.name)))

    def _shape(self, entity: DXFEntity, kind: str, layer: _Layer) -> None:
        if not layer.visible or entity.dxf.get("invisible", 0):
            self.out.hidden[layer.name] += 1
            return
        origin = Origin(str(entity.dxf.handle), layer.name)
        self._keep(entity, kind, layer, origin)

    def _keep(self, entity: DXFEntity, kind: str, layer: _Layer, origin: Origin) -> None:
        if kind in SHAPES:
            strokes = strokes_of(entity, origin, self.file, self.options.budget.points)
            for role in layer.roles:
                self.out.strokes[role] += strokes
            if strokes:
                return
            why = "it has no extent"
        elif kind in _SILENT:
            return
        else:
            why = f"a {kind} is not read as an outline or a line"
        self.out.ignored.append(Ignored(origin.handle, kind, layer.name, why))

    def _insert(self, entity: Insert) -> None:
        name = str(entity.dxf.get("name", ""))
        layer = self._layer(entity.dxf.layer)
        block = self._block(name)
        for attrib in entity.attribs:
            if not layer.frozen:
                self._text(
                    attrib, self._layer(attrib.dxf.layer), Origin(str(entity.dxf.handle), attrib.dxf.layer)
                )
        as_opening = self.options.is_opening_block(name)
        of_interest = self._of_interest(block, layer)
        if block.external:
            self.out.external.add(name)
        if not (of_interest or as_opening or block.has_text):
            return
        if layer.frozen or entity.dxf.get("invisible", 0):
            if of_interest or as_opening:
                self.out.hidden[layer.name] += 1
            return
        if block.cycle:
            if of_interest or as_opening:
                raise InputError(
                    f"{self.file}: block {block.cycle} contains itself (reference {entity.dxf.handle} on "
                    "layer "
                    f"{layer.name}): redefine it without the cycle."
                )
            return
        if not of_interest and not as_opening:
            self._expand_texts(entity, block, layer)
            return
        self._check_budget(entity, name, block, layer)
        self._expand(entity, block, layer, None, str(entity.dxf.handle))

    def _of_interest(self, block: _Block, layer: _Layer) -> bool:
        return any((layer if name == "0" else self._layer(name)).roles for name in block.layers) or (
            bool(layer.roles) and (block.count == 0 or Role.JOINTS in layer.roles)
        )

    def _check_budget(self, entity: Insert, name: str, block: _Block, layer: _Layer) -> None:
        budget = self.options.budget
        where = f"{self.file}: block {name} (reference {entity.dxf.handle} on layer {layer.name})"
        if block.depth > budget.depth:
            raise InputError(
                f"{where} nests blocks {block.depth} deep, more than the {budget.depth} that are opened: "
                "explode or flatten it."
            )
        cells = _cells(entity)
        if cells > budget.cells:
            raise InputError(
                f"{where} is an array of {cells:,} cells, more than the {budget.cells:,} that are opened: "
                "draw fewer, or put it on another layer."
            )
        self.expanded += cells * block.count
        if self.expanded > budget.entities:
            raise InputError(
                f"{where} makes the blocks on layers of interest expand to {self.expanded:,} entities, more "
                f"than the {budget.entities:,} that are opened: simplify it, or put it on another layer."
            )

    def _expand_texts(self, entity: Insert, block: _Block, layer: _Layer) -> None:
        """Open a block for its texts alone; a block that is too big for that has no marks in it."""
        budget = self.options.budget
        cost = _cells(entity) * block.count
        if block.depth <= budget.depth and self.expanded + cost <= budget.entities:
            self.expanded += cost
            self._expand(entity, block, layer, None, str(entity.dxf.handle))

    def _expand(
        self, entity: Insert, block: _Block, layer: _Layer, outer: Matrix44 | None, handle: str
    ) -> None:
        name = str(entity.dxf.name)
        if block.external or not block.count:
            if layer.roles:
                why = (
                    f"external reference {name} is not in this file"
                    if block.external
                    else f"block {name} is not in this file or empty"
                )
                self.out.ignored.append(Ignored(handle, "INSERT", layer.name, why))
            return
        for carrier in _carriers(entity, outer):
            self.instances += 1
            self._expand_once(entity, block, layer, carrier, handle, self.instances)

    def _expand_once(
        self, entity: Insert, block: _Block, layer: _Layer, carrier: Matrix44, handle: str, instance: int
    ) -> None:
        name = str(entity.dxf.name)
        own: list[Stroke] = []
        as_opening = self.options.is_opening_block(name)
        as_symbol = Role.JOINTS in layer.roles
        for on_layer, shapes in block.shapes.items():
            effective = layer if on_layer == "0" else self._layer(on_layer)
            if not (effective.roles or as_opening):
                continue
            for shape in shapes:
                if not effective.visible or shape.dxf.get("invisible", 0):
                    self.out.hidden[effective.name] += bool(effective.roles)
                    continue
                origin = Origin(handle, effective.name, name, instance, carrier)
                if (as_opening and not effective.roles) or (as_symbol and effective is layer):
                    own += self._strokes(shape, origin)
                else:
                    self._keep(shape, shape.dxftype(), effective, origin)
        for text in block.texts:
            text_layer = layer if text.dxf.layer == "0" else self._layer(text.dxf.layer)
            self._text(text, text_layer, Origin(handle, text_layer.name, name, instance, carrier))
        at = _flat_point(carrier, entity, self.doc)
        if as_symbol:
            self.out.joint_symbols.append(BlockReference(handle, layer.name, name, at, tuple(own), instance))
        elif as_opening and own:
            self.out.opening_blocks.append(BlockReference(handle, layer.name, name, at, tuple(own), instance))
        for inner in block.inserts:
            inner_layer = layer if inner.dxf.layer == "0" else self._layer(inner.dxf.layer)
            inner_block = self._block(str(inner.dxf.name))
            wanted = (
                self._of_interest(inner_block, inner_layer)
                or inner_block.has_text
                or self.options.is_opening_block(str(inner.dxf.name))
            )
            if wanted and not inner_layer.frozen:
                self._expand(inner, inner_block, inner_layer, carrier, handle)

    def _strokes(self, shape: DXFEntity, origin: Origin) -> list[Stroke]:
        if shape.dxftype() not in SHAPES:
            return []
        return strokes_of(shape, origin, self.file, self.options.budget.points)

    def _block(self, name: str, above: tuple[str, ...] = ()) -> _Block:
        """Index a block and everything below it, once."""
        key = name.lower()
        if key in above:
            return _Block(cycle=name)
        known = self.blocks.get(key)
        if known is not None:
            return known
        block = _Block()
        layout = self.doc.blocks.get(name)
        if layout is not None:
            block.external = (
                bool(layout.block.is_xref or layout.block.is_xref_overlay) if layout.block else False
            )
            for entity in layout:
                self._index(entity, block, (*above, key))
        self.blocks[key] = block
        return block

    def _index(self, entity: DXFEntity, block: _Block, above: tuple[str, ...]) -> None:
        kind = entity.dxftype()
        block.count += 1
        if kind == "INSERT":
            insert: Any = entity
            inner = (
                self._block(str(insert.dxf.get("name", "")), above)
                if len(above) <= 200
                else _Block(depth=999)
            )
            block.cycle = block.cycle or inner.cycle
            block.layers |= {entity.dxf.layer if name == "0" else name for name in inner.layers}
            block.has_text |= inner.has_text
            block.count += _cells(insert) * inner.count
            block.depth = max(block.depth, inner.depth + 1)
            block.inserts.append(insert)
            block.layers.add(entity.dxf.layer)
        elif kind in _TEXTS:
            block.has_text = True
            block.texts.append(entity)
        elif kind not in _SILENT:
            block.layers.add(entity.dxf.layer)
            block.shapes.setdefault(entity.dxf.layer, []).append(entity)


def own_kind(entity: DXFEntity) -> str:
    """Return the kind that perpend's own extended data names (``joint``, ``label``), or empty."""
    if entity.xdata is None or APPLICATION not in entity.xdata:
        return ""
    for tag in entity.get_xdata(APPLICATION):
        if tag.code == 1000 and str(tag.value).startswith("kind="):
            return str(tag.value)[len("kind=") :]
    return "unnamed"


def _cells(entity: Any) -> int:  # noqa: ANN401 - an Insert
    rows = max(1, int(entity.dxf.get("row_count", 1)))
    columns = max(1, int(entity.dxf.get("column_count", 1)))
    return rows * columns


def _carriers(entity: Any, outer: Matrix44 | None) -> Iterator[Matrix44]:  # noqa: ANN401 - an Insert
    """Yield the matrix of every cell of a block reference, into the drawing."""
    from ezdxf.math import Matrix44, Vec3

    base = entity.matrix44()
    if _cells(entity) == 1:
        yield base if outer is None else base * outer
        return
    ocs = entity.ocs()
    turn = math.radians(entity.dxf.get("rotation", 0.0))
    for row in range(max(1, int(entity.dxf.get("row_count", 1)))):
        for column in range(max(1, int(entity.dxf.get("column_count", 1)))):
            x = column * entity.dxf.get("column_spacing", 0.0)
            y = row * entity.dxf.get("row_spacing", 0.0)
            offset = ocs.to_wcs(
                Vec3(x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn), 0)
            )
            cell = base * Matrix44.translate(*Vec3(offset).xyz)
            yield cell if outer is None else cell * outer


def _flat_point(carrier: Matrix44, entity: Any, doc: Drawing) -> Point:  # noqa: ANN401 - an Insert
    layout = doc.blocks.get(str(entity.dxf.name))
    base = layout.block.dxf.base_point if layout is not None and layout.block else (0.0, 0.0, 0.0)
    at = carrier.transform(base)
    return (at.x, at.y)
