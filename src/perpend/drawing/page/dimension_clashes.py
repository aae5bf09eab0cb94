"""What a dimension string may never do: run over other walls, texts or frames.

Glossary:
    parts: the straight lines of a string (its line, extension lines, ties) and the boxes of its texts.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence

from perpend.drawing.page.occupancy import segments_cross
from perpend.drawing.page.scene import PlacedPlan, Scene
from perpend.model import Box, Point

Segment = tuple[Point, Point]
_TOUCH = 0.1


def runs_over(
    scene: Scene, placed: PlacedPlan, lines: Sequence[Segment], texts: Sequence[Box], *, outside: bool
) -> bool:
    """Say whether lines and texts of a wall's string lie over what they must keep off.

    Args:
        scene: the page.
        placed: the wall that the string belongs to.
        lines: the string's own lines, page axes; the first is the one that is measured along.
        texts: the room of its texts.
        outside: the string stands outside its wall, so that it must not run over that wall either.
    """
    if any(scene.field.crossed(a, b).writing for a, b in lines):
        return True
    covers = [scene.field.cover(box) for box in texts]
    if any(cover.writing or cover.solid for cover in covers):
        return True
    boxes = [*texts, *map(Box.around, lines)]
    faces = list(scene.faces_beside(placed, boxes))
    touch = _TOUCH * scene.h
    if any(_over(box, face, touch) for face in faces for box in boxes):
        return True
    own = placed.faces() if outside else ()
    if any(_over(box, face, touch) for face in own for box in (*texts, Box.around(lines[0]))):
        return True
    edges = [*lines, *itertools.chain.from_iterable(map(_sides, texts))]
    return any(segments_cross(*frame, a, b) for frame in scene.frames for a, b in edges)


def _over(box: Box, face: Box, touch: float) -> bool:
    """Say whether a box, or a level or upright line, enters a face by more than a touch."""
    return (
        box.x0 < face.x1 - touch
        and face.x0 + touch < box.x1
        and box.y0 < face.y1 - touch
        and face.y0 + touch < box.y1
    )


def _sides(box: Box) -> Iterable[Segment]:
    return itertools.pairwise((*box.corners, box.corners[0]))
