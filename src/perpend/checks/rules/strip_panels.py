"""The rule on the masonry below and above openings that are long and low: panels with their own heights."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace

from perpend.checks.measure.judged_wall import JudgedWall, PanelSpan
from perpend.checks.measure.track_geometry import Track, over
from perpend.checks.verdicts import Verdict
from perpend.findings import Extent, Finding, Rule, Severity
from perpend.rulebook.judgment import Restraint
from perpend.rulebook.strip_pieces import StripPiece
from perpend.units import ON_MODULE_IN

RULE = Rule(
    "panel-at-opening-too-long",
    "The masonry below or above a long opening is too long for its height",
    mark=Extent.STRETCH,
    by_joints=False,
)
RULES = (RULE,)


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge every piece of masonry below or above a strip window: between joints, and from what holds it."""
    found = [finding for piece in wall.basis.strip_pieces for finding in _faults(wall, piece)]
    yield Verdict(RULE.code, len(wall.basis.strip_pieces), tuple(found))


def _faults(wall: JudgedWall, piece: StripPiece) -> Iterator[Finding]:
    panel = next((p for p in wall.panels if p.x0_in <= piece.box.center[0] <= p.x1_in), None)
    if panel is None:
        return
    inner = sorted(j.path[0][0] for j in wall.partial if piece.holds(j.path))
    ends = [_end(track, piece, x) for track, x in ((panel.left, piece.box.x0), (panel.right, piece.box.x1))]
    stretches = itertools.pairwise([ends[0], *inner, ends[1]])
    x0, x1 = max(stretches, key=lambda s: s[1] - s[0])
    limit = wall.basis.spacing.at(piece.box.height).max_spacing_in
    if piece.beams_in:
        levels = [b.box.center[1] for b in wall.basis.wall.bond_beams if b.box.x0 < x1 and b.box.x1 > x0]
        beams = [y for y in levels if piece.box.y0 < y < piece.box.y1]
        if limit is not None and over(x1 - x0, limit) and len(beams) < len(piece.beams_in):
            what = f" without a joint; it needs {piece.steel}, to be confirmed"
            yield replace(_finding(wall, piece, (x0, x1), limit, what), severity=Severity.ADVISORY)
        return
    if limit is not None and over(x1 - x0, limit):
        yield _finding(wall, piece, (x0, x1), limit, f" and {wall.at(piece.box.height)} high")
    for held in _held(wall, panel, piece):
        lefts = [x for x in (ends[0], *inner) if x < held.middle_in]
        rights = [x for x in (*inner, ends[1]) if x > held.middle_in]
        sides = [*((x, held.x0_in) for x in lefts[-1:]), *((held.x1_in, x) for x in rights[:1])]
        for side in sides:
            if held.within_in is not None and over(side[1] - side[0], held.within_in):
                yield _finding(wall, piece, side, held.within_in, f", up to the {held.what}")


def _held(wall: JudgedWall, panel: PanelSpan, piece: StripPiece) -> Iterator[Restraint]:
    """Yield what holds the masonry of the panel that a piece is in: its corners and the bonded walls.

    A corner whose panel is too long up to the strip already is reported by itself.
    """
    basis, limits = wall.basis, panel.limits
    beside = basis.spacing.beside_restraint_in(limits)
    for held in basis.restraints_between(panel.x0_in, panel.x1_in):
        yield replace(held, within_in=held.within_in or beside)
    near = limits.corner_distance_in
    for side in panel.corners:
        at = 0.0 if side == "left" else basis.wall.length_in
        pier = piece.box.x0 if side == "left" else at - piece.box.x1
        if side not in panel.served and near is not None and near > pier:
            yield Restraint(at, at, near, "corner")


def _end(track: Track | None, piece: StripPiece, jamb_in: float) -> float:
    """Return where a piece ends: at the joint of that jamb, as high as the piece, or at the jamb."""
    if track is None or abs(track.foot_x - jamb_in) > ON_MODULE_IN:
        return jamb_in
    middle = piece.box.center[1]
    return track.at_height(middle, middle)


def _finding(
    wall: JudgedWall, piece: StripPiece, between: tuple[float, float], limit_in: float, what: str
) -> Finding:
    (x0, x1), y = between, piece.box.center[1]
    at, part = wall.at, "below the sill" if piece.where == "below" else "above the head"
    return RULE.finding(
        f"The masonry {part} of {piece.opening} in {wall.tag} is {at(x1 - x0)} long from {at(x0)} to "
        f"{at(x1)}{what}; {at(limit_in)} is allowed.",
        wall=wall.tag,
        measured_in=x1 - x0,
        limit_in=limit_in,
        source=next(iter(wall.basis.source_of("judgment.strip-opening")), None),
        at=((x0, y), (x1, y)),
        opening=piece.opening,
    )
