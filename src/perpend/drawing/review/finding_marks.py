"""The marks of a review: brackets at every finding, its flag with the number, what was measured, the limit.

Glossary:
    brackets: the two upright ones that hold the places of a finding; findings at one place share them.
    bracket: the level one along a panel that is too long.
    flag: the square on a stem that carries the number.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from perpend.checks.registry import CODES
from perpend.drawing.page.drafting_style import HEAVY, VIOLATION
from perpend.drawing.page.leader_labels import is_outside, mark_radius
from perpend.drawing.page.occupancy import Level
from perpend.drawing.page.occupancy_raster import Raster
from perpend.drawing.page.scene import PlacedPlan, Scene
from perpend.drawing.page.sheet_page import Identity, Stroke
from perpend.drawing.plate.office_words import short_length
from perpend.drawing.review.mark_shapes import bracket, brackets, broken, dashes, frames, merged, square
from perpend.drawing.review.overlay import put_flag
from perpend.dxf.text_metrics import plain
from perpend.findings import Extent, Finding, Severity
from perpend.model import Box, Path, Point
from perpend.units import DisplaySystem, same
from perpend.wording import listed

_REACH = 1.5
_GAP = 0.6
_BRACKET_CLEAR = 0.6
_LEVELS = 60
_TIGHT = 0.5
_SLIDES, _SLIDE = 20, 0.75
_COST_WRITING, _COST_SOLID, _COST_LINE, _COST_LEVEL = 40.0, 12.0, 2.0, 0.6


def extent_of(finding: Finding) -> Extent:
    """Return how far the mark of a finding reaches."""
    return CODES[finding.code].mark if finding.code in CODES else Extent.POINT


@dataclass(frozen=True, slots=True)
class _Marked:
    """A finding with its number and its place on the page."""

    number: str
    finding: Finding
    placed: PlacedPlan
    places: tuple[Point, ...]

    @property
    def identity(self) -> Identity:
        rule = self.finding.source.row if self.finding.source else self.finding.code
        kind = "violation" if self.finding.severity is Severity.REQUIRED else "advice"
        return Identity(kind, self.number, rule)


def draw_marks(scene: Scene, findings: Sequence[tuple[str, Finding]], raster: Raster) -> None:
    """Mark every finding of the page's walls that has a place.

    Args:
        scene: the page.
        findings: numbers and findings, in the order in which they are listed.
        raster: where labels are looked for.
    """
    marked = list(_on_page(scene, findings))
    stretches = [m for m in marked if extent_of(m.finding) is Extent.STRETCH and len(m.places) > 1]
    around = [m for m in marked if m not in stretches]
    anchors: dict[str, tuple[Point, ...]] = {}
    for box, members in merged([_bracket_box(scene, m) for m in around], _GAP * scene.h):
        shared = [around[i] for i in members]
        anchors |= dict.fromkeys((m.number for m in shared), _draw_brackets(scene, box, shared))
    for m in stretches:
        anchors[m.number] = _draw_bracket(scene, m)
    outside = [m.number for m in marked if not _draw_flag(scene, raster, m, anchors[m.number])]
    if outside:
        is_are = "is" if len(outside) == 1 else "are"
        scene.report.remarks.append(f"{listed(outside)} {is_are} outside the frame, where there was room.")


def _on_page(scene: Scene, findings: Sequence[tuple[str, Finding]]) -> Iterator[_Marked]:
    walls = {placed.plan.wall.tag: placed for placed in scene.plans}
    for number, finding in findings:
        placed = walls.get(finding.wall)
        if placed is not None and finding.at:
            yield _Marked(number, finding, placed, placed.spot.path(finding.at))


def _bracket_box(scene: Scene, m: _Marked) -> Box:
    """Return the box of a finding's brackets, off the texts where its line leaves the choice."""
    h = scene.h
    box = Box.around(m.places).grown(_REACH * h)
    if extent_of(m.finding) is not Extent.STATION or not scene.field.cover(box).writing:
        return box
    wall = m.placed.box
    for step in range(1, _SLIDES + 1):
        for rise in (step * _SLIDE * h, -step * _SLIDE * h):
            moved = Box(box.x0, box.y0 + rise, box.x1, box.y1 + rise)
            if wall.y0 <= moved.y0 and moved.y1 <= wall.y1 and not scene.field.cover(moved).writing:
                return moved
    return box


def _draw_brackets(scene: Scene, box: Box, shared: Sequence[_Marked]) -> tuple[Point, ...]:
    """Draw one pair of brackets; return where stems may start."""
    pair = brackets(box, scene.h)
    waived = all(m.finding.waived for m in shared)
    pieces = [piece for path in pair for piece in (broken(path) if waived else (path,))]
    _add(scene, pieces, shared[0].identity)
    scene.field.add_box(box)
    (x, y) = box.center
    return (
        *((cx, cy) for cx in (box.x1, box.x0) for cy in (box.y1, box.y0)),
        (box.x1, y),
        (box.x0, y),
        (x, box.y1),
        (x, box.y0),
    )


def _draw_bracket(scene: Scene, m: _Marked) -> tuple[Point, ...]:
    """Draw a bracket over a stretch where it crosses least; return where leaders may start."""
    h = scene.h
    inset = _BRACKET_CLEAR * h
    x0, x1 = min(x for x, _ in m.places) + inset, max(x for x, _ in m.places) - inset
    level = min(_levels(m, h), key=lambda y: _bracket_cost(scene, x0, x1, y) + _COST_LEVEL * _away(m, y) / h)
    path = bracket(x0, x1, level, h)
    _add(scene, broken(path) if m.finding.waived else (path,), m.identity)
    scene.field.add_path(path, Level.SOLID)
    return tuple((x0 + (x1 - x0) * t, level) for t in (0.5, 0.3, 0.7, 0.15, 0.85))


def _levels(m: _Marked, h: float) -> list[float]:
    """Return the heights at which a bracket may be, from half way up the wall to above it."""
    middle = m.places[0][1]
    return [middle + step * h for i in range(_LEVELS) for step in ((i, -i) if i else (0,))]


def _away(m: _Marked, y: float) -> float:
    return abs(y - m.places[0][1])


def _bracket_cost(scene: Scene, x0: float, x1: float, y: float) -> float:
    crossed = scene.field.crossed((x0, y), (x1, y))
    near = scene.field.cover(Box(x0, y - _TIGHT * scene.h, x1, y + _TIGHT * scene.h))
    return (
        _COST_WRITING * max(crossed.writing, near.writing)
        + _COST_SOLID * crossed.solid
        + _COST_LINE * crossed.lines
    )


def _add(scene: Scene, pieces: Sequence[Path], identity: Identity) -> None:
    scene.board.add(*(Stroke(VIOLATION, piece, identity, weight=HEAVY) for piece in pieces))


def _draw_flag(scene: Scene, raster: Raster, m: _Marked, anchors: tuple[Point, ...]) -> bool:
    """Draw the label of a finding; return False when it is outside the sheet's border."""
    lines = label_lines(m.finding, scene.style.display)
    found = put_flag(scene, raster, VIOLATION, m.number, lines, anchors, m.identity)
    if found is None:
        return True
    flag, stand = found
    radius = mark_radius(m.number, scene.h)
    edge = square(stand.center, radius)
    scene.field.add_path((*edge, edge[0]), Level.SOLID)
    scene.board.add(*flag_strokes(m.finding, stand.center, radius, m.identity))
    return not is_outside(scene, flag, stand)


def flag_strokes(finding: Finding, center: Point, radius: float, identity: Identity) -> list[Stroke]:
    """Return the frames of a finding's flag: double for what a rule requires, in dashes when waived."""
    rings = frames(center, radius, double=finding.severity is Severity.REQUIRED)
    if finding.waived:
        return [Stroke(VIOLATION, piece, identity) for ring in rings for piece in dashes(ring)]
    return [Stroke(VIOLATION, ring, identity, closed=True) for ring in rings]


def label_lines(finding: Finding, system: DisplaySystem) -> tuple[str, ...]:
    """Return the short text of a finding: what is wrong, and measured against limit."""
    title = finding.code.replace("-", " ")
    if finding.waived:
        title += ", waived"
    numbers = measured_against(finding, system)
    return tuple(plain(line) for line in (title, numbers) if line)


def measured_against(finding: Finding, system: DisplaySystem) -> str:
    """Return measured and limit in one line; a limit of nothing goes without saying."""
    measured, limit = finding.measured_in, finding.limit_in
    said = None if limit is None or same(limit, 0.0) else f"limit {short_length(limit, system)}"
    if measured is None or (limit is None and same(measured, 0.0)):
        return said or ""
    found = short_length(measured, system)
    return f"{found}, {said}" if said else found
