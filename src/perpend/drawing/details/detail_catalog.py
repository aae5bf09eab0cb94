"""All typical details of a project, framed and numbered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from perpend.drawing.details.detail_frame import WIDTH, Frame, fits, framed
from perpend.drawing.details.detail_sketch import Sketch
from perpend.drawing.details.detail_values import SCALES, DetailValues, detail_values
from perpend.drawing.details.horizontal_steel_details import bond_beam_through, horizontal_steel_stopped
from perpend.drawing.details.joint_type_details import (
    formed_paper,
    preformed_gasket,
    raked,
    sealant_geometry,
    tongue_and_groove,
)
from perpend.drawing.details.opening_details import (
    lintel_bearing,
    lintel_bearing_section,
    reinforced_jamb,
    slip_plane,
    slip_plane_section,
)
from perpend.drawing.details.veneer_detail import veneer
from perpend.drawing.details.wall_place_details import corner, intersection, pilaster
from perpend.rulebook import RuleBook
from perpend.settings import Settings
from perpend.settings.detail_references import detail_numbers, details_of

DRAWN: Final[dict[str, Callable[[DetailValues], Sketch]]] = {
    "formed-paper": formed_paper,
    "preformed-gasket": preformed_gasket,
    "tongue-and-groove": tongue_and_groove,
    "raked": raked,
    "sealant": sealant_geometry,
    "slip-plane": slip_plane,
    "slip-plane-section": slip_plane_section,
    "lintel-bearing": lintel_bearing,
    "lintel-bearing-section": lintel_bearing_section,
    "reinforced-jamb": reinforced_jamb,
    "corner": corner,
    "pilaster": pilaster,
    "intersection": intersection,
    "bond-beam-through": bond_beam_through,
    "bond-beam-stopped": horizontal_steel_stopped,
    "veneer": veneer,
}


def framed_details(
    book: RuleBook, settings: Settings, *, metric: bool | None = None, width: float = WIDTH
) -> tuple[DetailValues, tuple[Frame, ...]]:
    """Return every detail that suits a rule book, in the order of their numbers.

    Args:
        book: the rule book.
        settings: the project's settings.
        metric: dimension in millimetres; None goes by the rule book.
        width: plotted width of each frame.

    Raises:
        InputError: a setting asks for something that the rule book does not have.
    """
    values = detail_values(book, settings, metric=metric)
    numbers = detail_numbers(book, settings.details)
    frames = []
    for kind in details_of(book):
        title = f"{kind.title.format(cj=values.label)} - {kind.view}"
        number = numbers[kind.key].split("/")[0]
        frames.append(framed(kind.key, number, title, _fitting(DRAWN[kind.key], values, width), width))
    return values, tuple(frames)


def _fitting(draw: Callable[[DetailValues], Sketch], values: DetailValues, width: float) -> Sketch:
    """Return a detail at its usual scale, or at the largest standard one at which it fits its frame."""
    sketches = (draw(replace(values, steps=steps)) for steps in range(len(SCALES)))
    sketch = next(sketches)
    while not fits(sketch, width) and (smaller := next(sketches, None)) is not None:
        sketch = smaller
    return sketch
