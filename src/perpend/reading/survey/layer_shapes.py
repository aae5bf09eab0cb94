"""What each layer draws, where it draws it: closed outlines, and lines that run up the sheet.

Every layer is looked at in the same way, as nobody knows yet what is on it: loose lines are closed, and block
references are opened, so that a wall of lines and a window in a block are outlines like any other.

Glossary:
    shape: the box of something drawn, in drawing axes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from perpend.dxf.block_expansion import Expansion
from perpend.dxf.block_index import BlockIndex
from perpend.dxf.entity_attributes import layer_of
from perpend.dxf.entity_points import SHAPES, Origin, Stroke
from perpend.dxf.expansion_budget import Budget
from perpend.dxf.xdata import own_kind
from perpend.model import Box, Path
from perpend.reading.gather.drawing_units import LEAST_EXTENT_IN
from perpend.reading.gather.layer_names import hint_of
from perpend.reading.outlines.close_outlines import close_strokes
from perpend.reading.reading_options import Role
from perpend.units import GAP_IN, SAME_IN

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.layouts.base import BaseLayout

MOST_STROKES: Final = 4000
"""Strokes per layer that are looked at."""

_MOST_LOOSE: Final = 1500
"""More open strokes than these on one layer are a pattern, and are not closed."""

_STEEP: Final = 8.0
"""Rise over lean of a line that counts as upright."""

_FILLS: Final = frozenset({"HATCH", "MPOLYGON", "SPLINE", "ELLIPSE"})
"""Kinds that take long to look at and seldom are a wall's or an opening's only outline."""

STROKED: Final = SHAPES - _FILLS
"""Kinds that are looked at."""

MOST_FILLS: Final = 300
"""Hatches per layer that are looked at, where its name says doors or windows: solid ones are openings."""


@dataclass(frozen=True, slots=True)
class LayerShapes:
    """What one layer draws.

    Attributes:
        outlines: closed outlines, and doors without their thresholds; of a block without an outline the
            box of its lines.
        uprights: lines that run up the sheet.
        bent: True where an open line on it has four corners or more: an outline that others close.
        strokes: how many were looked at; there may be more on the layer.
    """

    outlines: list[Box] = field(default_factory=list)
    uprights: list[Box] = field(default_factory=list)
    bent: bool = False
    strokes: int = 0


def shapes_by_layer(
    doc: Drawing, layout: BaseLayout, budget: Budget, file: str, inches: float | None
) -> dict[str, LayerShapes]:
    """Return what every layer of a layout draws, by the layer it shows on.

    Args:
        doc: the drawing.
        layout: what is looked at.
        budget: how far blocks are expanded.
        file: the drawing's path, for sentences.
        inches: inches in one drawing unit; None where that is not known yet.
    """
    drawn = _strokes_by_layer(layout, Expansion(BlockIndex(doc), budget, file))
    for same, gap in _tolerances(drawn, inches):
        found = {layer: _shapes(strokes, gap, same) for layer, strokes in drawn.items()}
        if len(found) == 1 or sum(bool(shapes.outlines) for shapes in found.values()) > 1:
            break
    return found


def _tolerances(strokes: dict[str, list[Stroke]], inches: float | None) -> list[tuple[float, float]]:
    """Return how far ends that are one point, and ends that are meant to meet, may be apart.

    Where the unit is not known yet, wider gaps are tried if almost nothing closes with narrow ones.
    """
    xs = [stroke.points[0][0] for drawn in strokes.values() for stroke in drawn]
    extent = max(xs) - min(xs) if xs else 1.0
    if inches is not None and extent * inches > LEAST_EXTENT_IN:
        return [(SAME_IN / inches, GAP_IN / inches)]
    return [(1e-6 * extent, 1e-5 * extent), (1e-6 * extent, 1e-3 * extent)]


def _strokes_by_layer(layout: BaseLayout, expansion: Expansion) -> dict[str, list[Stroke]]:
    """Collect the strokes of a layout, block references opened."""
    strokes: dict[str, list[Stroke]] = defaultdict(list)
    for entity in layout:
        if own_kind(entity):
            continue
        parts: Iterable[tuple[DXFEntity, Origin]]
        parts = [(entity, Origin(str(entity.dxf.handle), layer_of(entity)))]
        if entity.dxftype() == "INSERT":
            parts = expansion.inside(entity, parts[0][1], one_layer=False, most=expansion.budget.entities)
        for part, origin in parts:
            kept = strokes[origin.layer]
            looked_at = part.dxftype() in STROKED or _fills_an_opening(part, origin.layer, kept)
            if looked_at and len(kept) < MOST_STROKES:
                kept += expansion.strokes(part, origin)
    return strokes


def _fills_an_opening(part: DXFEntity, layer: str, kept: Sequence[Stroke]) -> bool:
    """True for a solid fill on a layer of doors or windows."""
    solid = part.dxftype() == "HATCH" and part.dxf.solid_fill == 1
    return solid and len(kept) < MOST_FILLS and hint_of(layer) is Role.OPENINGS


def _shapes(strokes: list[Stroke], gap: float, same: float) -> LayerShapes:
    loose = sum(not stroke.closed for stroke in strokes)
    closed = close_strokes(
        strokes if loose <= _MOST_LOOSE else [s for s in strokes if s.closed], gap, same, outer_only=True
    )
    outlines = [Box.around(ring.points) for ring in closed.rings]
    ringed = {ring.instance for ring in closed.rings}
    blocks: dict[int, list[Box]] = defaultdict(list)
    for chain in closed.chains:
        instance = chain.strokes[0].instance
        if instance and instance not in ringed:
            blocks[instance].append(Box.around(chain.points))
        elif not instance and _stands_open(chain.points, gap):
            outlines.append(Box.around(chain.points))
    outlines += [box for box in map(_around, blocks.values()) if min(box.width, box.height) > gap]
    sides = {handle for ring in closed.rings for handle in ring.handles}
    bent = any(len(chain.points) > 3 for chain in closed.chains)
    return LayerShapes(outlines, list(_uprights(strokes, sides)), bent, len(strokes))


def _stands_open(points: Path, gap: float) -> bool:
    """True for a door without its threshold: three sides or more that end on one level, apart."""
    (x, y), (u, v) = points[0], points[-1]
    return len(points) > 3 and abs(y - v) <= gap < abs(x - u)


def _around(boxes: list[Box]) -> Box:
    return Box.around(corner for box in boxes for corner in box.corners)


def _uprights(strokes: Iterable[Stroke], sides: set[str]) -> Iterator[Box]:
    """Yield the boxes of lines that run up the sheet and are no side of an outline."""
    for stroke in strokes:
        box = Box.around(stroke.points)
        if box.height > _STEEP * box.width and (stroke.instance or stroke.handle not in sides):
            yield box
