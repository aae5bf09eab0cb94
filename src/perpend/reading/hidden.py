"""Layers of joints and of openings that do not show: they are not read, and that is told first of all."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from perpend.model import Wall
from perpend.reading.gather import Gathered
from perpend.reading.layer_index import Layer
from perpend.reading.options import Role


def doubts_about_hidden(walls: Sequence[Wall], found: Gathered) -> tuple[list[Wall], list[str]]:
    """Say which layers of joints and of openings are hidden.

    Of an opening layer nothing is said if some of it was read: a block of a door that shows one of its states
    hides the others.

    Args:
        walls: as they were read.
        found: what the pass over the layout found.

    Returns:
        The walls, with a doubt where none was read of what is hidden, and a sentence for every layer.
    """
    hidden = list(_hidden(found))
    doubted = []
    for wall in walls:
        read = {Role.JOINTS: wall.drawn_joints, Role.OPENINGS: wall.openings}
        doubts = [_doubt(role, layer, count) for role, layer, count in hidden if not read[role]]
        doubted.append(replace(wall, doubts=(*wall.doubts, *doubts)) if doubts else wall)
    return doubted, [_sentence(role, layer, count) for role, layer, count in hidden]


def _hidden(found: Gathered) -> Iterator[tuple[Role, Layer, int]]:
    shown = {stroke.layer for stroke in found.strokes[Role.OPENINGS]}
    for name, count in sorted(found.hidden.items()):
        layer = found.layers.get(name)
        if count and Role.JOINTS in layer.roles:
            yield Role.JOINTS, layer, count
        elif count and Role.OPENINGS in layer.roles and name not in shown:
            yield Role.OPENINGS, layer, count


def _doubt(role: Role, layer: Layer, count: int) -> str:
    """Return the short sentence that stands beside the wall, on the plate too."""
    kind = "Joint" if role is Role.JOINTS else "Opening"
    return f"{kind} layer {layer.name} is {layer.hidden_as or 'hidden'}: {_were(count)} not read."


def _sentence(role: Role, layer: Layer, count: int) -> str:
    kind = "a joint layer" if role is Role.JOINTS else "an opening layer"
    it, were, counts = ("it", "was", "it counts") if count == 1 else ("they", "were", "they count")
    hidden = layer.hidden_as or "what is on it is invisible"
    cure = layer.cure or f"make {'it' if count == 1 else 'them'} visible"
    return (
        f"Layer {layer.name} is {kind}, but {hidden}: {_were(count)} not read, and joints are placed and "
        f"judged as if {it} {were} not there. {cure[0].upper()}{cure[1:]} if {counts}."
    )


def _were(count: int) -> str:
    return "1 entity on it was" if count == 1 else f"{count} entities on it were"
