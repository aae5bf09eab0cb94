"""The rule on the masonry below and above openings that are long and low: panels with their own heights."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from perpend.checks.measure.judged_wall import JudgedWall
from perpend.checks.measure.track_geometry import over
from perpend.checks.verdicts import Verdict
from perpend.findings import Extent, Rule
from perpend.rulebook.strip_pieces import StripPiece

RULE = Rule(
    "panel-at-opening-too-long",
    "The masonry below or above a long opening is too long for its height",
    mark=Extent.STRETCH,
    by_joints=False,
)
RULES = (RULE,)


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge every piece of masonry below or above a strip window, from jamb to jamb."""
    found = []
    for piece in wall.basis.strip_pieces:
        limits = wall.basis.spacing.at(piece.box.height)
        limit = limits.max_spacing_in
        if limit is None:
            continue
        inner = sorted(x for x in _stations(wall, piece))
        stretches = itertools.pairwise([piece.box.x0, *inner, piece.box.x1])
        x0, x1 = max(stretches, key=lambda s: s[1] - s[0])
        if over(x1 - x0, limit):
            y = piece.box.center[1]
            part = "below the sill" if piece.where == "below" else "above the head"
            found.append(
                RULE.finding(
                    f"The masonry {part} of {piece.opening} in {wall.tag} is {wall.at(x1 - x0)} long from "
                    f"{wall.at(x0)} to {wall.at(x1)} and {wall.at(piece.box.height)} high; {wall.at(limit)} "
                    "is allowed.",
                    wall=wall.tag,
                    measured_in=x1 - x0,
                    limit_in=limit,
                    source=next(iter(wall.basis.source_of("judgment.strip-opening")), None),
                    at=((x0, y), (x1, y)),
                    opening=piece.opening,
                )
            )
    yield Verdict(RULE.code, len(wall.basis.strip_pieces), tuple(found))


def _stations(wall: JudgedWall, piece: StripPiece) -> Iterator[float]:
    """Yield where partial joints stand in a piece."""
    for joint in wall.partial:
        if piece.holds(joint.path):
            yield joint.path[0][0]
