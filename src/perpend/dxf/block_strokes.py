"""All that a block reference draws, whatever layers it is on: for what is hidden, and told all the same."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from perpend.dxf.block_index import BlockIndex, carriers, cells
from perpend.dxf.entity_attributes import is_invisible
from perpend.dxf.entity_points import SHAPES, Origin, Stroke, strokes_of
from perpend.dxf.expansion_budget import Budget
from perpend.errors import InputError

if TYPE_CHECKING:
    from ezdxf.entities.dxfentity import DXFEntity

_MOST: Final = 20_000
"""A reference that expands to more entities than this is not looked into: nobody asked for it."""


def all_strokes(
    entity: DXFEntity, origin: Origin, blocks: BlockIndex, budget: Budget, file: str
) -> list[Stroke]:
    """Return what an entity draws, a block reference too; nothing of what is damaged or too large.

    Args:
        entity: of any type.
        origin: says on which layer all of it shows, and what carries it into the drawing.
        blocks: what is known of each block.
        budget: how far blocks are expanded.
        file: the drawing's path, for sentences that nobody reads.
    """
    if entity.dxftype() == "INSERT":
        block = blocks.get(str(entity.dxf.get("name", "")))
        if block.cycle or block.depth > budget.depth or cells(entity) * block.count > _MOST:
            return []
        with contextlib.suppress(Exception):  # a damaged reference shows nothing
            return [
                stroke
                for inner, within in _inside(entity, origin, blocks)
                for stroke in all_strokes(inner, within, blocks, budget, file)
            ]
    elif entity.dxftype() in SHAPES:
        with contextlib.suppress(InputError):
            return strokes_of(entity, origin, file, budget.points)
    return []


def _inside(reference: Any, origin: Origin, blocks: BlockIndex) -> Iterator[tuple[DXFEntity, Origin]]:  # noqa: ANN401
    name = str(reference.dxf.name)
    block = blocks.get(name)
    for carrier in carriers(reference, origin.carrier):
        within = replace(origin, block=name, carrier=carrier)
        for entity in (*(e for shapes in block.shapes.values() for e in shapes), *block.inserts):
            if not is_invisible(entity):
                yield entity, within
