"""Tags, callouts and dimensions of an earlier run as they are now, and where that run drew them.

Each says so in its XDATA (``at=``, drawing axes), and whether it was drawn where a person had put it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final, Literal

from ezdxf.document import Drawing
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.insert import Insert

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
    marked = [e for e in doc.modelspace().query("TEXT DIMENSION INSERT") if e.has_xdata(APPLICATION)]
    ours = our_entities(marked, APPLICATION)
    return tuple(label for e in ours if isinstance(e, DXFGraphic) for label in _labels(e))


def _labels(entity: DXFGraphic) -> Iterator[OwnLabel]:
    """Yield what an entity is; of a block with its leader, its lines of text where they are seen."""
    if not isinstance(entity, Insert):
        if (label := _label(entity)) is not None:
            yield label
        return
    block = entity.block()
    base = block.block.dxf.base_point if block is not None and block.block is not None else None
    for text in block.query("TEXT") if block is not None and base is not None else ():
        label = _label(text) if text.has_xdata(APPLICATION) else None
        if label is not None and base is not None:
            dx, dy = entity.dxf.insert[0] - base[0], entity.dxf.insert[1] - base[1]
            at = (label.at[0] + dx, label.at[1] + dy)
            yield replace(label, at=at, start=at)


def _label(entity: DXFEntity) -> OwnLabel | None:
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
