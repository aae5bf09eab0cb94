"""Two issues of a drawing: what changed, by value and place; ours and others'."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import ezdxf
import pytest

import perpend
from changes.issues import DrawnWall, draw, kinds
from perpend.report.changes_document import ChangeEntry, ChangesResults

Issue = DrawnWall | tuple[DrawnWall, ...]
Compare = Callable[[Issue, Issue], ChangesResults]
ROOT = Path(__file__).parents[2]
WALL = DrawnWall(
    openings=(("D1", (96.0, 0.0, 136.0, 88.0)), ("N1", (400.0, 40.0, 448.0, 88.0))),
    joints=(240.0, 520.0),
)


@pytest.fixture
def compared(tmp_path: Path) -> Compare:
    def compare(old: Issue, new: Issue) -> ChangesResults:
        before = draw(tmp_path / "old.dxf", *(old if isinstance(old, tuple) else (old,)))
        after = draw(tmp_path / "new.dxf", *(new if isinstance(new, tuple) else (new,)))
        return perpend.changes(before, after)

    return compare


def only(results: ChangesResults) -> ChangeEntry:
    (change,) = results.changes
    return change


def differences(change: ChangeEntry) -> dict[str, tuple[float | str | None, float | str | None]]:
    return {
        d.what: (d.was if d.was_in is None else d.was_in, d.now if d.now_in is None else d.now_in)
        for d in change.differences
    }


def test_nothing_changed(compared: Compare) -> None:
    results = compared(WALL, WALL)
    assert results.changes == []
    assert not results.violated
    assert perpend.text_of(results)[1].text == "Nothing changed."


def test_a_joint_moved_added_and_removed(compared: Compare) -> None:
    results = compared(WALL.but(joints=(240.0, 520.0, 640.0)), WALL.but(joints=(60.0, 216.0, 520.0)))
    assert kinds(results.changes) == [
        ("joint", "added", "joint 1"),
        ("joint", "moved", "joint 2"),
        ("joint", "removed", "joint 3"),
    ]
    added, moved, removed = results.changes
    assert added.at == [(60.0, 0.0), (60.0, 200.0)]
    assert differences(moved) == {"station": (240.0, 216.0)}
    assert moved.says == "Joint 2 (was joint 1) moved: station 20'-0\" -> 18'-0\"."
    assert (moved.old_at[0], moved.at[0]) == ((240.0, 0.0), (216.0, 0.0))
    assert removed.old_at == [(640.0, 0.0), (640.0, 200.0)]
    assert removed.at == []


def test_a_joint_on_another_layer_is_retyped(compared: Compare) -> None:
    change = only(compared(WALL.but(joints=(240.0,)), WALL.but(joints=(240.0,), layer="A-ELEV-JNTC-EXPN")))
    assert (change.thing, change.change) == ("joint", "retyped")
    assert differences(change) == {"layer": ("A-ELEV-JNTC", "A-ELEV-JNTC-EXPN")}


def test_openings(compared: Compare) -> None:
    new = WALL.but(
        openings=(
            ("D1", (112.0, 0.0, 152.0, 88.0)),
            ("N1", (400.0, 40.0, 464.0, 88.0)),
            ("N2", (600.0, 40.0, 640.0, 80.0)),
        )
    )
    results = compared(WALL, new)
    assert kinds(results.changes) == [
        ("opening", "moved", "D1"),
        ("opening", "changed", "N1"),
        ("opening", "added", "N2"),
    ]
    door, window, added = results.changes
    assert differences(door) == {"left jamb": (96.0, 112.0)}
    assert differences(window) == {"width": (48.0, 64.0)}
    assert added.at == [(600.0, 40.0), (640.0, 40.0), (640.0, 80.0), (600.0, 80.0)]
    back = compared(new, WALL)
    assert kinds(back.changes)[-1] == ("opening", "removed", "N2")


def test_an_opening_without_a_mark_is_known_by_its_size(compared: Compare) -> None:
    one = WALL.but(openings=(("", (96.0, 0.0, 136.0, 88.0)),))
    change = only(compared(one, one.but(openings=(("", (120.0, 0.0, 160.0, 88.0)),))))
    assert (change.change, differences(change)) == ("moved", {"left jamb": (96.0, 120.0)})


def test_marks_of_a_type_stand_in_many_openings(compared: Compare) -> None:
    """Four windows of one type; one is gone, one is somewhere else: not all four moved."""
    at = (40.0, 140.0, 300.0, 600.0)
    old = DrawnWall(openings=tuple(("A", (x, 40.0, x + 40.0, 80.0)) for x in at))
    new = DrawnWall(openings=tuple(("A", (x, 40.0, x + 40.0, 80.0)) for x in (40.0, 140.0, 316.0)))
    results = compared(old, new)
    assert [(c.change, differences(c).get("left jamb")) for c in results.changes] == [
        ("moved", (300.0, 316.0)),
        ("removed", None),
    ]


def test_a_wall_longer_at_its_left_end_moves_nothing(compared: Compare) -> None:
    """All stations are 64 in. more, as they count from the left end; nothing in the wall moved."""
    longer = WALL.but(
        at=(-64.0, 0.0),
        length=784.0,
        openings=tuple((tag, (a + 64, b, c + 64, d)) for tag, (a, b, c, d) in WALL.openings),
        joints=tuple(x + 64 for x in WALL.joints),
    )
    results = compared(WALL, longer)
    change = only(results)
    assert (change.thing, differences(change)) == ("wall", {"length": (720.0, 784.0)})
    assert results.walls[0].shift_in == (64.0, 0.0)


def test_a_wall_longer_and_elsewhere_on_the_sheet_moves_nothing(compared: Compare) -> None:
    """The same, with the whole elevation at another place: found by what is in the wall."""
    longer = WALL.but(
        at=(5000.0, 900.0),
        length=784.0,
        openings=tuple((tag, (a + 64, b, c + 64, d)) for tag, (a, b, c, d) in WALL.openings),
        joints=tuple(x + 64 for x in WALL.joints),
    )
    results = compared(WALL, longer)
    assert differences(only(results)) == {"length": (720.0, 784.0)}


def test_a_higher_wall_and_what_follows_from_it(compared: Compare) -> None:
    """16'-8" to 12'-0": the spacing is 1.5 times the height and at most 25'-0" (TEK 10-2C, empirical)."""
    results = compared(WALL, WALL.but(height=144.0))
    assert kinds(results.changes) == [("wall", "changed", "W1"), ("limits", "changed", "limits")]
    wall, limits = results.changes
    assert differences(wall) == {"least height": (200.0, 144.0), "greatest height": (200.0, 144.0)}
    assert differences(limits)["greatest joint spacing"] == (300.0, 216.0)
    assert differences(limits)["greatest distance from a corner"] == (150.0, 108.0)


def test_walls_added_removed_and_moved(compared: Compare) -> None:
    a, b, c = (
        DrawnWall(tag=t, at=(n * 900.0, 0.0), joints=(240.0,)) for n, t in enumerate(("W1", "W2", "W3"))
    )
    new = (a, b.but(at=(900.0, 48.0)), DrawnWall(tag="W4", at=(2700.0, 0.0), length=300.0))
    results = compared(
        (a, b, c, DrawnWall(tag="W5", at=(0.0, 900.0))), (*new, DrawnWall(tag="W5", at=(0.0, 900.0)))
    )
    found = {(c.thing, c.change, c.name): c for c in results.changes}
    assert set(found) == {("wall", "moved", "W2"), ("wall", "added", "W4"), ("wall", "removed", "W3")}
    (place,) = found["wall", "moved", "W2"].differences
    assert place.now_in == 48.0
    assert [(x0, y0) for x0, y0 in found["wall", "added", "W4"].at][:2] == [(0.0, 0.0), (300.0, 0.0)]


def test_walls_without_marks_are_matched_by_shape_and_place(compared: Compare) -> None:
    """Three unmarked walls; the first is gone, so the made-up tags all change."""
    walls = tuple(DrawnWall(tag="", at=(n * 900.0, 0.0), length=700.0 - 20 * n) for n in range(3))
    results = compared(walls, walls[1:])
    assert [(c.thing, c.change) for c in results.changes] == [("wall", "removed")]
    assert {w.tag: w.old.length_in for w in results.walls if w.new and w.old} == {
        "wall 1": 680.0,
        "wall 2": 660.0,
    }
    assert results.walls[-1].tag == "wall 1 (old)", "distinct from the wall that has this tag now"


def test_inches_and_millimeters_are_one(tmp_path: Path) -> None:
    """25.4 mm to the inch: the same wall in another unit has not changed."""
    old = draw(tmp_path / "in.dxf", WALL)
    new = draw(tmp_path / "mm.dxf", WALL, unit=25.4, insunits=4)
    results = perpend.changes(old, new)
    assert [c for c in results.changes if c.thing != "limits"] == []
    assert any("unit of the drawing changed from in to mm" in remark for remark in results.remarks)


def test_settings_and_what_follows_from_them(tmp_path: Path) -> None:
    drawing = draw(tmp_path / "north.dxf", WALL)
    copy = draw(tmp_path / "south.dxf", WALL)
    (tmp_path / "a.toml").write_text('[defaults]\nmethod = "empirical"\n')
    (tmp_path / "b.toml").write_text('[defaults]\nmethod = "engineered"\nopenings = "unreinforced"\n')
    results = perpend.changes(drawing, copy, settings=tmp_path / "b.toml", old_settings=tmp_path / "a.toml")
    openings = [c for c in results.changes if c.thing == "opening"]
    assert {d.what: (d.was, d.now) for c in openings for d in c.differences} == {
        "treatment": ("reinforced", "unreinforced")
    }
    (limits,) = (c for c in results.changes if c.thing == "limits")
    assert differences(limits)["method"] == ("empirical", "engineered")
    (changed,) = (c for c in results.changes if c.thing == "settings")
    assert differences(changed) == {
        "defaults.method": ("empirical", "engineered"),
        "defaults.openings": ("reinforced", "unreinforced"),
    }


def test_ours_by_their_numbers_through_other_programs(tmp_path: Path) -> None:
    """A plate of ours, saved by ezdxf with one joint moved and one deleted."""
    sample = ROOT / "sample_drawings" / "warehouse-north.dxf"
    settings = ROOT / "sample_drawings" / "perpend.toml"
    issued = tmp_path / "issued.dxf"
    done = perpend.annotate(sample, issued, settings=settings)
    doc = ezdxf.readfile(issued)
    ours = sorted(
        (e for e in doc.modelspace().query("LWPOLYLINE") if _kind(e) == "joint"),
        key=lambda e: e.get_points("xy")[0][0],
    )
    ours[1].translate(-27, 0, 0)
    doc.modelspace().delete_entity(ours[4])
    revised = tmp_path / "revised.dxf"
    doc.saveas(revised)
    results = perpend.changes(issued, revised, settings=settings)
    (wall,) = done.results.walls
    second, fifth = wall.joints[1], wall.joints[4]
    assert kinds(results.changes) == [("joint", "moved", "W1-2"), ("joint", "removed", "W1-5")]
    assert differences(results.changes[0]) == {"station": (second.x_in, second.x_in - 27)}
    assert results.changes[1].old_at[0][0] == fifth.x_in


def _kind(entity: ezdxf.entities.DXFEntity) -> str:
    said = [v for c, v in entity.get_xdata("PERPEND") if c == 1000] if entity.has_xdata("PERPEND") else []
    return next((v[5:] for v in said if v.startswith("kind=")), "")


def test_a_joint_between_two_walls_may_be_read_in_either(compared: Compare) -> None:
    """Walls side by side with a joint on their common end: no change, whichever wall it is read in."""
    left, right = DrawnWall(tag="W1", length=600.0, joints=(600.0,)), DrawnWall(tag="W2", at=(600.0, 0.0))
    results = compared((left, right), (left.but(joints=()), right.but(joints=(0.0,))))
    assert [c for c in results.changes if c.thing == "joint"] == []


@pytest.mark.parametrize("name", sorted(p.stem for p in (ROOT / "sample_drawings").glob("*.dxf")))
def test_samples_as_issued_and_with_joints_moved_by_another_program(tmp_path: Path, name: str) -> None:
    """Every sample annotated: saved by ezdxf it is the same; every joint moved 3 in. is listed, no more."""
    settings = ROOT / "sample_drawings" / "perpend.toml"
    issued, saved, moved = (tmp_path / f"{n}.dxf" for n in ("issued", "saved", "moved"))
    perpend.annotate(ROOT / "sample_drawings" / f"{name}.dxf", issued, settings=settings)
    doc = ezdxf.readfile(issued)
    doc.saveas(saved)
    assert perpend.changes(issued, saved, settings=settings).changes == []
    ours = [e for e in doc.modelspace() if _kind(e) == "joint"]
    for joint in ours:
        joint.translate(3, 0, 0)  # type: ignore[attr-defined]
    doc.saveas(moved)
    results = perpend.changes(issued, moved, settings=settings)
    assert {(c.thing, c.change) for c in results.changes} == {("joint", "moved")}
    assert {
        round(d.now_in - d.was_in, 6) for c in results.changes for d in c.differences if d.what == "station"
    } == {3.0}  # type: ignore[operator]
    numbers = {
        v[7:] for e in ours for c, v in e.get_xdata("PERPEND") if c == 1000 and v.startswith("number=")
    }
    assert sorted(c.name for c in results.changes) == sorted(numbers)


def test_a_step_at_another_height_is_a_change(tmp_path: Path) -> None:
    """Foot and head are where they were; the step under the lintel is 8 in. higher."""

    def stepped(name: str, height: float) -> Path:
        path = draw(tmp_path / name, DrawnWall(openings=(("D1", (96.0, 0.0, 136.0, 88.0)),)))
        doc = ezdxf.readfile(path)
        points = [(136, 0), (136, height), (144, height), (144, 200)]
        doc.modelspace().add_lwpolyline(points, dxfattribs={"layer": "A-ELEV-JNTC"})
        doc.saveas(path)
        return path

    change = only(perpend.changes(stepped("old.dxf", 88.0), stepped("new.dxf", 96.0)))
    assert (change.change, differences(change)) == ("changed", {"height of its step": (88.0, 96.0)})


@pytest.mark.parametrize("to", [-24.0, 0.0, 24.0])
def test_a_joint_that_leaves_or_reaches_the_common_end_of_two_walls_is_one_change(
    compared: Compare, to: float
) -> None:
    """It is read in both walls where it is on their common end, and in one elsewhere."""
    left, right = DrawnWall(tag="W1", length=600.0), DrawnWall(tag="W2", at=(600.0, 0.0))

    def with_joint(x: float) -> tuple[DrawnWall, DrawnWall]:
        return (left.but(joints=(600.0 + x,)), right) if x <= 0 else (left, right.but(joints=(x,)))

    for old, new in ((0.0, to), (to, 0.0)):
        results = compared(with_joint(old), with_joint(new))
        moved = [differences(c)["station"] for c in results.changes]
        assert [abs(float(b) - float(a)) for a, b in moved] == ([24.0] if to else [])  # type: ignore[arg-type]
