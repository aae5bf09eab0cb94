"""Joint tags: a row of numbers above the wall, each with a leader to the head of its joint.

Where another wall is above, as above a shelf angle, the row is below the wall and leads to the feet.
So is the tag of a joint that goes from the foot of the wall to a sill: its leader would cross the opening.
Joints whose heads are at one height share a row. Among the heights a row could have, the one is
taken that moves its tags least and crosses least.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from perpend.drawing.page.drafting_style import NOTE
from perpend.drawing.page.label_row import Interval, RowLabel, place_in_row
from perpend.drawing.page.occupancy import Level
from perpend.drawing.page.scene import PlacedPlan, Scene, rule_of
from perpend.drawing.page.sheet_page import Identity
from perpend.drawing.plate.joint_schedule import joint_number
from perpend.dxf.text_metrics import plain, text_width
from perpend.model import Box, Joint, JointKind, Point, WallPlan
from perpend.units import same

_LEVELS = 24
_BLOCKING = frozenset({Level.FACE, Level.SOLID, Level.WRITING})
_FIRST_ROW = 3.2
_ROW_STEP = 1.0
_GAP = 0.8
_REACH = 40.0
_COST_LEVEL, _COST_LINE, _COST_FACE, _COST_SOLID = 1.0, 1.2, 6.0, 40.0
_COST_STRUCK = 3.0


@dataclass(frozen=True, slots=True)
class Tag:
    """A tag that has no place yet: its text, the end of its joint on the page, what it is.

    Attributes:
        up: 1.0 for a tag above that end, -1.0 for one below it.
    """

    text: str
    end: Point
    width_in: float
    identity: Identity
    up: float = 1.0


@dataclass(frozen=True, slots=True)
class _Row:
    cost: float
    baseline_in: float
    centres: tuple[float, ...]


def draw_tags(scene: Scene, placed: PlacedPlan) -> None:
    """Put a tag above every joint of a wall that has none yet."""
    for group in _by_head(scene, placed):
        row = _best_row(scene, group)
        if row is None:
            scene.report.remarks.append(f"The tags of {placed.plan.wall.tag} found no free row.")
            row = _Row(0.0, _baseline(group, 0, scene.h), tuple(t.end[0] for t in group))
        for tag, centre in zip(group, row.centres, strict=True):
            draw_tag(scene, tag, centre, row.baseline_in)


def tags_of(scene: Scene, placed: PlacedPlan) -> Iterator[Tag]:
    """Yield the tags of a wall's joints."""
    all_below = are_below(scene, placed)
    for joint in placed.plan.joints:
        below = all_below or _ends_at_sill(placed.plan, joint)
        text = plain(joint_number(placed.plan, joint, scene.style.content.label, several=scene.several))
        end = placed.spot.point(joint.path[0 if below else -1])
        identity = Identity("tag", placed.number(joint), rule_of(joint.sources))
        yield Tag(text, end, text_width(text, scene.h), identity, -1.0 if below else 1.0)


def _ends_at_sill(plan: WallPlan, joint: Joint) -> bool:
    """Say whether a joint of partial height goes from the foot of a wall to a sill."""
    (x, foot), (_, head) = joint.path[0], joint.path[-1]
    if joint.kind is not JointKind.PARTIAL or not same(foot, max(plan.wall.bottom.at(x))):
        return False
    boxes = (rule.opening.box for rule in plan.openings)
    return any(box.x0 <= x <= box.x1 and same(box.y0, head) for box in boxes)


def are_below(scene: Scene, placed: PlacedPlan) -> bool:
    """Say whether tags are below a wall: its joints' heads lie under another wall, and their feet on none."""
    ends = [(placed.spot.point(j.path[-1]), placed.spot.point(j.path[0])) for j in placed.plan.joints]
    near = [Box.around(pair).grown(2 * scene.h) for pair in ends]
    others = list(scene.faces_beside(placed, near))

    def covered(end: Point, up: float) -> bool:
        return any(face.holds((end[0], end[1] + up * scene.h)) for face in others)

    return bool(ends) and all(covered(head, 1.0) and not covered(foot, -1.0) for head, foot in ends)


def _by_head(scene: Scene, placed: PlacedPlan) -> Iterable[list[Tag]]:
    """Group the tags by the height of their joints' heads; a sloped top makes one group."""
    tags = [tag for tag in tags_of(scene, placed) if ("tag", tag.text) not in scene.settled]
    wall = placed.plan.wall
    top = (wall.bottom if are_below(scene, placed) else wall.top).points
    sloped = any(a[0] != b[0] and abs(a[1] - b[1]) > 1.0 for a, b in itertools.pairwise(top))
    groups: dict[tuple[float, int], list[Tag]] = {}
    for tag in sorted(tags, key=lambda t: t.end[0]):
        level = 0 if sloped else round(tag.end[1] / scene.h)
        groups.setdefault((tag.up, level), []).append(tag)
    return groups.values()


def _baseline(tags: Sequence[Tag], level: int, h: float) -> float:
    """Return the baseline of a row: above the highest of the joints' ends, or below the lowest."""
    away = (_FIRST_ROW + level * _ROW_STEP) * h
    if tags[0].up > 0.0:
        return max(tag.end[1] for tag in tags) + away
    return min(tag.end[1] for tag in tags) - away - h


def _best_row(scene: Scene, tags: Sequence[Tag]) -> _Row | None:
    best: _Row | None = None
    for level in range(_LEVELS):
        floor = level * _COST_LEVEL * len(tags)
        if best is not None and floor >= best.cost:
            break
        row = _row_at(scene, tags, _baseline(tags, level, scene.h), floor)
        if row is not None and (best is None or row.cost < best.cost):
            best = row
    return best


def _row_at(scene: Scene, tags: Sequence[Tag], baseline: float, floor: float) -> _Row | None:
    h = scene.h
    band = (baseline - 0.5 * h, baseline + 1.4 * h)
    lines = lines_across(scene, tags[0].end[0], tags[-1].end[0], band)
    centres = place_in_row(
        [RowLabel(tag.end[0], tag.width_in) for tag in tags],
        gap_in=_GAP * h,
        step_in=0.5 * h,
        reach_in=_REACH * h,
        blocked=blocked_stretches(scene, tags[0].end[0], tags[-1].end[0], band),
        disliked=lines,
    )
    if centres is None:
        return None
    cost = floor
    for tag, centre in zip(tags, centres, strict=True):
        box = Box(centre - tag.width_in / 2, band[0], centre + tag.width_in / 2, band[1])
        cost += abs(centre - tag.end[0]) / h + scene.field.cover(box).faces * _COST_FACE
        cost += sum(price for x0, x1, price in lines if x0 < box.x1 and box.x0 < x1) / h
        for a, b in _pieces(leader_path(tag, centre, baseline, h)):
            crossed = scene.field.crossed(a, b)
            cost += (crossed.solid + 4 * crossed.writing) * _COST_SOLID + crossed.faces * _COST_FACE
    return _Row(cost, baseline, tuple(centres))


def lines_across(
    scene: Scene, x0: float, x1: float, band: tuple[float, float]
) -> list[tuple[float, float, float]]:
    """Return the drafter's lines in a level band: a level one strikes a text out, so it costs more."""
    reach, h = (_REACH + 12.0) * scene.h, scene.h
    found = scene.field.stretches(Box(x0 - reach, band[0], x1 + reach, band[1]), frozenset({Level.LINE}))
    return [(a, b, (_COST_STRUCK if b - a > h else _COST_LINE) * h) for a, b in found]


def blocked_stretches(scene: Scene, x0: float, x1: float, band: tuple[float, float]) -> list[Interval]:
    """Return the stretches of a level band where something solid or a wall's face lies, merged."""
    reach = (_REACH + 12.0) * scene.h
    found = scene.field.stretches(Box(x0 - reach, band[0], x1 + reach, band[1]), _BLOCKING)
    clear = 0.3 * scene.h
    merged: list[Interval] = []
    for start, end in sorted((a - clear, b + clear) for a, b in found):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((start, end))
    return merged


def leader_path(tag: Tag, centre: float, baseline: float, h: float) -> tuple[Point, ...]:
    """Return the line from just off a joint's end to its tag; to a tag level with that end from the side."""
    x, y = tag.end
    edge = baseline - 0.45 * h if tag.up > 0.0 else baseline + 1.45 * h
    foot, end = (x, y + tag.up * 0.9 * h), (centre, edge)
    if tag.up * (end[1] - foot[1]) <= 0.0:
        side = tag.width_in / 2 + 0.4 * h
        return (foot, (centre - side if centre > x else centre + side, baseline + 0.5 * h))
    if abs(centre - x) < 0.1 * h:
        return (foot, (x, edge))
    elbow = (x, tag.up * max(tag.up * foot[1], tag.up * edge - 0.9 * h))
    return (foot, elbow, end) if elbow != foot else (foot, end)


def _pieces(path: Sequence[Point]) -> Iterable[tuple[Point, Point]]:
    return itertools.pairwise(path)


def draw_tag(scene: Scene, tag: Tag, centre: float, baseline: float, said: tuple[str, ...] = ()) -> None:
    """Draw a tag, its leader, and the mark at the joint's end.

    Args:
        scene: the page.
        tag: the tag.
        centre: middle of its text.
        baseline: height of its baseline.
        said: further words of its XDATA.
    """
    h = scene.h
    (x, y), far = tag.end, tag.up * 0.9 * h
    mark = ((x, y + tag.up * 0.1 * h), (x + 0.4 * h, y + far), (x - 0.4 * h, y + far))
    scene.stroke(NOTE, mark, Identity("mark", tag.identity.number, tag.identity.rule), closed=True)
    path = leader_path(tag, centre, baseline, h)
    scene.leader(NOTE, path, Identity("leader", tag.identity.number, tag.identity.rule))
    scene.letters(NOTE, tag.text, (centre, baseline), replace(tag.identity, said=said), align="center")
