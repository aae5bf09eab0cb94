"""Random walls drawn and read again; every rigid motion and unit gives the same walls."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, note, settings
from hypothesis import strategies as st

from perpend.model import Elevation
from perpend.reading import ReadingOptions, read_drawing
from reading import zoo
from reading.zoo import Pen

SIXTY_FOURTH = 1 / 64
QUIET = settings(
    max_examples=60,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
eighths = st.integers(0, 8 * 64).map(lambda n: n / 8)


@st.composite
def faces(draw: st.DrawFn) -> zoo.Face:
    """A wall of one to four bays of different heights, each bay with at most two openings."""
    corners_top: list[zoo.Point] = []
    holes: list[zoo.Hole] = []
    x = 0.0
    for _ in range(draw(st.integers(1, 4))):
        width = 64 + draw(eighths) * 4
        left, right = 120 + draw(eighths), 120 + draw(eighths)
        if draw(st.booleans()):
            right = left
        corners_top += [(x, left), (x + width, right)]
        at = x + 8 + draw(eighths) / 8
        for _ in range(draw(st.integers(0, 2))):
            wide, sill = 16 + draw(eighths) / 2, draw(st.sampled_from([0.0, 0.0, 24.0, 40.125]))
            if at + wide > x + width - 8:
                break
            holes.append(zoo.Hole(f"D{len(holes) + 1}", (at, sill, at + wide, sill + 32 + draw(eighths) / 2)))
            at += wide + 4 + draw(eighths) / 4
        x += width
    rim = [(0.0, 0.0), (x, 0.0), *reversed(corners_top)]
    return zoo.Face("W1", tuple(rim), tuple(holes))


def drawn(face: zoo.Face, folder: Path, **pen: object) -> Elevation:
    drawing = Pen(**pen)  # type: ignore[arg-type]
    drawing.loop(face.corners, zoo.WALL)
    for hole in face.holes:
        drawing.box(hole.box)
        x0, y0, x1, y1 = hole.box
        drawing.text(hole.tag, ((x0 + x1) / 2, (y0 + y1) / 2), height=2)
    drawing.text(face.tag, (4, 4), height=2)
    unit = drawing.unit if drawing.version == "R12" else None  # R12 has no unit in its header
    options = ReadingOptions(units_of_drawing=unit)
    return read_drawing(drawing.save(folder / "drawing.dxf"), options).elevation


def profile_at(face: zoo.Face, x: float) -> tuple[float, float]:
    """Height of the drawn top left and right of a station, straight from its corners."""
    top = list(reversed(face.corners[2:]))
    bays = list(zip(top[::2], top[1::2], strict=True))
    left = next(
        a[1] + (b[1] - a[1]) * (x - a[0]) / (b[0] - a[0]) for a, b in bays if a[0] < x <= b[0] or x == 0
    )
    right = next(
        a[1] + (b[1] - a[1]) * (x - a[0]) / (b[0] - a[0])
        for a, b in reversed(bays)
        if a[0] <= x < b[0] or x == b[0]
    )
    return left, right


def assert_same(elevation: Elevation, face: zoo.Face) -> None:
    (wall,) = elevation.walls
    length = face.corners[1][0]
    assert wall.tag == face.tag
    assert wall.length_in == pytest.approx(length, abs=SIXTY_FOURTH)
    found = [(o.box.x0, o.box.y0, o.box.x1, o.box.y1) for o in wall.openings]
    expected = sorted(h.box for h in face.holes)
    assert found == [pytest.approx(box, abs=SIXTY_FOURTH) for box in expected]
    assert [o.tag for o in wall.openings] == [h.tag for h in sorted(face.holes, key=lambda h: h.box)]
    for x, _ in face.corners[2:]:
        for station in (x - 1, x + 1):
            if 0 < station < length:
                assert wall.top.at(station)[0] == pytest.approx(
                    profile_at(face, station)[0], abs=2 * SIXTY_FOURTH
                )
    assert wall.bottom.is_level


@QUIET
@given(face=faces())
def test_what_is_drawn_is_read(face: zoo.Face, tmp_path: Path) -> None:
    assert_same(drawn(face, tmp_path), face)


@QUIET
@given(
    face=faces(),
    angle=st.one_of(st.just(0.0), st.sampled_from([90.0, 180.0, -90.0]), st.floats(-180, 180)),
    unit=st.sampled_from(["in", "ft", "mm", "cm", "m"]),
    x=st.floats(-1e5, 1e5),
    y=st.floats(-1e5, 1e5),
    version=st.sampled_from(["R12", "R2000", "R2018"]),
)
def test_every_rigid_motion_and_unit(
    face: zoo.Face, angle: float, unit: str, x: float, y: float, version: str, tmp_path: Path
) -> None:
    elevation = drawn(face, tmp_path, angle=angle, unit=unit, origin=(x, y), version=version)
    note(f"{elevation.units_why}; {elevation.repaired}")
    assert_same(elevation, face)
    frame = elevation.walls[0].frame
    turn = (frame.angle_rad - math.radians(angle)) % math.tau
    assert min(turn, math.tau - turn) < 1e-4
    assert frame.to_drawing((0, 0)) == pytest.approx((x, y), abs=SIXTY_FOURTH / zoo.INCHES[unit])


@QUIET
@given(face=faces(), unit=st.sampled_from(["in", "mm", "m"]))
def test_the_frame_carries_both_ways(face: zoo.Face, unit: str, tmp_path: Path) -> None:
    (wall,) = drawn(face, tmp_path, unit=unit, angle=12.5, origin=(300, 40)).walls
    for opening in wall.openings:
        for point in opening.outline:
            there = wall.frame.to_drawing(point)
            assert wall.frame.to_wall(there) == pytest.approx(point, abs=1e-6)
