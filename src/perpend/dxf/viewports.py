# ruff: noqa: ANN401 - ezdxf gives the attributes of an entity no static types
"""The viewports of paper space: what each shows of the drawing, at which scale, and where on the sheet."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import numpy.typing as npt
from ezdxf.layouts.layout import Paperspace

from perpend.dxf.damage import DAMAGED
from perpend.model import Box, Point

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.math import Matrix44

_MM_PER_INCH: Final = 25.4
_MILLIMETERS: Final = 1
_LEVEL: Final = 1e-9
Numbers = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class View:
    """One viewport.

    Attributes:
        frame: its rectangle on the sheet, units of the sheet.
        shown: what it shows of the drawing, drawing units; nothing where it does not look straight down.
        scale: sheet units in one drawing unit.
    """

    frame: Box
    shown: Box | None
    scale: float

    @property
    def carrier(self) -> Matrix44:
        """What carries the sheet's axes to those of the drawing."""
        from ezdxf.math import Matrix44

        assert self.shown is not None, "only a view from straight above is carried"
        (x, y), (u, v) = self.frame.center, self.shown.center
        larger = 1 / self.scale
        return (
            Matrix44.translate(-x, -y, 0)
            @ Matrix44.scale(larger, larger, larger)
            @ Matrix44.translate(u, v, 0)
        )

    def shows(self, boxes: Sequence[Box]) -> bool:
        """Say whether it shows all of some boxes, drawing units."""
        return self.shown is not None and all(self.shown.contains(box) for box in boxes)

    def on_sheet(self, points: Numbers) -> Numbers:
        """Carry points from drawing axes to the sheet; the last axis holds x and y."""
        assert self.shown is not None, "only a view from straight above is carried"
        moved: Numbers = np.array(self.frame.center) + (points - np.array(self.shown.center)) * self.scale
        return moved


def nearest_view(views: Sequence[View], at: Point) -> View:
    """Return the viewport whose frame is nearest to a place on the sheet: a title is that one's."""

    def away(view: View) -> float:
        f = view.frame
        return math.hypot(max(f.x0 - at[0], at[0] - f.x1, 0.0), max(f.y0 - at[1], at[1] - f.y1, 0.0))

    return min(views, key=away)


def paper_unit_in(layout: Paperspace) -> float:
    """Return the inches in one unit of a layout's paper."""
    return 1 / _MM_PER_INCH if layout.dxf.get("plot_paper_units", 0) == _MILLIMETERS else 1.0


def paper_layouts(doc: Drawing) -> Iterator[Paperspace]:
    """Yield the layouts of paper space, in the order of their tabs."""
    for name in doc.layout_names_in_taborder():
        layout = doc.layouts.get(name)
        if isinstance(layout, Paperspace):
            yield layout


def views_of(layout: Paperspace) -> Iterator[View]:
    """Yield the viewports of a layout, without the one that is the sheet itself."""
    for viewport in layout.query("VIEWPORT"):
        try:
            view = _view(viewport.dxf)
        except DAMAGED:
            continue
        if view is not None:
            yield view


def _view(dxf: Any) -> View | None:
    """Return a viewport; None for the sheet itself, and for one that shows nothing."""
    sizes = (dxf.height, dxf.width, dxf.view_height)
    if dxf.get("id", 1) == 1 or not all(math.isfinite(size) and size > 0.0 for size in sizes):
        return None
    x, y, *_ = dxf.center
    frame = Box(x - dxf.width / 2, y - dxf.height / 2, x + dxf.width / 2, y + dxf.height / 2)
    return View(frame, _shown(dxf), dxf.height / dxf.view_height)


def _shown(dxf: Any) -> Box | None:
    """Return what a viewport shows of the drawing's plane; None where that is turned or tilted."""
    direction = dxf.get("view_direction_vector", (0.0, 0.0, 1.0))
    twist = math.remainder(dxf.get("view_twist_angle", 0.0), 360.0)
    if abs(direction[0]) > _LEVEL or abs(direction[1]) > _LEVEL or direction[2] <= 0.0 or abs(twist) > _LEVEL:
        return None
    (cx, cy, *_), (tx, ty, *_) = dxf.view_center_point, dxf.get("view_target_point", (0.0, 0.0, 0.0))
    high = dxf.view_height / 2
    wide, x, y = high * dxf.width / dxf.height, cx + tx, cy + ty
    return Box(x - wide, y - high, x + wide, y + high)
