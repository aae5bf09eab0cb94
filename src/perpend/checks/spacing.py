"""Rules on distances along the wall: panels and corners."""

from __future__ import annotations

from collections.abc import Iterator

from perpend.checks.geometry import over, under
from perpend.checks.verdicts import Verdict
from perpend.checks.wall import JudgedWall, PanelSpan
from perpend.findings import Finding, finding
from perpend.model import EndCondition, HeightBasis, Side, Source

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
        f"The panel from {at(panel.x0_in)} to {at(panel.x1_in)} of {wall.tag} is {at(panel.length_in)} long; "
        f"{at(limit)} is allowed ({governing}).",
        wall=wall.tag,
        measured_in=panel.length_in,
        limit_in=limit,
        source=_spacing_source(wall),
        at=(wall.spot(panel.x0_in), wall.spot(panel.x1_in)),
        cure=_joints_between(wall, panel, limit),
        handle=panel.right.handle if panel.right else panel.left.handle if panel.left else "",
    )


def _joints_between(wall: JudgedWall, panel: PanelSpan, limit: float) -> str:
    at = wall.at
    if limit <= 0:
        return "Add joints."
    lacking = max(1, -int(-panel.length_in // limit) - 1)
    if lacking > 1:
        return f"Add {lacking} joints, so that no panel is longer than {at(limit)}."
    low, high = max(panel.x1_in - limit, panel.x0_in), min(panel.x0_in + limit, panel.x1_in)
    if high - low < 1:
        return f"Add a joint at {at((low + high) / 2)}."
    free = _free_stretches(wall, low, high)
    if not free:
        return f"Openings leave no station free between {at(low)} and {at(high)}: change a treatment."
    spans = (f"at {at(a)}" if b - a < 1 else f"between {at(a)} and {at(b)}" for a, b in free)
    return f"Add a joint {', or '.join(spans)}."


def _free_stretches(wall: JudgedWall, low: float, high: float) -> list[tuple[float, float]]:
    """Return the stretches between two stations where a joint keeps clear of every opening."""
    free, start = [], low
    for rule in sorted(wall.basis.openings, key=lambda rule: rule.opening.box.x0 - rule.clear_in):
        left, right = rule.opening.box.x0 - rule.clear_in, rule.opening.box.x1 + rule.clear_in
        if right <= start or left >= high:
            continue
        if left >= start:
            free.append((start, left))
        start = right
    if start <= high:
        free.append((start, high))
    return free


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
    joint = panel.right if side == "left" else panel.left
    what = f"The first joint from the {side} corner of {wall.tag} is {at(panel.length_in)} away"
    if joint is None:
        what = f"{wall.tag}, {at(panel.length_in)} long, has no joint for its {side} corner"
    reach = f"{at(0)} and {at(limit)}" if side == "left" else f"{at(corner_x - limit)} and {at(corner_x)}"
    return finding(
        "corner-too-far",
        f"{what}; {'one within ' if joint is None else ''}{at(limit)} is allowed.",
        wall=wall.tag,
        measured_in=panel.length_in if over(panel.length_in, limit) else None,
        limit_in=limit,
        source=_corner_source(wall),
        at=(wall.spot(corner_x),),
        cure=f"Stand a joint between {reach}.",
        handle=joint.handle if joint else "",
    )


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
                        cure=f"Move it {at(least - distance)} or more away from the corner.",
                        handle=track.handle,
                    )
                )
    return Verdict("corner-too-near", tested, tuple(found), misplaced=frozenset(misplaced))
