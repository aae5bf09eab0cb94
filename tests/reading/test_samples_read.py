"""The sample drawings read as their scenario says: every wall and opening, its tag and its place."""

from __future__ import annotations

from pathlib import Path

import pytest

from perpend.model import EndCondition
from perpend.reading import read_drawing
from samples import scenario

FOLDER = Path(__file__).parents[2] / "sample_drawings"


@pytest.mark.parametrize("sheet", scenario.SHEETS, ids=lambda s: s.file)
def test_a_sheet_reads_as_its_scenario_says(sheet: scenario.Sheet) -> None:
    elevation = read_drawing(FOLDER / sheet.file).elevation
    runs = [wall for wall in elevation.walls if wall.part_of]
    assert (elevation.units, elevation.ignored, bool(elevation.repaired)) == ("in", (), bool(runs))
    drawn = {wall.tag: wall for view in sheet.views for wall in view.walls}
    found = {wall.tag: wall for wall in elevation.walls if not wall.part_of}
    assert found.keys() | {run.part_of for run in runs} == drawn.keys()
    for tag in {run.part_of for run in runs}:
        length = drawn[tag].top[-1][0] - drawn[tag].top[0][0]
        doors = sum(o.width for o in drawn[tag].openings if o.sill == 0)
        own = [run for run in runs if run.part_of == tag]
        assert sum(run.length_in for run in own) + doors == length
        assert sum(len(run.openings) for run in own) == sum(o.sill > 0 for o in drawn[tag].openings)
    for tag, wall in found.items():
        expected = drawn[tag]
        assert wall.length_in == expected.top[-1][0] - expected.top[0][0]
        assert wall.top.points == tuple((float(x), float(y)) for x, y in expected.top)
        assert [(o.tag, o.box.x0, o.box.y0, o.box.width, o.box.height) for o in wall.openings] == [
            (o.tag, o.x, o.sill, o.width, o.height)
            for o in sorted(expected.openings, key=lambda o: (o.x, o.sill))
        ]
        assert wall.drawn_joints == ()


def test_the_low_wing_meets_the_high_wall_at_a_joint() -> None:
    walls = {w.tag: w for w in read_drawing(FOLDER / "stepped-east.dxf").elevation.walls}
    assert (walls["W4"].right_end, walls["W3"].left_end) == (EndCondition.JOINT, EndCondition.JOINT)
    assert (walls["W4"].left_end, walls["W3"].right_end) == (None, None)
