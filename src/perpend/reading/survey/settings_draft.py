"""A commented settings file to start from, drafted from the layers of a drawing."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence

from perpend.dxf.paperspace import MODELSPACE
from perpend.reading.gather.drawing_units import is_guessed
from perpend.reading.reading_options import ReadingOptions, Role
from perpend.reading.survey.layer_survey import LayerRow, LayerSurvey, one_line
from perpend.wording import listed

_IF_RIGHT = "without the #, if this is right"
_UNIT_WORDS = {"in": "inches", "ft": "feet", "mm": "millimetres", "cm": "centimetres", "m": "metres"}


def settings_draft(
    survey: LayerSurvey,
    in_force: Sequence[str] = (),
    units_of_drawing: str | None = None,
    walls: Iterable[tuple[str, str]] = (),
) -> str:
    """Write a commented settings file to start from.

    Args:
        survey: of the drawing the settings are for.
        in_force: settings files that count for the drawing already; what they say of walls stays.
        units_of_drawing: the unit that a person named, which the settings then name too.
        walls: handle and tag of those that are named one by one, as everything is on one layer.

    Returns:
        TOML text; every line says why it is there, and what was not found is commented out.
    """
    lines = [
        "# Settings for perpend, drafted from the layers of",
        f"# {one_line(survey.path) or 'a drawing'}",
        "# Check each role below. A role that is commented out was not found in the drawing, or is in doubt;",
        "# tags were, but any text inside a wall counts as a tag already.",
        "",
    ]
    if units_of_drawing is not None:
        lines += [f'units_of_drawing = "{units_of_drawing}"', ""]
    elif is_guessed(survey.units_why):
        off, ask = ("", "") if survey.contradicts else ("# ", f"  # {_IF_RIGHT}")
        lines += [f"# {one_line(survey.units_why)}", f'{off}units_of_drawing = "{survey.units}"{ask}', ""]
    else:
        unit = _UNIT_WORDS.get(survey.units, survey.units)
        lines += [f"# the drawing is in {unit}: {one_line(survey.units_why)}", ""]
    if survey.layout != MODELSPACE:
        lines += ["# the layout that was looked at", f"layout = {_quoted(survey.layout)}", ""]
    lines.append("[layers]")
    for role in Role:
        lines += _draft_role(role, survey)
    lines += [
        "",
        *_draft_defaults(in_force),
        "",
        "# One table for each wall that differs, by the tag that is drawn in it:",
        "# [[walls]]",
        '# tag = "W1"',
        '# left_end = "free"',
        "",
    ]
    for handle, tag in walls:
        lines += ["[[walls]]", f"handle = {_quoted(handle)}", f"tag = {_quoted(tag)}", ""]
    return "\n".join(lines)


def _draft_defaults(in_force: Sequence[str]) -> list[str]:
    """Return the defaults of walls; commented out where they would overrule those of another file."""
    lines = [
        "[defaults]",
        'method = "empirical"          # empirical | engineered | veneer | no-joints',
        'units = "full-height"         # full-height | half-high',
        'openings = "reinforced"       # reinforced | unreinforced',
        'left_end = "corner"           # corner | free | continues',
        'right_end = "corner"',
    ]
    if not in_force:
        return lines
    files = listed(map(one_line, in_force))
    return [f"# the defaults come from {files};", "# what loses its # here overrules them"] + [
        f"# {line}" for line in lines
    ]


def _draft_role(role: Role, survey: LayerSurvey) -> list[str]:
    """Return the lines of one role; marks stay commented out, as any text in a wall counts already."""
    rows = [row for row in survey.rows if row.plays(role)]
    doubtful = [row for row in survey.rows if row.maybe is role]
    if rows:
        names = ", ".join(_quoted(row.name) for row in rows)
        lines = [
            f"# {one_line(row.name)}: {_entities(row.total)}, {row.closed} closed; {one_line(row.why)}"
            for row in rows
        ]
        said = f"{role.value} = [{names}]"
        if role is Role.TAGS:
            said = f"# {said}"
        elif any(row.shared and not row.by_name for row in rows):
            said = f"# {said}  # {_IF_RIGHT}: walls and openings are on it"
        return [*lines, said, *_draft_doubt(role, names, doubtful)]
    default = ", ".join(_quoted(p) for p in ReadingOptions().patterns(role))
    remark = "any text inside a wall" if role is Role.TAGS else "not found"
    return [f"# {role.value} = [{default}]  # {remark}"]


def _draft_doubt(role: Role, names: str, doubtful: Sequence[LayerRow]) -> list[str]:
    """Return the commented lines of layers that may play a role beside those that do."""
    if not doubtful:
        return []
    more = ", ".join(_quoted(row.name) for row in doubtful)
    lines = [f"# {one_line(row.name)}: {_entities(row.total)}; {one_line(row.why)}" for row in doubtful]
    return [*lines, f"# {role.value} = [{names}, {more}]  # instead, if these are {role.value} too"]


def _entities(count: int) -> str:
    return f"{count} {'entity' if count == 1 else 'entities'}"


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c.isprintable() else _escaped(c) for c in escaped) + '"'


def _escaped(letter: str) -> str:
    """Return a letter as TOML can hold it; of a control, or a byte that is no text, a pattern that fits."""
    if unicodedata.category(letter) in ("Cs", "Cc", "Zl", "Zp"):
        return "?"
    return f"\\U{ord(letter):08X}"
