"""Rules on distances along the wall: panels and corners."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from perpend.checks.candidate_stations import Stretch, open_stations, sliver_left
from perpend.checks.infill_joints import joints_wanted, widest_gap
from perpend.checks.joint_cures import move_to_module
from perpend.checks.measure.judged_wall import JudgedWall, PanelSpan
from perpend.checks.measure.track_geometry import over, under
from perpend.checks.measure.wording import listed
from perpend.checks.missing_joints import NewJoint, bare_jambs
from perpend.checks.panel_cures import UNDER_LINTEL, asked_instead, moved_instead
from perpend.checks.treatment_trials import treated_otherwise
from perpend.checks.verdicts import Verdict
from perpend.findings import Finding, finding
from perpend.model import EndCondition, HeightBasis, Side, Source
from perpend.units import SAME_IN, same

_NO_SPACING = "the method needs no joints, so there is no spacing to compare with"
_NO_SUPPORTS = "no lateral supports are drawn, so the whole height was used instead of the storey's"


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge panel lengths and corner distances."""
    yield _panels(wall)
    yield _far_corners(wall)
    yield _near_corners(wall)


def _panels(wall: JudgedWall) -> Verdict:
    limited = [p for p in wall.panels if p.limits.max_spacing_in is not None]
    storey = wall.basis.height_basis is HeightBasis.STOREY and not wall.basis.wall.supports
    untested = "" if limited else _NO_SPACING
    return Verdict(
        "panel-too-long",
        len(limited),
        tuple(_too_long(wall, p) for p in limited if p.too_long),
        untested or (_NO_SUPPORTS if storey else ""),
    )


def _too_long(wall: JudgedWall, panel: PanelSpan) -> Finding:
    at = wall.at
    limit = panel.limits.max_spacing_in
    assert limit is not None, "only a panel with a limit can be too long"
    governing = (
        f"{panel.limits.ratio:g} × height {at(panel.limits.height_in)}"
        if panel.limits.governing == "ratio" and panel.limits.ratio is not None
        else "the cap governs"
    )
    return finding(
        "panel-too-long",
        f"The panel from {at(panel.x0_in)} to {at(panel.x1_in)} of {wall.tag} is {at(panel.length_in)} long"
        f"{_widest(wall, panel)}; {at(limit)} is allowed ({governing}).",
        wall=wall.tag,
        measured_in=panel.length_in,
        limit_in=limit,
        source=_spacing_source(wall),
        at=(wall.spot(panel.x0_in), wall.spot(panel.x1_in)),
        cure=_joints_between(wall, panel, limit),
        handle=panel.right.handle if panel.right else panel.left.handle if panel.left else "",
    )


def _widest(wall: JudgedWall, panel: PanelSpan) -> str:
    """Say why a panel is longer than from foot to foot: a joint beside it leans or steps aside."""
    if same(panel.length_in, panel.x1_in - panel.x0_in):
        return ""
    aside = [track for track in (panel.left, panel.right) if track is not None and track.lo < track.hi]
    words = (
        f"the joint at {wall.at(t.foot_x)} {'leans' if any(p.shift for p in t.uprights) else 'steps'} aside"
        for t in aside
    )
    return f" where {' and '.join(words)}"


def _joints_between(wall: JudgedWall, panel: PanelSpan, limit: float) -> str:
    if limit <= 0:
        return "Add joints."
    if moved := moved_instead(wall, panel):
        return moved
    if panel.joints_lacking > 1:
        return _several(wall, panel, limit)
    if asked := asked_instead(wall, panel):
        return f"Add a joint {asked}"
    cutting = _cutting(panel, limit)
    crowded = any(bare_jambs(wall, panel)) or not open_stations(wall, cutting)
    if crowded and (together := _together(wall, panel)):
        return together
    return _one_joint(wall, panel, "Add a joint", [cutting, *_near_corners_of(wall, panel)])


def _together(wall: JudgedWall, panel: PanelSpan) -> str:
    """Say where several joints would do; empty where none do."""
    joints = joints_wanted(wall, panel)
    if len(joints) < 2:
        return ""
    stations = listed(wall.at(new.joint.foot_x) for new in joints)
    return f"Add {len(joints)} joints, at {stations}{_at_jambs(wall, joints)}."


def _at_jambs(wall: JudgedWall, joints: Sequence[NewJoint]) -> str:
    """Say which of some joints openings ask for too."""
    at_jambs = [new for new in joints if new.tag]
    if not at_jambs:
        return ""
    tags = list(dict.fromkeys(new.tag for new in at_jambs))
    stations = listed(wall.at(new.joint.foot_x) for new in at_jambs)
    lintel = UNDER_LINTEL if any(new.joint.lo < new.joint.hi for new in at_jambs) else ""
    need = f"needs {'that' if len(at_jambs) == 1 else 'those'}" if len(tags) == 1 else "need those"
    return f": {listed(tags)} {need} at {stations} too{lintel}"


def _several(wall: JudgedWall, panel: PanelSpan, limit: float) -> str:
    """Say where several joints would do together, or where none can stand."""
    if together := _together(wall, panel):
        return together
    at, gap = wall.at, widest_gap(wall, panel)
    if not over(gap.high_in - gap.low_in, limit):
        return f"Add {panel.joints_lacking} joints, so that no panel is longer than {at(limit)}."
    return _no_station(wall, panel, gap)


def _no_station(wall: JudgedWall, panel: PanelSpan, gap: Stretch) -> str:
    """Say that openings leave no station free in a gap, and what helps instead."""
    hint = "move or narrow one, or see other methods (perpend compare)"
    instead = treated_otherwise(wall, panel) or f"treating one of them otherwise does not help; {hint}"
    between = f"between {wall.at(max(gap.low_in, 0.0))} and {wall.at(gap.high_in)}"
    return f"Openings leave no station free {between}: {instead}."


def _one_joint(wall: JudgedWall, panel: PanelSpan, what: str, wishes: list[Stretch]) -> str:
    """Say where one joint would do: by the first wish at least, and by the others as far as they agree."""
    at, room = wall.at, Stretch(SAME_IN, wall.basis.wall.length_in - SAME_IN)
    first = room.within(wishes[0])
    best = first
    for wish in wishes[1:]:
        both = best.within(wish)
        best = both if both.low_in <= both.high_in and open_stations(wall, both) else best
    spans = open_stations(wall, best)
    if not spans:
        return _no_station(wall, panel, first)
    words = (f"at {at(a)}" if b - a < 1 else f"between {at(a)} and {at(b)}" for a, b in spans)
    sliver = sliver_left(wall, *(x for span in spans for x in span))
    instead = treated_otherwise(wall, panel) if sliver else ""
    return f"{what} {', or '.join(words)}{sliver}{f'; or {instead}' if instead else ''}."


def _cutting(panel: PanelSpan, limit: float) -> Stretch:
    """Return the stations where a joint leaves two panels within a limit."""
    return Stretch(_right_side(panel) - limit, _left_side(panel) + limit)


def _left_side(panel: PanelSpan) -> float:
    return panel.left.lo if panel.left else panel.x0_in


def _right_side(panel: PanelSpan) -> float:
    return panel.right.hi if panel.right else panel.x1_in


def _near_corners_of(wall: JudgedWall, panel: PanelSpan) -> list[Stretch]:
    """Return the stations that each corner of a panel asks for."""
    return [_near_corner(wall, panel, side) for side in panel.far_corners]


def _near_corner(wall: JudgedWall, panel: PanelSpan, side: Side) -> Stretch:
    """Return the stations near enough to a corner, within its panel."""
    distance, length = panel.limits.corner_distance_in or 0.0, wall.basis.wall.length_in
    least = wall.basis.spacing.corner_min_in
    if side == "left":
        return Stretch(max(least, _left_side(panel)), min(distance, _right_side(panel)))
    return Stretch(max(length - distance, _left_side(panel)), min(length - least, _right_side(panel)))


def _spacing_source(wall: JudgedWall) -> Source | None:
    return next(iter(wall.basis.spacing.sources), None)


def _far_corners(wall: JudgedWall) -> Verdict:
    corners = [
        (panel, side)
        for panel in wall.panels
        if panel.limits.corner_distance_in is not None
        for side in panel.corners
    ]
    at_corner = EndCondition.CORNER in (wall.basis.left_end, wall.basis.right_end)
    untested = _NO_SPACING if at_corner and wall.basis.spacing.cap_in is None and not corners else ""
    found = tuple(_too_far(wall, p, side) for p, side in corners if side in p.far_corners)
    return Verdict("corner-too-far", len(corners), found, untested)


def _too_far(wall: JudgedWall, panel: PanelSpan, side: Side) -> Finding:
    at = wall.at
    limit = panel.limits.corner_distance_in
    assert limit is not None, "only a corner with a limit can be too far"
    corner_x = 0.0 if side == "left" else wall.basis.wall.length_in
    others = [other for other in panel.far_corners if other != side]
    spacing = panel.limits.max_spacing_in
    wishes = [_near_corner(wall, panel, s) for s in (side, *others)]
    if panel.too_long and spacing is not None:
        wishes.append(_cutting(panel, spacing))
    joint = panel.right if side == "left" else panel.left
    what = f"The first joint from the {side} corner of {wall.tag} is {at(panel.length_in)} away"
    if joint is None:
        what = f"{wall.tag}, {at(panel.length_in)} long, has no joint for its {side} corner"
    return finding(
        "corner-too-far",
        f"{what}; {f'one within {at(limit)} is wanted' if joint is None else f'{at(limit)} is allowed'}.",
        wall=wall.tag,
        measured_in=panel.length_in if over(panel.length_in, limit) else None,
        limit_in=limit,
        source=_corner_source(wall),
        at=(wall.spot(corner_x),),
        cure=_for_corner(wall, panel, wishes),
        handle=joint.handle if joint else "",
    )


def _for_corner(wall: JudgedWall, panel: PanelSpan, wishes: list[Stretch]) -> str:
    """Say what cures a corner whose joint is too far: one moved, one asked for anyway, or a new one."""
    if moved := moved_instead(wall, panel):
        return moved
    if asked := asked_instead(wall, panel):
        return f"Stand a joint {asked}"
    return _one_joint(wall, panel, "Stand a joint", wishes)


def _corner_source(wall: JudgedWall) -> Source | None:
    row = next((s for s in wall.basis.spacing.sources if s.row.startswith("corner")), None)
    return row or _spacing_source(wall)


def _near_corners(wall: JudgedWall) -> Verdict:
    at = wall.at
    least = wall.basis.spacing.corner_min_in
    if least <= 0:
        return Verdict("corner-too-near", 0)
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
                    finding(
                        "corner-too-near",
                        f"The joint at {at(track.foot_x)} of {wall.tag} is {at(distance)} from the {side} "
                        f"corner; {at(least)} at least is wanted.",
                        wall=wall.tag,
                        measured_in=distance,
                        limit_in=least,
                        source=_corner_source(wall),
                        at=(track.middle(),),
                        cure=move_to_module(wall, track)
                        or f"Move it {at(least - distance)} or more away from the corner.",
                        handle=track.handle,
                    )
                )
    return Verdict("corner-too-near", tested, tuple(found), misplaced=frozenset(misplaced))
