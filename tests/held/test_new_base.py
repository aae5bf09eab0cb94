"""The architect issues a new base without our layers: what was decided goes over with ``--from``."""

from __future__ import annotations

import math
from pathlib import Path

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.math import Matrix44

import perpend
from held.revising import AT, Office, a_wall, joints_in, said, stations
from held.test_moved_labels import STORE, labels, place, shifted
from perpend.errors import InputError
from perpend.report import Results


@pytest.fixture
def old(tmp_path: Path) -> Office:
    """Issued, one joint moved and one copied and run since; one more erased by hand, and not run since."""
    office = Office(tmp_path, a_wall(960.0, 192.0, STORE))
    office.annotate(issue="Bid set")
    office.move("1", 16.0)
    office.copy("2", 80.0)
    office.annotate(issue="Addendum 1")
    office.erase("4")
    return office


def onto(old: Office, doc: Drawing) -> tuple[Results, Path]:
    base = old.folder / "base.dxf"
    doc.saveas(base)
    done = perpend.annotate(base, old.folder / "carried.dxf", decisions_from=old.path)
    return done.results, done.output


def assert_settled(old: Office, path: Path) -> None:
    again = perpend.annotate(path, old.folder / "again.dxf")
    assert again.output.read_bytes() == path.read_bytes(), "the new drawing knows all by itself"


def test_the_same_base_somewhere_else_on_the_sheet(old: Office) -> None:
    expected = stations(perpend.annotate(old.path, old.folder / "expected.dxf").results)
    results, path = onto(old, a_wall(960.0, 192.0, STORE, at=(0.0, 9000.0)))
    assert stations(results) == expected
    assert [issue.name for issue in results.issues] == ["Bid set", "Addendum 1"]
    assert ("deleted", "4", 816.0, None) in said(results)
    held = {joint.mark: joint.x_in for joint in results.walls[0].joints if joint.held}
    assert held == {"1": 160.0, "2A": 448.0}
    assert said(results)[0][0] == "carried"
    assert "base-changed" not in [code for code, *_ in said(results)], "nothing in the wall is different"
    assert_settled(old, path)


def test_a_wall_that_grew_at_its_left_end_and_has_another_window(old: Office) -> None:
    x, y = AT
    windows = [(tag, x0 + 48.0, y0, x1 + 48.0, y1) for tag, x0, y0, x1, y1 in STORE]
    results, path = onto(old, a_wall(1008.0, 192.0, (*windows, ("C", 870, 48, 902, 96)), at=(x - 48.0, y)))
    held = {joint.mark: joint.x_in for joint in results.walls[0].joints if joint.held}
    assert held == {"1": 208.0, "2A": 496.0}, "in their places between the windows"
    told = " ".join(d.words for d in results.decisions if d.code == "base-changed")
    assert "80'-0\"" in told
    assert "84'-0\"" in told
    assert "C" in told
    assert_settled(old, path)


def test_a_wall_that_is_turned_on_the_new_sheet(old: Office) -> None:
    doc = a_wall(960.0, 192.0, STORE)
    for entity in doc.modelspace():
        entity.transform(Matrix44.z_rotate(math.radians(30)))
    results, path = onto(old, doc)
    held = {joint.mark: round(joint.x_in, 2) for joint in results.walls[0].joints if joint.held}
    assert held == {"1": 160.0, "2A": 448.0}
    assert_settled(old, path)


def test_a_tag_that_was_moved_goes_over(old: Office) -> None:
    old.annotate()
    ((x, y),) = shifted(old, "tag", "W1-2A", 30.0, 20.0)
    results, path = onto(old, a_wall(960.0, 192.0, STORE, at=(0.0, 0.0)))
    (tag,) = labels(ezdxf.readfile(path), "tag", "W1-2A")
    assert place(tag) == pytest.approx((x - AT[0], y - AT[1]))
    assert "label-moved" in [code for code, *_ in said(results)]


def test_a_wall_that_is_gone_is_named(old: Office) -> None:
    doc = a_wall(400.0, 120.0, ())
    for text in doc.modelspace().query("TEXT"):
        text.dxf.text = "W7"
    results, _ = onto(old, doc)
    assert "wall-gone" in [code for code, *_ in said(results)]
    assert not [joint for joint in results.walls[0].joints if joint.held]


def test_what_can_not_be_carried_over_is_refused(old: Office) -> None:
    plain = old.folder / "plain.dxf"
    a_wall().saveas(plain)
    with pytest.raises(InputError, match="has no joints of perpend"):
        perpend.annotate(plain, old.folder / "out.dxf", decisions_from=plain)
    with pytest.raises(InputError, match="already"):
        perpend.annotate(old.path, old.folder / "out.dxf", decisions_from=old.path)
    with pytest.raises(InputError, match="carried over"):
        perpend.annotate(plain, old.path, decisions_from=old.path, overwrite=True)
    assert joints_in(old.open()), "the older drawing is never written to"
