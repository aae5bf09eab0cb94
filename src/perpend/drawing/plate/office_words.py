"""How an office letters what the results say in sentences: steel, joint types, ranges of tags, lengths."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from perpend.model import Joint, PlaceKind, ReinforcementChoice, WallPlan
from perpend.units import DisplaySystem, format_length

BUILDING_JOINT = "BEJ"
"""What a building expansion joint is called on a sheet; the abbreviation is that of TM 5-809-3."""

AS_SHOWN = "OR AS SHOWN ON STRUCT. DWGS"
_WIRE = re.compile(r"^2 wires (W[\d.]+)(?: \((\d+) gauge\)| \(([\d/]+) in\.\))?$")
_BAR = re.compile(r"^one No\. (\d+)(?: or larger)?$")
_ONE_BAR = re.compile(r"\bone No\. (\d+)")
_NUMBERED = re.compile(r"(.*?)(\d+)")
_LEAST_RANGE = 3


def short_length(inches: float, system: DisplaySystem) -> str:
    """Print a length for a callout: ``8"`` below a foot, ``1/4"`` below an inch, else as on a dimension."""
    if system != "imperial":
        return f"{format_length(inches, 'metric')} MM"
    return format_length(inches, system).removeprefix("0'-").removeprefix("0 ")


def steel_words(choice: ReinforcementChoice, system: DisplaySystem) -> str:
    """Letter a choice of horizontal reinforcement: ``9 GA. (W1.7) JOINT REINF. @ 16" O.C. VERT.``."""
    inches = choice.max_spacing_in
    spacing = f'{inches:g}"' if system == "imperial" else short_length(inches, system)
    return f"{_steel_name(choice.name)} @ {spacing} O.C. VERT."


def _steel_name(name: str) -> str:
    if wire := _WIRE.match(name):
        size = f"{wire[2]} GA. ({wire[1]})" if wire[2] else f'{wire[3]}" ({wire[1]})' if wire[3] else wire[1]
        return f"{size} JOINT REINF."
    if bar := _BAR.match(name):
        return f"#{bar[1]}"
    return name


def bars_lettered(text: str) -> str:
    """Letter the bars of a sentence: ``#4`` for one No. 4."""
    return _ONE_BAR.sub(r"#\1", text)


def steel_of(plan: WallPlan, system: DisplaySystem) -> str:
    """Letter the one choice of horizontal reinforcement: the project's, else the first that is allowed."""
    steel = plan.reinforcement
    if steel.choice is not None:
        return steel_words(steel.choice, system)
    if steel.chosen:
        return bars_lettered(steel.chosen)
    return f"{steel_words(steel.choices[0], system)} {AS_SHOWN}" if steel.choices else ""


def type_words(plan: WallPlan, joint: Joint | None = None, system: DisplaySystem = "imperial") -> str:
    """Name a wall's joint type, or that of one joint, without what is known of it: ``FORMED PAPER``."""
    if joint is not None and joint.place is PlaceKind.EXPANSION_JOINT:
        wide = f"{short_length(joint.width_in, system)} wide " if joint.width_in else ""
        return f"{wide}building expansion joint"
    if joint is not None and joint.joint_type not in (None, plan.joint_type):
        return str(joint.joint_type).replace("-", " ")
    return plan.joint_type_name.split(";")[0].strip().removesuffix(" joint")


def see_detail(number: str) -> str:
    """Refer to a detail: ``; see 5/A-501``, or ``; see detail 5`` of the same sheet."""
    where = number if "/" in number else f"detail {number}"
    return f"; see {where}" if number else ""


def tag_range(tags: Iterable[str]) -> str:
    """List tags, three and more that follow each other as a range: ``N1-N4, N6``."""
    runs: list[list[str]] = []
    for tag in sorted(dict.fromkeys(tags), key=_order):
        name, number = _order(tag)
        if runs and _order(runs[-1][-1]) == (name, number - 1):
            runs[-1].append(tag)
        else:
            runs.append([tag])
    return ", ".join(part for run in runs for part in _written(run))


def _written(run: Sequence[str]) -> Sequence[str]:
    return run if len(run) < _LEAST_RANGE else (f"{run[0]}-{run[-1]}",)


def _order(tag: str) -> tuple[str, int]:
    found = _NUMBERED.fullmatch(tag)
    return (found[1], int(found[2])) if found else (tag, -2)
