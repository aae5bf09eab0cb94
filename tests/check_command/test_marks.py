"""The marks of made-up findings on random elevations, as somebody sees them who has the file alone."""

from __future__ import annotations

import functools
import io
import itertools
import random
from collections.abc import Iterator, Sequence
from dataclasses import replace

import ezdxf
import pytest
from ezdxf.document import Drawing
from shapely import STRtree
from shapely.affinity import translate
from shapely.geometry import LineString, Polygon, box

from drawing.elevations import random_elevation
from drawing.plans import plan, straight
from drawing.referee import overlaps, shown_texts
from drawing.seen import entities
from perpend.checks.registry import CODES
from perpend.drawing.page.drafting_style import DraftingReport, DraftingStyle
from perpend.drawing.review.draw_review import Review, draw_review
from perpend.drawing.review.mark_shapes import broken, dashes, square
from perpend.findings import Finding, Severity, Waived
from perpend.model import Point, WallPlan

ELEVATIONS = 12
MARKS = "PERPEND-CHECK"
KINDS = {(1000, "kind=violation"), (1000, "kind=advice")}
STYLE = DraftingStyle(app_id=MARKS)
PLACED = ("joint-in-keep-out", "joint-off-module", "slip-plane-too-short", "opening-without-joint")


def made_up(plan: WallPlan, dice: random.Random) -> Iterator[Finding]:
    """Yield findings at the joints, the openings and the panels of a wall."""
    tag, height = plan.wall.tag, plan.wall.height_in
    for panel in plan.panels:
        if dice.random() < 0.4:
            at = ((panel.x0_in, height / 2), (panel.x1_in, height / 2))
            yield CODES["panel-too-long"].finding(
                "x", wall=tag, measured_in=panel.length_in, limit_in=96, at=at
            )
    for joint in plan.joints:
        if dice.random() < 0.5:
            x, y = joint.path[0][0], dice.uniform(0, height)
            code = dice.choice(PLACED)
            weight = dice.choice([Severity.REQUIRED, Severity.ADVISORY])
            yield CODES[code].finding("x", wall=tag, measured_in=3, limit_in=8, at=((x, y),), severity=weight)
    for rule in plan.openings:
        if dice.random() < 0.3:
            head = rule.opening.box
            yield CODES["opening-without-joint"].finding(
                "x", wall=tag, at=((head.x0, head.y1), (head.x1, head.y1))
            )


@functools.cache
def reviewed(seed: int) -> tuple[Drawing, DraftingReport, list[Finding]]:
    """Draw the review of a random elevation and read it back as a stranger would."""
    dice = random.Random(seed)
    doc, plans = random_elevation(seed)
    findings = [f for plan in plans for f in made_up(plan, dice)]
    report = draw_review(doc, plans, Review(findings, (), ("Nothing.",)), STYLE)
    stream = io.StringIO()
    doc.write(stream)
    stream.seek(0)
    return ezdxf.read(stream), report, findings


def flags(doc: Drawing) -> dict[Polygon, int]:
    """Return the squares that carry numbers, each by its outer frame, with how many frames it has."""
    frames = [Polygon(points) for points, closed in lines(doc) if closed]
    outer = [a for a in frames if not any(b.contains(a) for b in frames if b is not a)]
    return {a: sum(a.covers(b) for b in frames) for a in outer}


def brackets(doc: Drawing) -> list[LineString]:
    """Return the brackets, level and upright ones."""
    return [LineString(points) for points, closed in lines(doc) if not closed and len(points) == 4]


def lines(doc: Drawing) -> list[tuple[list[tuple[float, float]], bool]]:
    return [
        ([(p[0], p[1]) for p in e.get_points("xy")], e.closed)
        for e in entities(doc)
        if e.dxftype() == "LWPOLYLINE" and e.has_xdata(MARKS) and KINDS & set(e.get_xdata(MARKS)[:1])
    ]


def clashes(shapes: Sequence[Polygon]) -> list[tuple[Polygon, Polygon]]:
    """Return the pairs that touch."""
    return [(a, b) for a, b in itertools.combinations(shapes, 2) if a.intersects(b)]


def test_marks_keep_off_each_other_and_off_texts_and_openings() -> None:
    labels = 0
    for seed in range(ELEVATIONS):
        doc, report, findings = reviewed(seed)
        assert overlaps(doc) == [], seed
        shapes = list(flags(doc))
        assert clashes(shapes) == [], seed
        assert not any(flag.intersects(line) for flag in shapes for line in brackets(doc)), seed
        ours = [t for t in shown_texts(doc) if t.ours]
        tree = STRtree([t.outline for t in ours])
        for shape in shapes:
            for index in tree.query(LineString(shape.exterior.coords), predicate="intersects"):
                raise AssertionError((seed, ours[index].text, "is struck by a mark"))
        assert not any("label" in remark for remark in report.remarks), (seed, report.remarks)
        labels += len(findings)
    assert labels > 80


def test_the_test_sees_marks_that_touch() -> None:
    shapes = list(flags(reviewed(1)[0]))
    assert len(clashes([*shapes, translate(shapes[0], 3, 3)])) > 0


def test_every_number_stands_in_its_mark_and_in_the_list() -> None:
    for seed in range(0, ELEVATIONS, 4):
        doc, _, findings = reviewed(seed)
        marks = flags(doc)
        texts = [(t.text, t.outline.centroid) for t in shown_texts(doc)]
        counted = {"V": itertools.count(1), "A": itertools.count(1)}
        for f in findings:
            letter = "V" if f.severity is Severity.REQUIRED else "A"
            number = f"{letter}{next(counted[letter])}"
            places = [place for text, place in texts if text == number]
            assert len(places) == 2, (seed, number)
            (around,) = [mark for mark in marks if any(mark.contains(place) for place in places)]
            assert marks[around] == {"V": 2, "A": 1}[letter]


@pytest.mark.parametrize(
    ("code", "places", "solid"),
    [("joint-off-module", ((60.0, 40.0),), 3), ("panel-too-long", ((0.0, 40.0), (200.0, 40.0)), 2)],
)
def test_a_waived_finding_has_no_solid_mark(code: str, places: tuple[Point, ...], solid: int) -> None:
    """A flag and a pair of brackets, or a flag and a level bracket."""
    counts = []
    for waived in (None, Waived("agreed", "R. Oduya")):
        doc, plans = random_elevation(3)
        found = replace(
            CODES[code].finding("x", wall=plans[0].wall.tag, measured_in=400, at=places), waived=waived
        )
        draw_review(doc, plans, Review([found], (), ()), STYLE)
        whole = [line for line in brackets(doc) if not line.is_simple or line.length > 0]
        counts.append(len(flags(doc)) + len(whole))
    assert counts == [solid, 0]


def test_a_dashed_mark_keeps_the_corners_of_its_shape() -> None:
    """Each dash goes round a corner; the gaps are in the sides, about a third of each."""
    ring = square((0.0, 0.0), 10.0)
    pieces = dashes(ring)
    assert [piece[1] for piece in pieces] == list(ring)
    assert sum(LineString(piece).length for piece in pieces) == pytest.approx(4 * 20.0 * 0.64)
    path = ((4.0, 10.0), (0.0, 10.0), (0.0, 0.0), (4.0, 0.0))
    kept = sum(LineString(piece).length for piece in broken(path))
    assert kept == pytest.approx(4.0 + 4.0 + 0.6 * 10.0)


def bordered(border: tuple[float, float, float, float], *at: float) -> tuple[Drawing, DraftingReport]:
    """Review a plain wall of 480 x 160 in. inside a border, with a finding at some stations."""
    doc = ezdxf.new("R2010")
    doc.modelspace().add_lwpolyline(box(*border).exterior.coords[:-1], close=True)
    wall = plan("W1", 480.0, 160.0, tuple(straight(i, x, 160.0) for i, x in enumerate(at, start=1)))
    found = [CODES["joint-off-module"].finding("x", wall="W1", measured_in=4, at=((x, 80.0),)) for x in at]
    report = draw_review(doc, [wall], Review(found, (), ()), STYLE)
    return doc, report


def labels_of(doc: Drawing) -> list[Polygon]:
    said = ("JOINT OFF", "MODULE", '4"')
    return [t.outline for t in shown_texts(doc) if t.text.startswith(said)]


def test_labels_stay_within_the_border_where_the_masonry_has_room() -> None:
    """A border 40 in. off leaves no room around the wall; the panels of 120 in. do, in narrow lines."""
    border = (-40.0, -40.0, 520.0, 200.0)
    doc, report = bordered(border, 120.0, 240.0, 360.0)
    labels = [label for label in labels_of(doc) if label.intersects(box(0, 0, 480, 160))]
    assert len(labels) >= 6
    assert all(box(*border).contains(label) for label in labels)
    assert not any("outside the frame" in remark for remark in report.remarks)


def test_a_label_that_leaves_the_border_is_told() -> None:
    """Joints 24 in. apart leave no masonry that a label fits in, and the border is 12 in. off."""
    _, report = bordered((-12.0, -12.0, 492.0, 172.0), *(24.0 * i for i in range(1, 20)))
    assert any("outside the frame" in remark for remark in report.remarks)
