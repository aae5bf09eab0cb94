"""What the plate holds: entities, places, layers and marks, read back from the document."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
from ezdxf.document import Drawing

from drawing import plans as made
from drawing.referee import overlaps
from drawing.seen import entities
from perpend.drawing.page.drafting_style import DraftingStyle
from perpend.drawing.plate.draw_plate import draw_plans
from perpend.dxf.xdata import APPLICATION
from perpend.model import Box, Frame, Opening, Profile, WallPlan

STYLE = DraftingStyle(cautions=made.CAUTION, rulebook_title="us-cmu", rulebook_version="1")


def drawn(*plans: WallPlan, style: DraftingStyle = STYLE) -> Drawing:
    doc = ezdxf.new("R2010")
    draw_plans(doc, plans, (), style)
    return doc


def kinds(doc: Drawing, kind: str) -> list[object]:
    return [e for e in entities(doc) if (1000, f"kind={kind}") in e.get_xdata(APPLICATION)]


def test_each_joint_is_one_polyline_along_its_path() -> None:
    doc = drawn(made.shopfront())
    joints = kinds(doc, "joint")
    assert [e.dxftype() for e in joints] == ["LWPOLYLINE"] * 4
    assert [tuple(p) for p in joints[0].get_points("xy")] == [(136, 0), (136, 88), (144, 88), (144, 144)]
    assert {e.dxf.layer for e in joints} == {"A-ELEV-JNTC"}


def behind(*tops: Profile) -> WallPlan:
    plan = made.shopfront()
    return replace(plan, wall=replace(plan.wall, fronts=tops))


def test_a_joint_behind_a_lower_wall_is_drawn_from_the_edge_of_that_on() -> None:
    doc = drawn(behind(Profile.level(100, -40, 160)))
    joints = [[tuple(p) for p in e.get_points("xy")] for e in kinds(doc, "joint")]
    assert joints[0] == [(144, 100), (144, 144)]
    assert joints[3] == [(640, 0), (640, 144)]
    numbers = [e.get_xdata(APPLICATION)[1].value for e in kinds(doc, "slip-plane")]
    assert numbers == ["number=W2-2", "number=W2-3"], "that of W2-1 is hidden"


def test_a_joint_that_steps_out_from_behind_a_lower_wall_is_drawn_whole() -> None:
    doc = drawn(behind(Profile.level(100, -40, 140)))
    first = kinds(doc, "joint")[0]
    assert [tuple(p) for p in first.get_points("xy")] == [(136, 0), (136, 88), (144, 88), (144, 144)]


def test_steel_behind_a_lower_wall_is_not_drawn() -> None:
    sill = {tuple(sorted((e.dxf.start.x, e.dxf.end.x))) for e in kinds(drawn(behind()), "bar")}
    assert (404.5, 635.5) in sill
    cut = {
        tuple(sorted((e.dxf.start.x, e.dxf.end.x)))
        for e in kinds(drawn(behind(Profile.level(100, 500, 560))), "bar")
    }
    assert {(404.5, 500), (560, 635.5)} <= cut
    assert (404.5, 635.5) not in cut


def test_a_turned_wall_in_millimetres_carries_its_joints_along() -> None:
    """The wall's own axes, turned by hand: 136 in. along a wall at 30 degrees, origin at (1000, 500) mm."""
    frame = Frame((1000.0, 500.0), math.radians(30), 1 / 25.4)
    doc = drawn(made.shopfront(frame), style=DraftingStyle(inches_per_unit=1 / 25.4))
    foot = kinds(doc, "joint")[0].get_points("xy")[0]
    run = 136 * 25.4
    assert foot == pytest.approx((1000 + run * math.cos(math.pi / 6), 500 + run * math.sin(math.pi / 6)))
    tag = kinds(doc, "tag")[0]
    assert tag.dxf.rotation == pytest.approx(30)
    assert tag.dxf.height == pytest.approx(9 * 25.4)


def test_everything_is_ours_by_layer_and_by_xdata(tmp_path: Path) -> None:
    doc = drawn(made.long_plain(), made.shopfront(Frame((0, 600))))
    target = tmp_path / "plate.dxf"
    doc.saveas(target)
    again = ezdxf.readfile(target)
    for entity in again.modelspace():
        assert entity.dxf.layer.startswith("A-ELEV-JNTC")
        assert entity.dxf.color == 256
        assert entity.dxf.linetype.upper() == "BYLAYER"
        assert (1000, "version=2") in entity.get_xdata(APPLICATION)
        assert entity.dxftype() in {"LINE", "LWPOLYLINE", "TEXT", "DIMENSION", "MTEXT", "INSERT"}
    assert not again.audit().errors


@pytest.mark.parametrize("degrees", [0, 30, 90, 135, 180, 250, 300])
def test_texts_are_readable_and_lines_follow_each_other_downwards(degrees: int) -> None:
    """Every text reads from the left or from the right-hand side; note 2 stands below note 1."""
    doc = drawn(made.shopfront(Frame((0.0, 0.0), math.radians(degrees))))
    texts = [e for e in entities(doc) if e.dxftype() in ("TEXT", "MTEXT")]
    for text in texts:
        assert -90.001 <= math.remainder(text.dxf.rotation, 360) <= 90.001
    cells = {t.dxf.text: t for t in texts if t.dxf.layer.endswith("-SCHD")}
    first, second = cells["CJ-1"], cells["CJ-2"]
    turn = math.radians(first.dxf.rotation)
    step = second.dxf.insert - first.dxf.insert
    along, down = (
        step.x * math.cos(turn) + step.y * math.sin(turn),
        step.x * math.sin(turn) - step.y * math.cos(turn),
    )
    assert along == pytest.approx(0.0, abs=1e-6)
    assert down > 9.0
    assert overlaps(doc) == []


def test_no_label_lies_over_a_door_that_stands_higher_than_its_wall() -> None:
    """A wainscot 56 in. high with a door of 88 in.: the wall's opening ends at 56, the drawing's does not."""
    doc = ezdxf.new("R2010")
    ring = [(100, 0), (140, 0), (140, 88), (100, 88)]
    door = doc.modelspace().add_lwpolyline(ring, close=True, dxfattribs={"layer": "A-ELEV-OPNG"})
    opening = Opening("D5", door.dxf.handle, Box(100.0, 0.0, 140.0, 56.0))
    rule = replace(made.unreinforced(opening, 1), lintel=None)
    joints = (made.straight(1, 100.0, 56.0), made.straight(2, 180.0, 56.0))
    draw_plans(doc, [made.plan("W5", 240.0, 56.0, joints, rules=(rule,))], (), STYLE)
    assert overlaps(doc) == []
