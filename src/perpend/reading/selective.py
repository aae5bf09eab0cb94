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
from typing import TYPE_CHECKING, Final
from weakref import WeakKeyDictionary

if TYPE_CHECKING:
    from ezdxf.document import Drawing

Arc = tuple[float, float, float, float, float]
"""Centre x and y, radius, start and end angle in degrees; a circle goes from 0 to 0."""

_RELEASES: Final = re.compile(rb"\$ACADVER\r?\n[ \t]*1\r?\nAC10(?:15|18|21|24|27|32)\r?\n")
_SEED: Final = re.compile(rb"\$HANDSEED\r?\n[ \t]*5\r?\n[ \t]*([0-9A-Fa-f]{1,15})[ \t]*\r?\n")
_ENTITIES: Final = re.compile(rb"(?<=\n)[ \t]*0\r?\nSECTION\r?\n[ \t]*2\r?\nENTITIES\r?\n")
_ENDSEC: Final = re.compile(rb"(?<=\n)[ \t]*0\r?\nENDSEC\r?\n")


def _tag(code: str, value: str) -> str:
    return rf"[ \t]*{code}\r?\n{value}\r?\n"


_NUMBER: Final = r"[ \t]*[-+]?[0-9]+(?:\.[0-9]*)?(?:[eE][-+]?[0-9]+)?[ \t]*"
_LAYER: Final = r"([!-\[\]-~](?:[ -\[\]-~]*[!-\[\]-~])?)"
_HEAD: Final = (
    _tag("5", r"([0-9A-Fa-f]{1,15})")
    + _tag("330", r"([0-9A-Fa-f]{1,15})")
    + _tag("100", "AcDbEntity")
    + _tag("8", _LAYER)
    + f"(?:{_tag('(?:6|62|370|48|420|440)', r'[^\r\n]*+')})*+"
)
_POINT: Final = _tag("10", f"({_NUMBER})") + _tag("20", f"({_NUMBER})") + _tag("30", _NUMBER)
_END_POINT: Final = _tag("11", f"({_NUMBER})") + _tag("21", f"({_NUMBER})") + _tag("31", _NUMBER)
_CORNERS: Final = f"((?:{_tag('10', _NUMBER)}{_tag('20', _NUMBER)})++)"
_ANGLES: Final = _tag("100", "AcDbArc") + _tag("50", f"({_NUMBER})") + _tag("51", f"({_NUMBER})")
_ROUND: Final = _tag("100", "AcDbCircle") + _POINT + _tag("40", f"({_NUMBER})")
_BODIES: Final = {
    "LINE": _tag("100", "AcDbLine") + _POINT + _END_POINT,
    "LWPOLYLINE": _tag("100", "AcDbPolyline")
    + _tag("90", "[ \t]*[0-9]+[ \t]*")
    + _tag("70", "[ \t]*([0-9]{1,4})[ \t]*")
    + f"(?:{_tag('43', _NUMBER)})?+"
    + _CORNERS,
    "ARC": _ROUND + _ANGLES,
    "CIRCLE": _ROUND,
}
_PLAIN: Final = {
    kind: re.compile(
        (rf"(?<=\n)[ \t]*0\r?\n{kind}\r?\n" + _HEAD + body + r"(?=[ \t]*0\r?\n[A-Z])").encode("ascii")
    )
    for kind, body in _BODIES.items()
}


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
    span = _entities_of(data)
    if span is None:
        return None
    out, spans = LeftOut(), []
    for kind, pattern in _PLAIN.items():
        if _take(kind, pattern, data, span, has_role, out, spans):
            continue
        return None
    seed = _SEED.search(data, 0, span[0])
    if not spans or seed is None or max(out.handles) >= int(seed[1], 16):
        return None
    if len(set(out.handles)) != len(out.handles) or len(out.owners) != 1:
        return None
    return _rest(data, spans), out


def proven(doc: Drawing, out: LeftOut) -> bool:
    """Say whether a document, loaded without them, is what it would be with them; then remember them."""
    database = doc.entitydb
    owner = doc.modelspace().layout_key.encode("ascii")
    if {name.upper() for name in out.owners} != {owner.upper()}:
        return False
    if any(f"{handle:X}" in database for handle in out.handles):
        return False
    _LEFT_OUT[doc] = out
    return True


def _entities_of(data: bytes) -> tuple[int, int] | None:
    """Return where the records of the ENTITIES section lie, if the text is what we know."""
    if data.count(b"\r") not in (0, data.count(b"\r\n")) or b"PERPEND" in data:
        return None
    starts = list(_ENTITIES.finditer(data))
    if len(starts) != 1 or len(_RELEASES.findall(data, 0, starts[0].start())) != 1:
        return None
    end = _ENDSEC.search(data, starts[0].end() - 1)
    return (starts[0].end(), end.start()) if end else None


def _take(
    kind: str,
    pattern: re.Pattern[bytes],
    data: bytes,
    span: tuple[int, int],
    has_role: Callable[[str], bool],
    out: LeftOut,
    spans: list[tuple[int, int]],
) -> bool:
    """Leave out the records of one kind; False when a number in them is beyond reading."""
    layers: dict[bytes, Shown | None] = {}
    add = _ADD[kind]
    start = span[0] - 1
    for match in pattern.finditer(data, start, span[1] + 16):
        handle, owner, layer, *rest = match.groups()
        if layer not in layers:
            name = layer.decode("ascii")
            layers[layer] = None if has_role(name) else out.shown.setdefault(name, Shown())
        shown = layers[layer]
        if shown is None:
            continue
        add(shown, rest)
        out.handles.append(int(handle, 16))
        out.owners.add(owner)
        spans.append(match.span())
    return True


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
    shown.arcs.append((x, y, radius, 0.0, 0.0))


_ADD: Final[dict[str, Callable[[Shown, list[bytes]], None]]] = {
    "LINE": _add_line,
    "LWPOLYLINE": _add_polyline,
    "ARC": _add_arc,
    "CIRCLE": _add_circle,
}
