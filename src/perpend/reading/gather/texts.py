"""Texts of a drawing: which one marks a wall or an opening, and what the others say about it."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from perpend.clean_text import visible
from perpend.dxf.entity_points import Origin
from perpend.dxf.partial.skipped_records import left_out_of
from perpend.model import EndCondition, Frame, Point, Treatment
from perpend.reading.gather.entities import RawText
from perpend.reading.reading_options import ReadingOptions, Role, matches

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.math import Matrix44

_LETTER_WIDTH: Final = 0.8
"""Width of a letter over its height, near enough to find the middle of a line of text."""

_MARK: Final = re.compile(r"^(?:WALL\s+)?[A-Z]{0,4}[-. ]?\d{1,4}[A-Z]?$|^[A-Z]$", re.IGNORECASE)
_MEASURE: Final = re.compile(r"""^[\d\s.,/'"\-+x×]*(?:mm|cm|m|in|ft|sf|cy)?\.?$""", re.IGNORECASE)
_MATERIAL: Final = re.compile(
    r"""^\d[\d\s./-]*(?:['"′″”’]|mm\b|cm\b|in\b)|\b(?:CMU|BRICK|VENEER|CONC|CONCRETE|GROUT|STEEL|REBAR)\b""",
    re.IGNORECASE,
)
_NOTE: Final = re.compile(
    r"^(?:TYP|EQ|SIM|CLR|CJ|EJ|MJ|NTS|NIC|VIF|UNO|UON|TBD|EXIST|EXISTING|NEW|ALIGN)$", re.IGNORECASE
)
_SHEET: Final = re.compile(r"^[ACEFGILMPST][-. ]?\d{3}[A-Z]?$", re.IGNORECASE)
"""A mark that may as well be the number of a sheet (``A-501``)."""

_LONGEST_MARK: Final = 16

_TREATMENTS: Final = {
    "UNREINFORCED": Treatment.UNREINFORCED,
    "UNREINF": Treatment.UNREINFORCED,
    "REINFORCED": Treatment.REINFORCED,
    "REINF": Treatment.REINFORCED,
}
_ENDS: Final = {
    "CORNER": EndCondition.CORNER,
    "FREE END": EndCondition.FREE,
    "FREE": EndCondition.FREE,
    "CONTINUES": EndCondition.CONTINUES,
    "WALL CONTINUES": EndCondition.CONTINUES,
}

_CORNER: Final = re.compile(r"^CORNER[ -]+([A-Z]{0,2}-?[0-9]{0,3})$")
"""The mark of one corner of the building, which stands at the ends of both walls that meet there."""

_DOOR: Final = re.compile(r"^(?:D|DR|DOOR|OD|OH|OHD|RD|SF)[-. ]?[0-9]", re.IGNORECASE)
"""A mark that no wall has."""

_RATHER_OPENING: Final = re.compile(r"^(?:G|GD|GL|LVR?|WDW?|WIN|WN)[-. ]?[0-9]", re.IGNORECASE)
"""A mark that some wall may have, but rarely one that lies within another."""


_ELEVATION: Final = re.compile(
    r"\bELEV(?:ATION|\.)?\b|ANSICHT\b|\bALZADO\b|\bFACHADA\b|\b[ÉE]L[ÉE]VATION\b|\bFA[ÇC]ADE\b|FASSADE\b|\bPROSPETTO\b",
    re.IGNORECASE,
)
_PLAN: Final = re.compile(
    r"(?!SEE\b|PER\b|REF)(?:\S+\s+){0,4}(?:PLAN|GRUNDRISS|PLANTA)\b(?!\s+(?:NORTH|VIEW))(?:\s+\S+){0,2}",
    re.IGNORECASE,
)
_SIDE: Final = re.compile(
    r"\b(NORTH|SOUTH|EAST|WEST|FRONT|REAR|BACK|LEFT|RIGHT|NORD|S[ÜU]D|SUED|OST|NORTE|SUR|ESTE|OESTE|EST|OUEST|OVEST)",
    re.IGNORECASE,
)
_BARE_SIDE: Final = re.compile(
    r"\s*(?:\d+\W+)?(?:(?:MURO?|PARED|LADO|WAND)\s+)?"
    r"((?:FRONT|REAR|BACK|LEFT|RIGHT)(?=\W*(?:WALL|SIDE|FACE))|NORTH|SOUTH|EAST|WEST|NORD|S(?:[ÜU]|UE)D|OST|NORTE|SUR|ESTE|OESTE"
    r"|EST|OUEST|OVEST)(?:[\s-]*(?:WALL|SIDE|FACE|SEITE|WAND))?\s*$",
    re.IGNORECASE,
)
"""A side, its wall or its face: so programs of building models name the views that they export."""


@dataclass(frozen=True, slots=True)
class DrawnText:
    """A text as it stands on the drawing.

    Attributes:
        text: what it says, formatting stripped, on one line.
        first: its first line.
        attribute: True when it is an attribute of a block reference, as tags of the trade are.
        at: its middle, drawing axes.
        angle_rad: its direction.
        height: letter height, drawing units.
        handle: its handle, or that of the block reference it is in.
        layer: its layer.
        marked: True when its layer is one of the marks' layers.
    """

    text: str
    at: Point
    angle_rad: float
    height: float
    handle: str
    layer: str
    marked: bool = False
    first: str = ""
    attribute: bool = False

    @property
    def mark(self) -> str:
        """The mark it is or starts with: a first line that looks like one, or all of it."""
        return self.first if is_mark(self.first) else self.text


def rough_place(raw: RawText) -> Point | None:
    """Return where a text is inserted, cheaply; None when that is not a place."""
    dxf: Any = raw.entity.dxf
    at = dxf.get("insert")
    if at is None:
        return None
    if raw.origin.carrier is not None:
        at = raw.origin.carrier.transform(at)
    return (at.x, at.y) if math.isfinite(at.x) and math.isfinite(at.y) else None


def late_texts(doc: Drawing, options: ReadingOptions, near: Callable[[Point], bool]) -> list[RawText]:
    """Return the visible texts that were left out of a document although they stand near a wall."""
    found = []
    for (layer, host), texts in left_out_of(doc).texts.items():
        if any(matches(name, options.ignored) for name in (layer, host)):
            continue
        if _is_visible(doc, layer) and not _is_frozen(doc, host):
            late = texts.which(near)
            found += [RawText(text.entity(doc), Origin(text.handle, layer)) for text in late]
    return found


def _is_visible(doc: Drawing, layer: str) -> bool:
    if layer not in doc.layers:
        return True
    record = doc.layers.get(layer)
    return not (record.is_frozen() or record.is_off())


def _is_frozen(doc: Drawing, layer: str) -> bool:
    return layer in doc.layers and doc.layers.get(layer).is_frozen()


def by_handle(raw: RawText) -> int:
    """Return what brings texts into the order of their handles, in which they mostly stand in the file."""
    try:
        return int(raw.origin.handle, 16)
    except ValueError:
        return 0


def drawn_text(raw: RawText, options: ReadingOptions) -> DrawnText | None:
    """Look into a text entity; None when it says nothing or cannot be read."""
    entity: Any = raw.entity
    try:
        lines = [visible(" ".join(line.split())) for line in entity.plain_text().splitlines()]
        words = " ".join(line for line in lines if line)
        found = _mtext(entity) if entity.dxftype() == "MTEXT" else _text(entity, len(words))
    except Exception:  # a broken text is no reason to refuse a drawing
        return None
    if not words:
        return None
    middle, angle, height = found
    if raw.origin.carrier is not None:
        middle, angle, height = _carried(raw.origin.carrier, middle, angle, height)
    if not all(map(math.isfinite, (*middle, angle, height))):
        return None
    marked = Role.TAGS in options.roles_of(raw.origin.layer)
    first = next(line for line in lines if line)
    attribute = entity.dxftype() == "ATTRIB"
    return DrawnText(
        words, middle, angle, height, raw.origin.handle, raw.origin.layer, marked, first, attribute
    )


def _text(entity: Any, letters: int) -> tuple[Point, float, float]:  # noqa: ANN401
    """Return middle, direction and height of a TEXT or ATTRIB."""
    dxf = entity.dxf
    height = float(dxf.get("height", 1.0))
    width = _LETTER_WIDTH * height * letters * float(dxf.get("width", 1.0))
    across, up = dxf.get("halign", 0), dxf.get("valign", 0)
    at = dxf.insert if (across == 0 and up == 0) else dxf.get("align_point", dxf.insert)
    if across in (3, 5):
        end = dxf.get("align_point", dxf.insert)
        at, width = dxf.insert, math.hypot(end.x - dxf.insert.x, end.y - dxf.insert.y)
    right = {1: 0.0, 2: -width / 2, 4: 0.0}.get(across, width / 2)
    rise = {1: height / 2, 2: 0.0, 3: -height / 2}.get(up, 0.0 if across == 4 else height / 2)
    angle = math.radians(dxf.get("rotation", 0.0))
    ocs = entity.ocs()
    corner = (
        at.x + right * math.cos(angle) - rise * math.sin(angle),
        at.y + right * math.sin(angle) + rise * math.cos(angle),
    )
    if not ocs.transform:
        return corner, angle, height
    middle = ocs.to_wcs((*corner, at.z))
    up_there = ocs.to_wcs((-math.sin(angle), math.cos(angle), 0))
    return (middle.x, middle.y), _direction(up_there), height


def _mtext(entity: Any) -> tuple[Point, float, float]:  # noqa: ANN401
    dxf = entity.dxf
    height = float(dxf.get("char_height", 1.0))
    lines = [line for line in entity.plain_text(split=True) if line.strip()] or [""]
    wide = _LETTER_WIDTH * height * max(map(len, lines))
    wide = min(wide, dxf.get("width", 0.0) or wide)
    tall = height * 5 / 3 * (len(lines) - 1) + height
    point = dxf.get("attachment_point", 1)
    right = {1: 0.5, 2: 0.0, 0: -0.5}[point % 3] * wide
    rise = (-0.5 if point <= 3 else 0.0 if point <= 6 else 0.5) * tall
    angle = math.radians(entity.get_rotation())
    at = dxf.insert
    return (
        (
            at.x + right * math.cos(angle) - rise * math.sin(angle),
            at.y + right * math.sin(angle) + rise * math.cos(angle),
        ),
        angle,
        height,
    )


def _carried(carrier: Matrix44, middle: Point, angle: float, height: float) -> tuple[Point, float, float]:
    at = carrier.transform((middle[0], middle[1], 0))
    up = carrier.transform_direction((-math.sin(angle), math.cos(angle), 0))
    return (at.x, at.y), _direction(up), height * math.hypot(up.x, up.y)


def _direction(up: Any) -> float:  # noqa: ANN401 - a vector of ezdxf
    """Return the direction of a line of text from where its letters' heads point.

    A mirrored text runs backwards but still stands on its feet, and so does the wall it stands in.
    """
    return math.atan2(-up.x, up.y)


def reading_order(text: DrawnText, frame: Frame) -> tuple[float, float, str]:
    """Return what sorts a wall's texts: from top to bottom, then from left to right, as the wall stands."""
    x, y = frame.to_wall(text.at)
    return -round(y, 2), round(x, 2), text.text


def mark_among(texts: Sequence[DrawnText], frame: Frame, *, numbers: bool = True) -> DrawnText | None:
    """Choose the text that is a wall's or an opening's mark.

    A text on a mark layer wins; then one that looks like a mark (``W1``, ``D-103A``); then a short
    one that is no measurement, no material and no note of the trade. Among equals the tallest wins, then the
    topmost, then the leftmost; but what may be the number of a sheet (``A-501``) gives way to a block's
    attribute that is a mark.

    Args:
        texts: those that stand in the wall or the opening.
        frame: the wall's axes.
        numbers: a number alone may be a mark: an opening's, but no wall's (keynotes).
    """
    short = [t for t in texts if len(t.mark) <= _LONGEST_MARK and not _says_something(t.text)]
    for chosen in (
        [t for t in texts if t.marked],
        [t for t in short if is_mark(t.mark)],
        [t for t in short if not (_MEASURE.match(t.text) or _is_note(t.text))],
        [t for t in short if numbers and t.text.isdigit() and len(t.text) <= 4],
    ):
        if chosen:
            best = _foremost(chosen, frame)
            tags = [t for t in chosen if t.attribute and is_mark(t.mark) and not _SHEET.match(t.mark)]
            gives_way = tags and not best.marked and _SHEET.match(best.mark)
            return _foremost(tags, frame) if gives_way else best
    return None


def _foremost(texts: Sequence[DrawnText], frame: Frame) -> DrawnText:
    return min(texts, key=lambda t: (-round(t.height, 6), *reading_order(t, frame)))


def _is_note(text: str) -> bool:
    return bool(is_title(text) or _MATERIAL.search(text) or _NOTE.match(re.sub(r"[\W_]+", "", text)))


def is_door_mark(text: str) -> bool:
    """Say whether a text reads like the mark of a door or a storefront, which no wall has."""
    return bool(_DOOR.match(text))


def is_inner_wall_mark(text: str) -> bool:
    """Say whether a text within an outline that lies within a wall makes a wall of it as well."""
    return is_mark(text) and not (_DOOR.match(text) or _RATHER_OPENING.match(text))


def is_mark(text: str) -> bool:
    """Say whether a text looks like a mark: ``W1``, ``D-103A``, ``WALL 2``."""
    return len(text) <= _LONGEST_MARK and bool(_MARK.match(text)) and not text.isdigit()


def is_sheet_number(text: str) -> bool:
    """Say whether a mark may as well be the number of a sheet: ``A-501``."""
    return bool(_SHEET.match(text))


def _says_something(text: str) -> bool:
    return _plain(text) in _TREATMENTS or end_named(text) is not None


def _plain(text: str) -> str:
    return text.upper().strip(" .()[]*")


def treatment_among(texts: Iterable[DrawnText]) -> Treatment | None:
    """Return the treatment that a text inside an opening names, or None."""
    return next((_TREATMENTS[_plain(t.text)] for t in texts if _plain(t.text) in _TREATMENTS), None)


def is_remark(text: DrawnText) -> bool:
    """Say whether a text names an end of a wall or a treatment."""
    return end_named(text.text) is not None or treatment_among([text]) is not None


def end_named(text: str) -> EndCondition | None:
    """Return the end condition that a text names, or None."""
    return EndCondition.CORNER if corner_mark(text) else _ENDS.get(_plain(text))


def corner_mark(text: str) -> str:
    """Return the mark of the corner that a text names, such as ``A`` of ``CORNER A``, or nothing."""
    match = _CORNER.match(_plain(text))
    return match.group(1) if match else ""


def is_title(text: str) -> bool:
    """Say whether a text is the title of an elevation."""
    return bool(_ELEVATION.search(text))


def is_plan_title(text: str) -> bool:
    """Say whether a text is the title of a floor plan."""
    return bool(_PLAN.fullmatch(text.strip()))


def side_of(text: str) -> str:
    """Return the first letter of the side that a title names, or nothing."""
    match = _SIDE.search(text) if is_title(text) else _BARE_SIDE.match(text)
    return match.group(1)[0].upper() if match else ""
