"""One line cut to a box, by itself: what many lines at once are held against."""

from __future__ import annotations

from perpend.model import Box, Point


def clip_segment(a: Point, b: Point, box: Box) -> tuple[Point, Point] | None:
    """Cut a straight line to a box; None when it stays outside."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    enter, leave = 0.0, 1.0
    for slope, room in ((-dx, a[0] - box.x0), (dx, box.x1 - a[0]), (-dy, a[1] - box.y0), (dy, box.y1 - a[1])):
        if slope == 0.0:
            if room < 0.0:
                return None
        elif slope < 0.0:
            enter = max(enter, room / slope)
        else:
            leave = min(leave, room / slope)
    if enter > leave:
        return None
    return ((a[0] + enter * dx, a[1] + enter * dy), (a[0] + leave * dx, a[1] + leave * dy))
