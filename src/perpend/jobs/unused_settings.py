"""What of the settings does nothing in a drawing, or is rather a slip: tags, ends, numbers."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Final

from perpend.model import Wall
from perpend.settings import Settings, unmatched_tags, wall_options
from perpend.settings.settings_files import PROJECT_FILE
from perpend.settings.wall_ends import OTHER_SIDE, adjoining, given_end, gives_up, keepers
from perpend.units import format_length

_NEAR: Final = 0.5
"""Likeness (difflib's ratio) from which a tag may be meant for another one."""

_LEAST_SENSIBLE_IN: Final = {
    "spacing_cap": 48.0,
    "wide_opening_from": 16.0,
    "width_from": 16.0,
    "width_to": 16.0,
}
"""By key: what is less is rather a number of feet. Nobody wants panels shorter than three blocks, and no
opening is narrower than one."""

_MOST_TOLD: Final = 3
_LOOKALIKES: Final = str.maketrans("OIL", "011")


def unheeded(settings: Settings, walls: Sequence[Wall]) -> list[str]:
    """Say what of the settings does nothing in a drawing, the likely slips first.

    Args:
        settings: what counts for the drawing.
        walls: the walls that were read.

    Returns:
        Remarks, one sentence each.
    """
    idle = missing_tags(settings, walls) + lone_ends(settings, walls) + _coefficient(settings, walls)
    return idle + rather_feet(settings)


def rather_feet(settings: Settings) -> list[str]:
    """Doubt lengths that make sense in feet alone: a bare number is a number of inches.

    Args:
        settings: what counts for the drawing.

    Returns:
        Remarks, one sentence each.
    """
    lengths = (
        (key, given)
        for entry in (settings.defaults, *settings.walls, *settings.openings)
        for key, least in _LEAST_SENSIBLE_IN.items()
        if (given := getattr(entry, key, None)) is not None and given < least
    )
    return [
        f"{key} of the settings is {format_length(given)}, for a bare number is one of inches: write "
        f'"{given:g}\'" if feet are meant.'
        for key, given in dict.fromkeys(lengths)
    ]


def lone_ends(settings: Settings, walls: Sequence[Wall]) -> list[str]:
    """Say where a wall's entry and the wall that adjoins there do not go together.

    Args:
        settings: what counts for the drawing.
        walls: the walls that were read.

    Returns:
        Remarks, one sentence each: of ends whose joint the other wall keeps, and of walls that both do
        without it, where nothing measures the panel that runs through.
    """
    told = []
    for wall in walls:
        for side, other in OTHER_SIDE.items():
            given = given_end(settings, wall.names[-1], side)
            told += [
                f'{side}_end = "{given}" of {wall.tag} does nothing: {tag} adjoins there, and the joint '
                f"between the two stays. To go without it, set {other}_end of {tag} too."
                for tag in keepers(settings, wall, side)
            ]
        told += [
            f"By the settings no joint stands between {wall.tag} and {tag}, and what runs through there is "
            "not measured as one panel: draw the two as one outline to have it measured."
            for tag in adjoining(wall, "right")
            if gives_up(settings, wall.names[-1], "right") and gives_up(settings, tag, "left")
        ]
    return told


def missing_tags(settings: Settings, walls: Sequence[Wall]) -> list[str]:
    """Say which tags of the settings are not in a drawing, the likely slips first.

    A project's settings (``perpend.toml``) serve several drawings, so that most of its tags are missing in
    each: there only a tag that reads like one of the drawing counts as a slip, and of the others the first
    few are named. Settings that were named for this drawing are taken at their word.

    Args:
        settings: what counts for the drawing.
        walls: the walls that were read.

    Returns:
        Remarks, one sentence each.
    """
    named = any(Path(file).name != PROJECT_FILE for file in settings.files)
    tags = [wall.tag for wall in walls] + [o.tag for wall in walls for o in wall.openings]
    missing = unmatched_tags(settings, walls)
    slips = {tag: near for tag in missing if (near := _meant(tag, tags, loosely=named))}
    said = [f"{t} of the settings is not in this drawing: is {near} meant?" for t, near in slips.items()]
    rest = [tag for tag in missing if tag not in slips]
    if rest:
        more = len(rest) - _MOST_TOLD
        told = rest if named or more <= 0 else [*rest[:_MOST_TOLD], f"{more} more"]
        said.append(f"Not in this drawing, but named by the settings: {', '.join(told)}.")
    return said


def _meant(tag: str, known: Iterable[str], *, loosely: bool) -> str | None:
    """Return the tag of the drawing that a missing one reads like, or else is nearest to."""
    forms = {_reading(name): name for name in known}
    if _reading(tag) in forms:
        return forms[_reading(tag)]
    close = difflib.get_close_matches(_reading(tag), list(forms), n=1, cutoff=_NEAR) if loosely else []
    return forms[close[0]] if close else None


def _reading(tag: str) -> str:
    """Return a tag as it reads: no case, no separators, no leading zeros, O, I and L as digits."""
    plain = re.sub(r"[^A-Z0-9*?]", "", tag.upper())
    return re.sub(r"(?<![0-9])0+(?=[0-9])", "", plain.translate(_LOOKALIKES))


def _coefficient(settings: Settings, walls: Sequence[Wall]) -> list[str]:
    asked = [(w.tag, wall_options(settings, w)) for w in walls]
    idle = [tag for tag, said in asked if said.ccc is not None and said.method != "engineered"]
    if not idle:
        return []
    where = "" if len(idle) == len(walls) else f" in {', '.join(idle)}"
    return [
        f"The crack control coefficient of the settings does nothing{where}: only the engineered method "
        "reads it."
    ]
