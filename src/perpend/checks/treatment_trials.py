"""What treating an opening the other way would cure: tried, with the joints that it then needs, then said.

Glossary:
    burden: how many limits and openings a wall breaks: joints that panels lack, clashes, bare jambs.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import replace

from perpend.checks.candidate_stations import free_jambs, standing_at, stepped_at
from perpend.checks.infill_joints import joints_together
from perpend.checks.measure.judged_wall import JudgedWall, PanelSpan, judged_wall
from perpend.checks.measure.keep_outs import clashes, end_clashes
from perpend.checks.measure.track_geometry import Track
from perpend.checks.measure.tracks import SIDES, jamb
from perpend.checks.measure.wording import listed
from perpend.model import Side


def treated_otherwise(wall: JudgedWall, panel: PanelSpan) -> str:
    """Say which opening of a panel, treated the other way, lets joints cure it; empty where none does."""
    within = wall.openings.beside(panel.x0_in, panel.x1_in)
    most = burden(wall) - panel.faults
    return next(filter(None, (_tried(wall, index, most, panel) for index in within)), "")


def better_otherwise(wall: JudgedWall, index: int) -> str:
    """Say how an opening is treated the other way where the burden is less then; empty else."""
    return _tried(wall, index, burden(wall) - 1, None)


def burden(wall: JudgedWall) -> int:
    """Count what is wrong with where a wall's joints stand."""
    lacking = sum(_lacking(wall, index) > 0 for index, _ in wall.unreinforced())
    clashing = len([*clashes(wall), *end_clashes(wall)])
    return sum(panel.faults for panel in wall.panels) + clashing + lacking


def _lacking(wall: JudgedWall, index: int) -> int:
    """Return how many joints an opening lacks at its jambs."""
    served = sum((index, side) in wall.served for side in SIDES)
    return max(wall.basis.openings[index].jambs_required - served, 0)


def _tried(wall: JudgedWall, index: int, most: int, panel: PanelSpan | None) -> str:
    """Try the other treatment of an opening; return the words for it if the burden is no more then."""
    other = wall.basis.other_treatment(index)
    if other is None:
        return ""
    changed = _with(replace(wall, basis=wall.basis.with_opening(index, other)), ())
    for sides in _sides_lacking(changed, index):
        jambs = [track for side in sides if (track := stepped_at(changed, index, side)) is not None]
        after = _with(changed, jambs) if jambs else changed
        more = [x for part in _faulty(after, panel) for x in joints_together(after, part)]
        whole = _with(after, [standing_at(after, x) for x in more]) if more else after
        if burden(whole) <= most and not any(_faulty(whole, panel)):
            return _words(wall, index, [jamb(other, side) for side in sides], more, after)
    return ""


def _with(wall: JudgedWall, joints: Sequence[Track]) -> JudgedWall:
    """Return a wall with some joints more, measured anew."""
    every = sorted([*wall.every, *joints], key=lambda t: (t.foot_x, t.head[0]))
    return judged_wall(wall.basis, [replace(t, numbers=(n,)) for n, t in enumerate(every)])


def _sides_lacking(wall: JudgedWall, index: int) -> Iterator[tuple[Side, ...]]:
    """Yield the jambs at which an opening needs joints, in each way that there is room for them."""
    free = [side for side in free_jambs(wall, index) if (index, side) not in wall.served]
    yield from itertools.combinations(free, _lacking(wall, index))


def _faulty(wall: JudgedWall, panel: PanelSpan | None) -> Iterator[PanelSpan]:
    """Yield what is left to cure of a panel."""
    if panel is None:
        return
    for part in wall.panels:
        if part.faults and part.x0_in < panel.x1_in and part.x1_in > panel.x0_in:
            yield part


def _words(
    wall: JudgedWall, index: int, jambs: Sequence[float], more: Sequence[float], after: JudgedWall
) -> str:
    rule = after.basis.openings[index]
    words = f"treat {rule.opening.tag} as {rule.treatment}"
    if jambs:
        stepped = ", stepped under its lintel" if rule.step_in > 0 else ""
        words += f", with {_joints(wall, jambs)}{stepped}"
    return f"{words}, and stand {_joints(wall, more)}" if more else words


def _joints(wall: JudgedWall, stations: Sequence[float]) -> str:
    return f"{'joints' if len(stations) > 1 else 'a joint'} at {listed(map(wall.at, stations))}"
