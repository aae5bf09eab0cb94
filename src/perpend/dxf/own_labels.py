"""Tags, callouts and dimensions of an earlier run as they are now, and where that run drew them.

Each says so in its XDATA (``at=``, drawing axes), and whether it was drawn where a person had put it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final, Literal

from ezdxf.document import Drawing
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.insert import Insert

from perpend.dxf.paperspace import on_any_layout
from perpend.dxf.xdata import APPLICATION, our_entities, said_by

AT: Final = "at="
BY_HAND: Final = "by-hand=yes"
KINDS: Final = ("tag", "callout", "dimension")
_ALIGNMENTS: Final[dict[int, Literal["left", "center", "right"]]] = {0: "left", 1: "center", 2: "right"}

Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class OwnLabel:
    """One label of ours; drawing axes and units.

    Attributes:
        kind: ``tag``, ``callout`` or ``dimension``.
        number: of what it shows, such as ``W1-4`` or ``W1 panel 2``.
        words: what it says; empty for a dimension.
        at: where it is now: the point by which a text is aligned, the end of a dimension line.
        drawn: where that point was drawn.
        start: the other end of what a dimension measures; `at` for a text.
        align: how a text is aligned.
        by_hand: True when it was drawn where a person had put it.
    """

    kind: str
    number: str
    words: str
    at: Place
    drawn: Place
    start: Place
    align: Literal["left", "center", "right"] = "left"
    by_hand: bool = False


def at_string(point: Place) -> str:
    """Return where a label is drawn as a string for XDATA, exact."""
    return f"{AT}{point[0]!r},{point[1]!r}"


def read_own_labels(doc: Drawing) -> tuple[OwnLabel, ...]:
    """Read the labels of an earlier run; copies, and texts whose words were changed, are the drafter's."""
    kinds = ("TEXT", "DIMENSION", "INSERT")
    marked = [e for e in on_any_layout(doc) if e.dxftype() in kinds and e.has_xdata(APPLICATION)]
    labels: list[OwnLabel | None] = []
    for entity in our_entities(marked, APPLICATION):
        if isinstance(entity, Insert):
            labels += _labels_in(entity)
        elif isinstance(entity, DXFGraphic):
            labels.append(_label(entity))
    return tuple(label for label in labels if label is not None)


def _labels_in(reference: Insert) -> Iterator[OwnLabel | None]:
    """Yield the labels of a block of ours, moved as its reference was; one that was turned is left out."""
    block, dxf = reference.block(), reference.dxf
    if block is None or (dxf.xscale, dxf.yscale, dxf.rotation) != (1.0, 1.0, 0.0):
        return
    base = block.base_point
    by = (dxf.insert.x - base.x, dxf.insert.y - base.y)
    for text in block.query("TEXT"):
        label = _label(text) if isinstance(text, DXFGraphic) and text.has_xdata(APPLICATION) else None
        if label is not None:
            at = (label.at[0] + by[0], label.at[1] + by[1])
            yield replace(label, at=at, start=at)


def _label(entity: DXFGraphic) -> OwnLabel | None:
    said = dict(said_by(entity))
    drawn = _point(said.get(AT[:-1], ""))
    if drawn is None or said.get("kind") not in KINDS:
        return None
    is_text = entity.dxftype() == "TEXT"
    align = entity.dxf.get("halign", 0) if is_text else 0
    place = "defpoint" if not is_text else "align_point" if align else "insert"
    now = entity.dxf.get(place) or entity.dxf.get("insert")
    if now is None:
        return None
    start = now if is_text else entity.dxf.get("defpoint2", now)
    return OwnLabel(
        said["kind"],
        said.get("number", ""),
        str(entity.dxf.get("text", "")) if is_text else "",
        (now[0], now[1]),
        drawn,
        (start[0], start[1]),
        _ALIGNMENTS.get(align, "left"),
        said.get("by-hand") == "yes",
    )


def _point(text: str) -> Place | None:
    x, _, y = text.partition(",")
    try:
        return (float(x), float(y))
    except ValueError:
        return None
