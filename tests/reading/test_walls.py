"""Walls beside, inside and on top of each other; tags; order on the sheet."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from perpend.errors import InputError
from perpend.model import EndCondition, PlaceKind, Treatment
from perpend.reading import read_drawing
from reading import zoo
from reading.test_shapes import box_of, read
from reading.zoo import OPENING, WALL, Pen


def shifted(points: object, dx: float, dy: float = 0.0) -> list[tuple[float, float]]:
    return [(x + dx, y + dy) for x, y in points]  # type: ignore[attr-defined]


class TestNeighbours:
    @pytest.mark.parametrize("turn", [0.0, 33.0, 180.0])
    def test_walls_of_different_height_meet_at_a_forced_joint(self, tmp_path: Path, turn: float) -> None:
        pen = Pen(angle=turn)
        low = pen.loop(zoo.rectangle(240, 120), WALL)
        high = pen.loop(shifted(zoo.rectangle(360, 192), 240), WALL)
        pen.text("W1", (100, 60))
        pen.text("W2", (400, 60))
        walls = {w.tag: w for w in read(pen, tmp_path).walls}
        assert (walls["W1"].left_end, walls["W1"].right_end) == (None, EndCondition.JOINT)
        assert (walls["W2"].left_end, walls["W2"].right_end) == (EndCondition.JOINT, None)
        (place,) = walls["W1"].places
        assert (place.x_in, place.kind, place.handle) == (240, PlaceKind.ADJOINING_WALL, high.dxf.handle)
        (place,) = walls["W2"].places
        assert (place.x_in, place.kind, place.handle) == (0, PlaceKind.ADJOINING_WALL, low.dxf.handle)
        assert "wall W1" in place.note

    def test_walls_of_one_height_and_different_tags_stay_two(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop(zoo.rectangle(240, 120), WALL)
        pen.loop(shifted(zoo.rectangle(240, 120), 240.5), WALL)
        pen.text("W1", (100, 60))
        pen.text("W2", (400, 60))
        assert [(w.tag, w.left_end, w.right_end) for w in read(pen, tmp_path).walls] == [
            ("W1", None, EndCondition.JOINT),
            ("W2", EndCondition.JOINT, None),
        ]

    @pytest.mark.parametrize("tags", [(), ("W1", "W1", "W1")])
    def test_pieces_of_one_wall_are_joined(self, tmp_path: Path, tags: tuple[str, ...]) -> None:
        pen = Pen()
        for index in (2, 0, 1):
            pen.loop(shifted(zoo.rectangle(200, 120), 200 * index), WALL)
            pen.box((200 * index + 80, 40, 200 * index + 120, 80))
        for index, tag in enumerate(tags):
            pen.text(tag, (200 * index + 30, 60))
        elevation = read(pen, tmp_path)
        (wall,) = elevation.walls
        assert (wall.length_in, wall.height_in) == (600, 120)
        assert wall.top.points == ((0, 120), (600, 120))
        assert [box_of(o) for o in wall.openings] == [
            (80, 40, 120, 80),
            (280, 40, 320, 80),
            (480, 40, 520, 80),
        ]
        assert sum("read as one wall" in r for r in elevation.repaired) == 2
        assert wall.frame.origin == (0, 0)

    def test_two_halves_of_a_gable_are_one_wall(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop([(0, 0), (240, 0), (240, 240), (0, 120)], WALL)
        pen.loop([(240, 0), (480, 0), (480, 120), (240, 240)], WALL)
        (wall,) = read(pen, tmp_path).walls
        assert wall.top.points == ((0, 120), (240, 240), (480, 120))

    def test_two_walls_with_one_line_between_them(self, tmp_path: Path) -> None:
        """The shared edge is drawn once: the outlines are faces of a net of lines."""
        pen = Pen()
        for a, b in (
            ((0, 0), (600, 0)),
            ((0, 0), (0, 120)),
            ((0, 120), (240, 120)),
            ((240, 0), (240, 192)),
            ((240, 192), (600, 192)),
            ((600, 192), (600, 0)),
        ):
            pen.line(a, b, WALL)
        pen.text("W1", (100, 60))
        pen.text("W2", (400, 60))
        walls = read(pen, tmp_path).walls
        assert [(w.tag, w.length_in, w.height_in) for w in walls] == [("W1", 240, 120), ("W2", 360, 192)]
        assert (walls[0].right_end, walls[1].left_end) == (EndCondition.JOINT, EndCondition.JOINT)

    def test_walls_with_air_between_do_not_meet(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop(zoo.rectangle(240, 120), WALL)
        pen.loop(shifted(zoo.rectangle(240, 144), 260), WALL)
        assert [(w.left_end, w.right_end, w.places) for w in read(pen, tmp_path).walls] == [
            (None, None, ())
        ] * 2


class TestDoubles:
    def test_the_same_outline_twice(self, tmp_path: Path) -> None:
        pen = Pen()
        first = pen.loop(zoo.STANDARD.corners, WALL)
        second = pen.loop(zoo.STANDARD.corners[::-1], WALL)
        elevation = read(pen, tmp_path)
        assert [w.handle for w in elevation.walls] == [first.dxf.handle]
        assert [i.place.handle for i in elevation.ignored] == [second.dxf.handle]
        assert "same outline" in elevation.ignored[0].words

    def test_a_hatch_that_fills_the_wall(self, tmp_path: Path) -> None:
        pen = Pen()
        hatch = pen.space.add_hatch(dxfattribs={"layer": WALL})
        hatch.paths.add_polyline_path(zoo.STANDARD.corners, is_closed=True)
        part = pen.space.add_hatch(dxfattribs={"layer": WALL})
        part.paths.add_polyline_path(zoo.rectangle(100, 50), is_closed=True)
        outline = pen.loop(zoo.STANDARD.corners, WALL)
        elevation = read(pen, tmp_path)
        assert [w.handle for w in elevation.walls] == [outline.dxf.handle]
        assert {i.place.handle for i in elevation.ignored} == {hatch.dxf.handle, part.dxf.handle}

    def test_stray_lines_on_the_wall_layer(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop(zoo.STANDARD.corners, WALL)
        inside = pen.line((0, 72), (480, 72), WALL)
        outside = pen.line((-100, 0), (600, 0), WALL)
        text = pen.space.add_point((5, 5), dxfattribs={"layer": WALL})
        elevation = read(pen, tmp_path)
        assert elevation.walls[0].length_in == 480
        why = {i.place.handle: i.words for i in elevation.ignored}
        assert "inside a wall" in why[inside.dxf.handle]
        assert "no closed outline" in why[outside.dxf.handle]
        assert text.dxf.handle not in why

    def test_what_cannot_be_an_outline_is_listed(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop(zoo.STANDARD.corners, WALL)
        image = pen.space.add_mline([(0, 0), (9, 9)], dxfattribs={"layer": WALL})
        (ignored,) = read(pen, tmp_path).ignored
        assert (ignored.place.handle, ignored.place.kind, ignored.place.layer) == (
            image.dxf.handle,
            "MLINE",
            WALL,
        )


class TestNested:
    def test_openings_belong_to_the_innermost_wall(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop(zoo.rectangle(600, 240), WALL)
        pen.loop(shifted(zoo.rectangle(200, 120), 200), WALL)
        pen.text("BACK", (100, 200))
        pen.text("W7", (230, 100))
        pen.box((280, 0, 320, 88))
        pen.box((40, 40, 80, 88))
        elevation = read(pen, tmp_path)
        walls = {w.tag: w for w in elevation.walls}
        assert [box_of(o) for o in walls["BACK"].openings] == [(40, 40, 80, 88)]
        assert [box_of(o) for o in walls["W7"].openings] == [(80, 0, 120, 88)]
        (said,) = [r for r in elevation.repaired if "a wall in front of it" in r]
        assert said.startswith("Wall W7 (outline ")


class TestSheet:
    def test_several_elevations_in_reading_order(self, tmp_path: Path) -> None:
        pen = Pen(origin=(5000, 5000))
        for tag, x, y in (("C", 0, -400), ("B", 700, 10), ("D", 900, -390), ("A", 0, 0)):
            pen.face(zoo.Face(tag, zoo.rectangle(480, 144), at=(x, y)))
        walls = read(pen, tmp_path).walls
        assert [w.tag for w in walls] == ["A", "B", "C", "D"]
        assert [w.frame.origin for w in walls] == [(5000, 5000), (5700, 5010), (5000, 4600), (5900, 4610)]

    def test_elevations_turned_differently_on_one_sheet(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.face(zoo.STANDARD)
        pen.angle, pen.origin = 90.0, (2000, 0)
        pen.face(zoo.Face("W2", zoo.rectangle(360, 120), (zoo.Hole("D9", (40, 0, 80, 88)),)))
        walls = {w.tag: w for w in read(pen, tmp_path).walls}
        assert walls["W1"].frame.angle_rad == 0.0
        assert walls["W2"].frame.angle_rad == pytest.approx(math.pi / 2)
        assert (walls["W2"].length_in, walls["W2"].height_in) == (360, 120)
        assert box_of(walls["W2"].openings[0]) == pytest.approx((40, 0, 80, 88), abs=1 / 64)

    def test_a_turned_wall_without_text_is_read_and_reported(self, tmp_path: Path) -> None:
        pen = Pen(angle=25.0)
        pen.loop(zoo.STANDARD.corners, WALL)
        elevation = read(pen, tmp_path)
        assert (elevation.walls[0].length_in, elevation.walls[0].height_in) == pytest.approx((480, 144))
        assert any("turned by 25.00°" in r for r in elevation.repaired)

    def test_an_upright_note_in_an_upright_wall_turns_nothing(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop(zoo.STANDARD.corners, WALL)
        pen.text("W1", (40, 100))
        for x in (120, 240, 360):
            note = pen.text("CONTROL JOINT", (x, 72))
            note.dxf.rotation = 90
        wall = read(pen, tmp_path).walls[0]
        assert (wall.tag, wall.length_in, wall.frame.angle_rad) == ("W1", 480, 0.0)


class TestTags:
    @pytest.mark.parametrize(
        ("texts", "tag"),
        [
            (["W1"], "W1"),
            (['8" CMU', "W-12A", "RUNNING BOND"], "W-12A"),
            (["16'-8\"", "NORTH"], "NORTH"),
            (["16'-8\"", "144", "2.5"], "wall 1"),
            (["16'-8\"", "12'-0\""], "wall 1"),
            (["FACE BRICK IN RUNNING BOND ABOVE"], "wall 1"),
            (["WALL 3", "SEE 5/A-501"], "WALL 3"),
            ([], "wall 1"),
            (["FREE END", "W4"], "W4"),
            (['W5\\P8" CMU, GROUTED SOLID\\PSEE 4/A-501'], "W5"),
        ],
    )
    def test_which_text_is_the_mark(self, tmp_path: Path, texts: list[str], tag: str) -> None:
        pen = Pen()
        pen.loop(zoo.STANDARD.corners, WALL)
        for index, words in enumerate(texts):
            pen.space.add_mtext(words, dxfattribs={"insert": (100, 20 + 30 * index), "char_height": 6})
        wall = read(pen, tmp_path).walls[0]
        assert wall.tag == tag
        assert sorted(wall.texts) == sorted(words.replace("\\P", " ") for words in texts)

    def test_marks_on_their_own_layer_win(self, tmp_path: Path) -> None:
        from perpend.reading import ReadingOptions

        pen = Pen()
        pen.loop(zoo.STANDARD.corners, WALL)
        pen.text("W1", (100, 60), "NOTES", height=20)
        pen.text("EAST FACE", (300, 60), "MARKS")
        path = pen.save(tmp_path / "drawing.dxf")
        (wall,) = read_drawing(path, ReadingOptions(tags=("marks",))).elevation.walls
        assert (wall.tag, wall.texts) == ("EAST FACE", ("EAST FACE",))

    def test_a_tag_that_stands_twice_is_told_apart(self, tmp_path: Path) -> None:
        pen = Pen()
        for x in (0, 1000):
            pen.face(zoo.Face("W1", zoo.rectangle(480, 144), at=(x, 0)))
        elevation = read(pen, tmp_path)
        assert [w.tag for w in elevation.walls] == ["W1", "W1 (2)"]
        assert any("more than one wall" in r for r in elevation.repaired)

    def test_marks_above_and_below_openings(self, tmp_path: Path) -> None:
        """D1 in its door, D2 above its door, N1 below its sill; W1 above D1, which needs none."""
        pen = Pen()
        pen.loop(zoo.STANDARD.corners, WALL)
        for box in ((40, 0, 80, 88), (160, 0, 200, 88), (300, 48, 360, 88)):
            pen.box(box)
        for words, at in (("D1", (60, 44)), ("W1", (60, 100)), ("D2", (180, 98)), ("N1", (330, 40))):
            pen.text(words, at)
        wall = read(pen, tmp_path).walls[0]
        assert (wall.tag, [o.tag for o in wall.openings]) == ("W1", ["D1", "D2", "N1"])

    def test_the_only_mark_is_the_wall_s_even_above_a_door(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop(zoo.STANDARD.corners, WALL)
        pen.box((160, 0, 200, 88))
        pen.text("W1", (180, 98))
        wall = read(pen, tmp_path).walls[0]
        assert (wall.tag, [o.tag for o in wall.openings]) == ("W1", ["opening 1"])

    @pytest.mark.parametrize("mark", ["D1", "DR-2"])
    def test_the_only_mark_of_a_wall_is_the_door_s_if_it_stands_above_it_and_reads_so(
        self, tmp_path: Path, mark: str
    ) -> None:
        pen = Pen()
        pen.loop(zoo.rectangle(720, 160), WALL)
        pen.box((200, 0, 240, 88))
        pen.text(mark, (220, 99))
        (wall,) = read(pen, tmp_path).walls
        assert ([o.tag for o in wall.openings], wall.tag == mark) == ([mark], False)

    def test_another_only_mark_above_an_opening_is_the_wall_s_and_doubted(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop(zoo.rectangle(720, 160), WALL)
        pen.box((200, 0, 240, 88))
        pen.text("W1", (220, 99))
        elevation = read(pen, tmp_path)
        (wall,) = elevation.walls
        assert wall.tag == "W1"
        (remark,) = [r for r in elevation.repaired if "beside an opening" in r]
        assert remark.startswith("The text W1 (")

    def test_the_only_mark_far_from_openings_is_not_doubted(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop(zoo.rectangle(720, 160), WALL)
        pen.box((200, 0, 240, 88))
        pen.text("D1", (500, 99))
        elevation = read(pen, tmp_path)
        assert [w.tag for w in elevation.walls] == ["D1"]
        assert not elevation.repaired

    def test_marks_in_door_blocks_are_the_doors(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop(zoo.STANDARD.corners, WALL)
        door = pen.doc.blocks.new("DOOR-A")
        for a, b in (((0, 0), (0, 84)), ((0, 84), (36, 84)), ((36, 84), (36, 0))):
            door.add_line(a, b)
        pen.space.add_blockref("DOOR-A", (200, 0))
        pen.text("D7", (218, 40), height=30)
        pen.text("W1", (60, 60), height=6)
        wall = read(pen, tmp_path).walls[0]
        assert (wall.tag, [o.tag for o in wall.openings]) == ("W1", ["D7"])

    def test_openings_without_marks_are_numbered(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop(zoo.STANDARD.corners, WALL)
        pen.box((200, 0, 240, 88))
        pen.box((100, 0, 140, 88))
        pen.text("W1", (40, 100))
        wall = read(pen, tmp_path).walls[0]
        assert [(o.tag, o.box.x0) for o in wall.openings] == [("opening 1", 100), ("opening 2", 200)]


class TestTreatmentAndEnds:
    @pytest.mark.parametrize(
        ("layer", "text", "treatment"),
        [
            ("A-ELEV-OPNG", "", None),
            ("A-ELEV-OPNG-REIN", "", Treatment.REINFORCED),
            ("A-ELEV-OPNG-UNRE-2", "", Treatment.UNREINFORCED),
            ("A-ELEV-OPNG", "UNREINF.", Treatment.UNREINFORCED),
            ("A-ELEV-OPNG-UNRE", "REINFORCED", Treatment.REINFORCED),
        ],
    )
    def test_treatment(self, tmp_path: Path, layer: str, text: str, treatment: Treatment | None) -> None:
        pen = Pen()
        pen.loop(zoo.STANDARD.corners, WALL)
        pen.box((200, 0, 300, 88), layer)
        pen.text("D1", (250, 60), height=5)
        if text:
            pen.text(text, (250, 30), height=3)
        (opening,) = read(pen, tmp_path).walls[0].openings
        assert (opening.tag, opening.treatment) == ("D1", treatment)

    @pytest.mark.parametrize(
        ("x", "text", "ends"),
        [
            (60, "FREE END", (EndCondition.FREE, None)),
            (420, "Wall continues", (None, EndCondition.CONTINUES)),
            (420, "CORNER", (None, EndCondition.CORNER)),
            (240, "CORNER", (None, None)),
        ],
    )
    def test_ends(self, tmp_path: Path, x: float, text: str, ends: tuple[object, object]) -> None:
        pen = Pen()
        pen.loop(zoo.STANDARD.corners, WALL)
        pen.text(text, (x, 60), height=4)
        wall = read(pen, tmp_path).walls[0]
        assert (wall.left_end, wall.right_end) == ends


class TestLayers:
    @pytest.mark.parametrize("state", ["freeze", "off"])
    def test_hidden_layers_are_not_read(self, tmp_path: Path, state: str) -> None:
        pen = Pen()
        pen.loop(zoo.STANDARD.corners, WALL)
        pen.box((100, 0, 140, 88), "A-ELEV-OPNG-OLD")
        pen.text("W9", (240, 72), "OLD-TAGS", height=20)
        pen.text("W1", (240, 30))
        for name in ("A-ELEV-OPNG-OLD", "OLD-TAGS"):
            getattr(pen.doc.layers.add(name), state)()
        elevation = read(pen, tmp_path)
        assert (elevation.walls[0].tag, elevation.walls[0].openings) == ("W1", ())
        (ignored,) = elevation.ignored
        assert (ignored.place.kind, ignored.place.layer) == ("1 hidden", "A-ELEV-OPNG-OLD")

    def test_no_wall_because_its_layer_is_frozen(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop(zoo.STANDARD.corners, WALL)
        pen.doc.layers.add(WALL).freeze()
        with pytest.raises(InputError, match=r"hidden \(A-ELEV-WALL\): thaw them"):
            read(pen, tmp_path)

    @pytest.mark.parametrize(("state", "shown"), [("freeze", False), ("off", True)])
    def test_a_block_on_a_hidden_layer(self, tmp_path: Path, state: str, shown: bool) -> None:
        """Freezing a reference's layer hides the block; switching it off leaves the block's own layers."""
        pen = Pen()
        block = pen.doc.blocks.new("ELEVATION")
        block.add_lwpolyline(zoo.STANDARD.corners, close=True, dxfattribs={"layer": WALL})
        pen.space.add_blockref("ELEVATION", (0, 0), dxfattribs={"layer": "SHEET"})
        getattr(pen.doc.layers.add("SHEET"), state)()
        if shown:
            assert len(read(pen, tmp_path).walls) == 1
        else:
            with pytest.raises(InputError, match="hidden"):
                read(pen, tmp_path)

    def test_an_invisible_entity(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop(zoo.STANDARD.corners, WALL)
        pen.box((100, 0, 140, 88)).dxf.invisible = 1
        elevation = read(pen, tmp_path)
        assert elevation.walls[0].openings == ()
        assert elevation.ignored[0].place.layer == OPENING

    def test_a_named_layout(self, tmp_path: Path) -> None:
        from perpend.reading import ReadingOptions

        pen = Pen()
        pen.space.add_line((0, 0), (9, 0), dxfattribs={"layer": "A-NOTE"})
        pen.space = pen.doc.layout("Layout1")
        pen.face()
        path = pen.save(tmp_path / "drawing.dxf")
        with pytest.raises(
            InputError, match="layout 'Layout1' has entities on wall layers: read it with --layout"
        ):
            read_drawing(path)
        (wall,) = read_drawing(path, ReadingOptions(layout="layout1")).elevation.walls
        assert (wall.tag, wall.length_in) == ("W1", 480)
        with pytest.raises(InputError, match="no layout 'A-201'"):
            read_drawing(path, ReadingOptions(layout="A-201"))

    def test_external_references_are_named(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop(zoo.STANDARD.corners, WALL)
        pen.doc.add_xref_def("other.dxf", "OTHER")
        pen.space.add_blockref("OTHER", (0, 0), dxfattribs={"layer": WALL})
        elevation = read(pen, tmp_path)
        assert len(elevation.walls) == 1
        assert any("external reference OTHER is not in this file" in i.words for i in elevation.ignored)

    def test_a_missing_block(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop(zoo.STANDARD.corners, WALL)
        pen.space.add_blockref("NOWHERE", (0, 0), dxfattribs={"layer": OPENING})
        elevation = read(pen, tmp_path)
        assert [i.words for i in elevation.ignored] == ["block NOWHERE is not in this file or empty"]


class TestPatterns:
    def test_courses_drawn_across_a_wall_of_lines(self, tmp_path: Path) -> None:
        """Each course is a face of its own; they stand on each other and are one wall."""
        pen = Pen()
        pen.lines(zoo.STANDARD.corners, WALL)
        for y in range(8, 144, 8):
            pen.line((0, y), (480, y), WALL)
        pen.text("W1", (100, 60))
        (wall,) = read(pen, tmp_path).walls
        assert (wall.tag, wall.length_in, wall.height_in) == ("W1", 480, 144)

    def test_a_whole_bond_pattern_on_the_wall_layer(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.lines(zoo.STANDARD.corners, WALL)
        for row, y in enumerate(range(0, 144, 8)):
            if y:
                pen.line((0, y), (480, y), WALL)
            for x in range(16 - 8 * (row % 2), 480, 16):
                pen.line((x, y), (x, y + 8), WALL)
        pen.text("W1", (100, 60))
        (wall,) = read(pen, tmp_path).walls
        assert (wall.tag, wall.length_in, wall.height_in) == ("W1", 480, 144)

    def test_a_base_and_a_wall_on_it_with_tags_of_their_own_stay_two(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop(zoo.rectangle(480, 48), WALL)
        pen.loop(shifted(zoo.rectangle(480, 96), 0, 48), WALL)
        pen.text("BASE1", (100, 20))
        pen.text("W1", (100, 100))
        assert [(w.tag, w.height_in) for w in read(pen, tmp_path).walls] == [("W1", 96), ("BASE1", 48)]

    def test_a_thousand_units_as_outlines_are_refused(self, tmp_path: Path) -> None:
        pen = Pen()
        for x in range(40):
            for y in range(30):
                pen.loop(shifted(zoo.rectangle(15.5, 7.5), 16 * x, 8 * y), WALL)
        with pytest.raises(InputError, match="no wall found"):
            read(pen, tmp_path)
        for x in range(40):
            for y in range(30):
                pen.loop(shifted(zoo.rectangle(31.5, 15.5), 32 * x, 1000 + 16 * y), WALL)
        with pytest.raises(InputError, match="put bond patterns on a layer of their own"):
            read(pen, tmp_path)

    def test_specks_on_the_wall_layer(self, tmp_path: Path) -> None:
        pen = Pen()
        pen.loop(zoo.STANDARD.corners, WALL)
        speck = pen.space.add_circle((600, 50), 4, dxfattribs={"layer": WALL})
        elevation = read(pen, tmp_path)
        assert len(elevation.walls) == 1
        assert [(i.place.handle, i.words) for i in elevation.ignored] == [
            (speck.dxf.handle, "it is too small to be a wall")
        ]

    def test_hundreds_of_panels_are_joined_in_little_time(self, tmp_path: Path) -> None:
        import time

        pen = Pen()
        for index in range(400):
            pen.loop(shifted(zoo.rectangle(48, 120), 48 * index), WALL)
        path = pen.save(tmp_path / "panels.dxf")
        start = time.process_time()
        (wall,) = read_drawing(path).elevation.walls
        assert wall.length_in == 400 * 48
        assert time.process_time() - start < 5


class TestRoles:
    @pytest.mark.parametrize(
        ("layer", "roles"),
        [
            ("A-ELEV-WALL", {"walls"}),
            ("a-elev-wall-full", {"walls"}),
            ("A-ELEV-WALL-THCK", {"thickness_changes"}),
            ("A-ELEV-OPNG-REIN", {"openings", "reinforced_openings"}),
            ("A-ELEV-BBEM-STRC", {"bond_beams", "structural_bond_beams"}),
            ("S-UNR", {"openings", "unreinforced_openings"}),
            ("XREF1|A-ELEV-JNTC", {"joints"}),
            ("XREF1$12$A-ELEV-JNTC", {"joints"}),
            ("A-ELEV", set()),
            ("MARKS", {"tags"}),
        ],
    )
    def test_the_closest_pattern_counts(self, layer: str, roles: set[str]) -> None:
        from perpend.reading import ReadingOptions

        options = ReadingOptions(
            tags=("MARKS",),
            thickness_changes=("A-ELEV-WALL-THCK",),
            unreinforced_openings=("S-UNR",),
        )
        assert options.roles_of(layer) == roles

    def test_brackets_in_a_pattern_are_letters(self) -> None:
        from perpend.reading import ReadingOptions

        options = ReadingOptions(walls=("WALL[1]*",))
        assert options.roles_of("WALL[1]-A") == {"walls"}
        assert options.roles_of("WALL1") == set()


class TestFootBrokenAtDoorways:
    """LINE-drawn walls whose foot stops at the jambs, as offices draw them."""

    CORNERS = ((0, 0), (0, 192), (720, 192), (720, 0))

    def wall(self, pen: Pen, *breaks: tuple[float, float]) -> None:
        pen.path(self.CORNERS, WALL)
        stations = [0.0, *(x for pair in breaks for x in pair), 720.0]
        for a, b in zip(stations[::2], stations[1::2], strict=True):
            pen.line((a, 0), (b, 0), WALL)

    @pytest.mark.parametrize("turn", [0.0, 33.0])
    def test_two_doorways_one_with_its_frame_inside(self, tmp_path: Path, turn: float) -> None:
        pen = Pen(angle=turn)
        self.wall(pen, (96, 136), (400, 472))
        pen.box((96, 0, 136, 84))
        frame = pen.box((402, 0, 470, 84))
        elevation = read(pen, tmp_path)
        (wall,) = elevation.walls
        assert (wall.length_in, wall.height_in) == (720, 192)
        assert [box_of(o) for o in wall.openings] == [(96, 0, 136, 84), (402, 0, 470, 84)]
        told = [r for r in elevation.repaired if "is broken" in r]
        assert len(told) == 2
        assert f"6'-0\" wide at doorway {frame.dxf.handle}" in " ".join(told)

    def test_a_door_open_at_its_foot(self, tmp_path: Path) -> None:
        pen = Pen()
        self.wall(pen, (240, 280))
        pen.path(((240, 0), (240, 84), (280, 84), (280, 0)), OPENING)
        (wall,) = read(pen, tmp_path).walls
        assert [box_of(o) for o in wall.openings] == [(240, 0, 280, 84)]

    @pytest.mark.parametrize(
        "door", [None, (300, 0, 340, 84), (246, 0, 274, 84), (236, 90, 284, 170)], ids=str
    )
    def test_a_break_where_no_doorway_fits_is_refused(
        self, tmp_path: Path, door: tuple[float, float, float, float] | None
    ) -> None:
        pen = Pen()
        self.wall(pen, (240, 280))
        if door:
            pen.box(door)
        with pytest.raises(
            InputError, match=r"open outline: its ends \(2[48]0, 0\) and \(2[48]0, 0\) are 3'-4\""
        ):
            read(pen, tmp_path)


@pytest.mark.parametrize("turn", [0.0, 90.0, -90.0, 180.0, 33.0])
def test_a_top_that_leans_a_little_does_not_turn_the_wall(tmp_path: Path, turn: float) -> None:
    pen = Pen(angle=turn)
    pen.loop(((0, 0), (120.5, 0), (120.5, 120.125), (0, 120)), WALL)
    pen.text("W1", (40, 60))
    (wall,) = read(pen, tmp_path).walls
    assert wall.length_in == pytest.approx(120.5, abs=1 / 64)
    assert wall.top.at(60.25)[0] == pytest.approx(120.0625, abs=1 / 64)
    assert wall.bottom.is_level
    assert math.degrees(wall.frame.angle_rad) % 360 == pytest.approx(turn % 360, abs=1e-4)
