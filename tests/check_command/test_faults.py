"""Known faults give exactly their findings, with place, measured and limit; the proposal cures them.

Sources of the numbers: TEK 10-2C Table 1 (spacing 1.5 H, at most 25'-0"), TEK 10-2B item 6 (half of it at a
corner), module 8 in.; see docs/rules.
"""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest
from ezdxf.document import Drawing

from check_command.bench import JOINTS, SETTINGS, check, others, our_joints, upright, with_proposal
from cli.drawings import add_box, add_text, new_drawing
from outside.annotated import annotated
from perpend import annotate

GOOD = upright(144.0, 432.0, 576.0)
"""60'-0" by 16'-8": 12'-0", 24'-0", 12'-0", 12'-0"; the corners ask for one within 12'-6"."""


def test_joints_of_another_drafter_that_are_right(tmp_path: Path) -> None:
    checked = check(others(tmp_path / "n.dxf", GOOD), "--propose")
    assert checked.ending.code == 0
    assert checked.codes == {"joint-type-missing"}
    (wall,) = checked.results.walls
    assert [j.x_in for j in wall.joints] == [144, 432, 576]
    assert [p.length_in for p in wall.panels] == [144, 288, 144, 144]
    assert {p.change for p in wall.proposed} == {"kept"}


def test_a_joint_of_ours_moved_by_hand_is_found_and_brought_back(tmp_path: Path) -> None:
    """Moved 43 in. to the left: 3 in. off the module, and the panel to the right of it 43 in. longer."""
    drawn = annotated("warehouse-north.dxf")
    (before,) = drawn.results.walls
    index = max(range(len(before.joints) - 1), key=lambda i: before.panels[i + 1].length_in)
    doc = ezdxf.readfile(drawn.output)
    our_joints(doc)[index].translate(-43, 0, 0)
    doc.saveas(tmp_path / "m.dxf")
    checked = check(tmp_path / "m.dxf", "--propose", settings=SETTINGS)
    station, panel = before.joints[index].x_in, before.panels[index + 1]
    assert checked.ending.code == 1
    assert checked.codes == {"panel-too-long", "joint-off-module"}
    long = checked.only("panel-too-long")
    assert (long.measured_in, long.limit_in) == (panel.length_in + 43, panel.limit_in)
    assert [x for x, _ in long.at] == [station - 43, panel.x1_in]
    off = checked.only("joint-off-module")
    assert (off.measured_in, off.at[0][0]) == (3, station - 43)
    changed = [p for p in checked.results.walls[0].proposed if p.change != "kept"]
    assert [p.change for p in changed] == ["moved"]
    assert 0 < changed[0].move_in <= 43, "moving it back is one way; a neighbour may need less"
    assert "1 moved" in checked.ending.out
    cured = check(with_proposal(checked, tmp_path / "m.dxf", tmp_path / "c.dxf"), settings=SETTINGS)
    assert cured.ending.code == 0


def test_the_proposal_moves_a_joint_as_little_as_the_limits_allow(tmp_path: Path) -> None:
    """12'-0", then 27'-7": the second joint goes back to 36'-8", the last module line within 25'-0".

    The first can't come nearer instead: the corner holds it within 12'-6", 6 in. from where it stands.
    """
    checked = check(others(tmp_path / "n.dxf", upright(144.0, 475.0, 576.0)), "--propose")
    assert checked.only("panel-too-long").measured_in == 331
    (moved,) = [p for p in checked.results.walls[0].proposed if p.change != "kept"]
    assert (moved.change, moved.was, moved.x_in, moved.move_in) == ("moved", 2, 440, 35)


def test_a_jamb_joint_deleted_is_missed_and_added_again(tmp_path: Path) -> None:
    drawn = annotated("shopfront-south.dxf")
    (before,) = drawn.results.walls
    jamb = next(j for j in before.joints if "D1" in j.serves)
    doc = ezdxf.readfile(drawn.output)
    doc.modelspace().delete_entity(our_joints(doc)[jamb.number - 1])
    doc.saveas(tmp_path / "m.dxf")
    checked = check(tmp_path / "m.dxf", "--propose", settings=SETTINGS)
    assert {f.code for f in checked.required} == {"opening-without-joint"}
    missing = checked.only("opening-without-joint")
    door = next(o for o in before.openings if o.tag == "D1")
    assert missing.opening == "D1"
    assert missing.at == [(door.x0_in, door.y1_in), (door.x1_in, door.y1_in)]
    changed = [p for p in checked.results.walls[0].proposed if p.change != "kept"]
    assert [p.change for p in changed] == ["added"]
    assert changed[0].x_in in (door.x0_in, door.x1_in)
    assert len(changed[0].path) == 4, "it steps around the lintel"
    cured = check(with_proposal(checked, tmp_path / "m.dxf", tmp_path / "c.dxf"), settings=SETTINGS)
    assert cured.required == []


def test_a_joint_cut_short_by_hand(tmp_path: Path) -> None:
    drawn = annotated("warehouse-north.dxf")
    (before,) = drawn.results.walls
    doc = ezdxf.readfile(drawn.output)
    joint = our_joints(doc)[2]
    (x, y0), (_, y1) = joint.get_points("xy")
    joint.set_points([(x, y0), (x, y1 - 40)], format="xy")
    doc.saveas(tmp_path / "m.dxf")
    checked = check(tmp_path / "m.dxf", "--propose", settings=SETTINGS)
    short = checked.only("joint-stops-short")
    assert (short.measured_in, short.handle) == (40, joint.dxf.handle)
    assert short.at == [(before.joints[2].x_in, before.joints[2].path[-1][1] - 40)]
    changed = [p for p in checked.results.walls[0].proposed if p.change != "kept"]
    assert [(p.change, p.move_in, p.x_in) for p in changed] == [("redrawn", 0, before.joints[2].x_in)]


def test_lines_of_another_drafter_with_several_faults(tmp_path: Path) -> None:
    """Feet at 12'-0", 36'-4" (doubled by one beside it) and 49'-0"; a door that one runs through."""
    joints = (*upright(144.0, 436.0, 438.0), ((588.0, 0.0), (588.0, 200.0)))
    drawing = others(tmp_path / "n.dxf", joints, openings=(("D1", (568, 0, 608, 88)),))
    checked = check(drawing, "--propose")
    assert checked.ending.code == 1
    assert checked.only("joint-through-opening").at == [(588, 44)]
    assert {f.code for f in checked.required} >= {"joint-through-opening"}
    assert checked.results.walls[0].proposed
    cured = check(with_proposal(checked, drawing, tmp_path / "c.dxf"))
    assert cured.required == []


def test_lines_that_are_no_joints_are_told_with_handle_layer_and_place(tmp_path: Path) -> None:
    """A tick at 26'-10 1/2", a joint drawn twice at 36'-0", a line beyond the wall's end at x = 900."""
    lines = (*GOOD, ((320.0, 20.0), (325.0, 20.0)), *upright(432.0, 900.0))
    checked = check(others(tmp_path / "n.dxf", lines))
    places = {(i.kind, i.layer, i.wall, i.x_in, i.at) for i in checked.results.ignored}
    assert places == {
        ("LINE", JOINTS, "N", 322.5, (322.5, 20.0)),
        ("LINE", JOINTS, "N", 432.0, (432.0, 100.0)),
        ("LINE", JOINTS, "", None, (900.0, 100.0)),
    }
    told = " ".join(checked.ending.out.split())
    handles = {i.x_in: i.handle for i in checked.results.ignored}
    assert f"(entity {handles[322.5]} at 26'-10 1/2\" of N)" in told
    assert f"(entity {handles[432.0]} at 36'-0\" of N)" in told
    assert f"it is in no wall (entity {handles[None]} at 900, 100 in the drawing)" in told


def test_lines_that_go_on_past_the_wall_are_told(tmp_path: Path) -> None:
    """1/2 in. and 1 in. are drafting slack; 1'-6" above the top and 2'-6" below the bottom are not."""
    lines = (
        ((144.0, -0.5), (144.0, 201.0)),
        ((432.0, 0.0), (432.0, 218.0)),
        ((576.0, -30.0), (576.0, 200.0)),
    )
    checked = check(others(tmp_path / "n.dxf", lines))
    told = [f for f in checked.results.all_findings if f.code == "joint-runs-past"]
    assert [(f.at, f.measured_in, f.severity) for f in told] == [
        ([(432, 200)], 18, "advisory"),
        ([(576, 0)], 30, "advisory"),
    ]
    assert [f.handle for f in told] == [checked.results.walls[0].joints[n].handle for n in (1, 2)]
    assert checked.ending.code == 0


def test_a_line_through_two_walls_above_each_other_runs_past_neither(tmp_path: Path) -> None:
    """Lower wall 0 to 10'-0", upper wall from there to 20'-0", one line through both."""
    doc = new_drawing()
    doc.layers.add(JOINTS)
    for tag, low in (("LOW", 0.0), ("UP", 120.0)):
        add_box(doc, (0.0, low, 288.0, low + 120.0), "A-ELEV-WALL")
        add_text(doc, tag, (6.0, low + 100.0))
    doc.modelspace().add_line((144.0, 0.0), (144.0, 240.0), dxfattribs={"layer": JOINTS})
    doc.saveas(tmp_path / "n.dxf")
    checked = check(tmp_path / "n.dxf")
    assert [[j.path for j in w.joints] for w in checked.results.walls] == [[[(144, 0), (144, 120)]]] * 2
    assert "joint-runs-past" not in checked.codes


def test_a_drawing_without_joints_is_judged(tmp_path: Path) -> None:
    """60'-0" by 16'-8" with two corners: the panel is 60'-0", 25'-0" is allowed; both corners lack theirs."""
    checked = check(others(tmp_path / "n.dxf", ()), "--propose")
    assert checked.ending.code == 1
    long = checked.only("panel-too-long")
    assert (long.measured_in, long.limit_in) == (720, 300)
    corners = [f for f in checked.required if f.code == "corner-too-far"]
    assert [(f.limit_in, f.at[0][0]) for f in corners] == [(150, 0), (150, 720)]
    assert {p.change for p in checked.results.walls[0].proposed} == {"added"}
    assert checked.results.walls[0].joints == []
    assert "nothing was tested" not in checked.ending.out


@pytest.mark.parametrize("at", [(1234.5, -987.25), (-250000.125, 98765.4321)])
def test_fingerprints_survive_a_shift_and_a_second_run(tmp_path: Path, at: tuple[float, float]) -> None:
    bad = upright(100.0, 436.0)
    first = check(others(tmp_path / "n.dxf", bad))
    shifted = check(others(tmp_path / "s.dxf", bad, at=at))
    again = check(first.output)
    prints = [f.fingerprint for f in first.results.all_findings]
    assert len(set(prints)) == len(prints) >= 3
    assert prints == [f.fingerprint for f in shifted.results.all_findings]
    assert prints == [f.fingerprint for f in again.results.all_findings]


def test_settings_change_what_a_finding_weighs(tmp_path: Path) -> None:
    drawing = others(tmp_path / "n.dxf", upright(144.0, 304.0, 576.0 - 4))
    assert check(drawing).codes >= {"joint-off-module"}
    (tmp_path / "perpend.toml").write_text('[severities]\njoint-off-module = "required"\n', encoding="utf-8")
    strict = check(drawing)
    assert strict.ending.code == 1
    assert {f.code for f in strict.required} == {"joint-off-module"}


def test_a_joint_type_that_the_settings_name(tmp_path: Path) -> None:
    (tmp_path / "perpend.toml").write_text('[defaults]\njoint_type = "formed-paper"\n', encoding="utf-8")
    assert check(others(tmp_path / "n.dxf", GOOD)).codes == set()


def _symbol(doc: Drawing, at: tuple[float, float]) -> None:
    block = doc.blocks.new("CJ-MARK")
    block.add_circle((0, 0), 6)
    block.add_line((-6, 0), (6, 0))
    doc.modelspace().add_blockref("CJ-MARK", at, dxfattribs={"layer": JOINTS})


def test_however_a_joint_is_drawn(tmp_path: Path) -> None:
    """A symbol on the wall's top, dashes, a line that leans by 1/2 in.: as good as GOOD, the lean told."""
    dashes = tuple(((432.0, y), (432.0, min(y + 12.0, 200.0))) for y in range(0, 200, 18))
    drawing = others(tmp_path / "n.dxf", (*dashes, ((576.0, 0.0), (576.5, 200.0))))
    doc = ezdxf.readfile(drawing)
    _symbol(doc, (144, 206))
    doc.saveas(drawing)
    checked = check(drawing)
    assert [j.x_in for j in checked.results.walls[0].joints] == [144, 432, 576]
    assert checked.codes == {"joint-type-missing", "joint-out-of-plumb"}
    leaning = checked.only("joint-out-of-plumb")
    assert (leaning.measured_in, leaning.at, leaning.severity) == (0.5, [(576, 100)], "advisory")


def test_joints_drawn_as_two_lines_or_strips_at_the_full_spacing(tmp_path: Path) -> None:
    """16'-0" high, 24'-0" allowed, 12'-0" at the corners: joints at the limit, 3/8 in. and 3/4 in. wide."""
    (tmp_path / "perpend.toml").write_text('[defaults]\njoint_type = "formed-paper"\n', encoding="utf-8")
    edges = upright(144.0, 144.375, 431.625, 432.0, 1008.0, height=192.0)
    drawing = others(tmp_path / "n.dxf", edges, wall=(1152.0, 192.0))
    doc = ezdxf.readfile(drawing)
    strip = ((719.25, 0), (720, 0), (720, 192), (719.25, 192))
    doc.modelspace().add_lwpolyline(strip, close=True, dxfattribs={"layer": JOINTS})
    doc.saveas(drawing)
    checked = check(drawing, "--propose")
    assert [j.x_in for j in checked.results.walls[0].joints] == [144, 432, 720, 1008]
    assert checked.codes == set()


def test_a_part_of_a_joint_that_is_missing(tmp_path: Path) -> None:
    """Drawn up to 5'-0" and on from 11'-8": 6'-8" of masonry has no joint."""
    parts = (((144.0, 0.0), (144.0, 60.0)), ((144.0, 140.0), (144.0, 200.0)))
    checked = check(others(tmp_path / "n.dxf", (*parts, *upright(432.0, 576.0))), "--propose")
    missing = checked.only("joint-stops-short")
    assert (missing.measured_in, missing.at) == (80, [(144, 60)])
    assert [p.change for p in checked.results.walls[0].proposed] == ["redrawn", "kept", "kept"]
    said = " ".join(checked.ending.out.split())
    assert "Proposed 2 kept, 1 redrawn draw the joint at 12'-0\" anew" in said


def test_a_stepped_joint_of_polylines_and_one_without_its_slip_plane(tmp_path: Path) -> None:
    """Door of 3'-4", unreinforced by the settings: up the jamb, 8 in. under the lintel's bearing, up."""
    settings = (
        '[[openings]]\ntag = "D1"\ntreatment = "unreinforced"\n[defaults]\njoint_type = "formed-paper"\n'
    )
    (tmp_path / "perpend.toml").write_text(settings, encoding="utf-8")
    door = (("D1", (144.0, 0.0, 184.0, 88.0)),)
    step = ((144.0, 0.0), (144.0, 88.0), (136.0, 88.0), (136.0, 200.0))
    good = check(others(tmp_path / "good.dxf", (step, *upright(432.0, 576.0)), openings=door))
    assert good.codes == set()
    (joint, *_) = good.results.walls[0].joints
    assert joint.serves == ["D1"]
    assert [(s.x0_in, s.x1_in, s.y_in) for s in joint.slip_planes] == [(136, 144, 88)]
    straight = check(others(tmp_path / "bad.dxf", upright(144.0, 432.0, 576.0), openings=door), "--propose")
    through = straight.only("joint-through-lintel")
    assert (through.opening, through.at[0][0], through.handle != "") == ("D1", 144, True)
    (redrawn,) = [p for p in straight.results.walls[0].proposed if p.change != "kept"]
    assert (redrawn.change, redrawn.move_in, redrawn.path) == ("redrawn", 0, list(step))


def test_the_plate_of_annotate_names_the_type_of_its_joints(tmp_path: Path) -> None:
    """Without settings too: the plate says which type was taken. A drafter's own lines have none."""
    drawn = annotate(others(tmp_path / "n.dxf", ()), output=tmp_path / "a.dxf")
    (wall,) = drawn.results.walls
    assert len(wall.joints) == 3
    assert check(drawn.output).codes == set()
