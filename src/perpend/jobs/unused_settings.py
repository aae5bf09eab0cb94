"""What of the settings does nothing in a drawing, or is rather a slip: tags, ends, numbers."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Final

from perpend.model import Wall
from perpend.notices import NoticePlace, Notices
from perpend.settings import Settings, book_of, unmatched_tags, wall_options
from perpend.settings.settings_files import PROJECT_FILE
from perpend.settings.shared_corners import shared_corners
from perpend.settings.wall_ends import OTHER_SIDE, adjoining, given_end, gives_up, keepers
from perpend.units import format_length
from perpend.wording import listed

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

_MOST_NAMED: Final = 3
_LOOKALIKES: Final = str.maketrans("OIL", "011")


def note_unused_settings(settings: Settings, walls: Sequence[Wall], notices: Notices) -> None:
    """Say what of the settings does nothing in a drawing, the likely slips first.

    Args:
        settings: what counts for the drawing.
        walls: the walls that were read.
        notices: takes one sentence for each.
    """
    note_missing_tags(settings, walls, notices)
    note_lone_ends(settings, walls, notices)
    _note_unused_coefficient(settings, walls, notices)
    note_unread_by_the_book(settings, walls, notices)
    note_probable_feet(settings, notices)


def note_unread_by_the_book(settings: Settings, walls: Sequence[Wall], notices: Notices) -> None:
    """Name the settings that have a meaning in other rule books only."""
    book = book_of(settings)
    options = [wall_options(settings, wall) for wall in walls]
    rounds = any("around" in row.numbers for row in (*book.find("corner"), *book.find("shared-corner")))
    readers = {
        "left_return": rounds,
        "right_return": rounds,
        "shelf_angles": bool(book.first("horizontal-joint")),
        "sealant_movement": any("movement" in row.numbers for row in book.find("sealant")),
        "temperature_change": any("temperature_change" in row.numbers for row in book.find("spacing")),
    }
    given = [key for key, read in readers.items() if not read and any(getattr(o, key) for o in options)]
    given += [
        f"site, {key}" for key in settings.site if all(key != r.says["setting"] for r in book.find("scope"))
    ]
    if given:
        notices.note(
            "setting-unread-by-the-book",
            f"The rule book {book.key} does not read these settings: {', '.join(given)}.",
        )


def note_probable_feet(settings: Settings, notices: Notices) -> None:
    """Doubt lengths that make sense in feet alone: a bare number is a number of inches.

    Args:
        settings: what counts for the drawing.
        notices: takes one sentence for each.
    """
    lengths = (
        (key, given)
        for entry in (settings.defaults, *settings.walls, *settings.openings)
        for key, least in _LEAST_SENSIBLE_IN.items()
        if (given := getattr(entry, key, None)) is not None and given < least
    )
    for key, given in dict.fromkeys(lengths):
        notices.note(
            "setting-probably-in-feet",
            f"{key} of the settings is {format_length(given)}, for a bare number is one of inches: write "
            f'"{given:g}\'" if feet are meant.',
        )


def note_lone_ends(settings: Settings, walls: Sequence[Wall], notices: Notices) -> None:
    """Say where a wall's entry and the wall that adjoins there do not go together.

    That is at ends whose joint the other wall keeps, and between walls that both go without it, where nothing
    measures the panel that runs through.

    Args:
        settings: what counts for the drawing.
        walls: the walls that were read.
        notices: takes one sentence for each.
    """
    round_corners = [{walls[n].tag for n, _ in corner.ends} for corner in shared_corners(settings, walls)]
    for wall in walls:
        place = NoticePlace(wall=wall.tag)
        for side, other in OTHER_SIDE.items():
            given = given_end(settings, wall.names[-1], side)
            for tag in keepers(settings, wall, side):
                notices.note(
                    "wall-end-unused",
                    f'{side}_end = "{given}" of {wall.tag} does nothing: {tag} adjoins there, and the joint '
                    f"between the two stays. To go without it, set {other}_end of {tag} too.",
                    place,
                )
        for tag in adjoining(wall, "right"):
            if {wall.tag, tag} in round_corners:
                continue
            if gives_up(settings, wall.names[-1], "right") and gives_up(settings, tag, "left"):
                notices.note(
                    "panel-across-walls-not-measured",
                    f"By the settings no joint is between {wall.tag} and {tag}, and what runs through "
                    "there is not measured as one panel: draw the two as one outline to have it measured.",
                    place,
                )


def note_missing_tags(settings: Settings, walls: Sequence[Wall], notices: Notices) -> None:
    """Say which tags of the settings are not in a drawing, the likely slips first.

    A project's settings (``perpend.toml``) serve several drawings, so that most of its tags are missing in
    each: there only a tag that reads like one of the drawing counts as a slip, and of the others the first
    few are named. Settings that were named for this drawing are taken at their word.

    Args:
        settings: what counts for the drawing.
        walls: the walls that were read.
        notices: takes one sentence for each slip, and one for the others.
    """
    named = any(Path(file).name != PROJECT_FILE for file in settings.files)
    tags = [wall.tag for wall in walls] + [o.tag for wall in walls for o in wall.openings]
    missing = unmatched_tags(settings, walls)
    slips = {tag: near for tag in missing if (near := _meant(tag, tags, loosely=named))}
    for tag, near in slips.items():
        notices.note("tag-not-found", f"{tag} of the settings is not in this drawing: is {near} meant?")
    rest = [tag for tag in missing if tag not in slips]
    if rest:
        tags_named = listed(rest, None if named else _MOST_NAMED)
        notices.note("tag-not-found", f"Not in this drawing, but named by the settings: {tags_named}.")


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


def _note_unused_coefficient(settings: Settings, walls: Sequence[Wall], notices: Notices) -> None:
    said = [(wall.tag, wall_options(settings, wall)) for wall in walls]
    unused = [tag for tag, options in said if options.ccc is not None and options.method != "engineered"]
    if unused:
        where = "" if len(unused) == len(walls) else f" in {listed(unused)}"
        notices.note(
            "coefficient-unused",
            f"The crack control coefficient of the settings does nothing{where}: only the engineered method "
            "reads it.",
        )
