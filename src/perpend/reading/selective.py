"""Most of a drawing is not ours: plain lines on layers without a role are kept from ezdxf.

They matter only as something that a label should not lie on, so their ends are taken from the text and
the rest of the drawing is loaded without them. What is left out is a record of modelspace that is, line
for line, a LINE, LWPOLYLINE, ARC or CIRCLE as every program writes it; whatever has anything more (extended
data, a reactor, a bulge, a thickness) goes to ezdxf. Where the text leaves any doubt nothing is left out.

Why the pattern can't be misled: tags alternate code and value lines, and a code is an integer. ``LINE`` is
none, so the line before it is its code; from there on the pattern goes tag by tag up to the next code 0.
"""

from __future__ import annotations

import re
from array import array
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING, Final
from weakref import WeakKeyDictionary

if TYPE_CHECKING:
    from ezdxf.document import Drawing

Arc = tuple[float, float, float, float, float | None]
"""Centre x and y, radius, start and end angle in degrees; a circle has no end."""

_RELEASES: Final = re.compile(rb"\$ACADVER\r?\n[ \t]*1\r?\nAC10(?:15|18|21|24|27|32)\r?\n")
_SEED: Final = re.compile(rb"\$HANDSEED\r?\n[ \t]*5\r?\n[ \t]*([0-9A-Fa-f]{1,15})[ \t]*\r?\n")
_ENTITIES: Final = re.compile(rb"SECTION\r?\n[ \t]*2\r?\nENTITIES\r?\n")


_NUMBER: Final = r"[ \t]*[-+]?[0-9]+(?:\.[0-9]*)?(?:[eE][-+]?[0-9]+)?[ \t]*"
_GIVEN: Final = f"({_NUMBER})"
_HANDLE: Final = "([0-9A-Fa-f]{1,15})"
_LAYER: Final = r"([!-\[\]-~](?:[ -\[\]-~]*[!-\[\]-~])?)"
_LOOKS: Final = "(?:6|62|370|48|420|440)"
"""Line type, colour, lineweight, scale: they change how a line looks and not where it is."""

Tags = tuple[tuple[str, str], ...]
_POINT: Final = (("10", _GIVEN), ("20", _GIVEN), ("30", _NUMBER))
_ROUND: Final = (("100", "AcDbCircle"), *_POINT, ("40", _GIVEN))
_BODIES: Final[dict[str, Tags]] = {
    "LINE": (("100", "AcDbLine"), *_POINT, ("11", _GIVEN), ("21", _GIVEN), ("31", _NUMBER)),
    "ARC": (*_ROUND, ("100", "AcDbArc"), ("50", _GIVEN), ("51", _GIVEN)),
    "CIRCLE": _ROUND,
    "LWPOLYLINE": (("100", "AcDbPolyline"), ("90", "[ \t]*[0-9]+"), ("70", "[ \t]*([0-9]{1,4})")),
}


@lru_cache
def _plain(kind: str, newline: str, blanks: str) -> re.Pattern[bytes]:
    """Return what a plain record looks like, from the line end before it to that behind it.

    Everything starts with a long literal, which is looked for fast.
    """

    def tags(*pairs: tuple[str, str]) -> str:
        return "".join(rf"{newline}[ \t]*{code}{newline}{value}" for code, value in pairs)

    head = (("5", _HANDLE), ("330", _HANDLE), ("100", "AcDbEntity"), ("8", _LAYER))
    looks = "(?:" + tags((_LOOKS, r"[^\r\n]*+")) + ")*+"
    corners = ""
    if kind == "LWPOLYLINE":
        corner = tags(("10", _NUMBER), ("20", _NUMBER))
        corners = f"(?:{tags(('43', _NUMBER))})?+((?:{corner})++)"
    text = f"{newline}{blanks}0{newline}{kind}" + tags(*head) + looks + tags(*_BODIES[kind]) + corners
    return re.compile((text + rf"(?={newline}{blanks}0{newline}[A-Z])").encode("ascii"))


@dataclass(slots=True)
class Shown:
    """What the records left out show on one layer, in drawing axes and units.

    Attributes:
        lines: ends of straight pieces, four numbers each.
        arcs: arcs and circles.
    """

    lines: array[float] = field(default_factory=lambda: array("d"))
    arcs: list[Arc] = field(default_factory=list)


@dataclass(slots=True)
class LeftOut:
    """The records that were left out of a text.

    Attributes:
        shown: what they show, by layer.
        handles: their handles.
        owners: the handles of what they belong to.
    """

    shown: dict[str, Shown] = field(default_factory=dict)
    handles: list[int] = field(default_factory=list)
    owners: set[bytes] = field(default_factory=set)
    _by_name: dict[bytes, Shown | None] = field(default_factory=dict)

    def of_layer(self, layer: bytes, has_role: Callable[[str], bool]) -> Shown | None:
        """Return where to keep what a layer shows; None for one that is to be read."""
        if layer not in self._by_name:
            name = layer.decode("ascii")
            self._by_name[layer] = None if has_role(name) else self.shown.setdefault(name, Shown())
        return self._by_name[layer]


_LEFT_OUT: Final[WeakKeyDictionary[Drawing, LeftOut]] = WeakKeyDictionary()


def left_out_of(doc: Drawing) -> Mapping[str, Shown]:
    """Return what a document does not hold although its drawing does, by layer; mostly nothing."""
    found = _LEFT_OUT.get(doc)
    return found.shown if found else {}


def without_plain_lines(data: bytes, has_role: Callable[[str], bool]) -> tuple[bytes, LeftOut] | None:
    """Leave the plain lines of layers without a role out of a drawing's text.

    Args:
        data: an ASCII DXF text.
        has_role: says whether what is on a layer is to be read.

    Returns:
        The rest of the text and what was left out; None where nothing can be left out, or there is doubt.
    """
    newline = _newline_of(data)
    span = _entities_of(data) if newline else None
    if newline is None or span is None:
        return None
    blanks = re.compile(rb"[ \t]*").match(data, span[0])
    assert blanks is not None  # it fits nothing as well
    out, spans = LeftOut(), []
    for kind, add in _ADD.items():
        pattern = _plain(kind, newline, blanks[0].decode("ascii"))
        for match in pattern.finditer(data, span[0] - len(newline) // 2, span[1] + 8):
            handle, owner, layer, *numbers = match.groups()
            shown = out.of_layer(layer, has_role)
            if shown is not None:
                add(shown, numbers)
                out.handles.append(int(handle, 16))
                out.owners.add(owner.upper())
                spans.append(match.span())
    seed = _SEED.search(data, 0, span[0])
    if not spans or seed is None or max(out.handles) >= int(seed[1], 16):
        return None
    if len(set(out.handles)) != len(out.handles) or len(out.owners) != 1:
        return None
    return _rest(data, spans), out


def _newline_of(data: bytes) -> str | None:
    """Return the one line end of a text as a pattern."""
    pairs = data.count(b"\r\n")
    if data.count(b"\r") != pairs or pairs not in (0, data.count(b"\n")):
        return None
    return r"\r\n" if pairs else r"\n"


def proven(doc: Drawing, out: LeftOut) -> bool:
    """Say whether a document, loaded without them, is what it would be with them; then remember them."""
    database = doc.entitydb
    owner = doc.modelspace().layout_key.encode("ascii")
    if out.owners != {owner.upper()}:
        return False
    if any(f"{handle:X}" in database for handle in out.handles):
        return False
    _LEFT_OUT[doc] = out
    return True


def _entities_of(data: bytes) -> tuple[int, int] | None:
    """Return where the records of the ENTITIES section lie, if the text is what we know."""
    if b"PERPEND" in data:
        return None
    starts = list(_ENTITIES.finditer(data))
    if len(starts) != 1 or len(_RELEASES.findall(data, 0, starts[0].start())) != 1:
        return None
    end = data.find(b"ENDSEC", starts[0].end())
    return (starts[0].end(), end) if end != -1 else None


def _rest(data: bytes, spans: list[tuple[int, int]]) -> bytes:
    """Return the text without spans that do not overlap."""
    view, pieces, at = memoryview(data), [], 0
    for start, end in sorted(spans):
        if start > at:
            pieces.append(view[at:start])
        at = end
    pieces.append(view[at:])
    return b"".join(pieces)


def _add_line(shown: Shown, numbers: list[bytes]) -> None:
    shown.lines.extend(map(float, numbers))


def _add_polyline(shown: Shown, found: list[bytes]) -> None:
    flags, corners = found
    numbers = list(map(float, corners.split()[1::2]))
    if int(flags) & 1 and len(numbers) > 4:
        numbers += numbers[:2]
    for i in range(0, len(numbers) - 2, 2):
        shown.lines.extend(numbers[i : i + 4])


def _add_arc(shown: Shown, numbers: list[bytes]) -> None:
    x, y, radius, start, end = map(float, numbers)
    shown.arcs.append((x, y, radius, start, end))


def _add_circle(shown: Shown, numbers: list[bytes]) -> None:
    x, y, radius = map(float, numbers)
    shown.arcs.append((x, y, radius, 0.0, None))


_ADD: Final[dict[str, Callable[[Shown, list[bytes]], None]]] = {
    "LINE": _add_line,
    "LWPOLYLINE": _add_polyline,
    "ARC": _add_arc,
    "CIRCLE": _add_circle,
}
