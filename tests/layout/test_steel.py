"""Steel beside and below openings: where each line ends, worked out from the openings by hand.

A jamb bar stands 4 in. from its jamb; a lintel is 8 in. deep; the bar below a sill lies 4 in. below it
(`layout.builders`).
"""

from __future__ import annotations

from layout.builders import Hole, basis
from perpend.layout.steel.jamb_bars import jamb_bar_notes
from perpend.layout.steel.opening_bars import bars_of
from perpend.model import Bar

Column = tuple[float, float, float]


def steel(*holes: Hole, height: float = 240.0) -> tuple[Bar, ...]:
    return bars_of(basis(640.0, height, holes), ())


def columns(*holes: Hole) -> dict[Column, tuple[tuple[str, ...], tuple[str, ...]]]:
    """Return the upright bars: station, foot and head with the openings served and those stopped at."""
    return {
        (bar.path[0][0], bar.path[0][1], bar.path[1][1]): (bar.openings, bar.stops_at)
        for bar in steel(*holes)
        if bar.kind == "jamb"
    }


def test_a_bar_of_a_window_over_a_wide_door_stands_on_the_door_lintel() -> None:
    door, window = (240.0, 0.0, 400.0, 96.0, "r"), (296.0, 144.0, 344.0, 192.0, "r")
    assert columns(door, window) == {
        (236.0, 0.0, 240.0): (("O1",), ()),
        (292.0, 104.0, 240.0): (("O2",), ("O1",)),
        (348.0, 104.0, 240.0): (("O2",), ("O1",)),
        (404.0, 0.0, 240.0): (("O1",), ()),
    }


def test_a_bar_of_a_door_under_a_wide_window_ends_at_the_sill() -> None:
    door, window = (296.0, 0.0, 344.0, 88.0, "r"), (240.0, 120.0, 400.0, 168.0, "r")
    assert [key for key, (tags, _) in columns(door, window).items() if tags == ("O2",)] == [
        (292.0, 0.0, 120.0),
        (348.0, 0.0, 120.0),
    ]


def test_openings_that_share_a_cell_share_its_bar() -> None:
    """Right jamb of the upper window at 248 in., left jamb of the lower one at 256 in.: both at 252 in."""
    lower, upper = (256.0, 40.0, 320.0, 96.0, "r"), (200.0, 144.0, 248.0, 192.0, "r")
    assert columns(lower, upper)[252.0, 0.0, 240.0] == (("O1", "O2"), ())


def test_a_cell_that_two_openings_share_above_each_other_has_a_bar_for_each() -> None:
    """A third opening between them cuts the cell at 252 in. in two."""
    holes = (
        (256.0, 0.0, 320.0, 60.0, "r"),
        (240.0, 80.0, 300.0, 120.0, "r"),
        (200.0, 144.0, 248.0, 192.0, "r"),
    )
    found = columns(*holes)
    assert found[252.0, 0.0, 80.0] == (("O3",), ("O2",))
    assert found[252.0, 128.0, 240.0] == (("O1",), ("O2",))


def test_no_bar_stands_where_another_opening_leaves_no_masonry_beside_the_jamb() -> None:
    """A pier of 2 in.: the cell beside each jamb lies in the other opening."""
    wall = basis(640.0, 240.0, [(200.0, 40.0, 264.0, 96.0, "r"), (266.0, 40.0, 330.0, 96.0, "r")])
    bars = bars_of(wall, ())
    assert [bar.path[0][0] for bar in bars if bar.kind == "jamb"] == [196.0, 334.0]
    assert list(jamb_bar_notes(wall, bars)) == [
        "No jamb bar is drawn where no masonry stands beside a jamb of O1 and O2: "
        "the steel there needs structural design."
    ]


def test_the_notes_name_the_bars_that_are_cut_and_what_cuts_them() -> None:
    wall = basis(640.0, 240.0, [(240.0, 0.0, 400.0, 96.0, "r"), (296.0, 144.0, 344.0, 192.0, "r")])
    assert list(jamb_bar_notes(wall, bars_of(wall, ()))) == [
        "Jamb bars of O2 stop at openings in their way (O1) and can't run full height: "
        "the steel there needs structural design."
    ]
    alone = basis(640.0, 240.0, [(240.0, 0.0, 400.0, 96.0, "r")])
    assert list(jamb_bar_notes(alone, bars_of(alone, ()))) == []


def test_neighbours_with_one_sill_share_the_bar_below_it() -> None:
    windows = (160.0, 40.0, 224.0, 96.0, "r"), (256.0, 40.0, 320.0, 96.0, "r")
    (bar,) = (bar for bar in steel(*windows) if bar.kind == "sill")
    assert bar.path == ((0.0, 36.0), (640.0, 36.0))
    assert bar.openings == ("O1", "O2")


def test_corner_reinforcement_of_neighbours_is_laid_once() -> None:
    """24 in. past each jamb: 136 to 248 in. and 232 to 344 in. lie on each other between 232 and 248."""
    windows = (160.0, 40.0, 224.0, 96.0, "u"), (256.0, 40.0, 320.0, 96.0, "u")
    beds = [bar.path for bar in steel(*windows) if bar.kind == "bed"]
    assert beds == [((136.0, y), (344.0, y)) for y in (24.0, 32.0, 104.0, 112.0)]
