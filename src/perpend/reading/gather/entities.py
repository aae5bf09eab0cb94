"""One pass over a layout: what stands on the layers that matter, blocks opened where needed.

The layer decides before anything else is looked at, so that a drawing's other entities cost next to
nothing. Blocks are indexed once; only those that hold something of interest are opened, and only
after their depth, their count and their cells were found to be within the budget.

Glossary:
    effective layer: the layer an entity shows on; inside a block, layer ``0`` means the layer of
        the block reference.
    own: drawn by an earlier run of perpend (extended data of ``PERPEND``, or of
        ``PERPEND-CHECK`` for the marks of a check).
    hinted: on a layer without a role whose name is that of doors, windows or glass, or of joints.
    unassigned: on a layer without a role whose name says nothing of what is on it.
"""

from __future__ import annotations

import contextlib
from collections import Counter
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final

from perpend.dxf.block_expansion import Expansion
from perpend.dxf.block_index import SILENT, TEXTS, Block, BlockIndex, foot_of
from perpend.dxf.entity_attributes import is_invisible, layer_of
from perpend.dxf.entity_points import SHAPES, Origin, Stroke, strokes_of
from perpend.dxf.xdata import own_kind
from perpend.errors import InputError
from perpend.model import Point
from perpend.notices import Notices
from perpend.reading.gather.layer_index import Layer, LayerIndex
from perpend.reading.reading_options import ReadingOptions, Role, matches

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.entities.insert import Insert
    from ezdxf.layouts.base import BaseLayout
    from ezdxf.math import Matrix44


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
        layers: what is known of each layer.
        blocks: what is known of each block.
        expansion: opens block references, and counts what that takes.
        strokes: per role, what is drawn on its layers.
        texts: every visible text that may be a mark, not looked into yet.
        opening_blocks: references of door and window blocks.
        joint_symbols: block references that stand on a joint layer.
        own_joints: joint lines of an earlier run.
        own_count: how many entities of an earlier run were passed over.
        hidden: entities on layers of interest that are frozen, off or invisible, per layer.
        hidden_things: those among them that are on layers of joints or openings, not looked into yet.
        notices: what was left out, and why.
        external: names of external references that are not in the file.
        hinted: what is drawn on layers without a role, hidden or not, whose names say openings.
        hinted_joints: the same of joints.
        hinted_symbols: block references on such layers of joints.
        unassigned: block references, and visible lines and outlines on unassigned layers, not looked into.
        patterned: handles of hatches that are no solid fill.
    """

    layers: LayerIndex
    blocks: BlockIndex
    expansion: Expansion
    strokes: dict[Role, list[Stroke]] = field(default_factory=lambda: {role: [] for role in Role})
    texts: list[RawText] = field(default_factory=list)
    opening_blocks: list[BlockReference] = field(default_factory=list)
    joint_symbols: list[BlockReference] = field(default_factory=list)
    own_joints: list[Stroke] = field(default_factory=list)
    own_count: int = 0
    hidden: Counter[str] = field(default_factory=Counter)
    hidden_things: list[tuple[DXFEntity, Origin]] = field(default_factory=list)
    notices: Notices = field(default_factory=Notices)
    external: set[str] = field(default_factory=set)
    hinted: list[Stroke] = field(default_factory=list)
    hinted_joints: list[Stroke] = field(default_factory=list)
    hinted_symbols: list[BlockReference] = field(default_factory=list)
    unassigned: list[DXFEntity] = field(default_factory=list)
    patterned: set[str] = field(default_factory=set)


_MOST_HINTED: Final = 4000
"""Strokes of layers without a role that are looked at: beyond, they are no doors, windows or joints."""

_PATTERNED: Final = frozenset({"HATCH", "MPOLYGON"})
_CURES: Final = {"MLINE": "explode it", "DIMENSION": "put it on a layer of its own"}
"""What to do about kinds that draw no line which can be read."""

OUTLINES: Final = frozenset({"LINE", "LWPOLYLINE", "POLYLINE", "ARC"})
"""Kinds on unassigned layers that openings or joints may be drawn of."""


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
        self.blocks = BlockIndex(doc)
        self.layers = LayerIndex(doc, options)
        self.expansion = Expansion(self.blocks, options.budget, file)
        self.out = Gathered(self.layers, self.blocks, self.expansion)

    def run(self, layout: BaseLayout) -> Gathered:
        """Walk the layout once."""
        for entity in layout:
            if entity.xdata is not None and own_kind(entity):
                self._own(entity)
                continue
            kind = entity.dxftype()
            layer = self.layers.get(layer_of(entity))
            if layer.ignored:
                continue
            if kind == "INSERT":
                self.out.unassigned.append(entity)
                self._insert(entity)  # type: ignore[arg-type]
            elif kind in TEXTS:
                self._text(entity, layer)
            elif layer.roles:
                self._shape(entity, kind, layer)
            elif layer.hint and not is_invisible(entity):
                self._hint(entity, Origin(str(entity.dxf.handle), layer.name), layer.hint)
            elif layer.unassigned and layer.visible and kind in OUTLINES:
                self.out.unassigned.append(entity)
        return self.out

    def _own(self, entity: DXFEntity) -> None:
        self.out.own_count += 1
        if own_kind(entity) == "joint" and entity.dxftype() in SHAPES:
            origin = Origin(str(entity.dxf.handle), layer_of(entity))
            self.out.own_joints += strokes_of(entity, origin, self.file, self.options.budget.points)

    def _text(self, entity: DXFEntity, layer: Layer, origin: Origin | None = None) -> None:
        counts = layer.visible and not layer.ignored and not layer.joints_alone
        if counts and not is_invisible(entity):
            self.out.texts.append(RawText(entity, origin or Origin(str(entity.dxf.handle), layer.name)))

    def _shape(self, entity: DXFEntity, kind: str, layer: Layer) -> None:
        origin = Origin(str(entity.dxf.handle), layer.name)
        if layer.visible and not is_invisible(entity):
            self._keep(entity, kind, layer, origin)
        else:
            self._hide(entity, layer, origin)

    def _hide(self, entity: DXFEntity, layer: Layer, origin: Origin) -> None:
        self.out.hidden[layer.name] += 1
        if not layer.roles.isdisjoint((Role.JOINTS, Role.OPENINGS)):
            self.out.hidden_things.append((entity, origin))

    def _keep(self, entity: DXFEntity, kind: str, layer: Layer, origin: Origin) -> None:
        if kind in SHAPES:
            strokes = strokes_of(entity, origin, self.file, self.options.budget.points)
            if kind in _PATTERNED and not entity.dxf.get("solid_fill", 1):
                self.out.patterned.add(origin.handle)
            for role in layer.roles:
                self.out.strokes[role] += strokes
            if strokes:
                return
            why = "it draws no outline or line that can be read"
        elif kind in SILENT:
            return
        else:
            why = f"no outline or line is read of {kind}: {_CURES.get(kind, 'draw it as lines')}"
        self.out.notices.ignore(origin.handle, kind, layer.name, why)

    def _hint(self, entity: DXFEntity, origin: Origin, hint: Role) -> None:
        """Keep what is drawn on a layer that has no role though its name says openings or joints."""
        kept = self.out.hinted_joints if hint is Role.JOINTS else self.out.hinted
        if len(kept) >= _MOST_HINTED or entity.dxftype() not in SHAPES:
            return
        if origin.block and matches(self.blocks.name_of(origin.block), self.options.not_opening_blocks):
            return
        kept += self.expansion.strokes(entity, origin)

    def _frozen(self, entity: Insert, layer: Layer, origin: Origin) -> None:
        """Note a reference that does not show, whatever layers are in it."""
        name = str(entity.dxf.get("name", ""))
        drawn_as = self.blocks.name_of(name)
        if self._of_interest(self.blocks.get(name), layer) or self.options.is_opening_block(drawn_as):
            self._hide(entity, layer, origin)
        kept = self.out.hinted_joints if layer.hint is Role.JOINTS else self.out.hinted
        hinted = layer.hint and not is_invisible(entity) and len(kept) < _MOST_HINTED
        if hinted and not matches(drawn_as, self.options.not_opening_blocks):
            self.expansion.instances += 1
            origin = replace(origin, instance=self.expansion.instances)
            kept += self.expansion.all_strokes(entity, origin)

    def _insert(self, entity: Insert) -> None:
        name = str(entity.dxf.get("name", ""))
        layer = self.layers.get(layer_of(entity))
        block = self.blocks.get(name)
        for attrib in entity.attribs:
            if not layer.frozen:
                self._text(
                    attrib,
                    self.layers.get(layer_of(attrib)),
                    Origin(str(entity.dxf.handle), layer_of(attrib)),
                )
        as_opening = self.options.is_opening_block(self.blocks.name_of(name))
        of_interest = self._of_interest(block, layer)
        if block.external:
            self.out.external.add(name)
        hinted = self._is_hinted(block, layer)
        if not (of_interest or as_opening or block.has_text or hinted):
            return
        if layer.frozen or is_invisible(entity):
            self._frozen(entity, layer, Origin(str(entity.dxf.handle), layer.name))
            return
        if of_interest or as_opening:
            self.expansion.demand(entity, layer.name)
            self._expand(entity, block, layer, None, str(entity.dxf.handle))
        elif not block.cycle and self.expansion.affords(entity, for_texts=block.has_text):
            with contextlib.suppress(InputError):  # nobody asked for it: no reason to refuse a drawing
                self._expand(entity, block, layer, None, str(entity.dxf.handle))

    def _of_interest(self, block: Block, layer: Layer) -> bool:
        return any((layer if name == "0" else self.layers.get(name)).roles for name in block.layers) or (
            bool(layer.roles) and (block.count == 0 or layer.joints_alone)
        )

    def _is_hinted(self, block: Block, layer: Layer) -> bool:
        if layer.hint is Role.JOINTS:
            return True
        return any((layer if name == "0" else self.layers.get(name)).hint for name in block.layers)

    def _expand(
        self, entity: Insert, block: Block, layer: Layer, outer: Matrix44 | None, handle: str
    ) -> None:
        name = str(entity.dxf.name)
        if block.external or not block.count:
            if layer.roles:
                why = (
                    f"external reference {name} is not in this file"
                    if block.external
                    else f"block {name} is not in this file or empty"
                )
                self.out.notices.ignore(handle, "INSERT", layer.name, why)
            return
        for carrier in self.expansion.places(entity, outer):
            self.expansion.instances += 1
            self._expand_once(entity, block, layer, carrier, handle, self.expansion.instances)

    def _expand_once(
        self, entity: Insert, block: Block, layer: Layer, carrier: Matrix44, handle: str, instance: int
    ) -> None:
        name = str(entity.dxf.name)
        own: list[Stroke] = []
        as_opening = self.options.is_opening_block(self.blocks.name_of(name))
        as_symbol = layer.joints_alone or layer.hint is Role.JOINTS
        for on_layer, shapes in block.shapes.items():
            effective = layer if on_layer == "0" else self.layers.get(on_layer)
            if not (effective.roles or as_opening or effective.hint):
                continue
            for shape in shapes:
                origin = Origin(handle, effective.name, name, instance, carrier)
                if not effective.visible or is_invisible(shape):
                    if effective.roles:
                        self._hide(shape, effective, origin)
                    elif effective.hint and not is_invisible(shape):
                        self._hint(shape, origin, effective.hint)
                elif (as_opening and not effective.roles) or (as_symbol and effective is layer):
                    own += self._strokes(shape, origin)
                elif effective.hint:
                    self._hint(shape, origin, effective.hint)
                else:
                    self._keep(shape, shape.dxftype(), effective, origin)
        for text in block.texts:
            text_layer = layer if layer_of(text) == "0" else self.layers.get(layer_of(text))
            self._text(text, text_layer, Origin(handle, text_layer.name, name, instance, carrier))
        at = foot_of(carrier, entity, self.doc)
        if as_symbol:
            symbols = self.out.joint_symbols if layer.roles else self.out.hinted_symbols
            symbols.append(BlockReference(handle, layer.name, name, at, tuple(own), instance))
        elif as_opening and own:
            self.out.opening_blocks.append(BlockReference(handle, layer.name, name, at, tuple(own), instance))
        for inner in block.inserts:
            inner_layer = layer if layer_of(inner) == "0" else self.layers.get(layer_of(inner))
            inner_block = self.blocks.get(str(inner.dxf.name))
            wanted = (
                self._of_interest(inner_block, inner_layer)
                or inner_block.has_text
                or self._is_hinted(inner_block, inner_layer)
                or self.options.is_opening_block(self.blocks.name_of(str(inner.dxf.name)))
            )
            if wanted and inner_layer.frozen and not inner_layer.ignored:
                self._frozen(inner, inner_layer, Origin(handle, inner_layer.name, name, instance, carrier))
            elif wanted and not inner_layer.ignored:
                self._expand(inner, inner_block, inner_layer, carrier, handle)

    def _strokes(self, shape: DXFEntity, origin: Origin) -> list[Stroke]:
        if shape.dxftype() not in SHAPES:
            return []
        return strokes_of(shape, origin, self.file, self.options.budget.points)
