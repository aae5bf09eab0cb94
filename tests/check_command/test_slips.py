"""Joints of annotated samples that a drafter's hand shifted a little: one slip, one finding, its own cure.

Stations of the samples: docs/samples.md. D1 and N2 of W2 stand at 20'-0" and 54'-0"; W4 ends at 34'-8" where
W3 begins, and W3 steps up at 32'-0".
"""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

from check_command.bench import SETTINGS, Checked, check, our_joints
from outside.annotated import annotated
from perpend.report.results_document import WallEntry

QUARTER = 0.25
AS_IT_STANDS = {"width-on-boundary"}
"""Advice on the sample without any slip."""


def slipped(name: str, number: int, by: float, tmp_path: Path, *, points: range | None = None) -> Checked:
    """Shift a joint of an annotated sample, or some points of it, and check that."""
    doc = ezdxf.readfile(annotated(name).output)
    joint = our_joints(doc)[number]
    moved = [
        (x + by if points is None or n in points else x, y) for n, (x, y) in enumerate(joint.get_points("xy"))
    ]
    joint.set_points(moved, format="xy")
    doc.saveas(tmp_path / "m.dxf")
    return check(tmp_path / "m.dxf", "--propose", settings=SETTINGS)


def by_tag(checked: Checked) -> dict[str, WallEntry]:
    return {wall.tag: wall for wall in checked.results.walls}


@pytest.mark.parametrize("by", [QUARTER, -QUARTER, 0.5, -1.0])
@pytest.mark.parametrize(
    ("number", "jamb", "opening"), [(1, 240.0, "D1"), (3, 648.0, "N2"), (4, 744.0, "N2")]
)
def test_a_stepped_joint_beside_its_jamb(
    tmp_path: Path, number: int, jamb: float, opening: str, by: float
) -> None:
    checked = slipped("shopfront-south.dxf", number, by, tmp_path)
    assert checked.codes - AS_IT_STANDS == {"joint-off-place"}
    off = checked.only("joint-off-place")
    assert (off.measured_in, off.opening, off.at[0][0]) == (abs(by), opening, jamb + by)
    (moved,) = [p for p in checked.results.walls[0].proposed if p.change != "kept"]
    assert (moved.change, moved.x_in, moved.move_in) == ("moved", jamb, abs(by))


@pytest.mark.parametrize("by", [QUARTER, -QUARTER])
@pytest.mark.parametrize(("point", "station"), [(0, 240.0), (1, 240.0), (2, 232.0), (3, 232.0)])
def test_a_leg_of_a_stepped_joint_that_leans(tmp_path: Path, point: int, station: float, by: float) -> None:
    """Points of D1's joint: foot, jamb at the head, lintel's end, top of the wall."""
    checked = slipped("shopfront-south.dxf", 1, by, tmp_path, points=range(point, point + 1))
    assert checked.codes - AS_IT_STANDS == {"joint-out-of-plumb"}
    lean = checked.only("joint-out-of-plumb")
    assert (lean.measured_in, lean.at[0][0], lean.severity) == (QUARTER, station, "advisory")


@pytest.mark.parametrize("by", [QUARTER, -QUARTER, 0.75, -1.0])
def test_the_joint_between_two_walls_is_told_once(tmp_path: Path, by: float) -> None:
    checked = slipped("stepped-east.dxf", 2, by, tmp_path)
    assert checked.codes == {"joint-off-place"}
    off = checked.only("joint-off-place")
    assert (off.measured_in, off.at[0][0]) == (abs(by), 416 + by)
    assert off in by_tag(checked)["W4"].findings
    changed = {tag: [p for p in w.proposed if p.change != "kept"] for tag, w in by_tag(checked).items()}
    assert [(p.change, p.x_in, p.move_in) for p in changed["W4"]] == [("moved", 416, abs(by))]
    assert changed["W3"] == []


@pytest.mark.parametrize("by", [QUARTER, -QUARTER])
def test_the_joint_at_a_change_of_height(tmp_path: Path, by: float) -> None:
    """It is as high as the lower part of the wall, as it was, and stops short of nothing."""
    checked = slipped("stepped-east.dxf", 4, by, tmp_path)
    assert checked.codes == {"joint-off-place"}
    off = checked.only("joint-off-place")
    assert (off.measured_in, off.at[0][0]) == (QUARTER, 384 + by)
    assert off in by_tag(checked)["W3"].findings
