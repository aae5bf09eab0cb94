"""Reads a drawing of the zoo as an office would, and says how that went."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from perpend import layers
from perpend.errors import InputError
from perpend.jobs.settings_to_options import reading_options
from perpend.model import Elevation
from perpend.reading import read_drawing
from perpend.settings import load_settings
from zoo.sheets import Sheet

SIXTY_FOURTH = 1 / 64


@dataclass(frozen=True)
class Look:
    """How the reading of one drawing went.

    Attributes:
        fault: what differs from the sheet, or the refusal; empty where all is right.
        refused: True where the drawing was refused.
        doubtful: True where something was doubted, so that the run ends with exit code 1.
        codes: the kinds of doubt.
    """

    fault: str
    refused: bool = False
    doubtful: bool = False
    codes: tuple[str, ...] = ()


def look(path: Path, sheet: Sheet, settings: Path | None = None) -> Look:
    """Read a drawing, with or without settings, and compare it with its sheet."""
    try:
        project = load_settings(settings, path)
        elevation = read_drawing(path, reading_options(project, None, None)).elevation
    except InputError as error:
        return Look(str(error), refused=True)
    grave = [n for n in elevation.notices if n.is_grave] + [
        n for wall in elevation.walls for n in wall.doubts if n.is_grave
    ]
    return Look(difference(elevation, sheet), doubtful=bool(grave), codes=tuple(n.code for n in grave))


def look_with_draft(path: Path, sheet: Sheet) -> Look:
    """Read a drawing with the settings that `perpend layers --write` drafts for it."""
    draft = path.with_suffix(".toml")
    try:
        layers(path, write=draft, overwrite=True)
    except InputError as error:
        return Look(str(error), refused=True)
    return look(path, sheet, draft)


def difference(elevation: Elevation, sheet: Sheet) -> str:
    """Return the first difference between what was read and what was drawn; empty when there is none."""
    found = {wall.tag: wall for wall in elevation.walls}
    expected = [wall.expected_tag for wall in sheet.walls]
    if sorted(found) != sorted(expected):
        return f"walls {sorted(found)} instead of {sorted(expected)}"
    for wall in sheet.walls:
        got = found[wall.expected_tag]
        length = max(x for x, _ in wall.corners)
        high = max(y for _, y in wall.corners)
        if abs(got.length_in - length) > SIXTY_FOURTH or abs(got.greatest_height_in - high) > SIXTY_FOURTH:
            return f"{got.tag} is {got.length_in:.3f} by {got.greatest_height_in:.3f}, not {length} by {high}"
        for x, y in wall.corners:
            near = [*got.top.points, *got.bottom.points]
            if not any(abs(x - a) + abs(y - b) <= 2 * SIXTY_FOURTH for a, b in near):
                return f"{got.tag} lacks its corner at {x}, {y}: {near}"
        boxes = {o.tag: (o.box.x0, o.box.y0, o.box.x1, o.box.y1) for o in got.openings}
        wanted = {o.tag: o.box for o in wall.openings}
        if sorted(boxes) != sorted(wanted):
            return f"{got.tag} has openings {sorted(boxes)} instead of {sorted(wanted)}"
        for tag, box in wanted.items():
            if max(abs(a - b) for a, b in zip(boxes[tag], box, strict=True)) > SIXTY_FOURTH:
                return f"opening {tag} is {boxes[tag]} instead of {box}"
    return ""
