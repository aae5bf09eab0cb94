"""Markers of findings on the elevation, and the list that says what they mean.

A marker is a hexagon around the place with a number beside it; the list has the sentence and the
cure. A finding without a place has a line in the list only.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

from perpend.drawing.blocks import Block, sentences_block
from perpend.drawing.lettering import plain, text_box
from perpend.drawing.page import Identity
from perpend.drawing.scene import PlacedPlan, Scene
from perpend.drawing.style import VIOLATION
from perpend.findings import Finding, Severity
from perpend.model import Box, Path, Point

LIST_TITLE = "FINDINGS"
_RADIUS = 1.1
_LOOK_AT = 24


def numbered(findings: Sequence[Finding]) -> list[tuple[str, Finding]]:
    """Number the findings: V for what a rule requires, A for advice; the former come first."""
    counters = {Severity.REQUIRED: itertools.count(1), Severity.ADVISORY: itertools.count(1)}
    ranked = sorted(findings, key=lambda f: f.severity is not Severity.REQUIRED)
    letters = {Severity.REQUIRED: "V", Severity.ADVISORY: "A"}
    return [(f"{letters[f.severity]}{next(counters[f.severity])}", f) for f in ranked]


def draw_markers(scene: Scene, findings: Sequence[tuple[str, Finding]]) -> None:
    """Draw a marker at every place of every finding that belongs to a wall of this page."""
    walls = {placed.plan.wall.tag: placed for placed in scene.plans}
    for number, finding in findings:
        placed = walls.get(finding.wall)
        if placed is None:
            continue
        for place in finding.at:
            _draw_marker(scene, placed, number, finding, place)


def _draw_marker(scene: Scene, placed: PlacedPlan, number: str, finding: Finding, place: Point) -> None:
    h = scene.h
    center = placed.spot.point(place)
    rule = finding.source.row if finding.source else finding.code
    identity = Identity("violation", number, rule)
    scene.stroke(VIOLATION, hexagon(center, _RADIUS * h), identity, closed=True)
    free = [b for b in _beside(center, h) if scene.field.is_free(_room(number, b, h))]
    clear = (b for b in free[:_LOOK_AT] if not scene.field.cover(_room(number, b, h)).lines)
    baseline = next(clear, free[0] if free else None)
    if baseline is not None:
        scene.letters(VIOLATION, number, baseline, identity, align="center")
        return
    scene.report.remarks.append(f"No room was found for the number {number} of a marker.")


def _room(number: str, baseline: Point, h: float) -> Box:
    return text_box(number, baseline, h, "center").grown(0.1 * h)


def hexagon(center: Point, radius: float) -> Path:
    """Return the corners of a regular hexagon that stands on a side."""
    angles = [math.radians(60 * i) for i in range(6)]
    return tuple((center[0] + radius * math.cos(a), center[1] + radius * math.sin(a)) for a in angles)


def _beside(center: Point, h: float) -> Iterator[Point]:
    """Return where a marker's number may stand, nearest first."""
    for ring in range(16):
        distance = (_RADIUS + 1.3 + 0.7 * ring) * h
        for step in range(8 + 4 * ring):
            angle = 2 * math.pi * step / (8 + 4 * ring)
            x = center[0] + 1.25 * distance * math.cos(angle)
            yield (x, center[1] + distance * math.sin(angle) - h / 2)


def findings_block(findings: Sequence[tuple[str, Finding]], width_in: float, h: float) -> Block:
    """Make the list of findings."""
    sentences = []
    for number, finding in findings:
        where = f"{finding.wall}: " if finding.wall else ""
        cure = f" {finding.cure}" if finding.cure else ""
        sentences.append((number, plain(f"{where}{finding.message}{cure}")))
    return sentences_block(LIST_TITLE, sentences, width_in, h, VIOLATION, Identity("violation-list"))
