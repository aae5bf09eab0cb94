"""Everything of an earlier run but its joints as it is now, and where that run drew it.

Each entity says so in its XDATA (``path=`` or ``at=``, drawing axes), and whether a person had put it there.

Glossary:
    label: one such entity: a tag, a callout, a dimension, a list, a bubble, a lintel, a bar.
    direction: a point at a distance of 1 from the place of a list or a bubble: it shows a turn.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Final, Literal

from ezdxf.document import Drawing
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.insert import Insert
from ezdxf.entities.line import Line
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.mtext import MText
from ezdxf.entities.polyline import Polyline

from perpend.dxf.xdata import APPLICATION, our_entities

AT: Final = "at="
PATH: Final = "path="
TEXT_AT: Final = "text="
BY_HAND: Final = "by-hand=yes"
WORDS_BY_HAND: Final = "text-by-hand=yes"
_STRING: Final = 1000
_ALIGNMENTS: Final[dict[int, Literal["left", "center", "right"]]] = {0: "left", 1: "center", 2: "right"}

Place = tuple[float, float]
Points = tuple[Place, ...]


@dataclass(frozen=True, slots=True)
class OwnLabel:
    """One label of ours; drawing axes and units.

    Attributes:
        kind: such as ``tag``, ``dimension`` or ``joint-schedule``.
        number: of what it shows, such as ``W1-4`` or ``W1 panel 2``.
        words: what it says; of a dimension, what a person wrote in place of its length.
        points: where it is now: the point by which a text is aligned, the ends of a dimension, the corners of
            a line, the place of a list and its direction.
        was: where these were drawn.
        align: how a text is aligned.
        by_hand: True when it was drawn where a person had put it.
        layout: name of the layout that it is on.
        text_at: where the text of a dimension is now, and where it was drawn.
        words_by_hand: True when the text of a dimension was drawn as a person had it.
    """

    kind: str
    number: str
    words: str
    points: Points
    was: Points
    align: Literal["left", "center", "right"] = "left"
    by_hand: bool = False
    layout: str = ""
    text_at: Points = ()
    words_by_hand: bool = False

    @property
    def at(self) -> Place:
        """Where it is now: its first point."""
        return self.points[0]


def at_string(point: Place, key: str = AT) -> str:
    """Return where a label is drawn as a string for XDATA, exact."""
    return f"{key}{point[0]!r},{point[1]!r}"


def path_strings(points: Iterable[tuple[float, ...]]) -> list[str]:
    """Return the points of a line as strings for XDATA, exact."""
    texts = [f"{point[0]!r},{point[1]!r}" for point in points]
    return [f"{PATH}{';'.join(texts[at : at + 3])}" for at in range(0, len(texts), 3)]


def points_of(texts: Iterable[str]) -> Points:
    """Read points back; nothing where a text is no list of points."""
    found = []
    for pair in ";".join(texts).split(";"):
        x, _, y = pair.partition(",")
        try:
            found.append((float(x), float(y)))
        except ValueError:
            return ()
    return tuple(found)


def with_direction(place: Place, degrees: float = 0.0) -> Points:
    """Return the place of a list or a bubble, and its direction."""
    angle = math.radians(degrees)
    return (place, (place[0] + math.cos(angle), place[1] + math.sin(angle)))


def read_own_labels(doc: Drawing) -> tuple[OwnLabel, ...]:
    """Read the labels of an earlier run; copies, and texts whose words were changed, are the drafter's."""
    labels: list[OwnLabel | None] = []
    for layout in doc.layouts:
        marked = [e for e in layout if e.xdata is not None and e.has_xdata(APPLICATION)]
        for entity in our_entities(marked, APPLICATION):
            labels.append(_label(entity, layout.name))
            if isinstance(entity, Insert):
                labels += _labels_in(entity, layout.name)
    return tuple(label for label in labels if label is not None)


def _labels_in(reference: Insert, layout: str) -> Iterator[OwnLabel | None]:
    """Yield the texts in a block of ours that say where they were drawn, as they are seen in the drawing."""
    block, turn = reference.block(), reference.matrix44()
    for text in () if block is None else block.query("TEXT"):
        if text.has_xdata(APPLICATION):
            yield _label(text, layout, lambda p: (turn.transform((*p, 0.0)).x, turn.transform((*p, 0.0)).y))


def _label(entity: DXFEntity, layout: str, seen: Callable[[Place], Place] | None = None) -> OwnLabel | None:
    if not isinstance(entity, DXFGraphic):
        return None
    strings = [str(tag.value) for tag in entity.get_xdata(APPLICATION) if tag.code == _STRING]
    said = dict(text.partition("=")[::2] for text in strings)
    was = points_of(text.removeprefix(PATH) for text in strings if text.startswith(PATH))
    was = was or points_of([said.get(AT[:-1], "")])
    points = points_of_label(entity)
    if not was or not points or said.get("kind", "joint") == "joint":
        return None
    is_dimension = entity.dxftype() == "DIMENSION"
    text_was = points_of([said.get(TEXT_AT[:-1], "")]) if is_dimension else ()
    words = entity.text if isinstance(entity, MText) else ""
    if is_dimension or entity.dxftype() == "TEXT":
        words = str(entity.dxf.get("text", ""))
    return OwnLabel(
        said["kind"],
        said.get("number", ""),
        words if words != "<>" else "",
        tuple(map(seen, points)) if seen else points,
        was,
        _ALIGNMENTS.get(entity.dxf.get("halign", 0) if entity.dxftype() == "TEXT" else 0, "left"),
        BY_HAND in strings,
        layout,
        ((entity.dxf.text_midpoint.x, entity.dxf.text_midpoint.y), *text_was) if text_was else (),
        WORDS_BY_HAND in strings,
    )


def points_of_label(entity: DXFGraphic) -> Points:
    """Return the points by which a label is known; nothing where it has none."""
    dxf = entity.dxf
    if isinstance(entity, LWPolyline):
        return tuple((x, y) for x, y in entity.get_points("xy"))
    if isinstance(entity, Polyline):
        return tuple((x, y) for x, y, _ in entity.points())
    if isinstance(entity, Line):
        return ((dxf.start.x, dxf.start.y), (dxf.end.x, dxf.end.y))
    if isinstance(entity, MText):
        return with_direction((dxf.insert.x, dxf.insert.y), entity.get_rotation())
    if entity.dxftype() == "DIMENSION":
        return tuple((p.x, p.y) for p in (dxf.get("defpoint"), dxf.get("defpoint2")) if p is not None)
    if isinstance(entity, Insert):
        (x, y), (ahead, up) = with_direction((dxf.insert.x, dxf.insert.y), dxf.rotation)
        return ((x, y), (x + (ahead - x) * dxf.xscale, y + (up - y) * dxf.yscale))
    if entity.dxftype() != "TEXT":
        return ()
    place = (dxf.get("align_point") if dxf.get("halign", 0) else None) or dxf.insert
    return ((place.x, place.y),)
