"""A wall without control joints: how much horizontal steel, in how many bond beams, on which courses.

Glossary:
    An: net vertical section that the horizontal bars cross (`perpend.rulebook.wall_section`).
    As: area of the bars and wires that cross that section; As ≥ 0.002 · An is asked for.
    strip, course: see `perpend.rulebook.wall_strips`.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass

from perpend.errors import InputError
from perpend.model import Path, Source, Wall
from perpend.rulebook.book_schema import Row
from perpend.rulebook.rule_book import RuleBook, value
from perpend.rulebook.wall_section import (
    Section,
    SteelChoices,
    bar_area_in2,
    max_bar_spacing_in,
    section_of,
    wire_area_in2,
)
from perpend.rulebook.wall_strips import Strip, beams_of, reached_counts, strips_of
from perpend.units import SAME_IN, format_length

_GRAIN = 1e-9
"""Areas nearer than this (in²) are one area: far below the last printed digit."""


def is_enough(provided_in2: float, required_in2: float) -> bool:
    """Say whether steel of one area meets what another one requires."""
    return provided_in2 >= required_in2 - _GRAIN


@dataclass(frozen=True, slots=True)
class StripSteel:
    """Steel asked for and there over one strip of the wall."""

    x0_in: float
    x1_in: float
    height_in: float
    bond_beams: int
    net_area_in2: float
    required_in2: float
    provided_in2: float

    @property
    def enough(self) -> bool:
        """True when the steel meets what is asked for."""
        return is_enough(self.provided_in2, self.required_in2)


@dataclass(frozen=True, slots=True)
class NoJointSteel:
    """The horizontal steel of a wall without control joints.

    Attributes:
        section: the wall's section.
        bar: the bar in each bond beam.
        bar_area_in2: its area.
        wire: joint reinforcement that was counted, or empty.
        table_spacing_in: greatest spacing of one bar per bond beam by the formula; None when not even a
            bond beam in every course is enough.
        courses: courses that are bond beams.
        counts: how many of them the lowest and the highest part of the wall have.
        beams: their level lines, out to a sloping edge, cut where an opening interrupts them.
        strips: steel asked for and there, left to right.
        sources: the rows used.
        wire_spacing_in: distance between the beds with that joint reinforcement; None without it.
    """

    section: Section
    bar: str
    bar_area_in2: float
    wire: str
    table_spacing_in: float | None
    courses: tuple[int, ...]
    counts: tuple[int, int]
    beams: tuple[Path, ...]
    strips: tuple[StripSteel, ...]
    sources: tuple[Source, ...] = ()
    wire_spacing_in: float | None = None

    @property
    def enough(self) -> bool:
        """True when every strip has the steel it asks for."""
        return all(strip.enough for strip in self.strips)

    @property
    def bars(self) -> str:
        """What lies in the bond beams, in words; the least and the most number where heights differ."""
        least, most = self.counts
        return f"one {self.bar} in each of {most if least == most else f'{least} to {most}'} bond beams"


_ASSUMED = SteelChoices()


def no_joint_steel(book: RuleBook, wall: Wall, choices: SteelChoices = _ASSUMED) -> NoJointSteel:
    """Return the bond beams that let a wall go without joints.

    First the fewest that give the whole height its steel, spread evenly over the courses. Openings
    interrupt bond beams, and every strip has to have its own steel: where one has not, beams are added,
    each time the course that helps most strips, until each one has or until no course is left.

    Raises:
        InputError: a choice that the rule book does not have.
    """
    rule, section = book.need("no-joint-steel"), section_of(book, choices)
    bar = choices.bar or book.need("wall-assumed").says["bar"]
    step, at_most = value(rule, "step"), value(rule, "at_most")
    available = math.floor(wall.greatest_height_in / step + SAME_IN)
    if available < 1:
        raise InputError(
            f"Wall {wall.tag} is lower than one course of {format_length(step)}: no bond beam fits."
        )
    pieces = tuple(strips_of(wall, step))
    calculation = _Calculation(book, wall, section, bar_area_in2(book, bar), choices, step, pieces)
    fewest = max(1, math.ceil(wall.greatest_height_in / at_most - SAME_IN))
    count = next((n for n in range(fewest, available) if calculation.suffices(n)), available)
    courses = calculation.completed(spread(count, available))
    return NoJointSteel(
        section=section,
        bar=bar,
        bar_area_in2=calculation.bar_area_in2,
        wire=choices.wire or "",
        table_spacing_in=max_bar_spacing_in(book, section, bar),
        courses=courses,
        beams=beams_of(pieces, courses),
        counts=reached_counts(pieces, courses),
        strips=calculation.strips(courses),
        sources=_sources(book, rule, section),
        wire_spacing_in=calculation.wire_spacing_in,
    )


def spread(count: int, available: int) -> tuple[int, ...]:
    """Choose courses as evenly as they can lie: each in the middle of its share of the height."""
    return tuple((2 * i + 1) * available // (2 * count) for i in range(count))


@dataclass(frozen=True, slots=True)
class _Calculation:
    """Everything that stays the same while the number of bond beams is tried."""

    book: RuleBook
    wall: Wall
    section: Section
    bar_area_in2: float
    choices: SteelChoices
    step_in: float
    pieces: tuple[Strip, ...]

    @property
    def wire_spacing_in(self) -> float | None:
        """Distance between beds with joint reinforcement, two courses unless said; None without any."""
        return (self.choices.wire_spacing_in or 2 * self.step_in) if self.choices.wire else None

    def suffices(self, count: int) -> bool:
        """Say whether a number of bond beams is enough over the wall's greatest height."""
        height = self.wall.greatest_height_in
        return self._steel(0.0, self.wall.length_in, height, count).enough

    def completed(self, courses: tuple[int, ...]) -> tuple[int, ...]:
        """Add courses until every strip has its steel, or no course can help."""
        chosen = courses
        while True:
            lacking = [piece for piece in self.pieces if not self._strip(piece, chosen).enough]
            helped = Counter(course for piece in lacking for course in piece.courses - set(chosen))
            best = max(helped, key=lambda c: (helped[c], _apart(c, chosen), -c), default=None)
            if best is None:
                return chosen
            chosen = tuple(sorted((*chosen, best)))

    def strips(self, courses: tuple[int, ...]) -> tuple[StripSteel, ...]:
        """Return the steel of every strip that has masonry."""
        return tuple(self._strip(piece, courses) for piece in self.pieces if piece.height_in > 0)

    def _strip(self, piece: Strip, courses: tuple[int, ...]) -> StripSteel:
        beams = sum(course in piece.courses for course in courses)
        return self._steel(piece.x0_in, piece.x1_in, piece.height_in, beams)

    def _steel(self, x0: float, x1: float, height: float, beams: int) -> StripSteel:
        area = self.section.net_area_in2(height, beams)
        ratio = value(self.book.need("no-joint-steel"), "steel_ratio")
        provided = beams * self.bar_area_in2 + self._wires(height)
        return StripSteel(x0, x1, height, beams, area, ratio * area, provided)

    def _wires(self, height_in: float) -> float:
        """Return the area of the joint reinforcement, one bed for each whole spacing."""
        if self.choices.wire is None or self.wire_spacing_in is None:
            return 0.0
        beds = math.floor(height_in / self.wire_spacing_in + _GRAIN)
        return beds * wire_area_in2(self.book, self.choices.wire)


def _apart(course: int, chosen: tuple[int, ...]) -> int:
    """Return how many courses lie between a course and the nearest chosen one."""
    return min((abs(course - other) for other in chosen), default=0)


def _sources(book: RuleBook, rule: Row, section: Section) -> tuple[Source, ...]:
    shells = [row for row in book.find("shells") if row.says["edition"] == section.edition]
    rows = (rule, book.need("thickness"), book.need("bars"), *shells)
    return tuple(dict.fromkeys(source for row in rows for source in book.sources(row)))
