"""What a wall needs besides spacing: horizontal reinforcement, a joint type, joints at places, the module."""

from __future__ import annotations

import math
from dataclasses import dataclass

from perpend.errors import InputError
from perpend.model import HorizontalReinforcement, ReinforcementChoice, Source
from perpend.rulebook.book_schema import Row
from perpend.rulebook.rule_book import RuleBook, maybe, value
from perpend.rulebook.validation_words import nearest
from perpend.rulebook.wall_section import bar_area_in2, wire_area_in2
from perpend.units import SAME_IN

_INCHES_PER_FOOT = 12.0

VERIFY = "verify"
"""Printed instead of anything that is not known."""


@dataclass(frozen=True, slots=True)
class JointType:
    """One way to build a control joint.

    Attributes:
        key: such as ``formed-paper``.
        name: in words.
        transfers_shear: out of plane; None when it has to be verified.
        fire_rating: such as ``4 h`` or ``none``, or ``verify`` when it is not known.
        source: the row.
    """

    key: str
    name: str
    transfers_shear: bool | None
    fire_rating: str
    source: Source

    def printed(self, fire_rating: str | None = None) -> str:
        """Return the type in one line, with what is known of it.

        Args:
            fire_rating: what the project states; without it none is printed.
        """
        shear = {
            True: "transfers out-of-plane shear",
            False: "no shear transfer",
            None: "shear transfer: verify",
        }[self.transfers_shear]
        rated = f"; fire rating: {fire_rating}" if fire_rating else ""
        return f"{self.name}; {shear}{rated}"


def joint_types(book: RuleBook) -> tuple[JointType, ...]:
    """Return every joint type of the book."""
    return tuple(_joint_type(book, row) for row in book.find("joint-type"))


def joint_type(book: RuleBook, key: str) -> JointType:
    """Return one joint type.

    Raises:
        InputError: the book has no such type.
    """
    known = {t.key: t for t in joint_types(book)}
    if key not in known:
        raise InputError(
            f"There is no joint type {key!r} in the rule book {book.key}; {nearest(key, known)}."
        )
    return known[key]


def _joint_type(book: RuleBook, row: Row) -> JointType:
    shear = {"yes": True, "no": False}.get(row.says["shear"])
    return JointType(row.says["key"], row.says["name"], shear, row.says["fire"], book.source(row))


def reinforcement(
    book: RuleBook, units: str, method: str, *, chosen: str | None = None, metric: bool = False
) -> HorizontalReinforcement:
    """Return the horizontal reinforcement between joints and the choices that meet it.

    Args:
        book: the rule book.
        units: ``full-height`` or ``half-high``.
        method: the method.
        chosen: key of the choice the settings made, such as ``W1.7`` or ``No. 4``, or None.
        metric: True for metric units, whose spacings are whole courses within those of the book.

    Raises:
        InputError: the chosen reinforcement is not among the choices.
    """
    required = book.first("reinforcement-required", method=method)
    rows = book.find("reinforcement", method=method, units=units) if required else ()
    least = value(required, "area_per_foot") if required else math.inf
    choices = {row.says["key"]: _choice(book, row, units, least, metric=metric) for row in rows}
    if chosen is not None and choices and chosen not in choices:
        raise InputError(
            f"There is no horizontal reinforcement {chosen!r} for {method} with {units} units in the rule "
            f"book {book.key}; {nearest(chosen, choices)}."
        )
    return HorizontalReinforcement(
        required_in2_per_ft=value(required, "area_per_foot") if required else None,
        choices=tuple(choices.values()),
        source=book.source(required) if required else None,
        chosen=choices[chosen].name if chosen in choices else None,
    )


def _choice(book: RuleBook, row: Row, units: str, least: float, *, metric: bool) -> ReinforcementChoice:
    """Return one way to reinforce: as printed, or else 12 · A / least, down to a course of full height."""
    key, area, spacing = row.says["key"], maybe(row, "area"), maybe(row, "spacing")
    if area is None:
        area = bar_area_in2(book, key) if key.startswith("No.") else wire_area_in2(book, key)
    if spacing is None:
        units, exact = "full-height", _INCHES_PER_FOOT * area / least
    else:
        exact = spacing
    if spacing is None or metric:
        course = bond(book, units, metric=metric).course_in
        spacing = math.floor((exact + SAME_IN) / course) * course
    return ReinforcementChoice(row.says["name"], area, spacing, book.source(row))


def place_sources(book: RuleBook) -> tuple[tuple[str, Source], ...]:
    """Return the rows that ask for a joint at a place, by kind of place."""
    return tuple((place, book.source(row)) for row in book.find("place") for place in row.applies.places)


def row_sources(book: RuleBook) -> tuple[tuple[str, Source], ...]:
    """Return the rows that say how things are done, or where joints may stand, by id."""
    kinds = (
        *("definition", "corner", "module", "opening-jambs", "opening-clear", "opening-arched"),
        *("least-panel", "narrow-pier", "strip-opening", "footing-step", "intersections", "pilasters"),
        *("short-return", "joints-away", "solid-grouted", "horizontal-joint"),
    )
    return tuple((row.id, book.source(row)) for row in book.rows if row.kind in kinds)


def height_change_over(book: RuleBook) -> float:
    """Return the change of height, as a part of the lower height, above which a joint is needed."""
    rows = book.find("place", place="height-change")
    return (maybe(rows[0], "change_over") or 0.0) if rows else 0.0


@dataclass(frozen=True, slots=True)
class Bond:
    """The grid that the masonry is laid on, and the length of a unit, inches."""

    module_in: float
    course_in: float
    source: Source
    unit_in: float


def metric_share(book: RuleBook, *, metric: bool) -> float:
    """Return by how much a size bound to the module is smaller in metric units: 200 mm for 8 in."""
    row = book.need("module")
    return value(row, "metric_module") / value(row, "module") if metric else 1.0


def bond(book: RuleBook, units: str, *, metric: bool = False, material: str = "") -> Bond:
    """Return the module and the course of the units.

    Args:
        book: the rule book.
        units: ``full-height`` or ``half-high``.
        metric: True for a drawing in metric units, which takes the metric module.
        material: of the units, where the book tells several apart.
    """
    module = book.need("module", material=material)
    course = book.need("course", units=units, material=material)
    prefix = "metric_" if metric else ""
    across = value(module, prefix + "module")
    unit = value(module, "unit_length") * across / value(module, "module")
    return Bond(across, value(course, prefix + "course"), book.source(module), unit)
