"""Sheets without room: what perpend writes keeps off itself, the walls, titles and the border."""

from __future__ import annotations

import io
import itertools
import math
from dataclasses import replace

import ezdxf
import pytest
from ezdxf.document import Drawing
from shapely.geometry import LineString, Point, Polygon, box

from drawing import plans as made
from drawing.referee import overlaps, shown_texts
from drawing.seen import entities
from perpend.drawing import DraftingReport, DraftingStyle, draw_plans
from perpend.drawing.review.draw_review import FINDINGS_TITLE
from perpend.drawing.review.finding_list import LIST_TITLE
from perpend.model import Box, Frame, Opening, OpeningRule, Profile, WallPlan

CAUTIONS = ("This layout is an aid, not a design.",)


def drawn(doc: Drawing, *plans: WallPlan) -> tuple[Drawing, DraftingReport]:
    """Draw the plans and read the drawing back as a stranger would."""
    report = draw_plans(doc, plans, (), DraftingStyle(cautions=CAUTIONS))
    stream = io.StringIO()
    doc.write(stream)
    stream.seek(0)
    return ezdxf.read(stream), report


def framed(x0: float, y0: float, x1: float, y1: float) -> Drawing:
    doc = ezdxf.new("R2010")
    doc.modelspace().add_lwpolyline([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], close=True)
    return doc


def texts_of(doc: Drawing, kind: str) -> list[ezdxf.entities.Text]:
    return [t for t in entities(doc) if t.dxftype() in ("TEXT", "MTEXT") and _is(t, kind)]


def _is(entity: ezdxf.entities.DXFEntity, kind: str) -> bool:
    return entity.has_xdata("PERPEND") and (1000, f"kind={kind}") in entity.get_xdata("PERPEND")


def lines_of(dimension: ezdxf.entities.Dimension) -> list[LineString]:
    """The lines of a dimension, as shown."""
    shown = dimension.get_geometry_block().query("LINE")
    return [LineString([line.dxf.start.vec2, line.dxf.end.vec2]) for line in shown]


def nine_openings() -> WallPlan:
    """A 50 ft wall with nine openings in a row, with nine lengths of lintel."""
    rules: list[OpeningRule] = []
    for i in range(9):
        opening = Opening(f"N{i + 1}", f"B{i}", Box(36.0 + 60.0 * i, 40.0, 72.0 + 60.0 * i, 88.0))
        rule = made.reinforced(opening)
        assert rule.lintel is not None
        rules.append(replace(rule, lintel=replace(rule.lintel, bearing_left_in=8.0 + i)))
    return made.plan("W1", 600.0, 144.0, (), rules=tuple(rules))


@pytest.mark.parametrize(
    "frame", [(-400, -300, 648, 192), (-400, -300, 700, 192), (-400, -48, 648, 192), (-48, -48, 648, 300)]
)
def test_lists_beside_a_full_sheet_keep_off_long_callouts(frame: tuple[float, float, float, float]) -> None:
    """The callouts find no room within the border, nor do the lists: neither lies over the other."""
    doc, report = drawn(framed(*frame), nine_openings())
    assert len(texts_of(doc, "note")) == 1
    assert report.remarks
    assert overlaps(doc) == []


def test_no_callout_is_written_across_the_border() -> None:
    doc, _ = drawn(framed(-48, -48, 648, 192), nine_openings())
    border = box(-48, -48, 648, 192).exterior
    said = {t.dxf.text for t in texts_of(doc, "callout")}
    shown = [t for t in shown_texts(doc) if t.ours and t.text in said]
    assert len(shown) == 18
    assert [t.text for t in shown if t.outline.intersects(border)] == []


def two_rows(gap: float, frame: tuple[float, float, float, float]) -> tuple[Drawing, list[WallPlan]]:
    """Two shopfronts one above the other, with titles under them, in a frame."""
    doc = framed(*frame)
    plans = []
    for tag, y in (("A", 0.0), ("B", 144.0 + gap)):
        plans.append(made.shopfront(Frame((0.0, y), 0.0), tag))
        doc.modelspace().add_text(f"ELEVATION {tag}", height=12, dxfattribs={"insert": (-3, y - 16)})
        for opening in plans[-1].wall.openings:
            b = opening.box
            ring = [(b.x0, b.y0 + y), (b.x1, b.y0 + y), (b.x1, b.y1 + y), (b.x0, b.y1 + y)]
            doc.modelspace().add_lwpolyline(ring, close=True, dxfattribs={"layer": "A-ELEV-OPNG"})
    return doc, plans


def faces(plans: list[WallPlan]) -> dict[str, Polygon]:
    return {p.wall.tag: box(0, p.wall.frame.origin[1], 720, p.wall.frame.origin[1] + 144) for p in plans}


@pytest.mark.parametrize("gap", [30.0, 60.0, 90.0, 140.0])
@pytest.mark.parametrize("below", [-24.0, -60.0])
def test_strings_stay_off_other_walls_titles_and_the_border(gap: float, below: float) -> None:
    top = 288.0 + gap + 60.0
    doc, plans = two_rows(gap, (-40.0, below, 760.0, top))
    read, report = drawn(doc, *plans)
    border = box(-40, below, 760, top).exterior
    titles = [t.outline for t in shown_texts(read) if t.text.startswith("ELEVATION")]
    assert len(titles) == 2
    shown = dict.fromkeys(faces(plans), 0)
    for dimension in read.modelspace().query("DIMENSION"):
        owner = next(v for c, v in dimension.get_xdata("PERPEND") if str(v).startswith("number="))[7]
        shown[owner] += 1
        parts = lines_of(dimension)
        for part, (tag, face) in itertools.product(parts, faces(plans).items()):
            assert tag == owner or not part.intersects(face.buffer(-1.0)), (owner, tag)
        assert not any(part.crosses(border) for part in parts), owner
        assert not any(part.intersects(title) for part in parts for title in titles), owner
    assert overlaps(read) == []
    for tag, count in shown.items():
        assert count == 5 or any(f"dimensions of {tag} find no room" in r for r in report.remarks), tag


def test_a_string_without_room_outside_stands_inside_the_wall() -> None:
    """A frame close around: the lengths stand in a level band between joints, clear of the openings."""
    joints = (made.straight(1, 240.0, 144.0), made.straight(2, 480.0, 144.0))
    rule = made.reinforced(Opening("N1", "B1", Box(60.0, 40.0, 140.0, 88.0)))
    doc = framed(-12, -12, 732, 190)
    read, report = drawn(doc, made.plan("W1", 720.0, 144.0, joints, rules=(rule,)))
    dimensions = [d for d in read.modelspace().query("DIMENSION") if d.has_xdata("PERPEND")]
    assert sorted(d.get_measurement() for d in dimensions) == pytest.approx([240, 240, 240])
    inside = box(0, 0, 720, 144).difference(box(60, 40, 140, 88))
    lines = [line for dimension in dimensions for line in lines_of(dimension)]
    assert lines
    assert all(inside.buffer(4.0).contains(line) for line in lines)
    assert not any("panel dimensions" in remark for remark in report.remarks)


def test_a_string_inside_the_wall_crosses_bars_but_no_opening() -> None:
    """Full-height bars beside a window leave no band free from joint to joint: the string crosses them."""
    window = Opening("N1", "B1", Box(300.0, 40.0, 420.0, 88.0))
    plan = made.plan(
        "W1",
        720.0,
        144.0,
        (made.straight(1, 240.0, 144.0), made.straight(2, 480.0, 144.0)),
        rules=(made.reinforced(window),),
        bars=made.bars_of(window, 240.0, 480.0, 144.0),
    )
    read, report = drawn(framed(-12, -12, 732, 190), plan)
    dimensions = [d for d in read.modelspace().query("DIMENSION") if d.has_xdata("PERPEND")]
    assert [d.get_measurement() for d in dimensions] == pytest.approx([240, 240, 240])
    (level,) = {d.dxf.defpoint.y for d in dimensions}
    assert 0 < level < 40 or 96 < level < 144
    assert not any("panel dimensions" in remark for remark in report.remarks)
    words = [t.outline for t in shown_texts(read) if t.text == "20'-0\""]
    assert len(words) >= 3
    assert not any(
        outline.intersects(LineString([(x, 0), (x, 144)])) for outline in words for x in (296, 424)
    )


def test_no_line_of_a_frame_close_above_runs_through_a_row_of_tags() -> None:
    """The frame of one wall of two, 12 in. above a roof with a higher part beside it."""
    top = Profile(((0.0, 160.0), (320.0, 160.0), (320.0, 192.0), (640.0, 192.0)))
    joints = [made.straight(i, x, 160.0) for i, x in enumerate((80.0, 200.0, 320.0), start=1)]
    plan = made.plan("WEST WING", 640.0, 160.0, tuple(joints), top=top)
    other = made.plan("W2", 320.0, 144.0, (), frame=Frame((900.0, 0.0)))
    read, _ = drawn(framed(-12, -12, 652, 204), plan, other)
    tags = [t.outline for t in shown_texts(read) if t.text.startswith("CJ WEST WING")]
    assert len(tags) == 3
    frame = box(-12, -12, 652, 204).exterior
    assert not any(tag.intersects(frame) for tag in tags)


def test_a_string_without_any_room_is_left_out_and_said() -> None:
    """Openings from grade to the roof, and a frame close around."""
    door = made.reinforced(Opening("D1", "B1", Box(60.0, 0.0, 140.0, 143.0)))
    door = replace(door, lintel=None)
    plan = made.plan("W1", 720.0, 144.0, (made.straight(1, 240.0, 144.0),), rules=(door,))
    read, report = drawn(framed(-12, -12, 732, 190), plan)
    assert not read.modelspace().query("DIMENSION")
    said = "The panel dimensions of W1 find no room on the sheet and are left out"
    assert [r for r in report.remarks if r.startswith(said)]


@pytest.mark.parametrize("angles", [(30.0, 0.0), (30.0, 90.0), (210.0, 30.0)])
def test_lists_lie_level_on_the_sheet_when_walls_do_not_share_an_angle(angles: tuple[float, float]) -> None:
    first, second = (
        made.shopfront(Frame((2000.0 * i, 0.0), math.radians(a)), f"W{i}") for i, a in enumerate(angles)
    )
    doc, _ = drawn(ezdxf.new("R2010"), first, second)
    for kind in ("note", "schedule", "legend"):
        assert {t.dxf.rotation for t in texts_of(doc, kind)} == {0.0}, kind
    assert overlaps(doc) == []


def test_lists_lie_along_the_walls_when_all_share_one_angle() -> None:
    frames = (Frame((0.0, 0.0), math.radians(30)), Frame((2000.0, 0.0), math.radians(30)))
    doc, _ = drawn(ezdxf.new("R2010"), *(made.shopfront(f, f"W{i}") for i, f in enumerate(frames)))
    assert {round(t.dxf.rotation, 6) for t in texts_of(doc, "note")} == {30.0}


@pytest.mark.parametrize("frame", [(-40, -30, 760, 330), (-40, -90, 760, 330), (-40, -30, 760, 600)])
def test_a_string_does_not_run_through_its_own_gable(frame: tuple[float, float, float, float]) -> None:
    """The panels end at the eaves, the gable rises between them: the line is over it, below, or inside."""
    top = Profile(((0.0, 144.0), (360.0, 300.0), (720.0, 144.0)))
    joints = (made.straight(1, 16.0, 150.9), made.straight(2, 704.0, 150.9))
    doc, report = drawn(framed(*frame), made.plan("W1", 720.0, 144.0, joints, top=top))
    gable = Polygon([(0, 0), (720, 0), (720, 144), (360, 300), (0, 144)])
    strings = [d for d in doc.modelspace().query("DIMENSION") if d.has_xdata("PERPEND")]
    assert strings or any("panel dimensions" in remark for remark in report.remarks)
    for dimension in strings:
        y = dimension.dxf.defpoint.y
        line = LineString([(dimension.dxf.defpoint2.x, y), (dimension.dxf.defpoint3.x, y)])
        assert gable.buffer(1e-6).contains(line) or not gable.intersects(line)


def test_the_lists_of_a_plate_and_of_a_check_on_it_have_titles_of_their_own() -> None:
    """Both number from V1: on a checked plate the titles tell whose numbers a list has."""
    assert FINDINGS_TITLE == "REVIEW FINDINGS"
    assert LIST_TITLE == "FINDINGS"


@pytest.mark.parametrize("y", [202.0, 232.0])
def test_no_part_of_a_string_runs_into_grid_bubbles(y: float) -> None:
    """A title bars the room below; above stand bubbles where the line, or its far row, would be."""
    doc = ezdxf.new("R2010")
    doc.modelspace().add_mtext("X" * 60, dxfattribs={"insert": (0, -10), "char_height": 200})
    for x in (0.0, 720.0):
        doc.modelspace().add_line((x, 0.0), (x, y - 12.0))
        doc.modelspace().add_circle((x, y), 12.0)
    joints = (made.straight(1, 240.0, 144.0), made.straight(2, 700.0, 144.0))
    read, _ = drawn(doc, made.plan("W1", 720.0, 144.0, joints))
    bubbles = [Point(x, y).buffer(11.9) for x in (0.0, 720.0)]
    dimensions = [d for d in read.modelspace().query("DIMENSION") if d.has_xdata("PERPEND")]
    assert [round(d.get_measurement()) for d in dimensions] == [240, 460, 20]
    assert not any(abs(d.dxf.defpoint.y - y) < 11.0 for d in dimensions)
    lengths = [t.outline for t in shown_texts(read) if t.text in ("20'-0\"", "38'-4\"", "1'-8\"")]
    assert not any(length.intersects(bubble) for length in lengths for bubble in bubbles)


def test_a_callout_stands_with_the_wall_that_it_speaks_of() -> None:
    """A short wall with much to say beside a long one: nothing is said under or over the neighbour."""
    window = Opening("N1", "B1", Box(160.0, 40.0, 224.0, 88.0))
    rule = made.reinforced(window)
    first = made.plan("W1", 240.0, 112.0, (), rules=(rule,), bars=made.bars_of(window, 0.0, 240.0, 112.0))
    second = made.plan("W2", 640.0, 112.0, (made.straight(1, 320.0, 112.0),), frame=Frame((264.0, 0.0)))
    read, _ = drawn(ezdxf.new("R2010"), first, second)
    said = {t.dxf.text for t in texts_of(read, "callout")}
    shown = [t.outline.bounds for t in shown_texts(read) if t.text in said and t.ours]
    assert len(shown) >= 5
    assert [bounds for bounds in shown if bounds[2] > 264.0] == []


@pytest.mark.parametrize(("below", "top"), [(-100, 184), (-200, 184), (-200, 204)])
def test_a_callout_stands_within_the_border_though_there_is_room_nearer_by_outside(
    below: float, top: float
) -> None:
    """Above the wall nothing fits, and room outside is nearer than that below it."""
    doc, _ = drawn(framed(-40, below, 760, top), made.shopfront())
    said = {t.dxf.text for t in texts_of(doc, "callout")}
    shown = [t for t in shown_texts(doc) if t.ours and t.text in said]
    outside = [t.text for t in shown if not t.outline.within(box(-40, below, 760, top))]
    assert (len(shown), outside) == (10, [])
