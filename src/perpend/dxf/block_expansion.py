"""Block references opened under one budget: the place of every cell, and what is drawn there."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from perpend.dxf.block_index import Block, BlockIndex, cells, place_of_cells
from perpend.dxf.entity_attributes import is_invisible, layer_of
from perpend.dxf.entity_points import SHAPES, Origin, Stroke, strokes_of
from perpend.dxf.expansion_budget import Budget
from perpend.errors import InputError

if TYPE_CHECKING:
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.math import Matrix44


class Expansion:
    """Opens the block references of one drawing, and counts what that takes.

    Attributes:
        blocks: what is known of each block.
        budget: how far blocks are expanded.
        file: the drawing's path, for sentences.
        opened: entities that the references expanded to which were asked for.
        looked_at: the same of those that nobody asked for.
        instances: cells opened so far; each gives its number to what is drawn in it.
    """

    def __init__(self, blocks: BlockIndex, budget: Budget, file: str) -> None:
        self.blocks = blocks
        self.budget = budget
        self.file = file
        self.opened = 0
        self.looked_at = 0
        self.instances = 0

    def demand(self, reference: Any, layer: str) -> None:  # noqa: ANN401 - an Insert
        """Count a reference that has to be opened.

        Raises:
            InputError: its block contains itself, nests too deep, or expands beyond the budget.
        """
        name, budget = str(reference.dxf.name), self.budget
        block, shown = self.blocks.get(name), cells(reference)
        named = f"(reference {reference.dxf.handle} on layer {layer})"
        if block.cycle:
            raise InputError(
                f"{self.file}: block {block.cycle} contains itself {named}: redefine it without the cycle."
            )
        where = f"{self.file}: block {name} {named}"
        if block.depth > budget.depth:
            raise InputError(
                f"{where} nests blocks {block.depth} deep, more than the {budget.depth} that are opened: "
                "explode or flatten it, or raise depth under [bounds] in the settings."
            )
        if shown > budget.cells:
            raise InputError(
                f"{where} is an array of {shown:,} cells, more than the {budget.cells:,} that are opened: "
                "draw fewer, put it on another layer, or raise cells under [bounds] in the settings."
            )
        self.opened += shown * block.count
        if self.opened > budget.entities:
            raise InputError(
                f"{where} makes the blocks on layers of interest expand to {self.opened:,} entities, more "
                f"than the {budget.entities:,} that are opened: simplify it, put it on another layer, or "
                "raise entities under [bounds] in the settings."
            )

    def affords(self, reference: Any, *, for_texts: bool) -> bool:  # noqa: ANN401 - an Insert
        """Count a reference that may hold texts, or openings, if the budget still allows for it."""
        block = self.blocks.get(str(reference.dxf.name))
        spent = self.opened if for_texts else self.looked_at
        cost = cells(reference) * block.count
        if block.depth > self.budget.depth or spent + cost > self.budget.entities:
            return False
        if for_texts:
            self.opened += cost
        else:
            self.looked_at += cost
        return True

    def is_small(self, block: Block, most: int | None = None) -> bool:
        """Say whether a block that nobody asked for is sound, and small enough to be looked into."""
        sound = not (block.cycle or block.external) and block.depth <= self.budget.depth
        return sound and 0 < block.count <= (self.budget.aside if most is None else most)

    def spare_places(self, reference: Any) -> list[Matrix44]:  # noqa: ANN401 - an Insert
        """Return the matrix of every cell of a reference that nobody asked for, and count it.

        None for what is damaged, or too large.
        """
        cost = cells(reference) * self.blocks.get(str(reference.dxf.get("name", ""))).count
        if cells(reference) > self.budget.cells or self.looked_at + cost > self.budget.looked_at:
            return []
        self.looked_at += cost
        with contextlib.suppress(InputError):
            return list(self.places(reference, None))
        return []

    def places(self, reference: Any, outer: Matrix44 | None) -> Iterator[Matrix44]:  # noqa: ANN401 - an Insert
        """Yield the matrix of every cell of a block reference, into the drawing.

        Raises:
            InputError: the reference is damaged.
        """
        try:
            yield from place_of_cells(reference, outer)
        except (ArithmeticError, ValueError, TypeError, AttributeError) as error:
            text = " ".join(str(error).split())
            raise InputError(
                f"{self.file}: the reference {reference.dxf.handle} of block {reference.dxf.name} is damaged "
                f"({text}): insert it again."
            ) from None

    def inside(
        self,
        reference: Any,  # noqa: ANN401 - an Insert
        origin: Origin,
        *,
        one_layer: bool,
        most: int | None = None,
    ) -> Iterator[tuple[DXFEntity, Origin]]:
        """Yield all that a reference draws which nobody asked for, blocks in it opened too.

        Args:
            reference: counted here; nothing is yielded of one that is damaged or too large.
            origin: its handle and layer, and what carries it into the drawing.
            one_layer: all of it shows on the layer of ``origin``, and is kept together.
            most: entities that it may expand to; the budget's ``aside`` without.
        """
        block = self.blocks.get(str(reference.dxf.get("name", "")))
        cost = cells(reference) * block.count
        most = self.budget.aside if most is None else most
        fits = cost <= most and self.looked_at + cost <= self.budget.looked_at
        if fits and cells(reference) <= self.budget.cells and self.is_small(block, most):
            self.looked_at += cost
            yield from self._inside(reference, origin, one_layer)

    def _inside(self, reference: Any, origin: Origin, one_layer: bool) -> Iterator[tuple[DXFEntity, Origin]]:  # noqa: ANN401
        name = str(reference.dxf.name)
        block = self.blocks.get(name)

        def shown_on(layer: str) -> str:
            return origin.layer if one_layer or layer == "0" else layer

        with contextlib.suppress(InputError):  # a damaged reference shows nothing
            for carrier in list(self.places(reference, origin.carrier)):
                self.instances += not one_layer
                instance = origin.instance if one_layer else self.instances
                within = replace(origin, block=name, instance=instance, carrier=carrier)
                for layer, entities in block.shapes.items():
                    effective = replace(within, layer=shown_on(layer))
                    yield from ((entity, effective) for entity in entities if not is_invisible(entity))
                for inner in block.inserts:
                    if not is_invisible(inner):
                        at = replace(within, layer=shown_on(layer_of(inner)))
                        yield from self._inside(inner, at, one_layer)

    def all_strokes(self, entity: DXFEntity, origin: Origin) -> list[Stroke]:
        """Return what an entity draws, a block reference too; nothing of what is damaged or too large.

        Args:
            entity: of any type.
            origin: says on which layer all of it shows, and what carries it into the drawing.
        """
        parts = [(entity, origin)]
        if entity.dxftype() == "INSERT":
            parts = list(self.inside(entity, origin, one_layer=True))
        return [stroke for part, within in parts for stroke in self.strokes(part, within)]

    def strokes(self, entity: DXFEntity, origin: Origin) -> list[Stroke]:
        """Return what an entity draws that nobody asked for: what is damaged is no reason to refuse."""
        if entity.dxftype() in SHAPES:
            with contextlib.suppress(InputError):
                return strokes_of(entity, origin, self.file, self.budget.points)
        return []
