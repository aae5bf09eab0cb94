"""The sizes of a typical detail: from the rule book and the settings, else from ``detail_defaults.toml``."""

from __future__ import annotations

import functools
import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from typing import Any

from perpend.rulebook import JointType, RuleBook, bond, joint_types, metric_share, reinforcement
from perpend.rulebook.rule_book import maybe, value
from perpend.rulebook.wall_section import wire_area_in2
from perpend.settings import Settings
from perpend.settings.detail_references import JOINT_TYPES, joint_label
from perpend.units import format_length, parse_length

SCALES = {
    4: '3" = 1\'-0"',
    6: '2" = 1\'-0"',
    8: '1 1/2" = 1\'-0"',
    12: '1" = 1\'-0"',
    16: '3/4" = 1\'-0"',
    24: '1/2" = 1\'-0"',
    48: '1/4" = 1\'-0"',
}
"""Scales of details, as lettered."""
METRIC_SCALES = (5, 10, 20, 50)

_METRIC_UNITS = ("mm", "cm", "m")
_BAR_STEP_IN = 1 / 8
"""A bar's number counts eighths of an inch of its diameter."""


@dataclass(frozen=True, slots=True)
class DetailValues:
    """Everything that the details draw and dimension; lengths in inches.

    Attributes:
        sizes: lengths by name; names of `_SIZES`, ``detail_defaults.toml`` and some derived here.
        types: joint types of the rule book, by key.
        label: what a joint is called on the plate, such as ``CJ``.
        bar: the bar as lettered, or ``BAR`` where the rule book names none.
        wire: joint reinforcement as lettered.
        corner: how far the first joint may be from a corner, as lettered.
        clear: how far joints keep from a reinforced opening, as lettered, or empty.
        metric: dimensions in millimetres.
        caution: the line that closes the sheet.
        steps: how many standard scales smaller than usual, for sizes that would not fit a frame.
    """

    sizes: Mapping[str, float]
    types: Mapping[str, JointType]
    label: str
    bar: str
    wire: str
    corner: str
    clear: str
    metric: bool
    caution: str
    steps: int = 0

    def __getitem__(self, name: str) -> float:
        return self.sizes[name]

    @property
    def is_brick(self) -> bool:
        """True where the rule book has joint types and none of them is one in block."""
        return bool(self.types) and not set(self.types) & set(JOINT_TYPES)

    def scale(self, imperial: int, metric: int) -> int:
        """Return the scale of a detail, as real inches to one plotted inch.

        Args:
            imperial: the usual one in feet and inches, of `SCALES`.
            metric: the usual one in millimetres, of `METRIC_SCALES`.
        """
        ladder = METRIC_SCALES if self.metric else tuple(SCALES)
        usual = ladder.index(metric if self.metric else imperial)
        return ladder[min(usual + self.steps, len(ladder) - 1)]

    def show(self, name: str) -> str:
        """Return a size as a drafter letters it: ``3/8"``, ``1'-4"`` or ``400``."""
        return show_length(self.sizes[name], metric=self.metric)


def show_length(inches: float, *, metric: bool) -> str:
    """Return a length as a dimension reads: no feet below one foot, no zero inches beside a fraction.

    Args:
        inches: the length.
        metric: in whole millimetres.
    """
    if metric:
        return format_length(inches, "metric")
    text = format_length(inches)
    text = text.removeprefix("0'-")
    return text.removeprefix("0 ") if " " in text else text


def is_metric(book: RuleBook) -> bool:
    """Say whether a rule book gives its lengths in metric units."""
    row = book.first("module")
    return row is not None and row.numbers["module"].printed.split()[-1] in _METRIC_UNITS


def detail_values(book: RuleBook, settings: Settings, *, metric: bool | None = None) -> DetailValues:
    """Collect the sizes of the details.

    Args:
        book: the rule book.
        settings: the project's settings.
        metric: dimension in millimetres; None goes by the rule book.

    Raises:
        InputError: a setting asks for something that the rule book does not have.
    """
    metric = is_metric(book) if metric is None else metric
    defaults = settings.defaults
    grid = bond(book, defaults.units, metric=metric)
    sizes = _drawn_sizes(metric) | _sizes_of_book(book, settings, metric)
    sizes |= {"course": grid.course_in, "module": grid.module_in, "unit": grid.unit_in}
    ratios = _defaults()["ratios"]
    sizes["sealant_depth"] = sizes["joint_width"] / ratios["sealant_width_to_depth"]["value"]
    sizes["rod"] = sizes["joint_width"] * ratios["rod_over_joint"]["value"]
    wire = defaults.joint_reinforcement or _wire_of(book)
    if wire and book.first("wire"):
        sizes["wire_diameter"] = math.sqrt(4 * wire_area_in2(book, wire) / 2 / math.pi)
    bar = _bar_of(book, settings)
    if bar and not metric:
        sizes["bar_diameter"] = int(bar.removeprefix("No. ")) * _BAR_STEP_IN
    return DetailValues(
        sizes=sizes,
        types={kind.key: kind for kind in joint_types(book)},
        label=joint_label(settings, book),
        bar=f"#{bar.removeprefix('No. ')}" if bar and not metric else "BAR",
        wire=_lettered_wire(wire, sizes["wire_spacing"], metric),
        corner=_corner(book, settings, metric),
        clear=_clear(book, metric),
        metric=metric,
        caution=_CAUTION,
    )


_CAUTION = (
    "FOR REVIEW BY ENGINEER OR ARCHITECT OF RECORD; NOT A DESIGN. LOCAL CODES GOVERN. "
    "LINTELS, JAMB REINF. AND SHEAR WALLS: SEE STRUCT."
)


@functools.cache
def _defaults() -> dict[str, Any]:
    text = (
        resources.files("perpend.drawing.details")
        .joinpath("detail_defaults.toml")
        .read_text(encoding="utf-8")
    )
    return tomllib.loads(text)


def _drawn_sizes(metric: bool) -> dict[str, float]:
    table = _defaults()["metric" if metric else "imperial"]
    return {name: parse_length(entry["value"]) for name, entry in table.items()}


_FROM_BOOK = {
    "joint_width": ("joint-width", "width"),
    "rake_exterior": ("joint-rake", "exterior"),
    "rake_interior": ("joint-rake", "interior"),
    "bearing": ("lintel-bearing", "usual"),
    "bearing_least": ("lintel-bearing", "at_least"),
    "lintel_depth": ("lintel-depth", "depth"),
    "bar_offset": ("opening-bars", "bar_offset"),
    "lintel_past_bar": ("opening-bars", "lintel_past_bar"),
    "corner_reinforcement_past": ("opening-corners", "past"),
}
_SAME_IN_METRIC = ("joint_width", "rake_exterior", "rake_interior", "corner_reinforcement_past")
"""What a drawing in millimetres rounds by its defaults; the rest goes with the module."""


def _sizes_of_book(book: RuleBook, settings: Settings, metric: bool) -> dict[str, float]:
    share = metric_share(book, metric=metric)
    soft = metric and not is_metric(book)
    found = {}
    for name, (kind, number) in _FROM_BOOK.items():
        row = book.first(kind)
        if row is not None and not (soft and name in _SAME_IN_METRIC):
            found[name] = value(row, number) * share
    if not soft:
        found |= _section(book, settings)
    defaults = settings.defaults
    if isinstance(defaults.lintel_bearing, float):
        found["bearing"] = defaults.lintel_bearing
    if defaults.lintel_depth is not None:
        found["lintel_depth"] = defaults.lintel_depth
    spacing = defaults.joint_reinforcement_spacing or _wire_spacing(book, defaults.units)
    if spacing is not None:
        found["wire_spacing"] = spacing * share
    return found


def _section(book: RuleBook, settings: Settings) -> dict[str, float]:
    """Return thickness, face shell and veneer of the book's units."""
    row, assumed = book.first("thickness"), book.first("wall-assumed")
    if row is None or assumed is None:
        return {}
    defaults = settings.defaults
    assumed_in = round(value(assumed, "thickness"))
    nominal = assumed_in if defaults.wall_thickness is None else defaults.wall_thickness
    edition = defaults.shells or assumed.says["edition"]
    shells = next((r for r in book.find("shells") if r.says["edition"] == edition), None)
    shell = maybe(shells, f"t{nominal}") if shells else None
    found = {"thickness": value(row, f"t{nominal}"), "veneer": value(row, "t4")}
    return found if shell is None else found | {"shell": shell}


def _wire_rows(book: RuleBook, units: str) -> list[Any]:
    rows = book.find("reinforcement", method="empirical", units=units)
    return [row for row in rows if "wire" in row.says["name"]]


def _wire_of(book: RuleBook) -> str:
    rows = _wire_rows(book, "full-height")
    return rows[0].says["key"] if rows else ""


def _wire_spacing(book: RuleBook, units: str) -> float | None:
    choices = reinforcement(book, units, "empirical").choices
    return next((choice.max_spacing_in for choice in choices if choice.in_beds), None)


def _bar_of(book: RuleBook, settings: Settings) -> str:
    assumed = book.first("wall-assumed")
    return settings.defaults.bond_beam_bar or (assumed.says["bar"] if assumed else "")


def _lettered_wire(wire: str, spacing_in: float, metric: bool) -> str:
    """Return joint reinforcement as notes letter it; spacings stay in inches."""
    apart = show_length(spacing_in, metric=True) if metric else f'{spacing_in:g}" O.C.'
    gauge = "9 GA. (W1.7) " if wire == "W1.7" else f"{wire} " if wire else ""
    return f"{gauge}JOINT REINF. @ {apart} VERT."


def _corner(book: RuleBook, settings: Settings, metric: bool) -> str:
    """Return how far the first joint may be from a corner, as the book has it."""
    row = book.first("corner", method=settings.defaults.method)
    if row is None:
        return "PER RULES OF PROJECT"
    fraction, most, least = (maybe(row, name) for name in ("fraction", "at_most", "at_least"))
    if fraction is not None:
        return (
            "NOT MORE THAN ONE-HALF OF {cj} SPACING FROM CORNER"
            if fraction == 0.5
            else (f"NOT MORE THAN {fraction:g} × {{cj}} SPACING FROM CORNER")
        )
    show = functools.partial(show_length, metric=metric)
    if most is not None and least is not None:
        return f"{show(least)} TO {show(most)} FROM CORNER"
    return f"NOT MORE THAN {show(most)} FROM CORNER" if most is not None else "SEE ELEV."


def _clear(book: RuleBook, metric: bool) -> str:
    row = book.first("opening-clear")
    return show_length(value(row, "clear") * metric_share(book, metric=metric), metric=metric) if row else ""
