"""One elevation drawn in many ways reads the same: walls, openings, joints to 1/64 in."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest

from perpend.model import Frame, Wall
from perpend.reading import read_drawing
from reading import zoo

SIXTY_FOURTH = 1 / 64


def assert_standard(wall: Wall) -> None:
    """Compare with the numbers typed in the zoo."""
    assert wall.tag == "W1"
    assert wall.length_in == pytest.approx(480, abs=SIXTY_FOURTH)
    assert wall.height_in == pytest.approx(144, abs=SIXTY_FOURTH)
    assert [o.tag for o in wall.openings] == ["D1", "N1"]
    for opening, hole in zip(wall.openings, zoo.STANDARD.holes, strict=True):
        box = (opening.box.x0, opening.box.y0, opening.box.x1, opening.box.y1)
        assert box == pytest.approx(hole.box, abs=SIXTY_FOURTH)
        assert not opening.arched
        assert len(opening.outline) == 4
    assert [j.path[0][0] for j in wall.drawn_joints] == pytest.approx([384], abs=SIXTY_FOURTH)
    assert [j.path[-1] for j in wall.drawn_joints] == [pytest.approx((384, 144), abs=SIXTY_FOURTH)]


@pytest.mark.parametrize("way", zoo.WAYS)
def test_the_same_elevation_in_every_way(tmp_path: Path, way: str) -> None:
    drawing = zoo.WAYS[way](tmp_path / "standard.dxf")
    elevation = read_drawing(drawing).elevation
    assert [w.tag for w in elevation.walls] == ["W1"]
    assert_standard(elevation.walls[0])


@pytest.mark.parametrize(
    ("way", "unit", "metric"),
    [
        ("polylines", "in", False),
        ("feet", "ft", False),
        ("millimetres", "mm", True),
        ("centimetres", "cm", True),
        ("metres", "m", True),
        ("guessed inches", "in", False),
        ("guessed feet", "ft", False),
        ("guessed millimetres", "mm", True),
        ("guessed centimetres", "cm", True),
        ("guessed metres", "m", True),
    ],
)
def test_the_unit_is_named_and_says_how_it_is_known(
    tmp_path: Path, way: str, unit: str, metric: bool
) -> None:
    elevation = read_drawing(zoo.WAYS[way](tmp_path / "standard.dxf")).elevation
    assert (elevation.units, elevation.metric) == (unit, metric)
    assert elevation.units_why.startswith("guess: " if way.startswith("guessed") else "header")


@pytest.mark.parametrize("way", ["turned 30", "turned -120 far away in mm", "nested blocks", "far away"])
def test_the_frame_carries_wall_axes_back_to_the_drawing(tmp_path: Path, way: str) -> None:
    """The lower left corner and the left jamb of the door, found again in the drawing by ezdxf alone."""
    import ezdxf
    from ezdxf.disassemble import recursive_decompose

    drawing = zoo.WAYS[way](tmp_path / "standard.dxf")
    wall = read_drawing(drawing).elevation.walls[0]
    space = ezdxf.readfile(drawing).modelspace()
    drawn = [
        (x, y)
        for entity in recursive_decompose(space)
        if entity.dxftype() == "LWPOLYLINE" and entity.dxf.layer in (zoo.WALL, zoo.OPENING)
        for x, y in entity.get_points("xy")
    ]
    for point in ((0, 0), (480, 144), (96, 0), (136, 88), (288, 40)):
        x, y = wall.frame.to_drawing(point)
        nearest = min(((x - u) ** 2 + (y - v) ** 2) ** 0.5 for u, v in drawn)
        assert nearest * wall.frame.inches_per_unit < SIXTY_FOURTH


def test_mended_gaps_are_reported(tmp_path: Path) -> None:
    elevation = read_drawing(zoo.from_lines_with_gaps(tmp_path / "gaps.dxf")).elevation
    (sentence,) = [r for r in elevation.repaired if "gap" in r]
    assert "2 gap(s)" in sentence
    assert "bridged" in sentence


def test_nothing_is_reported_for_a_clean_drawing(tmp_path: Path) -> None:
    elevation = read_drawing(zoo.plain(tmp_path / "clean.dxf")).elevation
    assert elevation.ignored == ()
    assert elevation.repaired == ()


def _bare(wall: Wall) -> Wall:
    """Leave out what has to differ: handles, layers, the frame, and who drew the joint."""
    return dataclasses.replace(
        wall,
        handle="",
        layer="",
        frame=Frame(),
        openings=tuple(dataclasses.replace(o, handle="", layer="") for o in wall.openings),
        drawn_joints=tuple(
            dataclasses.replace(j, handle="", handles=(), layer="") for j in wall.drawn_joints
        ),
    )


@pytest.mark.parametrize("way", [w for w in zoo.WAYS if w != "polylines"])
def test_exactly_the_same_wall_in_every_way(tmp_path: Path, way: str) -> None:
    """Not near, the same: coordinates are rounded to the layout's grain, whatever way they came."""
    (plain,) = read_drawing(zoo.plain(tmp_path / "plain.dxf")).elevation.walls
    (wall,) = read_drawing(zoo.WAYS[way](tmp_path / "other.dxf")).elevation.walls
    assert _bare(wall) == _bare(plain)
