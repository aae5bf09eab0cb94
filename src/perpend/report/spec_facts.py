"""What a project's specification text has to speak of: only what its walls use."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from perpend.model import PlaceKind, ReinforcementChoice, Treatment, WallPlan
from perpend.rulebook import JointType, RuleBook, joint_types
from perpend.rulebook.rule_book import maybe
from perpend.settings import Settings
from perpend.settings.detail_references import JOINT_NAMES, detail_numbers, joint_label
from perpend.units import format_length, same


@dataclass(frozen=True, slots=True)
class WallLimits:
    """Spacing and corner distance that walls share, as written in the text; empty where there is none."""

    walls: tuple[str, ...]
    spacing: str
    corner: str


@dataclass(frozen=True, slots=True)
class SpecFacts:
    """What the walls of a project use.

    Attributes:
        drawing: name of the drawing.
        label: what a joint is called, such as ``CJ``.
        name: the same, written out, such as ``control joint``.
        walls: their limits, in the order of the drawing.
        joints: how many there are.
        types: joint types in use; empty where none is named.
        widths: joint width, rake outside, rake inside, as written; empty where the book has none.
        bearing: least bearing of a lintel, as written, or empty.
        clear: distance of joints from reinforced openings, as written, or empty.
        slip_planes: joints step out under lintels.
        reinforced: openings with reinforced jambs, by tag.
        places: where the wall itself asks for joints.
        steel: horizontal reinforcement that the settings chose, or the first that complies, as written.
        steel_chosen: the settings chose it.
        bond_beams: bond beams stop at joints.
        through: structural bond beams run through joints.
        veneer: a wall is an anchored veneer.
        no_joints: walls without joints, by tag.
        sealant: standard of the sealant, in brackets where the project has to name it.
        details: numbers of the details, by key.
        cautions: as every output carries them.
    """

    drawing: str
    label: str
    name: str
    walls: tuple[WallLimits, ...]
    joints: int
    types: tuple[JointType, ...]
    widths: tuple[str, str, str]
    bearing: str
    clear: str
    slip_planes: bool
    reinforced: tuple[str, ...]
    places: tuple[PlaceKind, ...]
    steel: tuple[str, ...]
    steel_chosen: bool
    bond_beams: bool
    through: bool
    veneer: bool
    no_joints: tuple[str, ...]
    sealant: str
    details: dict[str, str]
    cautions: tuple[str, ...]

    @property
    def sealed(self) -> bool:
        """True where there are joints to seal."""
        return self.joints > 0


def spec_facts(
    drawing: str, plans: Sequence[WallPlan], book: RuleBook, settings: Settings, *, metric: bool
) -> SpecFacts:
    """Collect what the walls use.

    Args:
        drawing: name of the drawing.
        plans: its walls, laid out.
        book: the rule book.
        settings: the project's settings.
        metric: write millimetres.
    """
    joints = [joint for plan in plans for joint in plan.joints]
    used = {joint.joint_type or plan.joint_type for plan in plans for joint in plan.joints}
    kinds = {bar.kind for plan in plans for bar in plan.bars}
    wanted = [plan.reinforcement for plan in plans if plan.reinforcement.choices]
    label = joint_label(settings, book)
    choices = dict.fromkeys(h.choice or h.choices[0] for h in wanted)
    return SpecFacts(
        drawing=drawing,
        label=label,
        name=JOINT_NAMES.get(label) or book.joint,
        walls=tuple(_limits_of(plans, metric)),
        joints=len(joints),
        types=tuple(kind for kind in joint_types(book) if kind.key in used),
        widths=(
            _number(book, "joint-width", "width", metric),
            _number(book, "joint-rake", "exterior", metric),
            _number(book, "joint-rake", "interior", metric),
        ),
        bearing=_number(book, "lintel-bearing", "at_least", metric),
        clear=_number(book, "opening-clear", "clear", metric),
        slip_planes=any(joint.slip_planes for joint in joints),
        reinforced=in_ranges(
            rule.opening.tag
            for plan in plans
            for rule in plan.openings
            if rule.treatment is Treatment.REINFORCED
        ),
        places=tuple(dict.fromkeys(joint.place for joint in joints if joint.place is not None)),
        steel=tuple(_steel(choice, metric) for choice in choices),
        steel_chosen=any(h.choice is not None for h in wanted),
        bond_beams="bond-beam" in kinds,
        through=any(plan.debonded for plan in plans),
        veneer=any(plan.limits.method == "veneer" for plan in plans),
        no_joints=tuple(plan.wall.tag for plan in plans if plan.limits.max_spacing_in is None),
        sealant="ASTM C920" if any("ASTM" in d.title for d in book.documents) else "[STANDARD]",
        details=detail_numbers(book, settings.details),
        cautions=book.cautions,
    )


def in_ranges(tags: Iterable[str]) -> tuple[str, ...]:
    """Return tags with runs of three or more numbers in one: ``N1 to N4``, ``D1``, ``D2``."""
    numbers: dict[str, list[int]] = {}
    for tag in dict.fromkeys(tags):
        found = re.fullmatch(r"(.*?)([1-9]\d*|0)?", tag)
        assert found is not None
        numbers.setdefault(found[1], []).append(int(found[2]) if found[2] else -1)
    said: list[str] = []
    for head, known in numbers.items():
        known.sort()
        for _, run in itertools.groupby(enumerate(known), key=lambda pair: pair[1] - pair[0]):
            tails = ["" if n < 0 else str(n) for _, n in run]
            whole = len(tails) < 3
            said += [f"{head}{t}" for t in tails] if whole else [f"{head}{tails[0]} to {head}{tails[-1]}"]
    return tuple(said)


def written(inches: float, metric: bool) -> str:
    """Return a length as specification text has it: ``3/8 in.``, ``24 in.``, ``25 ft 0 in.``, ``600 mm``."""
    if metric:
        return f"{format_length(inches, 'metric')} mm"
    feet, rest = format_length(inches).rstrip('"').split("'-")
    rest = rest.removeprefix("0 ") if " " in rest else rest
    if inches <= 48:
        fraction = f" {rest.split(' ')[1]}" if " " in rest else f" {rest}" if "/" in rest else ""
        whole = int(inches)
        return f"{whole}{fraction} in." if whole else f"{fraction.strip()} in."
    return f"{feet} ft {rest} in."


def _limits_of(plans: Iterable[WallPlan], metric: bool) -> Iterator[WallLimits]:
    """Yield the limits of walls that have joints, once for all walls that share them."""
    shared: dict[tuple[str, str], list[str]] = {}
    for plan in plans:
        if plan.limits.max_spacing_in is not None:
            said = (written(plan.limits.max_spacing_in, metric), _corner(plan, metric))
            shared.setdefault(said, []).append(plan.wall.tag)
    yield from (WallLimits(tuple(tags), *said) for said, tags in shared.items())


def _corner(plan: WallPlan, metric: bool) -> str:
    """Say how far from a corner the first joint may be: once, or for each end where they differ."""
    limits = plan.corner_limits_in
    if len(limits) > 1 and same(min(limits.values()), max(limits.values())):
        return f"{written(min(limits.values()), metric)} from a corner"
    return " and ".join(f"{written(x, metric)} from the {side} corner" for side, x in limits.items())


def _steel(choice: ReinforcementChoice, metric: bool) -> str:
    """Name horizontal reinforcement: wires are joint reinforcement, a bar is in a bond beam."""
    spacing = f"spaced not more than {written(choice.max_spacing_in, metric)} on center vertically"
    if choice.in_beds:
        return f"joint reinforcement, {choice.name.replace('2 wires', 'two longitudinal wires')}, {spacing}"
    return f"{choice.name} bar in bond beams, {spacing}".replace(" or larger bar", " bar or larger")


def _number(book: RuleBook, kind: str, name: str, metric: bool) -> str:
    row = book.first(kind)
    found = maybe(row, name) if row is not None else None
    return "" if found is None else written(found, metric)
