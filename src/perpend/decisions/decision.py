"""What a person decided about a joint, as one run found it: facts first, words last."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from perpend.notices import Notice, NoticePlace
from perpend.units import DisplaySystem, format_length

Code = Literal[
    "held",
    "moved",
    "stretched",
    "copied",
    "relayered",
    "deleted",
    "issued",
    "no-joint",
    "released",
    "redrawn",
    "doubled",
    "off-wall",
    "wall-gone",
    "accepted",
    "superseded",
    "superseded-moved",
    "shifted",
    "added",
    "renumbered",
    "number-gone",
    "setting-unused",
    "waiver-loose",
    "marks-lost",
    "carried",
    "base-changed",
    "label-moved",
    "label-back",
    "label-written",
    "label-unwritten",
]

_WORDS: Final[dict[str, str]] = {
    "held": "{name} is held at {to}{note}.",
    "moved": "{name} was moved by hand from {from_} to {to}: it is held there{note}.",
    "stretched": "{name} was stretched by hand at {to}: it is held as it is now{note}.",
    "copied": "A copy of {note} was put at {to}: it is held there as {name}.",
    "relayered": "{name} at {to} was put on {note}: it is held there and drawn on its own layer again.",
    "deleted": "{name}{note} at {from_} was deleted by hand: no joint is placed there, nor for spacing alone "
    "within {within}.",
    "issued": "In {wall} {note} where the drawing was issued; --release lets joints be placed anew.",
    "no-joint": "No joint is placed at {from_} of {wall}{note}.",
    "released": "{name} at {from_} is released{note}.",
    "redrawn": "{name} at {from_} was replaced by a joint that the drafter drew: that one stays.",
    "doubled": "{name} at {to} is at the same station as {note}: the two count as one.",
    "off-wall": "{name} from {from_} is no line up a wall any more: it was taken out, and no joint is placed "
    "there.",
    "wall-gone": "The wall {wall} is not in the drawing any more: {note} are not used again.",
    "accepted": "The proposal is accepted: {name}{note}.",
    "superseded": "The drafter's joint at {from_} of {wall} is superseded{note}: it stays in the drawing and "
    "counts no more.",
    "superseded-moved": "The superseded joint{note} of {wall} was moved to {to} since: it counts again.",
    "shifted": "{name} is at {to} instead of {from_}: the wall, its openings, the settings or other joints "
    "changed.",
    "added": "{name} is new at {to}.",
    "renumbered": "{name} was {note} before.",
    "number-gone": "{name} at {from_} is not needed any more: its number is not used again.",
    "setting-unused": "A joint of the settings at {to} of {wall} does nothing: {note}.",
    "marks-lost": "Another program saved this drawing without the marks by which perpend knows its own "
    "plate: {note}.",
    "carried": "Joints, numbers, issues and what people decided are carried over from {note}.",
    "base-changed": "The base changed: {note}.",
    "label-moved": "{note} was moved by hand: it stays there.",
    "label-back": "{note} was moved by hand and can't stay there: it is in its usual place.",
    "label-written": "{note} was written by hand: it stays as long as the length does.",
    "label-unwritten": "{note} was written by hand and can't stay, for its length or its room changed: it is "
    "the length that is measured.",
    "waiver-loose": "A waiver needs a look: {note}.",
}


@dataclass(frozen=True, slots=True)
class Decision:
    """One decision, or what became of one.

    Attributes:
        code: what was decided or became of it.
        wall: tag of the wall.
        number: of the joint, such as ``4A``; empty where it has none.
        from_in: station of its foot before, or None.
        to_in: station of its foot now, or None.
        note: a few words more.
        within_in: of a deleted joint: so near none is placed for its spacing.
    """

    code: Code
    wall: str
    number: str = ""
    from_in: float | None = None
    to_in: float | None = None
    note: str = ""
    within_in: float | None = None

    def words(self, label: str, system: DisplaySystem) -> str:
        """Return it as one sentence.

        Args:
            label: what a joint is called on the sheet, such as ``CJ``.
            system: how lengths are printed.
        """
        name = f"{label}-{self.number} of {self.wall}" if self.number else f"A joint of {self.wall}"
        return _WORDS[self.code].format(
            name=name,
            from_=_at(self.from_in, system),
            to=_at(self.to_in, system),
            wall=self.wall,
            note=self.note,
            within=_at(self.within_in, system),
        )

    def notice(self, label: str, system: DisplaySystem) -> Notice:
        """Return it as a notice."""
        x_in = self.to_in if self.to_in is not None else self.from_in
        return Notice(
            f"joint-{self.code}", self.words(label, system), place=NoticePlace(wall=self.wall, x_in=x_in)
        )


def _at(x_in: float | None, system: DisplaySystem) -> str:
    if x_in is None:
        return "an unknown station"
    return f"{format_length(x_in, system)}{' mm' if system == 'metric' else ''}"
