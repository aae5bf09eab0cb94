"""What plain records show, in drawing axes and units: raw numbers, for others to draw out."""

from __future__ import annotations

from array import array
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final, NamedTuple, TypeAlias

if TYPE_CHECKING:
    from perpend.dxf.partial.record_grammar import Plan, Values

Arc = tuple[float, float, float, float, float | None]
"""Centre x and y, radius, start and end angle in degrees; a circle has no end."""

Corners = list[tuple[float, float, float, float, float]]
"""Rows of a polyline: x, y, two widths that do not matter, bulge."""

Ellipse = dict[str, float | tuple[float, float, float]]

Reference = tuple[str, float, float, float, float, float]
"""Block, place x and y, scales across and up, rotation in degrees."""


_INVISIBLE: Final = 1
"""Flag of an attribute."""

_SIMPLE: Final = 1 | 128
"""Flags of a polyline that is no mesh, no curve and no line in space: closed, and how its line type runs."""


class Line(NamedTuple):
    """A line of text, as in a TEXT."""

    text: str
    height: float
    width_factor: float
    align: int
    valign: int
    degrees: float
    backward: bool
    insert: tuple[float, float]
    second: tuple[float, float] | None


class Paragraph(NamedTuple):
    """A paragraph, as in an MTEXT; its text has formatting."""

    text: str
    height: float
    column: float
    spacing: float
    attachment: int
    degrees: float
    insert: tuple[float, float]


def _doubles() -> array[float]:
    return array("d")


@dataclass(slots=True)
class Shown:
    """What plain records show.

    Attributes:
        lines: ends of straight pieces, four numbers each.
        arcs: arcs and circles.
        bulged: polylines with arcs in them, and whether they are closed.
        ellipses: by the names of their attributes in ezdxf.
        boxes: least and greatest x and y of hatches and solids, as x0, y0, x1, y1.
        texts: lines of text.
        attributes: lines of text that go with a block reference.
        paragraphs: paragraphs.
        references: references of blocks that are in the document.
    """

    lines: array[float] = field(default_factory=_doubles)
    arcs: list[Arc] = field(default_factory=list)
    bulged: list[tuple[Corners, bool]] = field(default_factory=list)
    ellipses: list[Ellipse] = field(default_factory=list)
    boxes: array[float] = field(default_factory=_doubles)
    texts: list[Line] = field(default_factory=list)
    attributes: list[Line] = field(default_factory=list)
    paragraphs: list[Paragraph] = field(default_factory=list)
    references: list[Reference] = field(default_factory=list)

    def extend(self, other: Shown) -> None:
        """Add what others show."""
        self.lines.extend(other.lines)
        self.arcs += other.arcs
        self.bulged += other.bulged
        self.ellipses += other.ellipses
        self.boxes.extend(other.boxes)
        self.texts += other.texts
        self.attributes += other.attributes
        self.paragraphs += other.paragraphs
        self.references += other.references


Adder: TypeAlias = "Callable[[Shown, Plan, Values], bool]"
"""Adds what a record shows that agrees with its plan; False for one that is not plain after all."""


def _chain(shown: Shown, numbers: list[float], closed: bool = False) -> bool:
    if closed and len(numbers) > 4:
        numbers = numbers + numbers[:2]
    for i in range(0, len(numbers) - 2, 2):
        shown.lines.extend(numbers[i : i + 4])
    return True


def _add_line(shown: Shown, plan: Plan, values: Values) -> bool:
    at = plan.at
    shown.lines.extend(float(values[at[code]]) for code in (10, 20, 11, 21))
    return True


def _add_polyline(shown: Shown, plan: Plan, values: Values) -> bool:
    closed = bool(int(values[plan.at[70]]) & 1)
    numbers = list(map(float, plan.points(values)))
    bulges = [float(values[i]) if i >= 0 else 0.0 for i in plan.bulges]
    if not any(bulges):
        return _chain(shown, numbers, closed)
    rows = [(x, y, 0.0, 0.0, bulge) for x, y, bulge in zip(numbers[::2], numbers[1::2], bulges, strict=True)]
    shown.bulged.append((rows, closed))
    return True


def _add_arc(shown: Shown, plan: Plan, values: Values) -> bool:
    x, y, radius, start, end = (float(values[plan.at[code]]) for code in (10, 20, 40, 50, 51))
    shown.arcs.append((x, y, radius, start, end))
    return True


def _add_circle(shown: Shown, plan: Plan, values: Values) -> bool:
    x, y, radius = (float(values[plan.at[code]]) for code in (10, 20, 40))
    shown.arcs.append((x, y, radius, 0.0, None))
    return True


def _add_nothing(_: Shown, __: Plan, ___: Values) -> bool:
    return True


def _add_box(shown: Shown, xs: list[float], ys: list[float]) -> bool:
    if xs:
        shown.boxes.extend((min(xs), min(ys), max(xs), max(ys)))
    return True


def _add_solid(shown: Shown, plan: Plan, values: Values) -> bool:
    xs, ys = ([float(values[plan.at[code + k]]) for k in range(3)] for code in (10, 20))
    return _add_box(shown, xs, ys)


def _add_hatch(shown: Shown, plan: Plan, values: Values) -> bool:
    numbers = list(map(float, plan.points(values)))
    return _add_box(shown, numbers[::2], numbers[1::2])


def _add_spline(shown: Shown, plan: Plan, values: Values) -> bool:
    numbers = list(map(float, plan.points(values)))
    if len(numbers) <= 2:
        fits = [i for i in range(plan.at.get(11, len(plan.codes)), len(plan.codes)) if plan.codes[i] == 11]
        numbers = [float(values[i + k]) for i in fits for k in (0, 1)]
    return _chain(shown, numbers)


def _add_ellipse(shown: Shown, plan: Plan, values: Values) -> bool:
    def point(code: int) -> tuple[float, float, float]:
        x, y, z = (float(values[plan.at[code + k]]) for k in (0, 10, 20))
        return x, y, z

    center, axis, extrusion = point(10), point(11), point(210) if 210 in plan.at else (0.0, 0.0, 1.0)
    ratio, start, end = (float(values[plan.at[code]]) for code in (40, 41, 42))
    if extrusion != (0.0, 0.0, 1.0) or not 1e-6 <= ratio <= 1.0 or not any(axis):
        return False
    shown.ellipses.append(
        {"center": center, "major_axis": axis, "ratio": ratio, "start_param": start, "end_param": end}
    )
    return True


def _add_leader(shown: Shown, plan: Plan, values: Values) -> bool:
    return _chain(shown, list(map(float, plan.points(values))))


def _said(value: bytes) -> str | None:
    r"""Return a text that means the same in every encoding; None for one that does not."""
    if not value.isascii() or b"\\U+" in value or b"\\M+" in value:
        return None
    text = value.decode("ascii")
    return text if text.isprintable() or not text else None


def _whole(plan: Plan, values: Values, code: int, default: int) -> int:
    place = plan.at.get(code)
    return default if place is None else int(values[place])


def _line(plan: Plan, values: Values, code_of_valign: int) -> Line | None:
    """Return the line of text that a TEXT or ATTRIB is; None if it is not sound."""
    text, first = _said(values[plan.at[1]]), plan.first
    height, factor = first(values, 40, 0.0), first(values, 41, 1.0)
    align, valign, flags = (_whole(plan, values, code, 0) for code in (72, code_of_valign, 71))
    sound = height > 0 and factor > 0 and 0 <= align < 6 and 0 <= valign < 4 and flags in (0, 2, 4, 6)
    if text is None or not sound:
        return None
    insert = first(values, 10, 0.0), first(values, 20, 0.0)
    second = (first(values, 11, 0.0), first(values, 21, 0.0)) if 11 in plan.at else None
    degrees = first(values, 50, 0.0)
    return Line(text, height, factor, align, valign, degrees, bool(flags & 2), insert, second)


def _add_text(shown: Shown, plan: Plan, values: Values) -> bool:
    line = _line(plan, values, 73)
    if line is None:
        return False
    shown.texts.append(line)
    return True


def add_attribute(shown: Shown, plan: Plan, values: Values) -> bool:
    """Add what an ATTRIB shows; False for one that is not plain after all."""
    line = _line(plan, values, 74)
    if line is None:
        return False
    if not _whole(plan, values, 70, 0) & _INVISIBLE:
        shown.attributes.append(line)
    return True


def add_vertices(shown: Shown, plan: Plan, values: Values, corners: list[float]) -> bool:
    """Add what a POLYLINE shows between its corners; False for one that is no simple polyline."""
    flags = _whole(plan, values, 70, 0)
    return not flags & ~_SIMPLE and _chain(shown, corners, closed=bool(flags & 1))


def _add_mtext(shown: Shown, plan: Plan, values: Values) -> bool:
    if 1 not in plan.at:
        return False
    pieces = [values[i] for i, code in enumerate(plan.codes) if code == 3 and i > plan.at[10]]
    text, first = _said(b"".join((*pieces, values[plan.at[1]]))), plan.first
    height, spacing = first(values, 40, 0.0), first(values, 44, 1.0)
    attachment = _whole(plan, values, 71, 1)
    sound = height > 0 and 0.25 <= spacing <= 4.0 and 1 <= attachment <= 9
    if text is None or not sound:
        return False
    insert = first(values, 10, 0.0), first(values, 20, 0.0)
    column, degrees = first(values, 41, 0.0), first(values, 50, 0.0)
    shown.paragraphs.append(Paragraph(text, height, column, spacing, attachment, degrees, insert))
    return True


def _add_reference(shown: Shown, plan: Plan, values: Values) -> bool:
    name, first = _said(values[plan.at[2]]), plan.first
    x_scale, y_scale = first(values, 41, 1.0), first(values, 42, 1.0)
    if not name or not x_scale or not y_scale or not first(values, 43, 1.0):
        return False
    place = first(values, 10, 0.0), first(values, 20, 0.0)
    shown.references.append((name, *place, x_scale, y_scale, first(values, 50, 0.0)))
    return True


ADDERS: Final[dict[bytes, Adder]] = {
    b"LINE": _add_line,
    b"LWPOLYLINE": _add_polyline,
    b"ARC": _add_arc,
    b"CIRCLE": _add_circle,
    b"POINT": _add_nothing,
    b"SOLID": _add_solid,
    b"TRACE": _add_solid,
    b"3DFACE": _add_solid,
    b"HATCH": _add_hatch,
    b"SPLINE": _add_spline,
    b"LEADER": _add_leader,
    b"ELLIPSE": _add_ellipse,
    b"TEXT": _add_text,
    b"MTEXT": _add_mtext,
    b"INSERT": _add_reference,
}
"""How what a record shows is read, by its kind."""

Reach = Sequence[float]
"""Two opposite corners of a box, as x, y, x, y; of a block reference its place and its scales."""


def box_of(numbers: Sequence[float]) -> Reach:
    """Return the box of corners that are given as x and y in turn."""
    xs, ys = numbers[::2], numbers[1::2]
    return min(xs), min(ys), max(xs), max(ys)


def _reach_of_arc(shown: Shown, _: Plan, __: Values) -> Reach:
    x, y, radius, *_ends = shown.arcs[-1]
    return x - radius, y - radius, x + radius, y + radius


REACHES: Final[dict[bytes, Callable[[Shown, Plan, Values], Reach]]] = {
    b"LINE": lambda shown, _, __: shown.lines[-4:],
    b"LWPOLYLINE": lambda _, plan, values: box_of(list(map(float, plan.points(values)))),
    b"ARC": _reach_of_arc,
    b"INSERT": lambda shown, _, __: shown.references[-1][1:5],
}
"""How far what was shown last reaches, for the kinds that an opening is drawn of."""
