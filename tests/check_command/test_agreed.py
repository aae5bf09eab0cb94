"""What somebody accepted is left as it is by a proposal, whatever else has to change.

A wall of 60'-0" by 16'-8": 25'-0" is allowed, and the first joint within 12'-6" of a corner.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from check_command.bench import Checked, Points, check, others, upright
from check_command.test_alike import accepted
from perpend.report.results_document import ProposedEntry

SHORT: Points = ((616.0, 0.0), (616.0, 150.0))
"""A joint 8'-8" from the right end, of which 4'-2" are missing: something to propose anyway."""
DOOR = (("D1", (400.0, 0.0, 440.0, 88.0)),)


def proposed(drawing: Path, code: str) -> tuple[Checked, list[ProposedEntry]]:
    """Waive the findings of one code, and return the check and what it would change."""
    found = [f for f in check(drawing).results.all_findings if f.code == code]
    assert found, code
    accepted(drawing, *found)
    checked = check(drawing, "--propose")
    assert "joint-stops-short" in {f.code for f in checked.required}
    return checked, [p for p in checked.results.walls[0].proposed if p.change != "kept"]


@pytest.mark.parametrize(
    ("code", "joints"),
    [
        ("panel-too-long", (*upright(144.0, 475.0), SHORT)),
        ("panel-too-long", (*upright(144.0), SHORT)),
        ("corner-too-far", (*upright(168.0, 424.0), SHORT)),
    ],
)
def test_a_panel_that_was_waived_is_not_cut(tmp_path: Path, code: str, joints: tuple[Points, ...]) -> None:
    checked, changes = proposed(others(tmp_path / "n.dxf", joints), code)
    assert {f.code for f in checked.required} == {"joint-stops-short"}
    assert [(p.change, p.x_in) for p in changes] == [("redrawn", 616)]
    assert not [said for said in checked.results.remarks if "no layout satisfies" in said]


def test_a_panel_that_was_not_waived_is_cut_still(tmp_path: Path) -> None:
    """Two panels of 25'-8" and 27'-0", the left one agreed to: a joint comes into the right one only."""
    joints = upright(100.0, 408.0, 732.0)
    drawing = others(tmp_path / "n.dxf", joints, wall=(832.0, 200.0))
    left, _ = sorted(
        (f for f in check(drawing).results.all_findings if f.code == "panel-too-long"), key=lambda f: f.at
    )
    accepted(drawing, left)
    checked = check(drawing, "--propose")
    changes = [p for p in checked.results.walls[0].proposed if p.change != "kept"]
    assert [p.change for p in changes] in (["added"], ["moved"])
    assert all(p.x_in > 408 for p in changes)


def test_an_opening_that_was_waived_gets_no_joint(tmp_path: Path) -> None:
    (tmp_path / "perpend.toml").write_text(
        '[defaults]\njoint_type = "formed-paper"\n[[openings]]\ntag = "D1"\ntreatment = "unreinforced"\n',
        encoding="utf-8",
    )
    joints = (*upright(144.0, 360.0), SHORT)
    checked, changes = proposed(others(tmp_path / "n.dxf", joints, openings=DOOR), "opening-without-joint")
    assert {f.code for f in checked.required} == {"joint-stops-short"}
    assert [(p.change, p.x_in) for p in changes] == [("redrawn", 616)]


def test_a_doubled_joint_that_was_waived_stays_and_so_does_the_one_at_the_jamb(tmp_path: Path) -> None:
    """D1's joint at 20'-0", drawn a second time 4 in. within the door."""
    at_jamb: Points = ((240.0, 0.0), (240.0, 88.0), (248.0, 88.0), (248.0, 200.0))
    twin: Points = tuple((x - 4.0, y) for x, y in at_jamb)
    short: Points = ((440.0, 0.0), (440.0, 150.0))
    door = (("D1", (200.0, 0.0, 240.0, 88.0)),)
    settings = tmp_path / "perpend.toml"
    settings.write_text('[defaults]\nopenings = "unreinforced"\n')
    joints = (*upright(120.0), at_jamb, twin, short)
    drawing = others(tmp_path / "n.dxf", joints, openings=door, wall=(560.0, 200.0))
    checked, changes = proposed(drawing, "joint-doubled")
    assert [(p.change, p.x_in) for p in changes] == [("redrawn", 440)]
    stays = [p.x_in for p in checked.results.walls[0].proposed if p.change == "kept"]
    assert stays == [120.0, 236.0, 240.0]
