"""What shows on unassigned layers, blocks opened: the way that is common to shapes and to straight pieces.

Nothing there plays a role, so nothing in it is a reason to refuse a drawing: what is damaged, or too
much, gives nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from perpend.dxf.block_index import Block
from perpend.dxf.entity_attributes import is_invisible, layer_of
from perpend.dxf.entity_points import Origin, Stroke
from perpend.dxf.load import LoadedDrawing
from perpend.reading.gather.entities import Gathered
from perpend.reading.gather.layer_index import Layer

if TYPE_CHECKING:
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.math import Matrix44


class UnassignedBlocks:
    """Looks into blocks for what they show on unassigned layers."""

    def __init__(self, source: LoadedDrawing, found: Gathered) -> None:
        self.source = source
        self.found = found

    def openable(self, name: str) -> Block | None:
        """Return a block that may be looked into; None for one that is too much, or not in the file."""
        block = self.found.blocks.get(name)
        return block if self.found.expansion.is_small(block) else None

    def entities_in(self, block: Block, layer: Layer) -> Iterator[tuple[Layer, list[DXFEntity]]]:
        """Yield its visible entities by unassigned layer, for references on one layer."""
        for name, entities in block.shapes.items():
            shown_on = self._shown_on(name, layer)
            if shown_on.unassigned and shown_on.visible:
                yield shown_on, [entity for entity in entities if not is_invisible(entity)]

    def references_in(self, block: Block, layer: Layer) -> Iterator[tuple[Any, str, Layer]]:
        """Yield the visible references in it, the block of each and the layer it shows on."""
        for inner in block.inserts:
            shown_on = self._shown_on(layer_of(inner), layer)
            if is_open(shown_on) and not is_invisible(inner):
                yield inner, str(inner.dxf.get("name", "")), shown_on

    def carriers(self, reference: Any) -> list[Matrix44]:  # noqa: ANN401 - an Insert
        """Return the matrix of every cell of a reference; none of a damaged one, or of too many cells."""
        return self.found.expansion.spare_places(reference)

    def strokes(self, entity: DXFEntity, origin: Origin) -> list[Stroke]:
        """Return what an entity draws; nothing of a damaged one."""
        return self.found.expansion.strokes(entity, origin)

    def foot_of(self, name: str) -> tuple[float, float]:
        """Return the base point of a block."""
        layout = self.source.doc.blocks.get(name)
        base = layout.block.dxf.base_point if layout is not None and layout.block else (0.0, 0.0)
        return base[0], base[1]

    def _shown_on(self, name: str, layer: Layer) -> Layer:
        return layer if name == "0" else self.found.layers.get(name)


def is_open(layer: Layer) -> bool:
    """Say whether block references on a layer are looked into."""
    return not (layer.frozen or layer.ignored)
