"""Joints that are drawn already, and what else asks for one: places, supports, bond beams."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from perpend.model import DrawnJoint, PlaceKind, Wall
from perpend.reading import read_drawing
from reading import zoo
from reading.test_shapes import read
from reading.zoo import JOINT, WALL, Pen

PERPEND = "PERPEND"


@pytest.fixture
def pen() -> Pen:
    pen = Pen()
    pen.loop(zoo.STANDARD.corners, WALL)
    return pen


def wall_of(pen: Pen, folder: Path) -> Wall:
    (wall,) = read(pen, folder).walls
    return wall


def one_joint(pen: Pen, folder: Path) -> DrawnJoint:
    (joint,) = wall_of(pen, folder).drawn_joints
    return joint


def sign(pen: Pen, entity: Any, **facts: str) -> Any:  # noqa: ANN401
    """Put perpend's own extended data on an entity."""
    if PERPEND not in pen.doc.appids:
        pen.doc.appids.add(PERPEND)
    entity.set_xdata(PERPEND, [(1000, f"{key}={value}") for key, value in facts.items()])
    return entity


class TestJoints:
    def test_a_line(self, pen: Pen, tmp_path: Path) -> None:
        line = pen.line((200, 144), (200, 0), JOINT)
        joint = one_joint(pen, tmp_path)
        assert joint.path == ((200, 0), (200, 144))
        assert (joint.handle, joint.handles) == (line.dxf.handle, (line.dxf.handle,))
        assert (joint.ours, joint.layer, joint.joint_type) == (False, JOINT, None)

    def test_a_stepped_polyline(self, pen: Pen, tmp_path: Path) -> None:
        path = [(100, 0), (100, 88), (108, 88), (108, 144)]
        pen.path(path, JOINT)
        assert one_joint(pen, tmp_path).path == tuple(path)

    def test_a_stepped_joint_of_lines_in_any_order(self, pen: Pen, tmp_path: Path) -> None:
        for a, b in (((108, 144), (108, 88)), ((100, 0), (100, 88)), ((100, 88), (108, 88))):
            pen.line(a, b, JOINT)
        joint = one_joint(pen, tmp_path)
        assert joint.path == ((100, 0), (100, 88), (108, 88), (108, 144))
        assert len(joint.handles) == 3

    def test_a_joint_drawn_above_and_below_a_window(self, pen: Pen, tmp_path: Path) -> None:
        """Below the sill at the jamb, above the head at the end of the lintel: one joint along the jamb."""
        pen.box((100, 40, 160, 88))
        pen.line((100, 0), (100, 40), JOINT)
        pen.line((92, 88), (92, 144), JOINT)
        assert one_joint(pen, tmp_path).path == ((100, 0), (100, 88), (92, 88), (92, 144))

    def test_a_straight_joint_parted_by_a_window(self, pen: Pen, tmp_path: Path) -> None:
        pen.box((100, 40, 160, 88))
        pen.line((130, 0), (130, 40), JOINT)
        pen.line((130, 88), (130, 144), JOINT)
        assert one_joint(pen, tmp_path).path == ((130, 0), (130, 144))

    def test_dashes_of_one_joint(self, pen: Pen, tmp_path: Path) -> None:
        """The last dash ends at 140; the 4 in. above it are a break like the others."""
        for low in range(0, 144, 16):
            pen.line((200, low), (200, low + 12), JOINT)
        assert one_joint(pen, tmp_path).path == ((200, 0), (200, 144))

    def test_a_dash_as_short_as_a_tick_belongs_to_its_joint(self, pen: Pen, tmp_path: Path) -> None:
        for low in range(0, 144, 20):
            pen.line((200, low), (200, min(low + 14, 144)), JOINT)
        assert one_joint(pen, tmp_path).path == ((200, 0), (200, 144))

    def test_a_part_that_nobody_drew_is_no_break_of_a_dashed_line(self, pen: Pen, tmp_path: Path) -> None:
        pen.line((200, 0), (200, 60), JOINT)
        pen.line((200, 100), (200, 144), JOINT)
        drawn = wall_of(pen, tmp_path).drawn_joints
        assert [j.path for j in drawn] == [((200, 0), (200, 60)), ((200, 100), (200, 144))]

    def test_two_lines_a_joint_width_apart(self, pen: Pen, tmp_path: Path) -> None:
        pen.line((200, 0), (200, 144), JOINT)
        pen.line((200.375, 0), (200.375, 144), JOINT)
        joint = one_joint(pen, tmp_path)
        assert joint.path[0][0] == pytest.approx(200.1875, abs=0.2)
        assert (joint.path[0][1], joint.path[-1][1]) == (0, 144)

    def test_a_joint_with_its_width(self, pen: Pen, tmp_path: Path) -> None:
        pen.box((199.75, 0, 200.25, 144), JOINT)
        assert one_joint(pen, tmp_path).path == ((200, 0), (200, 144))

    @pytest.mark.parametrize("drawn", ["two lines", "a strip"])
    @pytest.mark.parametrize("lean", [0.5, 1.5, 2, 6])
    def test_a_joint_with_its_width_leans_as_its_middle_does(
        self, pen: Pen, tmp_path: Path, drawn: str, lean: float
    ) -> None:
        if drawn == "two lines":
            pen.line((200, 0), (200 + lean, 144), JOINT)
            pen.line((200.5, 0), (200.5 + lean, 144), JOINT)
        else:
            pen.loop([(200, 0), (200.5, 0), (200.5 + lean, 144), (200 + lean, 144)], JOINT)
        joint = one_joint(pen, tmp_path)
        assert joint.path == ((200.25, 0), (200.25 + lean, 144))
        assert joint.width_in == 0.5

    @pytest.mark.parametrize(
        "offsets", [(-1, -0.25, 0.25, 1), (-1, -0.5, 0, 0.5, 1), (-0.5, 0, 0.5), (-0.25, 0.25, 0)]
    )
    def test_several_lines_up_to_a_joint_width_apart_are_one_joint_in_their_middle(
        self, pen: Pen, tmp_path: Path, offsets: tuple[float, ...]
    ) -> None:
        for offset in offsets:
            pen.line((200 + offset, 0), (200 + offset, 144), JOINT)
        joint = one_joint(pen, tmp_path)
        assert joint.path == ((200, 0), (200, 144))
        assert joint.width_in == max(offsets) - min(offsets)

    def test_a_line_beside_a_joint_that_is_shorter_moves_it_nowhere(self, pen: Pen, tmp_path: Path) -> None:
        pen.line((200, 0), (200, 144), JOINT)
        pen.line((201.5, 20), (201.5, 120), JOINT)
        assert one_joint(pen, tmp_path).path == ((200, 0), (200, 144))

    def test_a_joint_that_overshoots_the_wall(self, pen: Pen, tmp_path: Path) -> None:
        pen.line((200, -12), (200, 170), JOINT)
        assert one_joint(pen, tmp_path).path == ((200, 0), (200, 144))

    def test_a_joint_that_leans_a_hair_is_plumb(self, pen: Pen, tmp_path: Path) -> None:
        pen.line((200, 0), (200.1, 144), JOINT)
        assert one_joint(pen, tmp_path).path == ((200, 0), (200, 144))

    def test_a_joint_in_a_stepped_wall_ends_at_its_top(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop([(0, 0), (600, 0), (600, 240), (300, 240), (300, 144), (0, 144)], WALL)
        pen.line((200, 0), (200, 240), JOINT)
        pen.line((300, 0), (300, 240), JOINT)
        assert [j.path for j in wall_of(pen, tmp_path).drawn_joints] == [
            ((200, 0), (200, 144)),
            ((300, 0), (300, 240)),
        ]

    def test_a_symbol_alone_marks_a_joint(self, pen: Pen, tmp_path: Path) -> None:
        symbol = pen.doc.blocks.new("CJ-SYMBOL")
        symbol.add_circle((0, 0), 6)
        reference = pen.space.add_blockref("CJ-SYMBOL", (200, 150), dxfattribs={"layer": JOINT})
        joint = one_joint(pen, tmp_path)
        assert (joint.path, joint.handle) == (((200, 0), (200, 144)), reference.dxf.handle)

    def test_a_symbol_beside_its_line(self, pen: Pen, tmp_path: Path) -> None:
        symbol = pen.doc.blocks.new("CJ-SYMBOL")
        symbol.add_circle((0, 0), 6)
        line = pen.line((200, 0), (200, 144), JOINT)
        pen.space.add_blockref("CJ-SYMBOL", (200, 150), dxfattribs={"layer": JOINT})
        elevation = read(pen, tmp_path)
        assert [j.handle for j in elevation.walls[0].drawn_joints] == [line.dxf.handle]
        assert [i.words for i in elevation.ignored] == [f"it marks the joint with handle {line.dxf.handle}"]

    def test_a_block_that_draws_the_joint(self, pen: Pen, tmp_path: Path) -> None:
        block = pen.doc.blocks.new("CJ")
        block.add_line((0, 0), (0, 1), dxfattribs={"layer": "0"})
        pen.space.add_blockref("CJ", (200, 0), dxfattribs={"layer": JOINT, "yscale": 144})
        assert one_joint(pen, tmp_path).path == ((200, 0), (200, 144))

    @pytest.mark.parametrize("height", [11.75, 12.0, 16.0])
    @pytest.mark.parametrize("drawn", ["closed", "open", "lines", "chevron"])
    def test_a_triangle_marks_a_joint_whatever_its_size_and_however_it_is_drawn(
        self, pen: Pen, tmp_path: Path, drawn: str, height: float
    ) -> None:
        """Stations at which the sides of the triangle come out a hair wider or narrower than it is high."""
        triangle = pen.doc.blocks.new("CJ-SYMBOL")
        left, tip, right = (-6, height), (0, 0), (6, height)
        if drawn == "lines":
            for a, b in ((left, tip), (tip, right), (right, left)):
                triangle.add_line(a, b)
        else:
            corners = [left, tip, right, left] if drawn == "open" else [left, tip, right]
            triangle.add_lwpolyline(corners, close=drawn == "closed")
        stations = (3000 / 25.4, 9000 / 25.4, 11700 / 25.4)
        for x in stations:
            pen.space.add_blockref("CJ-SYMBOL", (x, 144), dxfattribs={"layer": JOINT})
        elevation = read(pen, tmp_path)
        drawn_joints = elevation.walls[0].drawn_joints
        assert [j.path[0][0] for j in drawn_joints] == pytest.approx(stations, abs=1 / 64)
        assert [(j.path[0][1], j.path[-1][1]) for j in drawn_joints] == [(0, 144)] * 3
        assert elevation.ignored == ()

    def test_a_block_that_draws_a_stepped_joint_with_a_symbol_on_top(self, pen: Pen, tmp_path: Path) -> None:
        block = pen.doc.blocks.new("CJ")
        block.add_lwpolyline([(-6, 156), (0, 144), (6, 156)], close=True)
        for a, b in (((0, 88), (0, 0)), ((0, 88), (8, 88)), ((8, 88), (8, 144))):
            block.add_line(a, b)
        pen.space.add_blockref("CJ", (200, 0), dxfattribs={"layer": JOINT})
        assert one_joint(pen, tmp_path).path == ((200, 0), (200, 88), (208, 88), (208, 144))

    def test_a_shape_wider_than_a_joint_that_is_in_no_block_is_told_with_a_cure(
        self, pen: Pen, tmp_path: Path
    ) -> None:
        triangle = pen.loop([(194, 156), (200, 144), (206, 156)], JOINT)
        slope = pen.line((100, 40), (140, 80), JOINT)
        elevation = read(pen, tmp_path)
        assert elevation.walls[0].drawn_joints == ()
        assert {i.place.handle: i.words for i in elevation.ignored} == {
            triangle.dxf.handle: "it does not run up the wall like a joint: it comes back to where it "
            "began and is wider than a joint; draw the joint's line, or make a block of the shape, which "
            "marks a joint",
            slope.dxf.handle: "it does not run up the wall like a joint: it is no higher than wide",
        }

    def test_the_same_joint_twice(self, pen: Pen, tmp_path: Path) -> None:
        pen.line((200, 0), (200, 144), JOINT)
        pen.path([(200, 0), (200, 144)], JOINT)
        elevation = read(pen, tmp_path)
        assert len(elevation.walls[0].drawn_joints) == 1
        assert "doubles the joint" in elevation.ignored[0].words

    def test_what_is_no_joint_is_said(self, pen: Pen, tmp_path: Path) -> None:
        level = pen.line((100, 40), (300, 40), JOINT)
        away = pen.line((900, 0), (900, 144), JOINT)
        why = {i.place.handle: i.words for i in read(pen, tmp_path).ignored}
        assert why == {
            level.dxf.handle: "it does not run up the wall like a joint: it runs level",
            away.dxf.handle: "it is in no wall",
        }

    def test_kinds_that_draw_no_line_are_told_with_what_to_do(self, pen: Pen, tmp_path: Path) -> None:
        pen.space.add_xline((200, 0), (0, 1), dxfattribs={"layer": JOINT})
        pen.space.add_mline([(300, 0), (300, 144)], dxfattribs={"layer": JOINT})
        assert {i.place.kind: i.words for i in read(pen, tmp_path).ignored} == {
            "XLINE": "no outline or line is read of XLINE: draw it as lines",
            "MLINE": "no outline or line is read of MLINE: explode it",
        }

    def test_texts_on_joint_layers_are_no_marks(self, pen: Pen, tmp_path: Path) -> None:
        pen.text("CJ1", (200, 72), JOINT, height=20)
        pen.text("W1", (100, 72))
        assert wall_of(pen, tmp_path).tag == "W1"

    @pytest.mark.parametrize("turn", [90.0, 215.0])
    def test_joints_of_a_turned_elevation(self, tmp_path: Path, turn: float) -> None:
        pen = Pen(angle=turn, unit="mm")
        pen.face()
        assert one_joint(pen, tmp_path).path == (
            pytest.approx((384, 0), abs=1 / 64),
            pytest.approx((384, 144), abs=1 / 64),
        )


class TestOurOwn:
    def test_joints_of_an_earlier_run_are_kept_as_ours(self, pen: Pen, tmp_path: Path) -> None:
        mine = pen.path([(100, 0), (100, 88), (108, 88), (108, 144)], JOINT)
        sign(pen, mine, kind="joint", number="W1-1", rule="openings.jamb", version="1")
        theirs = pen.line((300, 0), (300, 144), JOINT)
        joints = wall_of(pen, tmp_path).drawn_joints
        assert [(j.handle, j.ours) for j in joints] == [(mine.dxf.handle, True), (theirs.dxf.handle, False)]
        assert joints[0].path == ((100, 0), (100, 88), (108, 88), (108, 144))

    def test_ours_beside_theirs_at_one_station(self, pen: Pen, tmp_path: Path) -> None:
        pen.line((300, 0), (300, 144), JOINT)
        sign(pen, pen.line((300, 0), (300, 144), JOINT), kind="joint", number="W1-1")
        assert sorted(j.ours for j in wall_of(pen, tmp_path).drawn_joints) == [False, True]

    @pytest.mark.parametrize("layer", [WALL, zoo.OPENING, "A-ELEV-JNTC-NOTE", "A-ELEV-SUPT", "A-ELEV-BBEM"])
    def test_nothing_else_of_ours_is_taken_for_the_drafters(
        self, pen: Pen, tmp_path: Path, layer: str
    ) -> None:
        for entity in (
            pen.loop(zoo.corners_of((100, 0, 140, 88)), layer),
            pen.line((0, 72), (480, 72), layer),
            pen.line((240, 0), (240, 144), layer),
            pen.text("W9", (240, 100), layer, height=30),
            pen.loop([(1000, 0), (1480, 0), (1480, 144), (1000, 144)], layer),
        ):
            sign(pen, entity, kind="label", number="W1-1")
        elevation = read(pen, tmp_path)
        (wall,) = elevation.walls
        assert (wall.tag, wall.openings, wall.drawn_joints) == ("wall 1", (), ())
        assert (wall.supports, wall.bond_beams, wall.texts) == ((), (), ())
        assert elevation.ignored == ()

    def test_extended_data_of_others_hides_nothing(self, pen: Pen, tmp_path: Path) -> None:
        pen.doc.appids.add("SOMEONE")
        pen.line((300, 0), (300, 144), JOINT).set_xdata("SOMEONE", [(1000, "kind=label")])
        assert not one_joint(pen, tmp_path).ours


class TestPlaces:
    @pytest.mark.parametrize(
        ("layer", "kind"),
        [
            ("A-ELEV-PILR", PlaceKind.PILASTER),
            ("A-ELEV-THCK", PlaceKind.THICKNESS_CHANGE),
            ("A-ELEV-INTS", PlaceKind.INTERSECTION),
            ("A-ELEV-FJNT", PlaceKind.FOUNDATION_JOINT),
        ],
    )
    def test_a_line(self, pen: Pen, tmp_path: Path, layer: str, kind: PlaceKind) -> None:
        line = pen.line((200, 0), (200, 144), layer)
        (place,) = wall_of(pen, tmp_path).places
        assert (place.x_in, place.kind, place.handle) == (200, kind, line.dxf.handle)

    @pytest.mark.parametrize(
        ("layer", "stations"),
        [("A-ELEV-PILR", [208]), ("A-ELEV-THCK", [200]), ("A-ELEV-INTS", [208]), ("A-ELEV-FJNT", [208])],
    )
    @pytest.mark.parametrize("drawn", ["box", "lines"])
    def test_a_shape(self, pen: Pen, tmp_path: Path, layer: str, stations: list[float], drawn: str) -> None:
        """A pilaster is told at its middle, a thickness change at its left side, both with two sides."""
        if drawn == "box":
            pen.box((200, 0, 216, 144), layer)
        else:
            pen.lines(zoo.corners_of((200, 0, 216, 144)), layer)
        places = wall_of(pen, tmp_path).places
        assert [p.x_in for p in places] == stations
        assert [p.faces_in for p in places] == [(200, 216)]

    def test_two_faces_of_a_pilaster(self, pen: Pen, tmp_path: Path) -> None:
        for x in (200, 216, 400, 416):
            pen.line((x, 0), (x, 144), "A-ELEV-PILR")
        assert [p.x_in for p in wall_of(pen, tmp_path).places] == [208, 408]

    def test_a_pilaster_block(self, pen: Pen, tmp_path: Path) -> None:
        block = pen.doc.blocks.new("PIER")
        block.add_lwpolyline([(0, 0), (16, 0), (16, 144), (0, 144)], close=True)
        pen.space.add_blockref("PIER", (200, 0), dxfattribs={"layer": "A-ELEV-PILR"})
        assert [p.x_in for p in wall_of(pen, tmp_path).places] == [208]

    def test_a_foundation_joint_below_the_wall(self, pen: Pen, tmp_path: Path) -> None:
        pen.line((200, -60), (200, -12), "A-ELEV-FJNT")
        assert [p.x_in for p in wall_of(pen, tmp_path).places] == [200]

    def test_what_is_no_place_is_said(self, pen: Pen, tmp_path: Path) -> None:
        level = pen.line((100, 72), (200, 72), "A-ELEV-THCK")
        away = pen.line((900, 0), (900, 144), "A-ELEV-PILR")
        why = {i.place.handle: i.words for i in read(pen, tmp_path).ignored}
        assert why == {
            level.dxf.handle: "it is neither upright nor closed",
            away.dxf.handle: "it is in no wall",
        }

    def test_a_line_at_the_end_parts_nothing(self, pen: Pen, tmp_path: Path) -> None:
        pen.line((480, 0), (480, 144), "A-ELEV-INTS")
        assert wall_of(pen, tmp_path).places == ()


class TestLevels:
    def test_supports_are_cut_to_the_wall(self, pen: Pen, tmp_path: Path) -> None:
        pen.line((-100, 96), (700, 96), "A-ELEV-SUPT")
        pen.line((300, 48), (100, 48), "A-ELEV-SUPT-FLOR")
        supports = wall_of(pen, tmp_path).supports
        assert [(s.y_in, s.x0_in, s.x1_in) for s in supports] == [(48, 100, 300), (96, 0, 480)]

    def test_a_slab_counts_at_its_mid_depth(self, pen: Pen, tmp_path: Path) -> None:
        pen.box((0, 92, 480, 100), "A-ELEV-SUPT")
        assert [s.y_in for s in wall_of(pen, tmp_path).supports] == [96]

    def test_bond_beams(self, pen: Pen, tmp_path: Path) -> None:
        pen.box((0, 136, 480, 144), "A-ELEV-BBEM")
        pen.box((-10, 88, 500, 96), "A-ELEV-BBEM-STRC")
        pen.line((0, 44), (480, 44), "A-ELEV-BBEM")
        beams = wall_of(pen, tmp_path).bond_beams
        found = {(b.box.x0, b.box.y0, b.box.x1, b.box.y1): b.structural for b in beams}
        assert found == {(0, 136, 480, 144): False, (0, 88, 480, 96): True, (0, 40, 480, 48): False}

    def test_a_metric_bond_beam_drawn_as_a_line_is_a_metric_course(self, tmp_path: Path) -> None:
        pen = Pen(unit="mm")
        pen.loop(zoo.rectangle(480, 144), WALL)
        pen.line((0, 100), (480, 100), "A-ELEV-BBEM")
        (beam,) = read_drawing(pen.save(tmp_path / "metric.dxf")).elevation.walls[0].bond_beams
        assert beam.box.height * 25.4 == pytest.approx(200, abs=0.01)

    def test_a_line_that_falls_is_no_support(self, pen: Pen, tmp_path: Path) -> None:
        line = pen.line((0, 48), (480, 120), "A-ELEV-SUPT")
        elevation = read(pen, tmp_path)
        assert elevation.walls[0].supports == ()
        assert [(i.place.handle, i.words) for i in elevation.ignored] == [
            (line.dxf.handle, "a line of support must be level")
        ]


def test_a_pilaster_of_one_line_is_doubted(pen: Pen, tmp_path: Path) -> None:
    """Whether that line is a side of it or its middle is not known; two lines are its two sides."""
    line = pen.line((200, 0), (200, 144), "A-ELEV-PILR")
    for x in (300, 316):
        pen.line((x, 0), (x, 144), "A-ELEV-PILR")
    found = [n for n in read(pen, tmp_path).notices if n.code == "pilaster-without-width"]
    assert [n.place.handle for n in found] == [line.dxf.handle]
