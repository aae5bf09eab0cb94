"""What the plate says: notes, schedule, callouts, tags; in letters that TEXT can carry."""

from __future__ import annotations

import re
from dataclasses import replace

import ezdxf
import pytest
from ezdxf.document import Drawing
from shapely.geometry import MultiPoint

from drawing import plans as made
from drawing.seen import entities, said
from perpend.checks.registry import CODES
from perpend.drawing import Content, DraftingReport, DraftingStyle, draw_plans
from perpend.drawing.plate.office_words import short_length, tag_range
from perpend.findings import Finding
from perpend.model import Bar, Cure, EndCondition, Frame, JointChange, WallPlan
from perpend.rulebook import load_rulebook

STYLE = DraftingStyle(
    cautions=made.CAUTION, rulebook_title="us-cmu", rulebook_version="1", generation="perpend 0.1.0"
)


def drawn(
    *plans: WallPlan, findings: tuple[Finding, ...] = (), style: DraftingStyle = STYLE
) -> tuple[Drawing, DraftingReport]:
    doc = ezdxf.new("R2010")
    return doc, draw_plans(doc, plans, findings, style)


def words(doc: Drawing, kind: str) -> list[str]:
    return [" ".join(line.split()) for line in said(doc, kind)]


@pytest.mark.parametrize(
    ("inches", "text"),
    [(0.25, '1/4"'), (0.0, '0"'), (8.5, '8 1/2"'), (12.25, "1'-0 1/4\""), (120.25, "10'-0 1/4\"")],
)
def test_a_length_on_a_callout_has_no_zeros_before_it(inches: float, text: str) -> None:
    assert short_length(inches, "imperial") == text


def notes(doc: Drawing) -> str:
    return " ".join(words(doc, "note"))


def test_the_notes_are_short_and_name_neither_sources_nor_the_program() -> None:
    doc, _ = drawn(made.shopfront())
    lines = notes(doc)
    for phrase in (
        "CONTROL JOINT NOTES",
        "1. CJ = CONTROL JOINT: FORMED PAPER, TYP. U.N.O.",
        "MAX. CJ SPACING 18'-0\" (1.5 H, 25'-0\" MAX.). FIRST CJ NOT MORE THAN 9'-0\" FROM CORNER.",
        'HORIZ. REINF.: 9 GA. (W1.7) JOINT REINF. @ 16" O.C. VERT. OR AS SHOWN ON STRUCT. DWGS; DISCONTINUE',
        "JOINT LAYOUT FOR REVIEW BY ENGINEER OF RECORD.",
    ):
        assert phrase in " ".join(lines.split())
    assert len(re.findall(r"\b\d\. ", lines)) <= 8
    for word in ("TEK", "PERPEND", "US-CMU", "UNVERIFIED", "SOURCE"):
        assert word not in lines
    for entity in entities(doc):
        if entity.dxftype() in ("TEXT", "MTEXT") and doc.layers.get(entity.dxf.layer).dxf.plot:
            assert "PERPEND" not in entity.dxf.text


def test_sources_go_on_a_layer_that_does_not_plot_when_they_are_asked_for() -> None:
    doc, _ = drawn(made.shopfront(), style=replace(STYLE, content=Content(sources=True)))
    basis = " ".join(words(doc, "basis"))
    assert "TEK 10-2C (2010), TABLE 1" in basis
    assert "PERPEND 0.1.0" in basis
    assert doc.layers.get("A-ELEV-JNTC-BASS").dxf.plot == 0
    assert doc.layers.get("A-ELEV-JNTC-NOTE").dxf.plot == 1


def test_the_project_changes_leaves_out_and_adds_notes() -> None:
    content = Content(own_notes={"spacing": "Space joints as shown.", "joints": ""}, more_notes=("More.",))
    doc, _ = drawn(made.shopfront(), style=replace(STYLE, content=content))
    assert "1. SPACE JOINTS AS SHOWN." in notes(doc)
    assert "MORE. JOINT LAYOUT FOR" in notes(doc)
    assert "FORMED PAPER, TYP." not in notes(doc)


@pytest.mark.parametrize("switch", ["steel", "lintels", "dimensions", "schedule", "notes", "legend"])
def test_what_is_switched_off_is_not_drawn(switch: str) -> None:
    kinds = {"steel": "bar", "lintels": "lintel", "dimensions": "dimension", "notes": "note"}
    kind = kinds.get(switch, switch)

    def count(content: Content) -> int:
        return drawn(made.shopfront(), style=replace(STYLE, content=content))[1].entities[kind]

    assert count(Content()) > 0
    assert count(Content(**{switch: False})) == 0


def test_openings_that_share_a_note_are_named_in_ranges() -> None:
    assert tag_range(["N3", "N1", "N2", "N4", "N6", "D1"]) == "D1, N1-N4, N6"
    assert tag_range(["N1", "N2"]) == "N1, N2"
    assert tag_range(["north", "N1"]) == "N1, north"


def test_a_note_that_all_walls_share_is_there_once_and_others_name_their_walls() -> None:
    doc, _ = drawn(made.shopfront(Frame((0, 200))), made.stepped())
    lines = notes(doc)
    assert lines.count("FORMED PAPER") == 1
    assert "W2: MAX. CJ SPACING 18'-0\"" in lines


def test_many_spacings_are_left_to_the_schedule() -> None:
    doc, _ = drawn(made.long_plain(Frame((0, 900))), made.shopfront(Frame((0, 200))), made.stepped())
    assert "MAX. CJ SPACING: SEE WALL SCHEDULE. H = LEAST WALL HEIGHT WITHIN PANEL." in notes(doc)


def test_the_label_is_what_the_project_says() -> None:
    doc, _ = drawn(made.shopfront(), style=replace(STYLE, content=Content(label="MJ")))
    assert words(doc, "tag")[0] == "MJ-1"
    assert words(doc, "joint-schedule")[0] == "MOVEMENT JOINT SCHEDULE"
    assert "MOVEMENT JOINT (MJ)" in words(doc, "legend")


def test_schedule_has_a_row_for_each_wall() -> None:
    doc, _ = drawn(made.long_plain(Frame((0, 900))), made.stepped())
    cells = words(doc, "schedule")
    assert cells[0] == "CMU WALL SCHEDULE"
    row = cells[cells.index("W1") :][:9]
    assert row == ["W1", "EMPIRICAL", "FULL-HEIGHT", "20'-0\"", "25'-0\"", "CAP", "25'-0\"", "12'-6\"", "8"]
    row = cells[cells.index("W3") :][:9]
    assert row == ["W3", "EMPIRICAL", "FULL-HEIGHT", "8'-0\"", "12'-0\"", "1.5 H", "18'-0\"", "6'-0\"", "3"]


@pytest.mark.parametrize(
    ("key", "method", "governed_by"),
    [
        ("us-cmu", "EMPIRICAL", "CAP"),
        ("us-clay", "RECOMMENDED", ""),
        ("en-uk", "", "MATERIAL"),
        ("au-ncc", "", ""),
    ],
)
def test_the_wall_schedule_has_the_words_of_the_rule_book(key: str, method: str, governed_by: str) -> None:
    book = load_rulebook(key)
    content = Content(
        several_methods=len(book.methods) > 1,
        methods_called=book.methods_called,
        cap_called=book.cap_called,
    )
    doc, _ = drawn(made.long_plain(Frame((0, 900))), style=replace(STYLE, content=content))
    cells = words(doc, "schedule")
    row = cells[cells.index("W1") :][:7]
    assert "25'-0\"" in row
    assert ("METHOD" in cells, "EMPIRICAL" in cells) == (bool(method), method == "EMPIRICAL")
    assert ("CAP" in cells) == (governed_by == "CAP")
    assert {method, governed_by} - {""} <= set(row)


def test_the_joint_schedule_has_number_place_type_what_it_serves_and_detail() -> None:
    plan = made.shopfront()
    kept = replace(plan, joints=(replace(plan.joints[0], existing=True), *plan.joints[1:]))
    numbers = {"slip-plane": "6/A-501", "formed-paper": "1/A-501"}
    doc, report = drawn(kept, style=replace(STYLE, content=Content(details=numbers)))
    cells = words(doc, "joint-schedule")
    assert cells[:7] == ["CONTROL JOINT SCHEDULE", "NO.", "LOCATION", "TYPE", "SERVES", "DETAIL", "REMARKS"]
    assert "CJ-1" in cells
    assert "11'-4\" FROM LEFT END" in cells
    assert "AS SHOWN BY ARCHITECT" in cells
    rows = report.schedule.splitlines()
    assert rows[0].split(",")[:4] == ["schedule_wall", "joint", "station_in", "datum"]
    assert rows[1].split(",")[:5] == ["W2", "CJ-1", "136.0", "left end", "136.0"]
    assert len(rows) == 5


def test_tags_name_the_wall_on_a_sheet_of_several() -> None:
    one, _ = drawn(made.shopfront())
    assert words(one, "tag") == ["CJ-1", "CJ-2", "CJ-3", "CJ-4"]
    two, _ = drawn(made.shopfront(), made.stepped(Frame((0, 600))))
    assert words(two, "tag")[:4] == ["CJ W2-1", "CJ W2-2", "CJ W2-3", "CJ W2-4"]


def test_callouts_stand_once_and_typ_where_they_repeat() -> None:
    doc, _ = drawn(made.shopfront())
    said = words(doc, "callout")
    assert said.count('LINTEL, 8" BRG. EA. END;') == 1
    assert said.count("LINTEL, 1'-4\" PAST JAMB EA. END;") == 1
    assert said.count("SEE STRUCT., TYP.") == 1
    assert said.count("SLIP PLANE: BOND BREAKER") == 1
    assert said.count("FULL HEIGHT OF WALL, TYP.") == 1
    assert said.count("CJ TO CJ") == 1


def test_legend_shows_only_what_is_drawn() -> None:
    plain, _ = drawn(made.long_plain())
    assert words(plain, "legend") == ["LEGEND", "CONTROL JOINT (CJ)", "CJ MARK"]
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
    marks = [
        e for e in doc.modelspace().query("LWPOLYLINE") if (1000, "kind=violation") in e.get_xdata("PERPEND")
    ]
    held = MultiPoint([p for mark in marks[:2] for p in mark.get_points("xy")])
    assert held.centroid.coords[0] == pytest.approx((520.0, 72.0))
    assert held.bounds[2] - held.bounds[0] < 4 * 9
    assert {doc.layers.get(mark.dxf.layer).dxf.plot for mark in marks} == {0}


def test_every_letter_is_ascii_and_no_control_code_hides_in_it() -> None:
    wall = made.plan("WÄND %%u", 720.0, 144.0, (made.straight(1, 200.0, 144.0),))
    doc, _ = drawn(wall, made.shopfront(Frame((0, 600))))
    for text in entities(doc):
        if text.dxftype() in ("TEXT", "MTEXT"):
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
    for text in entities(doc):
        if text.dxftype() in ("TEXT", "MTEXT"):
            x, y, _ = text.dxf.insert
            assert -300 < x < 1500
            assert -700 < y < 500
            assert not (x > 1100 and y < -300)


def test_a_sheet_without_room_is_said_and_the_blocks_stand_beside_it() -> None:
    doc = ezdxf.new("R2010")
    doc.modelspace().add_lwpolyline([(-120, -80), (840, -80), (840, 240), (-120, 240)], close=True)
    report = draw_plans(doc, [made.shopfront()], (), STYLE)
    assert any("beside" in remark for remark in report.remarks)
    assert doc.modelspace().query("MTEXT").first.dxf.insert.x > 840


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
    assert "12'-0\" TO 18'-0\" BY PANEL 1.5 H 18'-0\"" in cells
    assert "MAX. CJ SPACING 12'-0\" TO 18'-0\" BY PANEL" in notes(doc)
    assert "H = LEAST WALL HEIGHT WITHIN PANEL" in notes(doc)


def test_the_corner_distance_stands_only_where_there_is_a_corner() -> None:
    free = replace(made.shopfront(), left_end=EndCondition.FREE, right_end=EndCondition.CONTINUES)
    doc, _ = drawn(free)
    assert "CORNER" not in notes(doc)
    assert "9'-0\"" not in words(doc, "schedule")
    doc, _ = drawn(replace(free, left_end=EndCondition.CORNER))
    assert "FIRST CJ NOT MORE THAN 9'-0\" FROM CORNER" in notes(doc)
    assert "9'-0\"" in words(doc, "schedule")


def test_corners_of_unequal_height_have_a_distance_each() -> None:
    plan = made.shopfront()
    first = replace(plan.panels[0], corner_limit_in=144.0)
    doc, _ = drawn(replace(plan, panels=(first, *plan.panels[1:])))
    said = " ".join(words(doc, "note"))
    assert "FIRST CJ NOT MORE THAN 12'-0\" FROM LEFT CORNER AND 9'-0\" FROM RIGHT CORNER." in said
    assert "12'-0\" LEFT, 9'-0\" RIGHT" in " ".join(words(doc, "schedule"))


def test_the_method_note_of_an_engineered_wall_names_the_coefficient() -> None:
    plan = made.shopfront()
    doc, _ = drawn(replace(plan, limits=replace(plan.limits, method="engineered", ccc=0.0015)))
    assert "(CCC = 0.0015 IN./IN.; 1.5 H" in notes(doc)


def test_a_lintel_that_a_neighbor_cuts_is_noted_with_what_is_required() -> None:
    plan = made.shopfront()
    rule = next(rule for rule in plan.openings if rule.lintel is not None)
    assert rule.lintel is not None
    cut = replace(
        rule, bearing_in=16.0, lintel=replace(rule.lintel, bearing_left_in=12.0, bearing_right_in=12.0)
    )
    others = tuple(cut if other is rule else other for other in plan.openings)
    doc, _ = drawn(replace(plan, openings=others))
    wording = "LINTEL EXTENDS 1'-0\" (1'-4\" REQ'D); VERIFY W/ EOR."
    assert f"{rule.opening.tag}: {wording}" in notes(doc), notes(doc)


def test_a_dimension_shows_the_length_alone() -> None:
    plan = made.plan("W6", 480.0, 160.0, (made.straight(1, 240.0, 160.0),))
    doc, _ = drawn(plan, style=replace(STYLE, dimensions="plain"))
    assert words(doc, "dimension") == ["20'-0\"", "20'-0\""]


def test_steel_that_ends_at_a_joint_shows_a_gap_and_none_lies_below_the_foot() -> None:
    bars = (Bar(((8.0, 40.0), (120.0, 40.0)), "horizontal"), Bar(((8.0, -8.0), (60.0, -8.0)), "sill"))
    plan = made.plan("W7", 240.0, 160.0, (made.straight(1, 120.0, 160.0),), bars=bars)
    doc, _ = drawn(plan)
    steel = [e for e in doc.modelspace().query("LINE") if (1000, "kind=bar") in e.get_xdata("PERPEND")]
    assert [(e.dxf.start.x, e.dxf.end.x) for e in steel] == [(8.0, pytest.approx(120.0 - 0.5 * 9.0))]


def test_bars_joint_reinforcement_and_bond_beams_are_told_apart() -> None:
    """Each has a line type and a weight of its own, and a line of the legend."""
    bars = tuple(
        Bar(((8.0, y), (232.0, y)), kind)
        for y, kind in ((16.0, "sill"), (40.0, "horizontal"), (96.0, "bond-beam"))
    )
    doc, _ = drawn(made.plan("W7", 240.0, 160.0, (), bars=bars))
    assert {"REINFORCING BAR", "HORIZ. JOINT REINF.", "BOND BEAM"} <= set(words(doc, "legend"))
    steel = [e for e in doc.modelspace().query("LINE") if (1000, "kind=bar") in e.get_xdata("PERPEND")]
    looks = {e.dxf.start.y: (e.dxf.linetype, e.dxf.lineweight) for e in steel}
    assert looks == {
        16.0: ("BYLAYER", -1),
        40.0: ("HIDDEN", 18),
        96.0: ("DIVIDE", 60),
    }
