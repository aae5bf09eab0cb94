"""Shapes: wall tops and bottoms, openings of every form, in numbers typed here."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from perpend.errors import InputError
from perpend.model import Elevation, Opening, Profile, Wall
from perpend.reading import ReadingOptions, read_drawing
from reading import zoo
from reading.zoo import OPENING, WALL, Pen

SIXTY_FOURTH = 1 / 64


def read(pen: Pen, folder: Path) -> Elevation:
    return read_drawing(pen.save(folder / "drawing.dxf")).elevation


def one_wall(pen: Pen, folder: Path) -> Wall:
    (wall,) = read(pen, folder).walls
    return wall


def one_opening(pen: Pen, folder: Path) -> Opening:
    (opening,) = one_wall(pen, folder).openings
    return opening


def near(points: tuple[tuple[float, float], ...]) -> object:
    return [pytest.approx(p, abs=SIXTY_FOURTH) for p in points]


def box_of(opening: Opening) -> tuple[float, float, float, float]:
    return (opening.box.x0, opening.box.y0, opening.box.x1, opening.box.y1)


WALLS = {
    "stepped top": (
        [(0, 0), (600, 0), (600, 240), (300, 240), (300, 144), (0, 144)],
        ((0, 144), (300, 144), (300, 240), (600, 240)),
        ((0, 0), (600, 0)),
        144,
    ),
    "gable": (
        [(0, 0), (480, 0), (480, 120), (240, 240), (0, 120)],
        ((0, 120), (240, 240), (480, 120)),
        ((0, 0), (480, 0)),
        120,
    ),
    "gable without eaves": (
        [(0, 0), (480, 0), (240, 240)],
        ((0, 0), (240, 240), (480, 0)),
        ((0, 0), (480, 0)),
        0,
    ),
    "shed": ([(0, 0), (480, 0), (480, 192), (0, 96)], ((0, 96), (480, 192)), ((0, 0), (480, 0)), 96),
    "stepped bottom": (
        [(0, 24), (200, 24), (200, 0), (480, 0), (480, 144), (0, 144)],
        ((0, 144), (480, 144)),
        ((0, 24), (200, 24), (200, 0), (480, 0)),
        120,
    ),
    "sloping grade": (
        [(0, 0), (480, 24), (480, 144), (0, 144)],
        ((0, 144), (480, 144)),
        ((0, 0), (480, 24)),
        120,
    ),
    "parallelogram": (
        [(0, 0), (480, 48), (480, 168), (0, 120)],
        ((0, 120), (480, 168)),
        ((0, 0), (480, 48)),
        120,
    ),
    "parapet in the middle": (
        [(0, 0), (600, 0), (600, 120), (400, 120), (400, 168), (200, 168), (200, 120), (0, 120)],
        ((0, 120), (200, 120), (200, 168), (400, 168), (400, 120), (600, 120)),
        ((0, 0), (600, 0)),
        120,
    ),
    "doubled and straight corners": (
        [
            (0, 0),
            (0, 0),
            (100, 0),
            (480, 0),
            (480, 50),
            (480, 144),
            (480, 144),
            (240, 144),
            (0, 144),
            (0, 72),
        ],
        ((0, 144), (480, 144)),
        ((0, 0), (480, 0)),
        144,
    ),
    "spike": (
        [(0, 0), (480, 0), (480, 144), (300, 144), (300, 200), (300, 144), (0, 144)],
        ((0, 144), (480, 144)),
        ((0, 0), (480, 0)),
        144,
    ),
    "corners a hair off": (
        [(0.004, 0), (480, -0.003), (480.005, 144.002), (-0.003, 144)],
        ((0, 144), (480, 144)),
        ((0, 0), (480, 0)),
        144,
    ),
}


@pytest.mark.parametrize("turn", [0.0, 20.0, -90.0])
@pytest.mark.parametrize("shape", WALLS)
@pytest.mark.parametrize("clockwise", [False, True])
def test_edges_of_a_wall(tmp_path: Path, shape: str, turn: float, clockwise: bool) -> None:
    corners, top, bottom, height = WALLS[shape]
    pen = Pen(angle=turn, origin=(700, -300))
    pen.loop(reversed(corners) if clockwise else corners, WALL)
    pen.text("W9", (240, 60))
    wall = one_wall(pen, tmp_path)
    assert list(wall.top.points) == near(top)
    assert list(wall.bottom.points) == near(bottom)
    assert wall.height_in == pytest.approx(height, abs=2 * SIXTY_FOURTH)
    assert wall.length_in == pytest.approx(bottom[-1][0], abs=SIXTY_FOURTH)


def test_a_curved_parapet_keeps_its_crown(tmp_path: Path) -> None:
    """A segment 240 wide that rises 30: bulge 2 · rise / chord."""
    pen = Pen()
    corners = [(0, 0, 0), (480, 0, 0), (480, 120, 0), (360, 120, 2 * 30 / 240), (120, 120, 0), (0, 120, 0)]
    pen.space.add_lwpolyline(corners, format="xyb", close=True, dxfattribs={"layer": WALL})
    wall = one_wall(pen, tmp_path)
    assert max(y for _, y in wall.top.points) == pytest.approx(150, abs=SIXTY_FOURTH)
    assert wall.height_in == pytest.approx(120, abs=SIXTY_FOURTH)
    radius = (120**2 + 30**2) / (2 * 30)
    for x in (150, 200, 330):
        on_arc = 150 - radius + math.sqrt(radius**2 - (x - 240) ** 2)
        assert wall.top.at(x)[0] == pytest.approx(on_arc, abs=0.05)


def test_a_wall_of_lines_and_an_arc(tmp_path: Path) -> None:
    pen = Pen()
    for a, b in (((0, 0), (240, 0)), ((240, 0), (240, 96)), ((0, 96), (0, 0))):
        pen.line(a, b, WALL)
    pen.space.add_arc((120, 96), 120, 0, 180, dxfattribs={"layer": WALL})
    wall = one_wall(pen, tmp_path)
    assert wall.length_in == 240
    assert max(y for _, y in wall.top.points) == pytest.approx(216, abs=SIXTY_FOURTH)


def test_a_doorway_in_the_outline_is_an_opening(tmp_path: Path) -> None:
    pen = Pen()
    pen.loop([(0, 0), (96, 0), (96, 88), (136, 88), (136, 0), (480, 0), (480, 144), (0, 144)], WALL)
    elevation = read(pen, tmp_path)
    (wall,) = elevation.walls
    assert [box_of(o) for o in wall.openings] == [(96, 0, 136, 88)]
    assert wall.bottom == Profile(((0, 0), (480, 0)))
    assert any("goes around a doorway 3'-4\" wide" in r for r in elevation.repaired)


def test_a_doorway_in_the_outline_that_is_drawn_as_opening_too(tmp_path: Path) -> None:
    pen = Pen()
    pen.loop([(0, 0), (96, 0), (96, 88), (136, 88), (136, 0), (480, 0), (480, 144), (0, 144)], WALL)
    pen.box((96, 0, 136, 88))
    opening = one_opening(pen, tmp_path)
    assert box_of(opening) == (96, 0, 136, 88)
    assert opening.layer == OPENING


def test_a_low_recess_of_the_bottom_stays_a_step(tmp_path: Path) -> None:
    pen = Pen()
    pen.loop([(0, 0), (96, 0), (96, 16), (136, 16), (136, 0), (480, 0), (480, 144), (0, 144)], WALL)
    wall = one_wall(pen, tmp_path)
    assert wall.openings == ()
    assert wall.height_in == 128


def test_holes_of_a_hatch_are_openings(tmp_path: Path) -> None:
    pen = Pen()
    hatch = pen.space.add_hatch(dxfattribs={"layer": WALL})
    hatch.paths.add_polyline_path(zoo.STANDARD.corners, is_closed=True)
    hatch.paths.add_polyline_path(zoo.corners_of((240, 40, 288, 88)), is_closed=True, flags=16)
    edges = hatch.paths.add_edge_path(flags=16)
    for a, b in (((96, 0), (136, 0)), ((136, 0), (136, 88)), ((136, 88), (96, 88)), ((96, 88), (96, 0))):
        edges.add_line(a, b)
    wall = one_wall(pen, tmp_path)
    assert [box_of(o) for o in wall.openings] == [(96, 0, 136, 88), (240, 40, 288, 88)]


@pytest.mark.parametrize("ccw", [True, False])
def test_a_hatch_bounded_by_lines_and_arcs(tmp_path: Path, ccw: bool) -> None:
    """A wall 240 × 96 with a round top: edges in either direction."""
    pen = Pen()
    hatch = pen.space.add_hatch(dxfattribs={"layer": WALL})
    path = hatch.paths.add_edge_path()
    if ccw:
        path.add_line((0, 0), (240, 0))
        path.add_line((240, 0), (240, 96))
        path.add_arc((120, 96), 120, 0, 180, ccw=True)
        path.add_line((0, 96), (0, 0))
    else:
        path.add_line((0, 0), (0, 96))
        path.add_arc((120, 96), 120, 0, 180, ccw=False)
        path.add_line((240, 96), (240, 0))
        path.add_line((240, 0), (0, 0))
    wall = one_wall(pen, tmp_path)
    assert wall.length_in == 240
    assert max(y for _, y in wall.top.points) == pytest.approx(216, abs=SIXTY_FOURTH)
    assert wall.top.at(60)[0] == pytest.approx(96 + math.sqrt(120**2 - 60**2), abs=0.05)


def test_a_hatch_bounded_by_an_ellipse_and_one_by_a_spline(tmp_path: Path) -> None:
    pen = Pen()
    pen.loop(zoo.STANDARD.corners, WALL)
    oval = pen.space.add_hatch(dxfattribs={"layer": OPENING}).paths.add_edge_path()
    oval.add_ellipse((100, 80), (40, 0), 0.5, 0, 360)
    free = pen.space.add_hatch(dxfattribs={"layer": OPENING}).paths.add_edge_path()
    points = [(200, 60), (280, 60), (280, 100), (200, 100), (200, 60)]
    free.add_spline(control_points=points, degree=1, knot_values=[0, 0, 1, 2, 3, 4, 4])
    boxes = [box_of(o) for o in one_wall(pen, tmp_path).openings]
    assert boxes[0] == pytest.approx((60, 60, 140, 100), abs=SIXTY_FOURTH)
    assert boxes[1] == pytest.approx((200, 60, 280, 100), abs=SIXTY_FOURTH)


class TestOpenings:
    @pytest.fixture
    def pen(self) -> Pen:
        pen = Pen()
        pen.loop(zoo.STANDARD.corners, WALL)
        return pen

    def test_round_head(self, pen: Pen, tmp_path: Path) -> None:
        rows = [(100, 0, 0), (140, 0, 0), (140, 80, 1), (100, 80, 0)]
        pen.space.add_lwpolyline(rows, format="xyb", close=True, dxfattribs={"layer": OPENING})
        opening = one_opening(pen, tmp_path)
        assert box_of(opening) == pytest.approx((100, 0, 140, 100), abs=SIXTY_FOURTH)
        assert opening.arched
        assert len(opening.outline) > 20

    def test_segmental_head_of_lines_and_an_arc(self, pen: Pen, tmp_path: Path) -> None:
        """48 wide, rise 8: radius (24² + 8²) / 16 = 40, centre 32 below the crown's springing line."""
        for a, b in (((100, 0), (148, 0)), ((148, 0), (148, 72)), ((100, 72), (100, 0))):
            pen.line(a, b, OPENING)
        half = math.degrees(math.asin(24 / 40))
        pen.space.add_arc((124, 40), 40, 90 - half, 90 + half, dxfattribs={"layer": OPENING})
        opening = one_opening(pen, tmp_path)
        assert box_of(opening) == pytest.approx((100, 0, 148, 80), abs=SIXTY_FOURTH)
        assert opening.arched

    def test_sloped_head(self, pen: Pen, tmp_path: Path) -> None:
        pen.loop([(100, 40), (148, 40), (148, 88), (100, 64)], OPENING)
        opening = one_opening(pen, tmp_path)
        assert box_of(opening) == (100, 40, 148, 88)
        assert opening.arched

    def test_circle(self, pen: Pen, tmp_path: Path) -> None:
        pen.space.add_circle((200, 80), 24, dxfattribs={"layer": OPENING})
        opening = one_opening(pen, tmp_path)
        assert box_of(opening) == pytest.approx((176, 56, 224, 104), abs=SIXTY_FOURTH)
        assert opening.arched

    def test_ellipse(self, pen: Pen, tmp_path: Path) -> None:
        pen.space.add_ellipse((200, 80), (40, 0), 0.5, dxfattribs={"layer": OPENING})
        assert box_of(one_opening(pen, tmp_path)) == pytest.approx((160, 60, 240, 100), abs=SIXTY_FOURTH)

    def test_closed_spline(self, pen: Pen, tmp_path: Path) -> None:
        """A spline of degree 1 is its control polygon: a check that needs no formula."""
        spline = pen.space.add_spline(degree=1, dxfattribs={"layer": OPENING})
        spline.control_points = [(160, 60), (240, 60), (240, 100), (160, 100), (160, 60)]
        spline.knots = [0, 0, 1, 2, 3, 4, 4]
        assert box_of(one_opening(pen, tmp_path)) == pytest.approx((160, 60, 240, 100), abs=SIXTY_FOURTH)

    def test_an_l_shaped_opening_keeps_its_box(self, pen: Pen, tmp_path: Path) -> None:
        """A door with a sidelight: level head, two sills."""
        pen.loop([(100, 0), (140, 0), (140, 40), (180, 40), (180, 88), (100, 88)], OPENING)
        opening = one_opening(pen, tmp_path)
        assert box_of(opening) == (100, 0, 180, 88)
        assert not opening.arched
        assert len(opening.outline) == 6

    def test_glazing_bars_are_no_openings(self, pen: Pen, tmp_path: Path) -> None:
        pen.lines(zoo.corners_of((100, 40, 160, 88)), OPENING)
        pen.line((130, 40), (130, 88), OPENING)
        pen.line((100, 64), (160, 64), OPENING)
        assert box_of(one_opening(pen, tmp_path)) == (100, 40, 160, 88)

    def test_panes_and_leaves_inside_are_details(self, pen: Pen, tmp_path: Path) -> None:
        pen.box((100, 0, 180, 88))
        pen.box((102, 2, 139, 86))
        pen.box((141, 2, 178, 86))
        pen.line((102, 2), (139, 44), OPENING)
        elevation = read(pen, tmp_path)
        assert [box_of(o) for o in elevation.walls[0].openings] == [(100, 0, 180, 88)]
        assert sum("inside opening" in i.words for i in elevation.ignored) == 2
        assert sum("line inside an opening" in i.words for i in elevation.ignored) == 1

    def test_lights_side_by_side_are_one_opening(self, pen: Pen, tmp_path: Path) -> None:
        for x in (100, 140, 180):
            pen.box((x, 40, x + 40, 88))
        elevation = read(pen, tmp_path)
        assert [box_of(o) for o in elevation.walls[0].openings] == [(100, 40, 220, 88)]
        assert sum("share a jamb" in r for r in elevation.repaired) == 2

    def test_the_same_opening_twice(self, pen: Pen, tmp_path: Path) -> None:
        first = pen.box((100, 40, 160, 88))
        pen.box((100.005, 40, 160, 88))
        elevation = read(pen, tmp_path)
        assert [o.handle for o in elevation.walls[0].openings] == [first.dxf.handle]
        assert ["same as" in i.words for i in elevation.ignored] == [True]

    def test_a_door_without_threshold_is_closed_along_the_wall(self, pen: Pen, tmp_path: Path) -> None:
        pen.path([(100, 0), (100, 88), (140, 88), (140, 0)], OPENING)
        elevation = read(pen, tmp_path)
        assert [box_of(o) for o in elevation.walls[0].openings] == [(100, 0, 140, 88)]
        assert any("closed along it" in r for r in elevation.repaired)

    def test_a_sill_that_sticks_out_a_little_is_cut_back(self, pen: Pen, tmp_path: Path) -> None:
        pen.box((100, -0.75, 140, 88))
        elevation = read(pen, tmp_path)
        assert [box_of(o) for o in elevation.walls[0].openings] == [(100, 0, 140, 88)]
        assert any("extends 0'-0 3/4\" past" in r for r in elevation.repaired)

    def test_an_opening_under_a_gable_slope(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop([(0, 0), (480, 0), (480, 120), (240, 240), (0, 120)], WALL)
        pen.box((220, 150, 260, 190))
        assert box_of(one_opening(pen, tmp_path)) == (220, 150, 260, 190)

    @pytest.mark.parametrize(
        ("block", "found"),
        [
            ("DOOR-36", True),
            ("Window_Double", True),
            ("m_louver 3", True),
            ("DOOR-TAG", False),
            ("CHAIR", False),
        ],
    )
    def test_blocks_by_name(self, pen: Pen, tmp_path: Path, block: str, found: bool) -> None:
        content = pen.doc.blocks.new(block)
        content.add_line((0, 0), (0, 84), dxfattribs={"layer": "DETAIL"})
        content.add_line((0, 84), (36, 84), dxfattribs={"layer": "DETAIL"})
        content.add_arc((0, 0), 36, 0, 90, dxfattribs={"layer": "DETAIL"})
        pen.space.add_blockref(block, (200, 0), dxfattribs={"layer": "A-DOOR"})
        elevation = read(pen, tmp_path)
        expected = [(200, 0, 236, 84)] if found else []
        assert [box_of(o) for o in elevation.walls[0].openings] == expected
        assert any("was read as an opening 3'-0\" wide" in r for r in elevation.repaired) == found

    def test_the_copy_of_a_dynamic_block_is_known_by_its_definition(self, pen: Pen, tmp_path: Path) -> None:
        pen.doc.appids.add("AcDbBlockRepBTag")
        pen.doc.blocks.new("DOOR-DYNAMIC")
        copy = pen.doc.blocks.new("*U7")
        copy.add_lwpolyline([(0, 0), (36, 0), (36, 84), (0, 84)], close=True)
        original = pen.doc.block_records.get("DOOR-DYNAMIC").dxf.handle
        tags = [(1070, 1), (1005, original)]
        pen.doc.block_records.get("*U7").set_xdata("AcDbBlockRepBTag", tags)
        pen.space.add_blockref("*U7", (200, 0), dxfattribs={"layer": "A-DOOR"})
        assert box_of(one_opening(pen, tmp_path)) == (200, 0, 236, 84)

    def test_a_curve_fitted_polyline_leaves_its_frame_out(self, pen: Pen, tmp_path: Path) -> None:
        """Vertices with flag 16 shape the curve without lying on it."""
        points = [(100, 40), (160, 40), (160, 88), (130, 140), (100, 88)]
        polyline = pen.space.add_polyline2d(points, close=True, dxfattribs={"layer": OPENING})
        polyline.vertices[3].dxf.flags |= 16
        assert box_of(one_opening(pen, tmp_path)) == (100, 40, 160, 88)

    def test_a_head_above_a_level_top_by_a_hair(self, pen: Pen, tmp_path: Path) -> None:
        pen.box((100, 40, 140, 144.5))
        wall = one_wall(pen, tmp_path)
        assert wall.openings == ()
        assert wall.top.at(120) == (40, 40), "open at the top: the wall under it has its own height"

    def test_a_door_block_inside_an_opening_outline_is_its_leaf(self, pen: Pen, tmp_path: Path) -> None:
        pen.box((200, 0, 240, 88))
        leaf = pen.doc.blocks.new("DOOR-LEAF")
        leaf.add_lwpolyline([(-1, 0), (39, 0), (39, 86), (-1, 86)], close=True)
        pen.space.add_blockref("DOOR-LEAF", (201, 0), dxfattribs={"layer": "A-DOOR"})
        opening = one_opening(pen, tmp_path)
        assert (box_of(opening), opening.layer) == ((200, 0, 240, 88), OPENING)

    def test_a_door_block_beside_the_elevation_is_no_opening(self, pen: Pen, tmp_path: Path) -> None:
        plan = pen.doc.blocks.new("DOOR-PLAN")
        plan.add_lwpolyline([(0, 0), (36, 0), (36, 36)], close=True)
        pen.space.add_blockref("DOOR-PLAN", (2000, 0))
        elevation = read(pen, tmp_path)
        assert elevation.walls[0].openings == ()
        assert [i.words for i in elevation.ignored] == ["block DOOR-PLAN is in no wall"]

    def test_an_arrayed_block(self, pen: Pen, tmp_path: Path) -> None:
        window = pen.doc.blocks.new("WINDOW-A")
        window.add_lwpolyline([(0, 0), (40, 0), (40, 48), (0, 48)], close=True, dxfattribs={"layer": OPENING})
        attribs = {"column_count": 3, "column_spacing": 100, "row_count": 2, "row_spacing": 60}
        pen.space.add_blockref("WINDOW-A", (20, 20), dxfattribs=attribs)
        boxes = [box_of(o) for o in one_wall(pen, tmp_path).openings]
        assert boxes == [(x, y, x + 40, y + 48) for x in (20, 120, 220) for y in (20, 80)]


class TestRefused:
    @pytest.fixture
    def pen(self) -> Pen:
        pen = Pen()
        pen.loop(zoo.STANDARD.corners, WALL)
        return pen

    def refuse(self, pen: Pen, folder: Path, *words: str) -> None:
        """One sentence that holds the file's name and all the words."""
        path = pen.save(folder / "drawing.dxf")
        with pytest.raises(InputError) as caught:
            read_drawing(path)
        sentence = str(caught.value)
        assert "\n" not in sentence
        for word in (str(path), *words):
            assert word in sentence, sentence

    def test_opening_outside_every_wall(self, pen: Pen, tmp_path: Path) -> None:
        """Windows in the siding above a wainscot are none of the masonry: told, and passed over."""
        entity = pen.box((600, 0, 640, 88))
        elevation = read(pen, tmp_path)
        assert elevation.walls[0].openings == ()
        assert {notice.place.handle: notice.words for notice in elevation.ignored} == {
            entity.dxf.handle: "it is not in the masonry of any wall"
        }

    def test_opening_that_sticks_out(self, pen: Pen, tmp_path: Path) -> None:
        pen.box((460, 0, 500, 88))
        assert box_of(one_opening(pen, tmp_path)) == (460, 0, 480, 88)

    def test_opening_through_a_step(self, tmp_path: Path) -> None:
        """The step is at 300: left of it the wall is higher, right of it the opening is open at the top."""
        pen = Pen()
        pen.loop(WALLS["stepped top"][0], WALL)
        pen.box((280, 100, 340, 180))
        assert len(read(pen, tmp_path).walls) == 1

    def test_overlapping_openings(self, pen: Pen, tmp_path: Path) -> None:
        a, b = pen.box((100, 0, 140, 88)), pen.box((130, 40, 180, 88))
        self.refuse(pen, tmp_path, a.dxf.handle, b.dxf.handle, "overlap", "0'-10\"")

    def test_open_opening(self, pen: Pen, tmp_path: Path) -> None:
        entity = pen.path([(100, 40), (160, 40), (160, 88), (100, 88), (100, 50)], OPENING)
        self.refuse(pen, tmp_path, entity.dxf.handle, "open outline", "0'-10\"", "close it")

    def test_flat_opening(self, pen: Pen, tmp_path: Path) -> None:
        entity = pen.loop([(100, 40), (160, 40), (160, 40.01), (100, 40.01)], OPENING)
        self.refuse(pen, tmp_path, entity.dxf.handle, "no width or no height")

    def test_open_wall(self, tmp_path: Path) -> None:
        pen = Pen()
        entity = pen.path([(0, 0), (480, 0), (480, 144), (0, 144), (0, 24)], WALL)
        self.refuse(pen, tmp_path, entity.dxf.handle, "open outline", "2'-0\"", "close it")

    def test_wall_without_height(self, tmp_path: Path) -> None:
        pen = Pen()
        entity = pen.loop([(0, 0), (480, 0), (480, 0), (200, 0)], WALL)
        self.refuse(pen, tmp_path, entity.dxf.handle, "no length or no height")

    def test_wall_that_stands_on_edge_in_space(self, tmp_path: Path) -> None:
        """A wall modelled upright in 3D projects to a line on the sheet."""
        pen = Pen()
        entity = pen.loop(zoo.STANDARD.corners, WALL, extrusion=(0, -1, 0))
        self.refuse(pen, tmp_path, entity.dxf.handle, "encloses nothing", "flat on the sheet")

    @pytest.mark.parametrize(("length", "height"), [(1e9, 144), (480, 1e6), (400_000, 2_000)])
    def test_wall_that_is_no_wall_s_size(self, tmp_path: Path, length: float, height: float) -> None:
        pen = Pen()
        entity = pen.loop(zoo.rectangle(length, height), WALL)
        self.refuse(pen, tmp_path, entity.dxf.handle, "ft long", "--units-of-drawing")

    def test_wall_that_crosses_itself(self, tmp_path: Path) -> None:
        pen = Pen()
        entity = pen.loop([(0, 0), (480, 144), (480, 0), (0, 100)], WALL)
        self.refuse(pen, tmp_path, entity.dxf.handle, "crosses itself")

    def test_wall_that_overhangs(self, tmp_path: Path) -> None:
        pen = Pen()
        entity = pen.loop([(0, 0), (480, 0), (480, 60), (440, 60), (440, 100), (480, 144), (0, 144)], WALL)
        self.refuse(pen, tmp_path, entity.dxf.handle, "overhangs", "3'-4\"")

    def test_no_wall_lists_the_layers_there_are(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop(zoo.STANDARD.corners, "EXT")
        pen.loop(zoo.STANDARD.corners, "EXT")
        pen.text("W1", (100, 100), "NOTES")
        self.refuse(pen, tmp_path, "no wall", "A-ELEV-WALL*", "EXT (2) and NOTES (1)", "perpend layers")

    def test_empty_modelspace(self, tmp_path: Path) -> None:
        self.refuse(Pen(), tmp_path, "no wall", "modelspace is empty")

    @pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 1e300])
    @pytest.mark.parametrize("kind", ["LWPOLYLINE", "LINE", "CIRCLE", "INSERT", "bulge"])
    def test_coordinates_that_are_no_places(self, pen: Pen, tmp_path: Path, kind: str, value: float) -> None:
        if kind == "LWPOLYLINE":
            entity = pen.loop([(100, 0), (140, 0), (140, value), (100, 88)], OPENING)
        elif kind == "bulge":
            rows = [(100, 0, 0), (140, 0, 0), (140, 80, value), (100, 80, 0)]
            entity = pen.space.add_lwpolyline(rows, format="xyb", close=True, dxfattribs={"layer": OPENING})
        elif kind == "LINE":
            entity = pen.line((0, value), (10, 10), OPENING)
        elif kind == "CIRCLE":
            entity = pen.space.add_circle((100, 80), value, dxfattribs={"layer": OPENING})
        else:
            block = pen.doc.blocks.new("BOX")
            block.add_lwpolyline([(0, 0), (1, 0), (1, 1)], close=True, dxfattribs={"layer": OPENING})
            entity = pen.space.add_blockref("BOX", (value, 0))
        self.refuse(pen, tmp_path, entity.dxf.handle, "coordinate", "redraw it")

    def test_blocks_that_contain_each_other(self, pen: Pen, tmp_path: Path) -> None:
        a, b = pen.doc.blocks.new("TWIN-A"), pen.doc.blocks.new("TWIN-B")
        a.add_blockref("TWIN-B", (0, 0), dxfattribs={"layer": OPENING})
        b.add_blockref("TWIN-A", (0, 0))
        pen.space.add_blockref("TWIN-A", (0, 0))
        self.refuse(pen, tmp_path, "TWIN-A", "contains itself")

    def test_nested_blocks_that_multiply(self, pen: Pen, tmp_path: Path) -> None:
        """Ten in each of nine levels: a thousand million windows."""
        leaf = pen.doc.blocks.new("L0")
        leaf.add_lwpolyline([(0, 0), (1, 0), (1, 1)], close=True, dxfattribs={"layer": OPENING})
        for level in range(1, 10):
            block = pen.doc.blocks.new(f"L{level}")
            for _ in range(10):
                block.add_blockref(f"L{level - 1}", (0, 0))
        pen.space.add_blockref("L9", (0, 0))
        self.refuse(pen, tmp_path, "L9", "expand to", "200,000")

    def test_an_array_without_end(self, pen: Pen, tmp_path: Path) -> None:
        block = pen.doc.blocks.new("BOX")
        block.add_lwpolyline([(0, 0), (1, 0), (1, 1)], close=True, dxfattribs={"layer": OPENING})
        entity = pen.space.add_blockref("BOX", (0, 0), dxfattribs={"column_count": 30000, "row_count": 30000})
        self.refuse(pen, tmp_path, entity.dxf.handle, "900,000,000 cells")

    def test_blocks_nested_too_deep(self, pen: Pen, tmp_path: Path) -> None:
        leaf = pen.doc.blocks.new("D0")
        leaf.add_lwpolyline([(0, 0), (1, 0), (1, 1)], close=True, dxfattribs={"layer": OPENING})
        for level in range(1, 60):
            pen.doc.blocks.new(f"D{level}").add_blockref(f"D{level - 1}", (0, 0))
        pen.space.add_blockref("D59", (0, 0))
        self.refuse(pen, tmp_path, "D59", "deep")

    def test_a_block_bomb_that_is_none_of_our_business(self, pen: Pen, tmp_path: Path) -> None:
        """The same blocks on other layers are left alone, and the drawing is read."""
        pen.doc.blocks.new("N0").add_line((0, 0), (1, 1), dxfattribs={"layer": "PATTERN"})
        for level in range(1, 10):
            block = pen.doc.blocks.new(f"N{level}")
            for _ in range(10):
                block.add_blockref(f"N{level - 1}", (0, 0), dxfattribs={"layer": "PATTERN"})
        pen.doc.blocks.new("CYCLE").add_blockref("CYCLE", (0, 0))
        pen.space.add_blockref("N9", (0, 0), dxfattribs={"layer": "PATTERN"})
        pen.space.add_blockref("CYCLE", (0, 0), dxfattribs={"layer": "PATTERN"})
        assert one_wall(pen, tmp_path).length_in == 480

    @pytest.mark.parametrize("unit", ["furlong", "", "inchs"])
    def test_unknown_unit_of_drawing(self, pen: Pen, tmp_path: Path, unit: str) -> None:
        from perpend.reading import ReadingOptions

        path = pen.save(tmp_path / "drawing.dxf")
        with pytest.raises(InputError, match="use in, ft, mm, cm or m"):
            read_drawing(path, ReadingOptions(units_of_drawing=unit))


def test_without_a_gap_tolerance_ends_that_miss_each_other_are_not_joined(tmp_path: Path) -> None:
    pen = Pen()
    pen.lines(zoo.rectangle(480, 144), WALL)
    pen.line((600, 0), (600, 40), WALL)
    pen.line((600.5, 40), (640, 40), WALL)
    path = pen.save(tmp_path / "drawing.dxf")
    elevation = read_drawing(path, ReadingOptions(gap_in=0.0)).elevation
    assert [wall.length_in for wall in elevation.walls] == [480]
    assert len(elevation.ignored) == 2
