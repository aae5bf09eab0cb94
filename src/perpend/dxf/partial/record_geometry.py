"""What plain records show, in drawing axes and units: raw numbers, for others to draw out."""

from __future__ import annotations

from array import array
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, Final, NamedTuple

import numpy as np

from perpend.dxf.partial.record_columns import Floats, Ints, Part
from perpend.dxf.partial.record_grammar import Plan

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
        arcs: arcs and circles, five numbers each: centre x and y, radius, start and end angle in degrees; a
            circle ends at infinity.
        bulged: polylines with arcs in them, and whether they are closed.
        ellipses: by the names of their attributes in ezdxf.
        boxes: least and greatest x and y of hatches and solids, as x0, y0, x1, y1.
        texts: lines of text.
        attributes: lines of text that go with a block reference.
        paragraphs: paragraphs.
        references: references of blocks that are in the document.
    """

    lines: array[float] = field(default_factory=_doubles)
    arcs: array[float] = field(default_factory=_doubles)
    bulged: list[tuple[Corners, bool]] = field(default_factory=list)
    ellipses: list[Ellipse] = field(default_factory=list)
    boxes: array[float] = field(default_factory=_doubles)
    texts: list[Line] = field(default_factory=list)
    attributes: list[Line] = field(default_factory=list)
    paragraphs: list[Paragraph] = field(default_factory=list)
    references: list[Reference] = field(default_factory=list)

    def circles(self) -> list[tuple[float, float, float]]:
        """Return centre x and y and the radius of each circle."""
        rows = np.array(self.arcs).reshape(-1, 5)
        return [(x, y, radius) for x, y, radius in rows[np.isinf(rows[:, 4]), :3].tolist()]

    def extend(self, other: Shown) -> None:
        """Add what others show."""
        self.lines.extend(other.lines)
        self.arcs.extend(other.arcs)
        self.bulged += other.bulged
        self.ellipses += other.ellipses
        self.boxes.extend(other.boxes)
        self.texts += other.texts
        self.attributes += other.attributes
        self.paragraphs += other.paragraphs
        self.references += other.references


Thing = Line | Paragraph | Reference | Ellipse
"""What a record shows that is not numbers alone."""


@dataclass(frozen=True, slots=True)
class Rows:
    """Records of one order.

    Attributes:
        part: the part of the text in which they are.
        plan: what is known of their order.
        records: their numbers in the part.
    """

    part: Part
    plan: Plan
    records: Ints

    def column(self, code: int, default: float = 0.0) -> Floats:
        """Return the first number of a code of the body of each."""
        place = self.plan.at.get(code)
        if place is None:
            return np.full(len(self.records), default)
        column: Floats = self.part.numbers[self.part.first[self.records] + place]
        return column

    def columns(self, *codes: int) -> list[tuple[float, ...]]:
        """Return the first numbers of some codes of each."""
        return list(zip(*(self.column(code).tolist() for code in codes), strict=True))

    def points(self, places: Sequence[int]) -> Floats:
        """Return x and y that stand at some places, shape (records, places, 2)."""
        return np.stack([self.numbers(places), self.numbers([place + 1 for place in places])], axis=2)

    def numbers(self, places: Sequence[int]) -> Floats:
        """Return the numbers at some places of each, shape (records, places)."""
        tags = self.part.first[self.records][:, None] + np.array(places, np.int64)
        found: Floats = self.part.numbers[tags]
        return found

    def corners(self) -> Floats:
        """Return the corners of each, shape (records, corners, 2)."""
        return self.points(self.plan.points)

    def texts(self, code: int) -> list[bytes]:
        """Return the first value of a code of the body of each."""
        return self.part.texts(self.records, self.plan.at[code])

    def only(self, which: Ints) -> Rows:
        """Return some of them, by their numbers among these."""
        return Rows(self.part, self.plan, self.records[which])


def _chain(shown: Shown, corners: Floats, closed: Ints | None = None) -> None:
    if closed is not None and corners.shape[1] > 2:
        _chain(shown, np.concatenate([corners, corners[:, :1]], axis=1)[closed])
        corners = np.delete(corners, closed, axis=0)
    pieces = np.concatenate([corners[:, :-1], corners[:, 1:]], axis=2)
    shown.lines.frombytes(pieces.tobytes())


def _add_line(shown: Shown, rows: Rows) -> None:
    ends = np.stack([rows.column(code) for code in (10, 20, 11, 21)], axis=1)
    shown.lines.frombytes(ends.tobytes())


def _add_polyline(shown: Shown, rows: Rows) -> None:
    corners, closed = rows.corners(), (rows.column(70).astype(np.int64) & 1).astype(bool)
    places = [place for place in rows.plan.bulges if place >= 0]
    if places:
        bulges = np.zeros(corners.shape[:2])
        has = np.array(rows.plan.bulges) >= 0
        bulges[:, has] = rows.numbers(places)
        bent = bulges.any(axis=1)
        for row, bulge, is_closed in zip(
            corners[bent].tolist(), bulges[bent].tolist(), closed[bent].tolist(), strict=True
        ):
            shown.bulged.append(
                ([(x, y, 0.0, 0.0, b) for (x, y), b in zip(row, bulge, strict=True)], is_closed)
            )
        corners, closed = corners[~bent], closed[~bent]
    _chain(shown, corners, np.flatnonzero(closed))


def _add_arc(shown: Shown, rows: Rows) -> None:
    numbers = np.stack([rows.column(code) for code in (10, 20, 40, 50, 51)], axis=1)
    shown.arcs.frombytes(numbers.tobytes())


def _add_circle(shown: Shown, rows: Rows) -> None:
    x, y, radius = (rows.column(code) for code in (10, 20, 40))
    start = np.zeros(len(x))
    shown.arcs.frombytes(np.stack([x, y, radius, start, start + np.inf], axis=1).tobytes())


def _add_nothing(_: Shown, __: Rows) -> None:
    return


def _add_boxes(shown: Shown, corners: Floats) -> None:
    if corners.shape[1]:
        shown.boxes.frombytes(boxes_of(corners).tobytes())


def _add_solid(shown: Shown, rows: Rows) -> None:
    _add_boxes(shown, rows.points([rows.plan.at[10 + k] for k in range(3)]))


def _add_hatch(shown: Shown, rows: Rows) -> None:
    _add_boxes(shown, rows.corners())


def _add_spline(shown: Shown, rows: Rows) -> None:
    corners = rows.corners()
    if corners.shape[1] <= 1:
        codes, first = rows.plan.codes, rows.plan.at.get(11, len(rows.plan.codes))
        corners = rows.points([i for i in range(first, len(codes)) if codes[i] == 11])
    _chain(shown, corners)


def _add_leader(shown: Shown, rows: Rows) -> None:
    _chain(shown, rows.corners())


ADDERS: Final[dict[bytes, Callable[[Shown, Rows], None]]] = {
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
}
"""How what records show is added that is numbers alone, by their kind."""


def _ellipses(rows: Rows) -> list[Thing | None]:
    extrusions = [(0.0, 0.0, 1.0)] * len(rows.records)
    if 210 in rows.plan.at:
        extrusions = rows.columns(210, 220, 230)  # type: ignore[assignment]
    found: list[Thing | None] = []
    for numbers, extrusion in zip(rows.columns(10, 20, 30, 11, 21, 31, 40, 41, 42), extrusions, strict=True):
        axis, (ratio, start, end) = numbers[3:6], numbers[6:]
        plain = extrusion == (0.0, 0.0, 1.0) and 1e-6 <= ratio <= 1.0 and any(axis)
        look = {"center": numbers[:3], "major_axis": axis, "ratio": ratio, "start_param": start}
        found.append({**look, "end_param": end} if plain else None)  # type: ignore[dict-item]
    return found


def _said(value: bytes) -> str | None:
    r"""Return a text that means the same in every encoding; None for one that does not."""
    if not value.isascii() or b"\\U+" in value or b"\\M+" in value:
        return None
    text = value.decode("ascii")
    return text if text.isprintable() or not text else None


def _lines(rows: Rows, code_of_valign: int) -> list[Thing | None]:
    """Return the lines of text that TEXTs or ATTRIBs are; None for one that is not sound."""
    column, found = rows.column, list[Thing | None]()
    numbers = zip(
        *(column(code).tolist() for code in (40,)),
        column(41, 1.0).tolist(),
        *(column(code).astype(np.int64).tolist() for code in (72, code_of_valign, 71)),
        *(column(code).tolist() for code in (10, 20, 11, 21, 50)),
        strict=True,
    )
    for value, line in zip(rows.texts(1), numbers, strict=True):
        text, (height, factor, align, valign, flags, x, y, x1, y1, degrees) = _said(value), line
        sound = height > 0 and factor > 0 and 0 <= align < 6 and 0 <= valign < 4 and flags in (0, 2, 4, 6)
        if text is None or not sound:
            found.append(None)
            continue
        second = (x1, y1) if 11 in rows.plan.at else None
        found.append(Line(text, height, factor, align, valign, degrees, bool(flags & 2), (x, y), second))
    return found


def _paragraphs(rows: Rows) -> list[Thing | None]:
    plan, column, found = rows.plan, rows.column, list[Thing | None]()
    if 1 not in plan.at:
        return [None] * len(rows.records)
    places = [i for i, code in enumerate(plan.codes) if code == 3 and i > plan.at[10]]
    texts = zip(*(rows.part.texts(rows.records, place) for place in (*places, plan.at[1])), strict=True)
    numbers = zip(
        *(column(code).tolist() for code in (40, 41)),
        column(44, 1.0).tolist(),
        column(71, 1.0).astype(np.int64).tolist(),
        *(column(code).tolist() for code in (50, 10, 20)),
        strict=True,
    )
    for pieces, (height, width, spacing, attachment, degrees, x, y) in zip(texts, numbers, strict=True):
        text = _said(b"".join(pieces))
        if text is None or height <= 0 or not 0.25 <= spacing <= 4.0 or not 1 <= attachment <= 9:
            found.append(None)
            continue
        found.append(Paragraph(text, height, width, spacing, attachment, degrees, (x, y)))
    return found


def _references(rows: Rows) -> list[Thing | None]:
    scales = (rows.column(code, 1.0).tolist() for code in (41, 42, 43))
    numbers = zip(rows.columns(10, 20), *scales, rows.column(50).tolist(), strict=True)
    found: list[Thing | None] = []
    for value, ((x, y), x_scale, y_scale, z_scale, degrees) in zip(rows.texts(2), numbers, strict=True):
        name = _said(value)
        fine = name and x_scale and y_scale and z_scale
        found.append((name, x, y, x_scale, y_scale, degrees) if name and fine else None)
    return found


THINGS: Final[dict[bytes, Callable[[Rows], list[Thing | None]]]] = {
    b"ELLIPSE": _ellipses,
    b"TEXT": lambda rows: _lines(rows, 73),
    b"ATTRIB": lambda rows: _lines(rows, 74),
    b"MTEXT": _paragraphs,
    b"INSERT": _references,
}
"""What records show that is not numbers alone, by their kind; None for one that is not plain after all."""


def add_things(shown: Shown, kind: bytes, things: Iterable[Thing]) -> None:
    """Add what records of a kind show."""
    lists: dict[bytes, Any] = {
        b"ELLIPSE": shown.ellipses,
        b"TEXT": shown.texts,
        b"ATTRIB": shown.attributes,
        b"MTEXT": shown.paragraphs,
        b"INSERT": shown.references,
    }
    lists[kind].extend(things)


def are_visible(rows: Rows) -> list[bool]:
    """Say which attributes are visible."""
    return (rows.column(70).astype(np.int64) & _INVISIBLE == 0).tolist()  # type: ignore[no-any-return]


def add_vertices(shown: Shown, corners: Floats, flags: int) -> bool:
    """Add what a POLYLINE shows between its corners, shape (n, 2); False for one that is not simple."""
    if flags & ~_SIMPLE or not len(corners):
        return False
    _chain(shown, corners[None], np.arange(flags & 1))
    return True


def boxes_of(corners: Floats) -> Floats:
    """Return the boxes of corners, shape (n, corners, 2)."""
    return np.concatenate([corners.min(axis=1), corners.max(axis=1)], axis=1)


def _reaches_of_arcs(rows: Rows) -> Floats:
    x, y, radius = (rows.column(code) for code in (10, 20, 40))
    return np.stack([x - radius, y - radius, x + radius, y + radius], axis=1)


REACHES: Final[dict[bytes, Callable[[Rows], Floats]]] = {
    b"LINE": lambda rows: np.stack([rows.column(code) for code in (10, 20, 11, 21)], axis=1),
    b"LWPOLYLINE": lambda rows: boxes_of(rows.corners()),
    b"ARC": _reaches_of_arcs,
}
"""How far what records show reaches, for the kinds that an opening is drawn of."""
