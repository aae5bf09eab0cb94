"""The only place where a cure becomes a sentence, in the words of the trade."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

from perpend.model import (
    BeamChange,
    Blocked,
    Change,
    Changes,
    Cure,
    JointChange,
    Treat,
    UseMethod,
)
from perpend.units import ON_MODULE_IN, SAME_IN, format_both, system_of

_SAID_WITH_A_VOWEL: Final = "AEFHILMNORSX"
"""Letters whose names begin with a vowel: an EJ, an MJ, but a CJ."""


@dataclass(frozen=True, slots=True)
class _Sheet:
    """How a sheet prints lengths, and what it calls a joint."""

    label: str
    metric: bool = field(default=False, kw_only=True)
    feet: bool = field(default=True, kw_only=True)

    def __call__(self, inches: float) -> str:
        return format_both(inches, system_of(metric=self.metric), feet=self.feet)

    @property
    def one(self) -> str:
        """The label with its article."""
        return f"{'an' if self.label[:1] in _SAID_WITH_A_VOWEL else 'a'} {self.label}"


_ADVICE: Final[dict[str, str]] = {
    "confirm": "have the engineer of record confirm it",
    "cut-units": "no module line near it is free: show the cut units beside it",
    "lintel-support": "leave more masonry beside the opening, or have the lintel's support designed",
    "move-jamb": "move the jamb to {length}, or show the cut units",
    "move-opening": "move or narrow {subject}, or compare other methods (perpend compare)",
    "move-opening-from-end": "move {subject} {length} or more away from the end",
    "name-joint-type": "name the joint type in the settings (joint_type) and on the drawing",
    "one-lintel": "span {subject} and the pier between with one lintel, {length} long with its bearings "
    "(one_lintel_over in the settings; the engineer designs it): joints at the outer jambs only",
    "other-methods": "compare other methods (perpend compare), or ask the engineer of record",
    "shear-transfer": "name a joint type that transfers out-of-plane shear",
    "show-support": "show what carries the masonry and the joint below it (layer of shelf angles, or "
    "shelf_angles in the settings), or have the engineer confirm that none is needed",
    "waiver-correct": "take the entry {subject} out, or correct its fingerprint",
    "waiver-renew": "cure {subject}, or agree on a later date",
    "wall-length": "make it {length} long, or show the cut unit",
    "wall-steel": "use larger bars, count joint reinforcement with them, or place joints by another method",
}


def sentence_of(cure: Cure | None, *, metric: bool = False, label: str = "CJ", feet: bool = True) -> str:
    """Print a cure as one sentence or two; empty where there is none.

    Args:
        cure: the cure.
        metric: True to print lengths in millimeters.
        feet: True to print feet and inches beside millimeters.
        label: what a joint is called on the sheet.
    """
    if cure is None or not cure.changes:
        return ""

    show = _Sheet(label, metric=metric, feet=feet)
    first = _sentence(cure.blocked, show)
    if cure.others:
        every = enumerate((cure.changes, *cure.others), start=1)
        options = "; ".join(f"({n}) {_together(changes, show, ', then ')}" for n, changes in every)
        return f"{first}Options{' that comply' if cure.complies else ''}: {options}."
    words = _together(cure.changes, show)
    if not cure.complies and any(isinstance(change, JointChange) for change in cure.changes):
        return f"{first}No change of joints alone complies; closest: {words}."
    return f"{first}{words[0].upper()}{words[1:]}."


def _sentence(blocked: Blocked | None, show: _Sheet) -> str:
    if blocked is None:
        return ""
    at = show(blocked.x0_in) == show(blocked.x1_in)
    where = f"at {show(blocked.x0_in)}" if at else f"between {show(blocked.x0_in)} and {show(blocked.x1_in)}"
    return f"No permitted {show.label} location {where}: {', '.join(blocked.openings)} in the way. "


def _together(changes: Sequence[Change], show: _Sheet, joiner: str = "; ") -> str:
    return joiner.join(_clauses(changes, show))


def _clauses(changes: Changes | Sequence[Change], show: _Sheet) -> Iterator[str]:
    """Yield one clause for each change, several joints that are added in one."""
    added = [c for c in changes if isinstance(c, JointChange) and c.kind == "add"]
    for change in changes:
        if len(added) == 1 or change not in added:
            yield _clause(change, show)
        elif change is added[0]:
            stations = [f"{show(c.x_in)} ({_aside(c)})" if _aside(c) else show(c.x_in) for c in added]
            yield f"add {len(added)} {show.label}s, at {_listed(stations)}"


def _aside(change: JointChange) -> str:
    """Say what else a joint does but run up at its station."""
    if change.steps:
        return f"stepped under the lintel{_of(change)}"
    return f"at the jamb{_of(change)}" if change.opening else ""


def _clause(change: Change, show: _Sheet) -> str:
    if isinstance(change, JointChange):
        return _joint(change, show)
    if isinstance(change, Treat):
        return f"treat {change.opening} as {change.treatment} in the settings"
    if isinstance(change, UseMethod):
        return f"use the {change.method} method with {change.units} units"
    if isinstance(change, BeamChange):
        return _beam(change, show)
    length = "" if change.length_in is None else show(change.length_in)
    return _ADVICE[change.key].format(subject=change.subject or "an opening", length=length)


def _joint(change: JointChange, show: _Sheet) -> str:
    was, now = show(change.was_x_in), show(change.x_in)
    moved = abs(change.x_in - change.was_x_in) > ON_MODULE_IN
    at_jamb = f", {_aside(change)}" if _aside(change) else ""
    if change.kind == "remove":
        return f"remove the {show.label} at {was}"
    if change.kind == "add":
        return f"add {show.one} at {now}{at_jamb}"
    if change.kind == "trim":
        return f"end the line of the {show.label} at {was} at the wall's bottom and top"
    if change.kind == "extend":
        return f"run the {show.label} at {was} from the bottom of the wall to its top"
    if change.kind == "straighten":
        return (
            f"draw the {show.label} at {was} plumb at {now}"
            if moved or was != now
            else f"draw the {show.label} at {was} plumb"
        )
    if moved or was != now:
        return f"move the {show.label} at {was} to {now}{at_jamb}"
    aside = f"level at the head, to the end of the lintel{_of(change)}, and up there"
    return f"step the {show.label} at {was} {aside}"


def _of(change: JointChange) -> str:
    return f" of {change.opening}" if change.opening else ""


def _beam(change: BeamChange, show: _Sheet) -> str:
    if change.kind == "stop":
        return f"stop the bond beam and its steel on both sides of {show(change.x_in)}"
    if change.kind == "debond":
        return f"debond the bar on one side of {show(change.x_in)} and say so on the drawing"
    if change.to_y_in < change.y_in - SAME_IN:
        return f"add bond beams not more than {show(change.apart_in)} apart, or use larger bars"
    low, high = show(change.y_in - change.floor_in), show(change.to_y_in - change.floor_in)
    where = low if low == high else f"between {low} and {high}"
    return f"add a bond beam {where} above the bottom, or use larger bars"


def _listed(words: Sequence[str]) -> str:
    """Print words as a list: commas, and "and" before the last."""
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last
