"""What the plate says: notes, schedule, callouts, tags; in letters that TEXT can carry."""

from __future__ import annotations

from dataclasses import replace

import ezdxf
import pytest
from ezdxf.document import Drawing
from shapely.geometry import Polygon

from drawing import plans as made
from perpend.checks.registry import CODES
from perpend.drawing import DraftingReport, DraftingStyle, draw_plans
from perpend.drawing.plate.callouts import short_length
from perpend.findings import Finding
from perpend.model import Bar, Cure, EndCondition, Frame, JointChange, WallPlan

STYLE = DraftingStyle(
    cautions=made.CAUTION, rulebook_title="us-cmu", rulebook_version="1", generation="perpend 0.1.0"
)


def drawn(
    *plans: WallPlan, findings: tuple[Finding, ...] = (), style: DraftingStyle = STYLE
) -> tuple[Drawing, DraftingReport]:
    doc = ezdxf.new("R2010")
    return doc, draw_plans(doc, plans, findings, style)


def words(doc: Drawing, kind: str) -> list[str]:
    texts = doc.modelspace().query("TEXT")
    return [t.dxf.text for t in texts if (1000, f"kind={kind}") in t.get_xdata("PERPEND")]


@pytest.mark.parametrize(
    ("inches", "text"),
    [(0.25, '1/4"'), (0.0, '0"'), (8.5, '8 1/2"'), (12.25, "1'-0 1/4\""), (120.25, "10'-0 1/4\"")],
)
def test_a_length_on_a_callout_has_no_zeros_before_it(inches: float, text: str) -> None:
    assert short_length(inches, "imperial") == text


def test_note_block_says_method_limits_type_reinforcement_sources_and_caution() -> None:
    doc, _ = drawn(made.shopfront())
    said = " ".join(words(doc, "note"))
    for phrase in (
        "METHOD: EMPIRICAL, FULL-HEIGHT UNITS.",
        "H = 12'-0\" (WALL HEIGHT): JOINT SPACING NOT OVER 18'-0\"",
        "(1.5 X H; CAP 25'-0\"; THE RATIO GOVERNS).",
        "FIRST JOINT WITHIN 9'-0\" OF A CORNER.",
        "JOINT TYPE: FORMED PAPER JOINT",
        "AT LEAST 0.025 SQ IN. PER FT OF HEIGHT: 2 WIRES W1.7 (9 GAUGE) AT 1'-4\" O.C.",
        "TEK 10-2C (2010), TABLE 1",
        "UNVERIFIED",
        "CAUTION: THIS LAYOUT IS AN AID, NOT A DESIGN.",
        "STRUCTURAL DESIGN.",
        "PERPEND 0.1.0",
    ):
        assert phrase in said


def test_a_sentence_shared_by_all_walls_stands_once_and_others_name_their_walls() -> None:
    doc, _ = drawn(made.long_plain(Frame((0, 900))), made.shopfront(Frame((0, 200))), made.stepped())
    said = words(doc, "note")
    assert sum("METHOD:" in line for line in said) == 1
    assert any(line.startswith("W2: H = 12'-0\"") for line in said)


def test_schedule_has_a_row_for_each_wall() -> None:
    doc, _ = drawn(made.long_plain(Frame((0, 900))), made.stepped())
    cells = words(doc, "schedule")
    assert cells[0] == "SCHEDULE OF WALLS"
    row = cells[cells.index("W1") :][:9]
    assert row == ["W1", "EMPIRICAL", "FULL-HEIGHT", "20'-0\"", "25'-0\"", "CAP", "25'-0\"", "12'-6\"", "8"]
    row = cells[cells.index("W3") :][:9]
    assert row == ["W3", "EMPIRICAL", "FULL-HEIGHT", "8'-0\"", "12'-0\"", "1.5 X H", "18'-0\"", "6'-0\"", "3"]


def test_tags_name_the_wall_on_a_sheet_of_several() -> None:
    one, _ = drawn(made.shopfront())
    assert words(one, "tag") == ["CJ-1", "CJ-2", "CJ-3", "CJ-4"]
    two, _ = drawn(made.shopfront(), made.stepped(Frame((0, 600))))
    assert words(two, "tag")[:4] == ["CJ W2-1", "CJ W2-2", "CJ W2-3", "CJ W2-4"]


def test_callouts_stand_once_and_typ_where_they_repeat() -> None:
    doc, _ = drawn(made.shopfront())
    said = words(doc, "callout")
    assert said.count('LINTEL, 8" BEARING EA. END, TYP.') == 1
    assert said.count("LINTEL, 1'-4\" PAST JAMB EA. END") == 1
    assert said.count("SLIP PLANE: BOND BREAKER") == 1
    assert said.count("FULL HEIGHT OF WALL, TYP.") == 1
    assert said.count("JOINT TO JOINT") == 1


def test_legend_shows_only_what_is_drawn() -> None:
    plain, _ = drawn(made.long_plain())
    assert words(plain, "legend") == ["LEGEND", "CONTROL JOINT (CJ)", "HEAD OF A CONTROL JOINT"]
    shop, _ = drawn(made.shopfront())
    assert {"SLIP PLANE", "LINTEL", "REINFORCING BAR"} <= set(words(shop, "legend"))


def test_findings_are_marked_where_they_are_and_listed_with_their_cure() -> None:
    places = ((520.0, 72.0),)
    faults = (
        CODES["wall-off-module"].finding("The wall is off the module.", wall="W2"),
        CODES["panel-too-long"].finding(
            "The panel is 20'-0\" long.",
            wall="W2",
            at=places,
            cure=Cure((JointChange("add", ((120.0, 0.0), (120.0, 144.0))),), complies=True),
        ),
    )
    doc, _ = drawn(made.shopfront(), findings=faults)
    listed = " ".join(words(doc, "violation-list"))
    assert listed.startswith(
        "FINDINGS V1 W2: THE PANEL IS 20'-0\" LONG. ADD A CJ AT 10'-0\". A1 W2: THE WALL"
    )
    assert " ".join(words(doc, "violation")) == "V1 PANEL TOO LONG"
    assert "VIOLATION, SEE LIST" in words(doc, "legend")
    marks = [
        e for e in doc.modelspace().query("LWPOLYLINE") if (1000, "kind=violation") in e.get_xdata("PERPEND")
    ]
    cloud = Polygon(marks[0].get_points("xy"))
    assert cloud.centroid.coords[0] == pytest.approx((520.0, 72.0))
    assert cloud.bounds[2] - cloud.bounds[0] < 4 * 9


def test_every_letter_is_ascii_and_no_control_code_hides_in_it() -> None:
    wall = made.plan("WÄND %%u", 720.0, 144.0, (made.straight(1, 200.0, 144.0),))
    doc, _ = drawn(wall, made.shopfront(Frame((0, 600))))
    for text in doc.modelspace().query("TEXT"):
        assert text.dxf.text.isascii()
        assert "%%" not in text.dxf.text


def test_the_same_plans_give_the_same_plate() -> None:
    def entities() -> list[tuple[str, str]]:
        doc, _ = drawn(made.shopfront(), made.stepped(Frame((0, 600))))
        return [(e.dxftype(), str(sorted(e.dxfattribs().items(), key=str))) for e in doc.modelspace()]

    assert entities() == entities()


def test_blocks_stay_within_the_sheet_border_and_out_of_the_title_block() -> None:
    doc = ezdxf.new("R2010")
    sheet = [(-300, -700), (1500, -700), (1500, 500), (-300, 500)]
    title = [(1100, -700), (1500, -700), (1500, -300), (1100, -300)]
    for ring in (sheet, title):
        doc.modelspace().add_lwpolyline(ring, close=True)
    draw_plans(doc, [made.shopfront()], (), STYLE)
    for kind in ("note", "schedule", "legend"):
        for text in doc.modelspace().query("TEXT"):
            if (1000, f"kind={kind}") in text.get_xdata("PERPEND"):
                x, y, _ = text.dxf.insert
                assert -300 < x < 1500
                assert -700 < y < 500
                assert not (x > 1100 and y < -300)


def test_a_sheet_without_room_is_said_and_the_blocks_stand_beside_it() -> None:
    doc = ezdxf.new("R2010")
    doc.modelspace().add_lwpolyline([(-120, -80), (840, -80), (840, 240), (-120, 240)], close=True)
    report = draw_plans(doc, [made.shopfront()], (), STYLE)
    assert any("beside" in remark for remark in report.remarks)
    notes = [t for t in doc.modelspace().query("TEXT") if (1000, "kind=note") in t.get_xdata("PERPEND")]
    assert min(t.dxf.insert.x for t in notes) > 840


def test_a_background_fill_takes_no_room() -> None:
    doc = ezdxf.new("R2010")
    doc.modelspace().add_lwpolyline([(-600, -900), (2400, -900), (2400, 900), (-600, 900)], close=True)
    hatch = doc.modelspace().add_hatch()
    hatch.paths.add_polyline_path([(-600, -900), (2400, -900), (2400, 900), (-600, 900)])
    assert draw_plans(doc, [made.shopfront()], (), STYLE).remarks == []


def test_a_tag_with_a_line_break_stays_in_one_string() -> None:
    wall = made.plan("EAST\nWALL", 720.0, 144.0, (made.straight(1, 200.0, 144.0),))
    doc, _ = drawn(wall)
    joint = doc.modelspace().query("LWPOLYLINE[layer=='A-ELEV-JNTC']").first
    assert (1000, "number=EAST WALL-1") in joint.get_xdata("PERPEND")
    assert not any("\n" in t.dxf.text for t in doc.modelspace().query("TEXT"))


def stepped_by_panel() -> WallPlan:
    """The stepped wall with limits of its own for each panel: 1.5 times 12 ft and 1.5 times 8 ft."""
    plan = made.stepped()
    heights = (144.0, 144.0, 96.0, 96.0)
    panels = tuple(
        replace(panel, height_in=h, limit_in=1.5 * h) for panel, h in zip(plan.panels, heights, strict=True)
    )
    return replace(plan, panels=panels)


def test_limits_that_differ_from_panel_to_panel_are_printed_as_a_range() -> None:
    doc, _ = drawn(stepped_by_panel())
    cells = " ".join(words(doc, "schedule"))
    assert "8'-0\" TO 12'-0\"" in cells
    assert "12'-0\" TO 18'-0\" (BY PANEL HEIGHT) 1.5 X H 18'-0\" OF 18'-0\"" in cells
    said = " ".join(words(doc, "note"))
    assert "H OF EACH PANEL (WALL HEIGHT AT THE PANEL'S LOWER SIDE): JOINT SPACING NOT OVER" in said
    assert "12'-0\" TO 18'-0\", BY PANEL" in said


def test_the_corner_distance_stands_only_where_there_is_a_corner() -> None:
    free = replace(made.shopfront(), left_end=EndCondition.FREE, right_end=EndCondition.CONTINUES)
    doc, _ = drawn(free)
    assert "CORNER" not in " ".join(words(doc, "note")).split("SOURCES")[0]
    assert "9'-0\"" not in words(doc, "schedule")
    doc, _ = drawn(replace(free, left_end=EndCondition.CORNER))
    assert "FIRST JOINT WITHIN 9'-0\" OF A CORNER" in " ".join(words(doc, "note"))
    assert "9'-0\"" in words(doc, "schedule")


def test_corners_of_unequal_height_have_a_distance_each() -> None:
    plan = made.shopfront()
    first = replace(plan.panels[0], corner_limit_in=144.0)
    doc, _ = drawn(replace(plan, panels=(first, *plan.panels[1:])))
    said = " ".join(words(doc, "note"))
    assert "FIRST JOINT WITHIN 12'-0\" OF THE LEFT CORNER AND WITHIN 9'-0\" OF THE RIGHT CORNER." in said
    assert "12'-0\" LEFT, 9'-0\" RIGHT" in " ".join(words(doc, "schedule"))


def test_the_method_note_of_an_engineered_wall_names_the_coefficient() -> None:
    plan = made.shopfront()
    doc, _ = drawn(replace(plan, limits=replace(plan.limits, method="engineered", ccc=0.0015)))
    assert "METHOD: ENGINEERED BY CCC 0.0015 IN./IN., FULL-HEIGHT UNITS." in " ".join(words(doc, "note"))


def test_a_metric_plate_gives_steel_in_square_millimetres_and_cut_bearings_in_millimetres() -> None:
    """0.025 sq in. per ft is 16.129 sq mm per 304.8 mm: 52.9 sq mm per m."""
    plan = made.shopfront()
    rule = plan.openings[0]
    assert rule.lintel is not None
    cut = replace(rule, lintel=replace(rule.lintel, note="0'-8\" on the left, cut by the opening W9"))
    doc, _ = drawn(replace(plan, openings=(cut, *plan.openings[1:])), style=replace(STYLE, metric=True))
    assert "AT LEAST 53 SQ MM PER M (0.025 SQ IN. PER FT) OF HEIGHT" in " ".join(words(doc, "note"))
    assert "203 MM ON THE LEFT, CUT BY THE OPENING W9" in words(doc, "callout")


def test_a_leaning_panel_near_its_limit_shows_the_length_it_was_held_against() -> None:
    plan = made.plan("W6", 480.0, 160.0, (made.straight(1, 232.0, 160.0),))
    leaning = (replace(plan.panels[0], length_in=236.0), plan.panels[1])
    doc, _ = drawn(replace(plan, panels=leaning), style=replace(STYLE, dimensions="plain"))
    said = " ".join(t.dxf.text for t in doc.modelspace().query("TEXT") if t.dxf.layer.endswith("-DIMS"))
    assert "19'-8\" ABOVE, MAX. 20'-0\"" in said
    assert said.count("ABOVE") == 1


def test_bars_joint_reinforcement_and_bond_beams_are_told_apart() -> None:
    """Each has a line type and a weight of its own, and a line of the legend."""
    bars = tuple(
        Bar(((8.0, y), (232.0, y)), kind)
        for y, kind in ((16.0, "sill"), (40.0, "horizontal"), (96.0, "bond-beam"))
    )
    doc, _ = drawn(made.plan("W7", 240.0, 160.0, (), bars=bars))
    assert {"REINFORCING BAR", "JOINT REINFORCEMENT", "BOND BEAM"} <= set(words(doc, "legend"))
    steel = [e for e in doc.modelspace().query("LINE") if (1000, "kind=bar") in e.get_xdata("PERPEND")]
    looks = {e.dxf.start.y: (e.dxf.linetype, e.dxf.lineweight) for e in steel}
    assert looks == {
        16.0: ("BYLAYER", -1),
        40.0: ("PERPEND-WIRE", 18),
        96.0: ("PERPEND-BEAM", 60),
    }


def test_the_legend_has_a_line_for_joints_that_were_there() -> None:
    plan = made.shopfront()
    kept = replace(plan, joints=(replace(plan.joints[0], existing=True), *plan.joints[1:]))
    assert "CONTROL JOINT DRAWN BEFORE, KEPT" in words(drawn(kept)[0], "legend")
    assert "CONTROL JOINT DRAWN BEFORE, KEPT" not in words(drawn(plan)[0], "legend")
