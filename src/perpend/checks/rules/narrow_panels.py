"""Rules on the least width of masonry between two joints, or a joint and a step, on any course."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from perpend.checks.measure.judged_wall import JudgedWall, PanelSpan
from perpend.checks.measure.track_geometry import Track, over, spread, under
from perpend.checks.verdicts import Verdict
from perpend.findings import Extent, Finding, Rule, Severity
from perpend.model import EndCondition
from perpend.units import SAME_IN

_SHORT = Rule("panel-too-short", "A piece of masonry between two joints is too narrow", mark=Extent.STRETCH)
_NARROW = Rule(
    "panel-narrow",
    "A piece of masonry between two joints is narrow, though not too narrow",
    Severity.ADVISORY,
    mark=Extent.STRETCH,
    by_joints=False,
)
RULES = (_SHORT, _NARROW)

_Measured = tuple[PanelSpan, float]
_Strip = tuple[float, float, float]
"""Width of the masonry between a joint and a step of the outline, station of the step, and its height."""


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge the least width of every panel that a joint and a joint, a free edge or a step, bound."""
    least = wall.basis.judgment.least_panel_in
    bounded = (
        [(p, width) for p in wall.panels if (width := least_width(wall, p)) is not None] if least else []
    )
    strips = list(_strips(wall)) if least else []
    short = [_too_short(wall, p, w) for p, w in bounded if under(w, least)]
    short += [_strip_too_narrow(wall, track, strip) for track, strip in strips if under(strip[0], least)]
    yield Verdict(_SHORT.code, len(bounded) + len(strips), tuple(short))
    yield _narrow_panels(wall, [(p, width) for p, width in bounded if _is_cut_off(wall, p)])


def _narrow_panels(wall: JudgedWall, bounded: Sequence[_Measured]) -> Verdict:
    """Judge the pieces of masonry that two joints cut off, but those as low as they are wide."""
    judged = wall.basis.judgment
    least, wide = judged.least_panel_in, judged.narrow_panel_in
    tested = bounded if wide > least else ()
    narrow = [(p, w) for p, w in tested if under(w, wide) and not under(w, least)]
    tall = ((p, w) for p, w in narrow if over(p.limits.height_in, judged.narrow_taller_than * w))
    found = tuple(_narrow(wall, p, w) for p, w in tall)
    return Verdict(_NARROW.code, len(tested), found)


def _is_cut_off(wall: JudgedWall, panel: PanelSpan) -> bool:
    """Say whether two joints cut off a piece of masonry, with no opening in it.

    At an end of the wall its own length or a corner sets the width. Beside an opening its keep-out does, and
    between the jambs there is no masonry to measure.
    """
    if panel.left is None or panel.right is None:
        return False
    low, high = panel.x0_in - SAME_IN, panel.x1_in + SAME_IN
    return not any(low <= o.box.x0 and o.box.x1 <= high for o in wall.basis.wall.openings)


def least_width(wall: JudgedWall, panel: PanelSpan) -> float | None:
    """Return the least width of a panel on any course; None where it goes on past a corner or the sheet."""
    basis = wall.basis
    if panel.left is None and panel.right is None:
        return None
    if panel.left is not None and panel.right is not None:
        if basis.stands_alone(panel.x0_in, panel.x1_in):
            return None
        return max(spread(panel.left, panel.right)[0], 0.0)
    if panel.left is None:
        counted = "left" in wall.ends or basis.left_end in (EndCondition.FREE, EndCondition.JOINT)
        return panel.right.lo if counted and panel.right is not None else None
    counted = "right" in wall.ends or basis.right_end in (EndCondition.FREE, EndCondition.JOINT)
    return basis.wall.length_in - panel.left.hi if counted else None


def _strips(wall: JudgedWall) -> Iterator[tuple[Track, _Strip]]:
    """Yield the masonry between each joint and the next step of its panel, where that is deeper."""
    profile, over_in = wall.basis.wall, wall.basis.judgment.height_change_in
    for edge, deeper in ((profile.bottom, -1), (profile.top, 1)):
        steps = [step for step in edge.steps() if over(abs(step[1] - step[2]), over_in)]
        for panel in wall.panels if steps else ():
            low, high = (_end(track, deeper) for track in (panel.left, panel.right))
            between = [
                s for s in steps if (low is None or over(s[0], low)) and (high is None or over(high, s[0]))
            ]
            if not between:
                continue
            (x, *left), (x1, *right) = between[0], between[-1]
            if panel.left and low is not None and deeper * (left[0] - left[1]) > 0:
                yield panel.left, (x - low, x, sum(left) / 2)
            if panel.right and high is not None and deeper * (right[1] - right[0]) > 0:
                yield panel.right, (high - x1, x1, sum(right) / 2)


def _end(track: Track | None, deeper: int) -> float | None:
    """Return where a joint meets the bottom of the wall (-1) or its top (1)."""
    return None if track is None else (track.foot if deeper < 0 else track.head)[0]


def _too_short(wall: JudgedWall, panel: PanelSpan, width: float) -> Finding:
    least = wall.basis.judgment.least_panel_in
    return _finding(_SHORT, wall, panel, (width, least), f"{wall.at(least)} is required")


def _narrow(wall: JudgedWall, panel: PanelSpan, width: float) -> Finding:
    wide = wall.basis.judgment.narrow_panel_in
    confirm = f"less than {wall.at(wide)}: confirm that the piece holds by itself"
    return _finding(_NARROW, wall, panel, (width, wide), confirm)


def _strip_too_narrow(wall: JudgedWall, track: Track, strip: _Strip) -> Finding:
    at, least, (width, x, y) = wall.at, wall.basis.judgment.least_panel_in, strip
    return _SHORT.finding(
        f"The masonry between the joint at {at(track.foot_x)} of {wall.tag} and the step at {at(x)} is "
        f"{at(width)} wide at its narrowest; {at(least)} is required.",
        wall=wall.tag,
        measured_in=width,
        limit_in=least,
        source=next(iter(wall.basis.source_of("judgment.least-panel")), None),
        at=tuple(sorted(((x, y), (track.foot_x if y < track.middle()[1] else track.head[0], y)))),
        handle=track.handle,
        joints=track.numbers,
    )


def _finding(
    rule: Rule, wall: JudgedWall, panel: PanelSpan, sizes: tuple[float, float], asks: str
) -> Finding:
    """Make a finding of a panel's least width, the first of the sizes, with its limit, the second."""
    at, (width, limit) = wall.at, sizes
    tracks = [track for track in (panel.left, panel.right) if track is not None]
    between = (
        f"between the joints at {at(panel.x0_in)} and {at(panel.x1_in)} of {wall.tag}"
        if len(tracks) > 1
        else f"between the joint at {at(tracks[0].foot_x)} and the end of {wall.tag}"
    )
    return rule.finding(
        f"The masonry {between} is {at(width)} wide at its narrowest; {asks}.",
        wall=wall.tag,
        measured_in=width,
        limit_in=limit,
        source=next(iter(wall.basis.source_of("judgment.least-panel")), None),
        at=(wall.spot(panel.x0_in), wall.spot(panel.x1_in)),
        handle=tracks[-1].handle,
        joints=tuple(number for track in tracks for number in track.numbers),
    )
