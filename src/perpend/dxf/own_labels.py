"""Tags, callouts and dimensions of an earlier run as they are now, and where that run drew them.

Each says so in its XDATA (``at=``, drawing axes), and whether it was drawn where a person had put it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from ezdxf.document import Drawing
from ezdxf.entities.dxfgfx import DXFGraphic

from perpend.dxf.paperspace import on_any_layout
from perpend.dxf.xdata import APPLICATION, our_entities

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
    marked = [
        e for e in on_any_layout(doc) if e.dxftype() in ("TEXT", "DIMENSION") and e.has_xdata(APPLICATION)
    ]
    labels = (_label(e) for e in our_entities(marked, APPLICATION) if isinstance(e, DXFGraphic))
    return tuple(label for label in labels if label is not None)


def _label(entity: DXFGraphic) -> OwnLabel | None:
    strings = [str(tag.value) for tag in entity.get_xdata(APPLICATION) if tag.code == 1000]
    said = dict(text.partition("=")[::2] for text in strings)
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
        BY_HAND in strings,
    )


def _point(text: str) -> Place | None:
    x, _, y = text.partition(",")
    try:
        return (float(x), float(y))
    except ValueError:
        return None
