"""A cure names only stations where a joint may stand; numbers reckoned by hand in the comments."""

from __future__ import annotations

from layout.builders import Hole, basis
from perpend.checks import check_wall


def cure_of(length: float, holes: list[Hole]) -> str:
    """Judge a wall 160 in. high (spacing 240 in.) without joints; return the cure of its long panel."""
    findings = check_wall(basis(length, 160, holes), ()).findings
    return next(f.cure for f in findings if f.code == "panel-too-long")


def test_the_stretch_leaves_out_a_reinforced_opening_and_its_keep_out() -> None:
    """400 in. long: one joint from 160 to 240 in. would do; the opening 190-214 in. keeps 24 in. clear."""
    cure = cure_of(400, [(190, 0, 214, 80, "r")])
    assert cure == "Add a joint at 13'-4\", or at 20'-0\"."


def test_without_openings_the_stretch_is_whole() -> None:
    assert cure_of(400, []) == "Add a joint between 13'-4\" and 20'-0\"."


def test_where_openings_take_the_whole_stretch_no_station_is_named() -> None:
    cure = cure_of(400, [(170, 0, 230, 80, "r")])
    assert cure == "Openings leave no station free between 13'-4\" and 20'-0\": change a treatment."
