"""A joint between two walls that adjoin is read in one of them or in both: its change is listed once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

from perpend.model import Path, Wall
from perpend.revisions.change_model import Change, WallPair
from perpend.units import SAME_IN

_Holders = dict[str, set[int]]
"""By the handle of an entity, the indices of the pairs of walls that hold a joint made of it."""


def each_joint_once(pairs: Sequence[WallPair]) -> list[WallPair]:
    """Drop what is listed of a joint in a wall, where the wall beside it says the same, or better.

    A joint that is gone from one wall and is still in the one beside it, moved or not, is not gone. One that
    left a wall and came into the other on one line of the sheet did not change at all.
    """
    old, new = _holders(pairs, old=True), _holders(pairs, old=False)
    dropped = _handed_over(pairs)
    for n, pair in enumerate(pairs):
        for change in pair.changes:
            holders = old if change.kind == "removed" else new
            others = {m for h in change.handles for m in holders[h]} - {n}
            listed = {m for m in others if _lists(pairs[m], change)}
            still_there = change.kind in ("added", "removed") and listed != others
            if still_there or any(m < n for m in listed):
                dropped.add(id(change))
    return [replace(p, changes=tuple(c for c in p.changes if id(c) not in dropped)) for p in pairs]


def _holders(pairs: Sequence[WallPair], *, old: bool) -> _Holders:
    found: _Holders = defaultdict(set)
    for n, pair in enumerate(pairs):
        if pair.old is not None and pair.new is not None:
            for joint in (pair.old if old else pair.new).wall.drawn_joints:
                for handle in joint.handles:
                    found[handle].add(n)
    return found


def _lists(pair: WallPair, change: Change) -> bool:
    """Say whether the same is listed of the same joint in a wall."""
    return any(c.kind == change.kind and set(c.handles) & set(change.handles) for c in pair.changes)


def _handed_over(pairs: Sequence[WallPair]) -> set[int]:
    """Return the changes of joints removed from one wall and added to another on one line of the sheet."""
    gone: dict[tuple[int, ...], tuple[int, Change]] = {}
    for n, pair in enumerate(pairs):
        for change in pair.changes:
            if change.thing == "joint" and change.kind == "removed" and pair.new is not None:
                gone[_on_sheet(pair.new.wall, change.old_at)] = (n, change)
    dropped: set[int] = set()
    for n, pair in enumerate(pairs):
        for change in pair.changes:
            if change.thing == "joint" and change.kind == "added" and pair.new is not None:
                other = gone.get(_on_sheet(pair.new.wall, change.at))
                if other is not None and other[0] != n:
                    dropped |= {id(change), id(other[1])}
    return dropped


def _on_sheet(wall: Wall, path: Path) -> tuple[int, ...]:
    ends = (wall.frame.to_drawing(p) for p in (path[0], path[-1]))
    return tuple(round(c * wall.frame.inches_per_unit / SAME_IN) for end in ends for c in end)
