"""The plate of a wall with a lower wall before it: nothing goes through its face, and it reads as drawn."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

from check_command.bench import check, our_joints
from cli.drawings import Box, add_box, add_text, new_drawing
from cli.harness import perpend

MAIN = (0, 0, 1152, 240)
BEFORE = (300, 0, 780, 144)
BESIDE = (800, 0, 1300, 144)


@pytest.fixture
def settings(tmp_path: Path) -> Path:
    path = tmp_path / "s.toml"
    path.write_text(
        '[defaults]\nmethod = "empirical"\nopenings = "unreinforced"\nhorizontal_reinforcement = "W1.7"\n'
        'joint_type = "preformed-gasket"\n'
    )
    return path


def plate_of(wing: Box, folder: Path, settings: Path) -> Path:
    doc = new_drawing()
    add_box(doc, MAIN, "A-ELEV-WALL")
    add_text(doc, "W1", (600, 200))
    add_box(doc, wing, "A-ELEV-WALL")
    add_text(doc, "W2", (wing[0] + 200, 120))
    x = wing[0] + 100
    for tag, box in (("N1", (x, 40, x + 48, 88)), ("D1", (200, 0, 240, 88))):
        add_box(doc, box, "A-ELEV-OPNG")
        add_text(doc, tag, (box[0] + 16, 60))
    doc.saveas(folder / "w.dxf")
    ending = perpend("annotate", folder / "w.dxf", "-o", folder / "plate.dxf", "--settings", settings)
    assert ending.code == 0, ending.out
    return folder / "plate.dxf"


def paths(drawing: Path) -> list[list[tuple[float, float]]]:
    return [[(x, y) for x, y in joint.get_points("xy")] for joint in our_joints(ezdxf.readfile(drawing))]


@pytest.mark.parametrize("wing", [BEFORE, BESIDE])
def test_a_plate_with_a_wall_in_front_is_read_as_it_was_drawn(
    tmp_path: Path, settings: Path, wing: Box
) -> None:
    plate = plate_of(wing, tmp_path, settings)
    checked = check(plate, settings=settings)
    assert checked.ending.code == 0, checked.ending.out
    assert not any("was drawn for other joints" in remark for remark in checked.results.remarks)
    walls = {wall.tag: [joint.x_in for joint in wall.joints] for wall in checked.results.walls}
    assert sum(map(len, walls.values())) == len(our_joints(ezdxf.readfile(plate)))
    assert all(
        joint.path[-1][1] - joint.path[0][1] == height
        for wall, height in zip(checked.results.walls, (240, 144), strict=True)
        for joint in wall.joints
    )


def test_joints_of_the_wall_behind_stand_on_the_wall_in_front(tmp_path: Path, settings: Path) -> None:
    high = [path for path in paths(plate_of(BESIDE, tmp_path, settings)) if path[-1][1] == 240]
    behind = [path for path in high if path[-1][0] > BESIDE[0]]
    assert behind, "a joint has to come down behind the wing"
    assert [path for path in high if path[0][1] != 0] == behind
    assert all(path == [(path[0][0], 144), (path[0][0], 240)] for path in behind)


def test_steel_of_the_wall_behind_stops_at_the_face_of_the_wall_in_front(
    tmp_path: Path, settings: Path
) -> None:
    doc = ezdxf.readfile(plate_of(BEFORE, tmp_path, settings))
    wires = [e for e in doc.modelspace().query("LINE") if (1000, "kind=bar") in e.get_xdata("PERPEND")]
    low = [tuple(sorted((e.dxf.start.x, e.dxf.end.x))) for e in wires if abs(e.dxf.start.y - 112) < 4]
    sides = {x for ends in low for x in ends}
    assert {0, 300, 780, 1152} <= sides
    assert all(x1 <= 300 or x0 >= 780 or 300 <= x0 < x1 <= 780 for x0, x1 in low), low
