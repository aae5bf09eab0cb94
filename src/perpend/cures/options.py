"""What cures a finding where no layout does: openings treated the other way, or another method.

Each option is a treatment or method with the changes of joints that then follow; the judge confirms it.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import chain
from typing import Final

from perpend.checks import check_wall
from perpend.checks.registry import CODES
from perpend.cures.apply import DrawnWall
from perpend.cures.classify import components, reach
from perpend.cures.trials import Trials
from perpend.findings import Finding, Severity
from perpend.layout.nearest_layout import NearestLayout
from perpend.layout.treatment_mix import LayoutsSpentError, fewest_changes
from perpend.model import Change, Changes, JointChange, Treat, Treatment, UseMethod
from perpend.units import ON_MODULE_IN

_MOST_SINGLE: Final = 8
"""Openings tried one by one; the rest only all together."""
_MOST_PAIRED: Final = 6
"""Openings of which every two are tried together, where none by itself cures anything."""
_MOST_LAYOUTS: Final = 256
"""Layouts tried for the fewest openings to change, where no single one cures."""
_MOST_NAMED: Final = 3
"""Options that a cure names."""

Nearest = Callable[[DrawnWall, Sequence[Finding]], NearestLayout]


def options_for(
    trials: Trials, wanted: Mapping[int, Finding], findings: Sequence[Finding], nearest: Nearest
) -> dict[int, list[Changes]]:
    """Return the options of each finding, those with the fewest changes first.

    Args:
        trials: the wall.
        wanted: the findings that no layout cures, by number.
        findings: every finding of the wall.
        nearest: what finds the nearest layout of a wall.
    """
    found: dict[int, list[Changes]] = {n: [] for n in wanted}
    near = _near(trials.wall, list(wanted.values()))
    single: list[Changes] = [(treat,) for treat in near[:_MOST_SINGLE]]
    for first in single:
        _try(trials, first, wanted, findings, nearest, found)
    for ways in (_fewest, _all_one_way):
        left = {n: f for n, f in wanted.items() if not found[n]}
        for first in ways(trials.wall) if left else ():
            _try(trials, first, left, findings, nearest, found)
    for first in _methods(trials.wall):
        _try(trials, first, wanted, findings, nearest, found)
    if not any(found.values()) and len(near) <= _MOST_PAIRED:
        for pair in itertools.combinations(near, 2):
            _try(trials, pair, wanted, findings, nearest, found)
    return {n: sorted(options, key=len)[:_MOST_NAMED] for n, options in found.items()}


def treated(
    trials: Trials, wanted: Mapping[int, Finding], findings: Sequence[Finding], nearest: Nearest
) -> dict[int, list[Changes]]:
    """Return for each finding whether the other treatment of its own opening cures it, and how."""
    found: dict[int, list[Changes]] = {n: [] for n in wanted}
    near = {treat.opening: treat for treat in _near(trials.wall, ())}
    tags = dict.fromkeys(f.opening for f in wanted.values() if f.opening in near)
    for tag in list(tags)[:_MOST_SINGLE]:
        own = {n: f for n, f in wanted.items() if f.opening == tag}
        _try(trials, (near[tag],), own, findings, nearest, found)
    return found


def meant_unreinforced(wall: DrawnWall, finding: Finding) -> bool:
    """Say whether a joint is at a jamb of an opening of which nobody said that it is reinforced."""
    for rule in wall.basis.openings:
        box = rule.opening.box
        if rule.opening.tag == finding.opening and rule.treatment is Treatment.REINFORCED:
            numbers = wall.numbers_of(finding.joints)
            feet = [joint.path[0][0] for joint in wall.joints if joint.number in numbers]
            at_jamb = any(min(abs(x - box.x0), abs(x - box.x1)) <= ON_MODULE_IN for x in feet)
            return at_jamb and rule.treatment_of != "opening"
    return False


def _near(wall: DrawnWall, findings: Sequence[Finding]) -> list[Treat]:
    """Return the other treatments of openings, those nearest to some findings first."""
    spans = [(min(x for x, _ in f.at), max(x for x, _ in f.at)) for f in findings if f.at]
    found: list[tuple[float, Treat]] = []
    for index, rule in enumerate(wall.basis.openings):
        other, box = wall.basis.other_treatment(index), rule.opening.box
        if other is not None:
            gap = min((max(box.x0 - high, low - box.x1, 0.0) for low, high in spans), default=0.0)
            found.append((gap, Treat(rule.opening.tag, rule.opening.handle, other.treatment)))
    return [treat for _, treat in sorted(found, key=lambda entry: entry[0])]


def _all_one_way(wall: DrawnWall) -> Iterator[Changes]:
    """Yield every opening that can be, treated one way, where these are more than one."""
    for treatment in Treatment:
        treats = tuple(treat for treat in _near(wall, ()) if treat.treatment is treatment)
        if len(treats) > 1:
            yield treats


def _fewest(wall: DrawnWall) -> Iterator[Changes]:
    """Yield the fewest openings, two at least, for which a layout complies if treated the other way."""
    bare = replace(wall.basis, wall=replace(wall.basis.wall, drawn_joints=()))
    try:
        mixed = fewest_changes(bare, _MOST_LAYOUTS)
    except LayoutsSpentError:
        return
    turned = [r for r in (mixed.openings if mixed else ()) if r not in bare.openings]
    if len(turned) > 1:
        yield tuple(Treat(r.opening.tag, r.opening.handle, r.treatment) for r in turned)


def _methods(wall: DrawnWall) -> Iterator[Changes]:
    for spacing in wall.basis.other_spacings:
        yield (UseMethod(spacing.method, spacing.units),)


def _try(
    trials: Trials,
    first: Changes,
    wanted: Mapping[int, Finding],
    findings: Sequence[Finding],
    nearest: Nearest,
    found: dict[int, list[Changes]],
) -> None:
    """Try one change with the changes of joints that follow; note which findings it cures."""
    basis, joints = trials.wall.after(first)
    other = DrawnWall.of(basis, joints, check_wall(basis, joints))
    if [j.path[0] for j in other.joints] != [j.path[0] for j in trials.wall.joints]:
        return  # parts that make one joint as things are do not with this change
    waived = [f for f in findings if f.waived]
    parts = components(nearest(other, [*other.report.findings, *waived]))
    every: Changes = (*first, *chain.from_iterable(parts))
    after = trials.judged(every)
    whole = all(isinstance(change, UseMethod) for change in first)
    if whole and any(f.severity is Severity.REQUIRED and CODES[f.code].by_joints for f in after):
        return
    for n, finding in wanted.items():
        if not trials.is_gone(finding, after):
            continue
        local = every if whole else (*first, *_beside(trials, finding, first, parts))
        if local != every and trials.confirms(finding, local):
            found[n].append(local)
        elif not trials.new(after):
            found[n].append(every)


def _beside(
    trials: Trials, finding: Finding, first: Sequence[Change], parts: Sequence[tuple[JointChange, ...]]
) -> Iterator[JointChange]:
    """Yield the changes of joints near a finding, or near an opening that is treated the other way."""
    tags = {change.opening for change in first if isinstance(change, Treat)}
    boxes = [r.opening.box for r in trials.wall.basis.openings if r.opening.tag in tags]
    low = min([*(x for x, _ in finding.at), *(box.x0 for box in boxes)], default=0.0)
    high = max([*(x for x, _ in finding.at), *(box.x1 for box in boxes)], default=0.0)
    for part in parts:
        start, end = reach(part)
        if start <= high and low <= end:
            yield from part
