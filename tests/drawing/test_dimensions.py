"""Panel dimensions: true ones measure what they show; plain ones are lines and texts."""

from __future__ import annotations

import itertools
import math

import ezdxf
import pytest
from ezdxf.document import Drawing
from shapely.geometry import LineString

from drawing import plans as made
from drawing.referee import shown_texts
from drawing.seen import entities
from perpend.drawing import DraftingStyle, draw_plans
from perpend.model import Frame, WallPlan


def drawn(plan: WallPlan, **style: object) -> Drawing:
    doc = ezdxf.new("R2010")
    draw_plans(doc, [plan], (), DraftingStyle(**style))
    return doc


def dimensions(doc: Drawing) -> list:
    return sorted(doc.modelspace().query("DIMENSION"), key=lambda d: d.dxf.defpoint2.x)


def test_true_dimensions_measure_the_panels() -> None:
    """The plan's joints stand at 136, 280, 400 and 640 in. of 720."""
    found = dimensions(drawn(made.shopfront()))
    assert [d.get_measurement() for d in found] == pytest.approx([136, 144, 120, 240, 80])
    assert [d.dxf.defpoint2.x for d in found] == pytest.approx([0, 136, 280, 400, 640])
    assert [d.dxf.defpoint3.x for d in found] == pytest.approx([136, 280, 400, 640, 720])


def test_their_text_is_left_to_the_reader_and_drawn_in_the_block() -> None:
    doc = drawn(made.shopfront())
    found = dimensions(doc)
    assert [d.dxf.text for d in found] == [""] * 5
    for d, text in zip(found, ["11'-4\"", "12'-0\"", "10'-0\"", "20'-0\"", "6'-8\""], strict=True):
        assert [t.dxf.text for t in d.get_geometry_block().query("TEXT")] == [text]


def test_the_style_prints_feet_and_inches_of_the_drawing_unit() -> None:
    """DIMLUNIT 4 is architectural; DIMLFAC turns drawing units into inches."""
    doc = drawn(made.long_plain(Frame((0, 0), 0.0, 12.0)), inches_per_unit=12.0)
    style = doc.dimstyles.get(dimensions(doc)[0].dxf.dimstyle)
    assert style.dxf.dimlunit == 4
    assert style.dxf.dimlfac * dimensions(doc)[0].get_measurement() == pytest.approx(144)
    assert style.dxf.dimtxt * 12 == pytest.approx(9.0)


def test_metric_dimensions_print_whole_millimetres() -> None:
    frame = Frame((0, 0), 0.0, 1 / 25.4)
    doc = drawn(made.long_plain(frame), metric=True, inches_per_unit=1 / 25.4)
    first = dimensions(doc)[0]
    assert first.get_measurement() == pytest.approx(144 * 25.4)
    assert [t.dxf.text for t in first.get_geometry_block().query("TEXT")] == ["3658"]
    assert doc.dimstyles.get(first.dxf.dimstyle).dxf.dimlunit == 2


def test_a_turned_wall_is_measured_along_itself() -> None:
    doc = drawn(made.shopfront(Frame((100.0, 200.0), math.radians(30))))
    found = dimensions(doc)
    assert sorted(d.get_measurement() for d in found) == pytest.approx(sorted([136, 144, 120, 240, 80]))


def test_plain_dimensions_are_lines_and_texts() -> None:
    doc = drawn(made.shopfront(), dimensions="plain")
    assert not doc.modelspace().query("DIMENSION")
    texts = [e for e in doc.modelspace().query("TEXT") if e.dxf.layer.endswith("-DIMS")]
    assert [t.dxf.text for t in texts] == [
        "11'-4\"",
        "12'-0\"",
        "10'-0\"",
        "20'-0\"",
        "6'-8\"",
    ]


def test_both_ways_look_the_same() -> None:
    true, plain = drawn(made.shopfront()), drawn(made.shopfront(), dimensions="plain")
    assert not plain.modelspace().query("INSERT MTEXT DIMENSION")
    outlines = [
        sorted((t.text, *(round(x, 6) for x in t.outline.bounds)) for t in shown_texts(doc) if t.text)
        for doc in (true, plain)
    ]
    assert outlines[0] == outlines[1]


def test_the_string_keeps_off_the_drafters_dimensions() -> None:
    """A row of the drafter's dimensions lies where ours would: ours goes elsewhere, crossing none."""
    doc = ezdxf.new("R2010")
    plan = made.shopfront()
    for x0, x1 in ((0, 240), (240, 480), (480, 720)):
        doc.modelspace().add_linear_dim((0, -31), (x0, 0), (x1, 0), override={"dimtxt": 9}).render()
    draw_plans(doc, [plan], (), DraftingStyle())
    ours = [d for d in dimensions(doc) if d.has_xdata("PERPEND")]
    theirs = LineString([(0, -31), (720, -31)])
    assert len(ours) == 5
    for d in ours:
        y = d.dxf.defpoint.y
        assert LineString([(d.dxf.defpoint2.x, y), (d.dxf.defpoint3.x, y)]).distance(theirs) > 9.0


def test_the_string_does_not_run_along_the_drafters_overall_dimension() -> None:
    """One overall dimension 30 in. below the wall, its text off to the side: our string is not on it."""
    doc = ezdxf.new("R2010")
    doc.modelspace().add_linear_dim((0, -30), (0, 0), (720, 0), override={"dimtxt": 9}).render()
    draw_plans(doc, [made.shopfront()], (), DraftingStyle())
    heights = {d.dxf.defpoint.y for d in dimensions(doc) if d.has_xdata("PERPEND")}
    assert len(heights) == 1
    assert all(abs(y + 30) > 9.0 for y in heights)


def test_above_the_wall_no_extension_line_strikes_a_tag_and_no_leader_the_string() -> None:
    """Two strings of the drafter's below send ours above, over tags and callouts."""
    doc = ezdxf.new("R2010")
    for y, stations in ((-30, (0, 200, 240, 480, 720)), (-54, (0, 720))):
        for x0, x1 in itertools.pairwise(stations):
            doc.modelspace().add_linear_dim((0, y), (x0, 0), (x1, 0), override={"dimtxt": 9}).render()
    draw_plans(doc, [made.shopfront()], (), DraftingStyle())
    ours = [d for d in dimensions(doc) if d.has_xdata("PERPEND")]
    line_y = ours[0].dxf.defpoint.y
    assert line_y > 144.0
    tags = [t.outline for t in shown_texts(doc) if t.text.startswith("CJ-") and t.outline.bounds[1] > 144]
    assert len(tags) == 4
    for d in ours:
        for foot in (d.dxf.defpoint2, d.dxf.defpoint3):
            upright = LineString([(foot.x, foot.y + 5.4), (foot.x, line_y)])
            assert not any(upright.intersects(tag) for tag in tags)
    string = LineString([(0, line_y), (720, line_y)])
    leaders = [
        LineString([p[:2] for p in e.get_points()])
        for e in entities(doc)
        if e.dxftype() == "LWPOLYLINE" and (1000, "kind=leader") in e.get_xdata("PERPEND")
    ]
    assert leaders
    assert not any(leader.crosses(string) for leader in leaders)
