"""A referee that re-derives every constraint of docs/placement.md from the joints and panels alone.

It knows nothing of candidates or of any search: it looks at the paths that came out, and at the wall.
Stations are whole ticks of 1/8128 in.; heights are fractions of inches.
"""

from __future__ import annotations

import itertools
from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Protocol

from layout.sight import (
    FAR,
    GRAIN,
    TOLERANCE,
    Upright,
    across,
    beyond_corners,
    edge_at,
    edge_near,
    endless,
    meeting,
    panel_length,
    panel_limits,
    pieces,
    t,
    too_far_from_restraints,
    uprights_of,
    widths_at_steps,
)
from perpend.model import Cost as PrintedCost
from perpend.model import (
    EndCondition,
    Joint,
    JointKind,
    OpeningRule,
    Panel,
    Treatment,
)
from perpend.rulebook.wall_basis import WallBasis

TOP_SLACK = Fraction(1, 64)
"""Heights nearer than this are one height."""
FORCED_KINDS = (JointKind.FORCED, JointKind.EXISTING)
REACH = GRAIN * 400
"""Openings whose jambs are farther than this from a joint have nothing to do with it."""


class Layout(Protocol):
    """What the referee looks at."""

    @property
    def joints(self) -> tuple[Joint, ...]: ...
    @property
    def panels(self) -> tuple[Panel, ...]: ...
    @property
    def cost(self) -> PrintedCost: ...


@dataclass
class Report:
    """What is wrong, and what the layout really costs (ticks, as in docs/placement.md)."""

    complaints: list[str] = field(default_factory=list)
    cost: tuple[int, ...] = (0,) * 8
    off_steps: int = 0
    feet: tuple[tuple[int, int], ...] = ()
    """Foot and head of every joint."""

    def say(self, wrong: bool, text: str) -> None:
        if wrong:
            self.complaints.append(text)


def judge(basis: WallBasis, layout: Layout) -> Report:
    """Check a layout against its wall; an empty list of complaints is a pass."""
    report = Report()
    inner = [j for j in layout.joints if j.kind is not JointKind.END]
    report.feet = tuple((t(j.x_in), t(j.path[-1][0])) for j in inner)
    report.off_steps = sum(not _steps_at(basis, foot) for foot, _ in report.feet)
    for joint in layout.joints:
        _path(basis, joint, report)
    if report.complaints:
        return report
    _order(basis, layout, report)
    for joint in inner:
        _room(basis, joint, report)
        _kind(basis, joint, report)
        if joint.kind is not JointKind.EXISTING:
            _slip_planes(basis, joint, report)
    charges = _forced(basis, inner, report)
    charges += _meetings(layout.joints, report) + _end_joints(basis)
    feet = [foot for foot, _ in report.feet]
    if feet != sorted(set(feet)):
        return report
    violations, excess, lengths = _panels(basis, layout, inner, report)
    shortfalls = _narrow(basis, inner)
    violations += charges + _lacking(basis, inner) + _places_lacking(basis, inner)
    slips = sum(len(j.slip_planes) for j in inner)
    report.cost = (
        violations,
        excess,
        len(shortfalls),
        sum(shortfalls),
        len(inner),
        slips,
        max(lengths),
        sum(n * n for n in lengths),
    )
    _printed_cost(layout.cost, report)
    return report


def _steps_at(basis: WallBasis, foot: int) -> bool:
    """Say whether an edge of the wall goes straight up or down at a station."""
    edges = (basis.wall.top.points, basis.wall.bottom.points)
    jumps = [
        (t(a[0]), b[1] - a[1]) for points in edges for a, b in itertools.pairwise(points) if a[0] == b[0]
    ]
    return any(abs(x - foot) <= TOLERANCE and abs(rise) > 1 / 64 for x, rise in jumps)


def _beside(basis: WallBasis, joint: Joint) -> Iterator[OpeningRule]:
    """Yield the openings near a joint (openings are sorted by left jamb)."""
    xs = [t(x) for x, _ in joint.path]
    widest = t(max((r.opening.width_in for r in basis.openings), default=0.0))
    first = bisect_left(basis.openings, min(xs) - REACH - widest, key=lambda r: t(r.opening.box.x0))
    for rule in basis.openings[first:]:
        if t(rule.opening.box.x0) > max(xs) + REACH:
            return
        yield rule


# --- joints -----------------------------------------------------------------------------------------


def _order(basis: WallBasis, layout: Layout, report: Report) -> None:
    numbers = [j.number for j in layout.joints]
    report.say(numbers != list(range(1, len(numbers) + 1)), f"joints are numbered {numbers}")
    feet = [j.x_in for j in layout.joints]
    report.say(feet != sorted(feet), f"joints are not in order: {feet}")
    at_right = [j for j in layout.joints if j.kind is JointKind.END and t(j.x_in) == t(basis.wall.length_in)]
    wanted = basis.right_end is EndCondition.JOINT
    report.say(len(at_right) != wanted, f"{len(at_right)} joints at the right end, {wanted=}")


def _path(basis: WallBasis, joint: Joint, report: Report) -> None:
    name = f"joint {joint.number}"
    uprights, levels, fine = pieces(joint)
    report.say(not fine, f"{name}: not a chain of upright and level pieces: {joint.path}")
    if not uprights:
        report.complaints.append(f"{name}: has no upright piece")
        return
    report.say(t(joint.x_in) != uprights[0].x, f"{name}: x_in is not the station of its foot")
    length = t(basis.wall.length_in)
    xs = [u.x for u in uprights] + [x for p in levels for x in (p.start, p.stop)]
    if joint.kind is JointKind.END:
        report.say(set(xs) - {0, length} != set(), f"{name}: an end joint off the end")
    else:
        report.say(min(xs) <= TOLERANCE or max(xs) >= length - TOLERANCE, f"{name}: leaves the wall")
    foot, head = edge_near(basis.wall.bottom, uprights[0].x), edge_near(basis.wall.top, uprights[-1].x)
    low, high = uprights[0].low, uprights[-1].high
    report.say(not min(foot) - TOP_SLACK <= low <= max(foot) + TOP_SLACK, f"{name}: starts at {float(low)}")
    report.say(not min(head) - TOP_SLACK <= high <= max(head) + TOP_SLACK, f"{name}: stops at {float(high)}")
    for piece in uprights:
        roof, floor = edge_near(basis.wall.top, piece.x), edge_near(basis.wall.bottom, piece.x)
        outside = piece.high > max(roof) + TOP_SLACK or piece.low < min(floor) - TOP_SLACK
        report.say(outside, f"{name}: runs outside the wall at x = {piece.x / GRAIN}")


def _room(basis: WallBasis, joint: Joint, report: Report) -> None:
    """Nothing may run through an opening or through the lintel of an unreinforced one."""
    uprights, levels, _ = pieces(joint)
    for rule in _beside(basis, joint):
        boxes = [("opening", rule.opening.box)]
        if rule.lintel is not None and rule.treatment is Treatment.UNREINFORCED and rule.step_in > 0:
            boxes.append(("lintel", rule.lintel.box))
        for what, box in boxes:
            x0, x1 = t(box.x0) + TOLERANCE, t(box.x1) - TOLERANCE
            y0, y1 = Fraction(box.y0) + TOP_SLACK, Fraction(box.y1) - TOP_SLACK
            through = any(x0 < u.x < x1 and u.low < y1 and u.high > y0 for u in uprights)
            through |= any(
                min(p.start, p.stop) < x1 and max(p.start, p.stop) > x0 and y0 < p.y < y1 for p in levels
            )
            report.say(through, f"joint {joint.number}: runs through the {what} of {rule.opening.tag}")


def _kind(basis: WallBasis, joint: Joint, report: Report) -> None:
    name = f"joint {joint.number}"
    uprights, levels, _ = pieces(joint)
    served = [r for r in _beside(basis, joint) if r.opening.tag in joint.serves]
    if joint.kind is JointKind.JAMB:
        report.say(not served, f"{name}: a jamb joint that serves nothing")
        sides = [[s for s in ("left", "right") if _runs_along(uprights, r, s)] for r in served]
        along = all(len(found) == 1 for found in sides)
        report.say(not along, f"{name}: is not along the jambs of {joint.serves}")
        if along:
            passed = [(r, found[0]) for r, found in zip(served, sides, strict=True)]
            _jamb_path(basis, joint, passed, report)
    else:
        steps = bool(levels) and joint.kind is not JointKind.EXISTING
        report.say(steps, f"{name}: a {joint.kind} joint with steps")
    if joint.kind is JointKind.STRAIGHT:
        off = _off_module(basis, t(joint.x_in))
        asked = t(joint.x_in) in _asked_by_corners(basis)
        report.say(off != 0 and not asked, f"{name}: {off} ticks off the module")
        report.say(bool(served), f"{name}: a straight joint that serves {joint.serves}")
    if joint.kind in (JointKind.STRAIGHT, JointKind.JAMB):
        _keep_outs(basis, joint, uprights, served, report)
    if joint.kind in (JointKind.FORCED, JointKind.EXISTING):
        asked = [line[0].x for line in _asked(basis)]
        asked += [t(x) for r in basis.asked_places if len(r.stations_in) > 1 for x in r.stations_in]
        near = any(abs(t(joint.x_in) - x) <= TOLERANCE for x in asked)
        report.say(not near, f"{name}: nothing forces it at {joint.x_in}")
        report.say(
            joint.existing is not (joint.kind is JointKind.EXISTING), f"{name}: kind and existing differ"
        )


def _off_module(basis: WallBasis, x: int) -> int:
    """Ticks to the nearest module line, which is rounded to ticks itself."""
    module, origin = Fraction(basis.module_in), Fraction(basis.bond_origin_in)
    line = origin + round((Fraction(x, GRAIN) - origin) / module) * module
    return abs(x - t(line))


def _asked_by_corners(basis: WallBasis) -> set[int]:
    """Stations that a fixed corner distance asks for where it is less than the module."""
    near, length = basis.spacing.corner_max_in, basis.wall.length_in
    if near is None or near >= basis.module_in:
        return set()
    ends = ((basis.left_end, t(near)), (basis.right_end, t(length) - t(near)))
    return {x for end, x in ends if end is EndCondition.CORNER}


def _runs_along(uprights: list[Upright], rule: OpeningRule, side: str) -> bool:
    box = rule.opening.box
    x = t(box.x0 if side == "left" else box.x1)
    return any(
        abs(u.x - x) <= TOLERANCE
        and u.low <= Fraction(box.y0) + TOP_SLACK
        and u.high >= Fraction(box.y1) - TOP_SLACK
        for u in uprights
    )


def _jamb_path(basis: WallBasis, joint: Joint, passed: list[tuple[OpeningRule, str]], report: Report) -> None:
    """Walk the path upward: at each head it steps out, at each next sill it goes along it to a jamb."""
    name = f"joint {joint.number}"
    levels = pieces(joint)[1]
    wanted: list[tuple[int, int, float]] = []
    at, before = t(joint.x_in), 0
    for rule, side in sorted(passed, key=lambda p: p[0].opening.box.y0):
        box, clear = rule.opening.box, t(rule.clear_in) + TOLERANCE
        jamb = t(box.x0 if side == "left" else box.x1)
        if abs(at - jamb) > TOLERANCE:
            wanted.append((at, jamb, box.y0))
            along = t(box.x0) - TOLERANCE <= at <= t(box.x1) + TOLERANCE
            back = abs(before - jamb) <= TOLERANCE
            report.say(not along and not back, f"{name}: jogs within the masonry at {box.y0}")
            at = jamb
        near = t(box.x0) - clear <= t(joint.x_in) <= t(box.x1) + clear
        report.say(not near, f"{name}: serves {rule.opening.tag}, far from its foot")
        before = jamb
        if rule.lintel is not None and rule.step_in:
            away = t(rule.step_in) * (1 if side == "right" else -1)
            wanted.append((at, at + away, box.y1))
            at += away
    drawn = [(p.start, p.stop, p.y) for p in levels]
    same = len(drawn) == len(wanted) and all(
        (a, b) == (c, d) and abs(y - Fraction(z)) <= TOP_SLACK
        for (a, b, y), (c, d, z) in zip(drawn, wanted, strict=True)
    )
    report.say(not same, f"{name}: steps {drawn} instead of {wanted}")
    served = [rule for rule, _ in passed]
    for rule in _beside(basis, joint):
        jamb = t(rule.opening.box.x0 if passed[0][1] == "left" else rule.opening.box.x1)
        in_line = rule.treatment is Treatment.UNREINFORCED and abs(jamb - t(joint.x_in)) <= TOLERANCE
        in_line &= all(s == passed[0][1] for _, s in passed) and len({t(j) for j in _jambs(passed)}) == 1
        report.say(in_line and rule not in served, f"{name}: leaves out {rule.opening.tag}, which is in line")


def _jambs(passed: list[tuple[OpeningRule, str]]) -> list[float]:
    return [r.opening.box.x0 if side == "left" else r.opening.box.x1 for r, side in passed]


def _keep_outs(
    basis: WallBasis, joint: Joint, uprights: list[Upright], served: list[OpeningRule], report: Report
) -> None:
    name = f"joint {joint.number}"
    for zone in basis.keep_outs:
        low, high = min(u.x for u in uprights), max(u.x for u in uprights)
        into = low < t(zone.x1_in) - TOLERANCE and high > t(zone.x0_in) + TOLERANCE
        report.say(into, f"{name}: stands in {zone.what}")
    for rule in _beside(basis, joint):
        if rule in served:
            continue
        tag, clear = rule.opening.tag, t(rule.clear_in) - TOLERANCE
        x0, x1 = t(rule.opening.box.x0), t(rule.opening.box.x1)
        inside = x0 + TOLERANCE < t(joint.x_in) < x1 - TOLERANCE
        report.say(inside, f"{name}: its foot is between the jambs of {tag}")
        low, high = Fraction(rule.opening.box.y0), Fraction(rule.opening.box.y1)
        for u in uprights:
            beside = u.low < high and u.high > low and x0 - clear < u.x < x1 + clear
            report.say(beside, f"{name}: {(x0 - u.x) / GRAIN} / {(u.x - x1) / GRAIN} in. from {tag}")
    least = t(basis.spacing.corner_min_in)
    xs = [u.x for u in uprights]
    for at_corner, distance in (
        (basis.left_end is EndCondition.CORNER, min(xs)),
        (basis.right_end is EndCondition.CORNER, t(basis.wall.length_in) - max(xs)),
    ):
        report.say(
            at_corner and distance < least - TOLERANCE, f"{name}: {distance / GRAIN} in. from a corner"
        )


def _slip_planes(basis: WallBasis, joint: Joint, report: Report) -> None:
    """Each level piece at a head is a slip plane of the opening's step; level pieces at sills are not."""
    levels = pieces(joint)[1]
    served = [r for r in _beside(basis, joint) if r.opening.tag in joint.serves]
    want = set()
    for rule in served:
        for p in levels:
            if abs(p.y - Fraction(rule.opening.box.y1)) <= TOP_SLACK:
                want.add(
                    (min(p.start, p.stop), max(p.start, p.stop), t(rule.opening.box.y1), rule.opening.tag)
                )
                wrong = abs(p.stop - p.start) != t(rule.step_in)
                report.say(
                    wrong, f"joint {joint.number}: slip plane of {rule.opening.tag} is not the bearing long"
                )
    have = {(t(s.x0_in), t(s.x1_in), t(s.y_in), s.opening) for s in joint.slip_planes}
    report.say(want != have, f"joint {joint.number}: slip planes {have} instead of {want}")
    report.say(len(have) != len(joint.slip_planes), f"joint {joint.number}: a slip plane twice")


# --- forced joints ----------------------------------------------------------------------------------


def _asked(basis: WallBasis) -> list[list[Upright]]:
    """Lines on which the wall itself asks for a joint, one a station; drawn joints come before places."""
    wall = basis.wall
    lines = [endless(uprights_of(d.path)) for d in wall.drawn_joints if not d.ours]
    places = [
        t(r.stations_in[0])
        for r in basis.asked_places
        if str(r.place.kind) != "adjoining-wall" and len(r.stations_in) == 1
    ]
    breaks = {x for edge in (wall.top, wall.bottom) for x, _ in edge.points if 0 < x < wall.length_in}
    for x in breaks:
        roof, floor = edge_at(wall.top, t(x)), edge_at(wall.bottom, t(x))
        heights = (roof[0] - floor[0], roof[1] - floor[1])
        steps = roof[0] != roof[1] or floor[0] != floor[1]
        rise = Fraction(basis.judgment.height_change_in)
        if rise and min(abs(heights[0] - heights[1]), abs(roof[0] - roof[1])) <= rise + TOP_SLACK:
            continue
        if steps and abs(heights[0] - heights[1]) / min(heights) > Fraction(basis.height_change_over):
            places.append(t(x))
    lines += [[Upright(x, -FAR, FAR)] for x in places]
    kept: list[list[Upright]] = []
    for line in lines:
        within = min(u.x for u in line) > TOLERANCE and max(u.x for u in line) < t(wall.length_in) - TOLERANCE
        if within and all(abs(line[0].x - other[0].x) > TOLERANCE for other in kept):
            kept.append(line)
    return kept


def _forced(basis: WallBasis, joints: list[Joint], report: Report) -> int:
    """Return the violations of the forced joints; complain of those left out without need."""
    charges = 0
    for line in _asked(basis):
        unbuildable = too_near = False
        for zone in basis.keep_outs:
            inside = any(t(zone.x0_in) + TOLERANCE < u.x < t(zone.x1_in) - TOLERANCE for u in line)
            across_it = min(u.x for u in line) < t(zone.x1_in) - TOLERANCE and (
                max(u.x for u in line) > t(zone.x0_in) + TOLERANCE
            )
            too_near |= bool(zone.code) and (inside or across_it)
        for rule in basis.openings:
            boxes = [rule.opening.box]
            arch = rule.opening.arched and rule.jambs_required == 0
            low, high = Fraction(rule.opening.box.y0), Fraction(rule.opening.box.y1)
            beside = [u.x for u in line if u.low < high and u.high > low]
            along = any(
                all(abs(x - t(jamb)) <= TOLERANCE for x in beside)
                for jamb in (rule.opening.box.x0, rule.opening.box.x1)
            )
            if arch or rule.treatment is Treatment.REINFORCED or (rule.clear_asked and not along):
                out = t(rule.clear_in) - TOLERANCE
                x0, x1 = t(rule.opening.box.x0) - out, t(rule.opening.box.x1) + out
                too_near |= any(x0 < u.x < x1 for u in line)
            if rule.treatment is Treatment.UNREINFORCED and rule.lintel is not None:
                boxes.append(rule.lintel.box)
            for box in boxes:
                x0, x1 = t(box.x0) + TOLERANCE, t(box.x1) - TOLERANCE
                y0, y1 = Fraction(box.y0), Fraction(box.y1)
                unbuildable |= any(x0 < u.x < x1 and u.low < y1 and u.high > y0 for u in line)
        stands = [j for j in joints if j.kind in FORCED_KINDS and abs(t(j.x_in) - line[0].x) <= TOLERANCE]
        at = line[0].x / GRAIN
        if unbuildable:
            report.say(bool(stands), f"a forced joint stands at {at} where none can be built")
            charges += 1
        else:
            report.say(len(stands) != 1, f"{len(stands)} forced joints at {at} instead of one")
            same = bool(stands) and _same_line(across(stands[0]), line)
            report.say(bool(stands) and not same, f"the forced joint at {at} is not on its line")
            charges += too_near
    return charges


def _end_joints(basis: WallBasis) -> int:
    """Count the joints at adjoining walls that stand nearer to an opening than it lets joints stand."""
    ends = [(basis.left_end, 0), (basis.right_end, t(basis.wall.length_in))]
    count = 0
    for condition, x in ends:
        near = False
        for rule in basis.openings:
            arch = rule.opening.arched and rule.jambs_required == 0
            if arch or rule.treatment is Treatment.REINFORCED:
                out = t(rule.clear_in) - TOLERANCE
                near |= t(rule.opening.box.x0) - out < x < t(rule.opening.box.x1) + out
        count += near and condition is EndCondition.JOINT
    return count


def _same_line(a: list[Upright], b: list[Upright]) -> bool:
    return len(a) == len(b) and all(abs(u.x - v.x) <= TOLERANCE for u, v in zip(a, b, strict=True))


def _meetings(joints: tuple[Joint, ...], report: Report) -> int:
    """Count neighbours that meet because both are forced; complain of all other joints that meet."""
    lines = [across(j) for j in joints]
    met = [
        (i, k, y)
        for i in range(len(joints))
        for k in range(i + 1, min(i + 4, len(joints)))
        if (y := meeting(lines[i], lines[k])) is not None
    ]
    crossed = [i for i, k, _ in met if k == i + 1 and {joints[i].kind, joints[k].kind} <= set(FORCED_KINDS)]
    for i, k, y in met:
        # Where two forced joints cross, one of them may also touch the neighbour of the other.
        fine = any(i <= n and n + 1 <= k for n in crossed)
        report.say(not fine, f"joints {joints[i].number} and {joints[k].number} meet at y = {y}")
    return len(crossed)


# --- panels -----------------------------------------------------------------------------------------


def _panels(
    basis: WallBasis, layout: Layout, joints: list[Joint], report: Report
) -> tuple[int, int, list[int]]:
    far = t(basis.wall.length_in)
    lines = [
        [Upright(0, Fraction(0), Fraction(1))],
        *(across(j) for j in joints),
        [Upright(far, Fraction(0), Fraction(1))],
    ]
    feet = [line[0].x for line in lines]
    shown = [(t(p.x0_in), t(p.x1_in)) for p in layout.panels]
    report.say(shown != list(itertools.pairwise(feet)), f"panels {shown} do not tile {feet}")
    violations = excess = 0
    lengths = []
    for i, (a, b) in enumerate(itertools.pairwise(lines)):
        length, (height, limit, corner) = panel_length(a, b), panel_limits(basis, a[0].x, b[0].x)
        corner = beyond_corners(basis, limit, corner, a[0].x, b[0].x)
        lengths.append(length)
        left, right = (
            i == 0 and basis.left_end is EndCondition.CORNER,
            i == len(joints) and (basis.right_end is EndCondition.CORNER),
        )
        if i < len(layout.panels):
            _panel(layout.panels[i], length, height, limit, left or right, report)
            told, asked = layout.panels[i].corner_limit_in, corner if left or right else None
            wrong = (told is None) != (asked is None) or abs(t(told or 0.0) - (asked or 0)) > 1
            report.say(wrong, f"panel {i}: corner limit {told}, not {asked}")
        if limit is not None and length > limit + TOLERANCE:
            violations += max(1, (length + limit - 1) // limit - 1)
            excess += length - limit
        by = too_far_from_restraints(basis, (a, b), height, (left, right), (i == 0, i == len(joints)))
        violations, excess = violations + len(by), excess + sum(by)
        if corner is None:
            continue
        for side in [n for n, is_corner in enumerate((left, right)) if is_corner]:
            if length > corner + TOLERANCE:
                violations, excess = violations + 1, excess + length - corner
            elif not joints and EndCondition.JOINT not in (basis.left_end, basis.right_end):
                violations += not _enough_beyond(basis, basis.returns_in[side])
    return violations, excess, lengths


def _enough_beyond(basis: WallBasis, beyond: float | None) -> bool:
    """Say whether the joint round a corner is near enough to it to be the corner's only one."""
    near = basis.spacing.corner_max_in
    alone = basis.spacing.corner_legs == "one"
    return alone and beyond is not None and near is not None and t(beyond) <= t(near) + TOLERANCE


def _panel(
    panel: Panel, length: int, height: Fraction, limit: int | None, at_corner: bool, report: Report
) -> None:
    name = f"panel {panel.x0_in}..{panel.x1_in}"
    report.say(
        abs(t(panel.length_in) - length) > 1, f"{name}: length {panel.length_in}, not {length / GRAIN}"
    )
    report.say(
        abs(Fraction(panel.height_in) - height) > TOP_SLACK,
        f"{name}: height {panel.height_in}, not {float(height)}",
    )
    wrong = (panel.limit_in is None) != (limit is None) or (
        panel.limit_in is not None and limit is not None and abs(t(panel.limit_in) - limit) > 1
    )
    report.say(wrong, f"{name}: limit {panel.limit_in}, not {limit}")
    report.say(panel.at_corner != at_corner, f"{name}: at_corner is {panel.at_corner}")


# --- narrow pieces, piers and places ----------------------------------------------------------------


def _narrow(basis: WallBasis, joints: list[Joint]) -> list[int]:
    """Return by how much pieces are narrower than the least panel."""
    least, found = t(basis.judgment.least_panel_in), []
    ends = [[Upright(x, -FAR, FAR)] for x in (0, t(basis.wall.length_in))]
    counted = [end in (EndCondition.FREE, EndCondition.JOINT) for end in (basis.left_end, basis.right_end)]
    lines = [ends[0], *(across(j) for j in joints), ends[1]]
    for i, (a, b) in enumerate(itertools.pairwise(lines)):
        at_left, at_right = i == 0, i == len(joints)
        widths = widths_at_steps(basis, None if at_left else a, None if at_right else b)
        if joints and (counted[0] or not at_left) and (counted[1] or not at_right):
            widths.append(_least_gap(a, b))
        found += [least - width for width in sorted(widths)[:1] if width < least - TOLERANCE]
    return found


def _least_gap(a: list[Upright], b: list[Upright]) -> int:
    return min(v.x - u.x for u in a for v in b if min(u.high, v.high) >= max(u.low, v.low))


def _across_piers(basis: WallBasis, rule: OpeningRule, side: str) -> list[tuple[OpeningRule, str]]:
    """Return the openings across narrow piers with nothing between, and their jambs there."""
    box, narrow = rule.opening.box, t(basis.judgment.narrow_pier_in)
    found = []
    for other in basis.openings:
        far = other.opening.box
        pier = t(far.x0) - t(box.x1) if side == "right" else t(box.x0) - t(far.x1)
        beside = Fraction(min(box.y1, far.y1)) - Fraction(max(box.y0, far.y0)) > TOP_SLACK
        if beside and TOLERANCE <= pier < narrow - TOLERANCE:
            found.append((pier, other))
    across_it = "left" if side == "right" else "right"
    asking = [(pier, other) for pier, other in found if other.jambs_required]
    return [(other, across_it) for pier, other in asking if not _hidden(rule, other, pier, found)]


def _hidden(rule: OpeningRule, other: OpeningRule, pier: int, found: list[tuple[int, OpeningRule]]) -> bool:
    """Say whether an opening that is nearer stands in the whole line of sight at some height of both."""
    low = max(rule.opening.box.y0, other.opening.box.y0)
    high = min(rule.opening.box.y1, other.opening.box.y1)
    return any(
        distance + t(third.opening.width_in) <= pier + TOLERANCE
        and third is not other
        and third.opening.box.y0 < high - TOP_SLACK
        and third.opening.box.y1 > low + TOP_SLACK
        for distance, third in found
    )


def _places_lacking(basis: WallBasis, joints: list[Joint]) -> int:
    """Count the places that can do with one of several stations and have a joint at none."""
    feet = [t(j.x_in) for j in joints if len({t(x) for x, _ in j.path}) == 1]
    built = {(t(j.x_in), t(j.path[-1][0])) for j in joints}
    lacking = 0
    for rule in basis.asked_places:
        stations = [t(x) for x in rule.stations_in]
        if len(stations) < 2 or any(abs(f - x) <= TOLERANCE for f in feet for x in stations):
            continue
        first, last = min(stations), max(stations)
        forced = {(line[0].x, line[-1].x) for line in _asked(basis)}
        lacking += not any((first, first) < both < (last, last) for both in forced & built)
    return lacking


# --- openings and cost ------------------------------------------------------------------------------


def _lacking(basis: WallBasis, joints: list[Joint]) -> int:
    """Count the joints that openings lack; what serves them is seen from the paths, not believed."""
    lacking = 0
    feet = [t(j.x_in) for j in joints]
    for rule in basis.openings:
        reach = REACH + t(rule.near_within_in or 0)
        first = bisect_left(feet, t(rule.opening.box.x0) - reach)
        near = joints[first : bisect_right(feet, t(rule.opening.box.x1) + reach)]
        at_jambs = sum(_has_joint(basis, rule, s, near) for s in ("left", "right"))
        lacking += max(0, rule.jambs_required - at_jambs)
        if rule.near_within_in is not None:
            reach = t(rule.near_within_in) + TOLERANCE
            jambs = (t(rule.opening.box.x0), t(rule.opening.box.x1))
            lacking += not any(abs(t(j.x_in) - x) <= reach for j in near for x in jambs)
    return lacking


def _has_joint(basis: WallBasis, rule: OpeningRule, side: str, near: list[Joint]) -> bool:
    """Say whether a jamb has a joint, or a wide opening's shares that across a narrow pier."""
    asked = [(rule, side), *(_across_piers(basis, rule, side) if rule.jambs_required == 2 else [])]
    return any(_runs_along(pieces(j)[0], r, s) for j in near for r, s in asked)


def _printed_cost(cost: PrintedCost, report: Report) -> None:
    violations, excess, narrow, short, joints, slips, longest, squares = report.cost
    report.say(cost.narrow != narrow, f"cost: {cost.narrow} narrow pieces, not {narrow}")
    report.say(abs(t(cost.shortfall_in) - short) > 2, f"cost: shortfall {cost.shortfall_in}")
    report.say(cost.violations != violations, f"cost: {cost.violations} violations, not {violations}")
    report.say(abs(t(cost.excess_in) - excess) > 2, f"cost: excess {cost.excess_in}, not {excess / GRAIN}")
    report.say(cost.joints != joints, f"cost: {cost.joints} joints, not {joints}")
    report.say(cost.slip_planes != slips, f"cost: {cost.slip_planes} slip planes, not {slips}")
    report.say(
        abs(t(cost.longest_in) - longest) > 1, f"cost: longest {cost.longest_in}, not {longest / GRAIN}"
    )
    exact = squares / GRAIN**2
    report.say(
        abs(cost.unevenness - exact) > 1e-9 * exact, f"cost: unevenness {cost.unevenness}, not {exact}"
    )
