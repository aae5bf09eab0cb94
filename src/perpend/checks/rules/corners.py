"""Rules on the distance of the first joint from a corner, and of the next one from a bonded wall."""

from __future__ import annotations

from collections.abc import Iterator

from perpend.checks.measure.far_restraints import FarRestraint
from perpend.checks.measure.judged_wall import JudgedWall, PanelSpan
from perpend.checks.measure.track_geometry import over, under
from perpend.checks.verdicts import NO_SPACING, Verdict
from perpend.findings import Extent, Finding, Rule, WaiverMeaning
from perpend.model import EndCondition, Side, Source

_FAR = Rule(
    "corner-too-far",
    "The first joint is too far from a corner",
    mark=Extent.STATION,
    waiver=WaiverMeaning.CORNER,
)
_NEAR = Rule(
    "corner-too-near", "A joint is nearer to a corner than the rule book allows", mark=Extent.STATION
)
_BONDED = Rule(
    "bonded-wall-too-far",
    "The next joint is too far from a bonded intersecting wall",
    mark=Extent.STATION,
    waiver=WaiverMeaning.BONDED,
)
RULES = (_FAR, _NEAR, _BONDED)


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge the first joint from every corner, not too far, not too near; the next one from bonded walls."""
    yield _far_corners(wall)
    yield _near_corners(wall)
    yield _far_bonded_walls(wall)


def _far_corners(wall: JudgedWall) -> Verdict:
    corners = [
        (panel, side)
        for panel in wall.panels
        if panel.limits.corner_distance_in is not None
        for side in panel.corners
    ]
    at_corner = EndCondition.CORNER in (wall.basis.left_end, wall.basis.right_end)
    untested = NO_SPACING if at_corner and wall.basis.spacing.cap_in is None and not corners else ""
    found = tuple(_too_far(wall, p, side) for p, side in corners if side in p.far_corners)
    return Verdict(_FAR.code, len(corners), found, untested)


def _too_far(wall: JudgedWall, panel: PanelSpan, side: Side) -> Finding:
    at = wall.at
    limit = panel.limits.corner_distance_in
    assert limit is not None, "only a corner with a limit can be too far"
    corner_x = 0.0 if side == "left" else wall.basis.wall.length_in
    joint = panel.right if side == "left" else panel.left
    what = f"The first joint from the {side} corner of {wall.tag} is {at(panel.length_in)} away"
    if joint is None:
        what = f"{wall.tag}, {at(panel.length_in)} long, has no joint for its {side} corner"
    beyond = wall.basis.returns_in[0 if side == "left" else 1]
    if beyond is not None:
        what += f", and {at(beyond)} of masonry is round it to the next one"
    return _FAR.finding(
        f"{what}; {f'one within {at(limit)} is required' if joint is None else f'{at(limit)} is allowed'}.",
        wall=wall.tag,
        measured_in=panel.length_in if over(panel.length_in, limit) else None,
        limit_in=limit,
        source=_corner_source(wall),
        at=(wall.spot(corner_x),),
        handle=joint.handle if joint else "",
    )


def _corner_source(wall: JudgedWall) -> Source | None:
    if wall.basis.measures_round_corners and wall.basis.spacing.corner_round_sources:
        return wall.basis.spacing.corner_round_sources[0]
    row = next((s for s in wall.basis.spacing.sources if s.row.startswith("corner")), None)
    return row or next(iter(wall.basis.spacing.sources), None)


def _near_corners(wall: JudgedWall) -> Verdict:
    at = wall.at
    least = wall.basis.spacing.corner_min_in
    if least <= 0:
        return Verdict(_NEAR.code, 0)
    length = wall.basis.wall.length_in
    found, misplaced, tested = [], set(), 0
    for side, end in (("left", wall.basis.left_end), ("right", wall.basis.right_end)):
        if end is not EndCondition.CORNER:
            continue
        for track in wall.tracks:
            tested += 1
            distance = track.lo if side == "left" else length - track.hi
            if under(distance, least) and not wall.at_place(track):
                misplaced |= set(track.numbers)
                found.append(
                    _NEAR.finding(
                        f"The joint at {at(track.foot_x)} of {wall.tag} is {at(distance)} from the {side} "
                        f"corner; {at(least)} min. required.",
                        wall=wall.tag,
                        measured_in=distance,
                        limit_in=least,
                        source=_corner_source(wall),
                        at=(track.middle(),),
                        handle=track.handle,
                        joints=track.numbers,
                    )
                )
    return Verdict(_NEAR.code, tested, tuple(found), misplaced=frozenset(misplaced))


def _far_bonded_walls(wall: JudgedWall) -> Verdict:
    found = tuple(_too_far_from(wall, p, far) for p in wall.panels for far in p.far_restraints)
    return Verdict(_BONDED.code, 2 * len(wall.basis.restraints), found)


def _too_far_from(wall: JudgedWall, panel: PanelSpan, far: FarRestraint) -> Finding:
    at, joint = wall.at, panel.left if far.side == "left" else panel.right
    to = "the next joint" if joint else "the end of the masonry, which has no joint,"
    return _BONDED.finding(
        f"From the {far.restraint.what} at {at(far.face_in)} of {wall.tag} {to} on its {far.side} is "
        f"{at(far.distance_in)} away; {at(far.limit_in)} is allowed.",
        wall=wall.tag,
        measured_in=far.distance_in,
        limit_in=far.limit_in,
        source=_corner_source(wall),
        at=(wall.spot(far.face_in),),
        handle=far.restraint.handle,
    )
