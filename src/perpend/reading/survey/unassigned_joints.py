"""What looks like joints and is not read as such, because it is on a layer without a role, shown or hidden.

Glossary:
    hinted: on a layer without a role whose name says joints; what is there is read as joints would be.
    unassigned: on a layer without a role whose name says nothing; there only lines count that cross a wall
        (`perpend.reading.survey.lines_across`).
"""

from __future__ import annotations

import itertools
import statistics
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from perpend.dxf.entity_points import Stroke
from perpend.dxf.load import LoadedDrawing
from perpend.model import Box, DrawnJoint, Wall
from perpend.notices import NoticePlace, Notices
from perpend.reading.contents.drawn_joints import JointInk, joints_of
from perpend.reading.contents.joint_pieces import JOINT_WIDTH_IN
from perpend.reading.gather.entities import BlockReference, Gathered
from perpend.reading.gather.layer_index import Layer
from perpend.reading.outlines.wall_profile import Outline
from perpend.reading.reading_options import ReadingOptions, as_setting
from perpend.reading.survey.lines_across import PATTERN_IN, LinesAcross, is_edge_to_edge
from perpend.reading.survey.unassigned_lines import unassigned_pieces
from perpend.reading.walls.wall_faces import Face
from perpend.wording import listed


@dataclass(frozen=True, slots=True)
class _LikeJoints:
    """Lines on one layer that look like joints of one wall.

    Attributes:
        layer: its name.
        wall: the wall's tag.
        count: how many there are.
        crossing: True where all go from edge to edge.
        straight: True where none steps aside.
    """

    layer: str
    wall: str
    count: int
    crossing: bool
    straight: bool


def note_unassigned_joints(
    walls: Sequence[Wall],
    faces: Sequence[Face],
    source: LoadedDrawing,
    found: Gathered,
    options: ReadingOptions,
    notices: Notices,
) -> None:
    """Say what looks like a joint and was not read.

    Args:
        walls: with the joints that were read.
        faces: what they were made of, in the same order.
        source: the drawing.
        found: what the pass over its layout found.
        options: says which layers have joints now.
        notices: takes the doubts, one of each layer and one of each wall.
    """
    outlines = [face.outline for face in faces]
    least = min((o.height_in / o.frame.inches_per_unit for o in outlines), default=0.0) / 2
    unassigned = LinesAcross(unassigned_pieces(source, found, least))
    hinted = _Hinted(found)
    lookalikes: list[_LikeJoints] = []
    for wall, outline in zip(walls, outlines, strict=True):
        here = list(hinted.lookalikes(wall, outline, options.gap_in))
        for layer, lines in unassigned.across(outline, wall.openings, options.gap_in):
            fresh = [line for line in lines if not _is_read(line, wall)]
            here += [_like_joints(layer, wall, outline, fresh)] if fresh else []
        here.sort(key=lambda s: s.layer)
        lookalikes += here
        for some in here:
            words = _wall_sentence(some, found.layers.get(some.layer))
            notices.doubt("unassigned-joint", words, NoticePlace(layer=some.layer, wall=wall.tag))
    for name in sorted({s.layer for s in lookalikes}):
        words = _sentence(found.layers.get(name), lookalikes, options)
        notices.doubt("unassigned-joint", words, NoticePlace(layer=name))


def _lines(count: int, *, upright: bool) -> str:
    return f"{count} {'upright line' if upright else 'line'}{'' if count == 1 else 's'}"


def _wall_sentence(found: _LikeJoints, layer: Layer) -> str:
    """Return the short sentence beside the wall, on the plate too."""
    lines = f"{_lines(found.count, upright=found.crossing and found.straight)} on layer {layer.named}"
    if found.count == 1:
        does = "crosses the wall from edge to edge" if found.crossing else "looks like a joint"
        return f"{lines} {does} but was not read as a joint."
    does = "cross the wall from edge to edge" if found.crossing else "look like joints"
    return f"{lines} {does} but were not read as joints."


def _sentence(layer: Layer, lookalikes: Sequence[_LikeJoints], options: ReadingOptions) -> str:
    mine = [s for s in lookalikes if s.layer == layer.name]
    count, crossing = sum(s.count for s in mine), all(s.crossing for s in mine)
    walls = listed([s.wall for s in mine], 8, "more walls")
    lines = _lines(count, upright=crossing and all(s.straight for s in mine))
    if count == 1:
        does, were, they_are = "crosses" if crossing else "looks like a joint of", "it was", "it is a joint"
    else:
        does, were, they_are = "cross" if crossing else "look like joints of", "they were", "they are joints"
    edges = " from edge to edge" if crossing else ""
    joints, ignored = ((*patterns, layer.name) for patterns in (options.joints, options.ignored))
    return (
        f"Layer {layer.named} has no role, yet {lines} on it {does} {walls}{edges}: {were} not read, and "
        f"joints are placed and judged as if {were} not there. If {they_are}, {layer.name_it} in the "
        f"settings: [layers] joints = {as_setting(joints)}; if not, [layers] ignored = {as_setting(ignored)} "
        "keeps this quiet."
    )


class _Hinted:
    """What is on hinted layers."""

    def __init__(self, found: Gathered) -> None:
        self._strokes: dict[str, list[tuple[Stroke, Box]]] = defaultdict(list)
        self._symbols: dict[str, list[BlockReference]] = defaultdict(list)
        for stroke in found.hinted_joints:
            self._strokes[stroke.layer].append((stroke, Box.around(stroke.points)))
        for symbol in found.hinted_symbols:
            self._symbols[symbol.layer].append(symbol)

    def lookalikes(self, wall: Wall, outline: Outline, gap_in: float) -> Iterator[_LikeJoints]:
        """Read it as joints would be read, and count it by layer; no patterns."""
        x0, y0, x1, y1 = outline.ring.box
        for layer in {**self._strokes, **self._symbols}:
            near = (
                s for s, b in self._strokes[layer] if b.x0 <= x1 and b.x1 >= x0 and b.y0 <= y1 and b.y1 >= y0
            )
            ink = JointInk(tuple(near), tuple(self._symbols[layer]), ())
            joints = joints_of(ink, outline, wall.openings, gap_in, set(), Notices())
            fresh = [j for j in joints if not _is_read(j, wall)]
            apart = [b.path[0][0] - a.path[0][0] for a, b in itertools.pairwise(fresh)]
            if fresh and (len(apart) < 2 or statistics.median(apart) >= PATTERN_IN):
                yield _like_joints(layer, wall, outline, fresh)


def _like_joints(layer: str, wall: Wall, outline: Outline, joints: Sequence[DrawnJoint]) -> _LikeJoints:
    crossing = all(is_edge_to_edge(joint, outline, wall.openings) for joint in joints)
    straight = all(Box.around(joint.path).width <= JOINT_WIDTH_IN for joint in joints)
    return _LikeJoints(layer, wall.tag, len(joints), crossing, straight)


def _is_read(line: DrawnJoint, wall: Wall) -> bool:
    """True where a joint, or a place that requires one, is already."""
    x = line.path[0][0]
    known = [p[0] for joint in wall.drawn_joints for p in joint.path] + [place.x_in for place in wall.places]
    return any(abs(x - other) <= JOINT_WIDTH_IN for other in known)
