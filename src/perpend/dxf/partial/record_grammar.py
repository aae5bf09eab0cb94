"""Which records of a DXF text are plain, and where in them the values lie that matter.

A record is plain when it is, code for code, one of those that every program writes for its kind. Programs
write few orders of codes, so that an order is examined once, and then known; of the values every number
is read, and must be one.

Glossary:
    order: the group codes of a record in their order, the 0 of its type first.
    place: the number of a tag in its record.
    plan: what is known of an order.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from perpend.dxf.xdata import APPLICATION

_OURS: Final = APPLICATION.encode("ascii")
_LOOKS: Final = r"(?:(?:6|62|370|48|420|440),)*"
"""Line type, colour, lineweight, scale: they change how a thing looks and not where it is."""

_OWNED: Final = r"5,(?:102,360,102,|102,(?:330,)*102,)*330,100,"
_HEAD: Final = rf"{_OWNED}8,{_LOOKS}100,"
_TAIL: Final = (
    r"(?:1001,(?:100[0-35],|1010,1020,1030,|1011,1021,1031,|1012,1022,1032,|1013,1023,1033,"
    r"|104[0-2],|107[01],)*)*"
)
"""Data of other programs, which says nothing to us; a record with data of ours is loaded."""

_POINT: Final = "10,20,30,"
_PATHS: Final = (
    r"(?:92,72,73,93,(?:10,20,(?:42,)?)+97,(?:330,)*"
    r"|92,93,(?:72,10,20,(?:11,21,(?:40,50,51,73,)?|40,50,51,73,))+97,(?:330,)*)+"
)
_PATTERN: Final = r"(?:52,41,77,78,(?:53,43,44,45,46,79,(?:49,)*)+)?"
_GRADIENT: Final = r"(?:450,451,460,(?:461,)?452,462,453,(?:463,63,(?:421,)?)*470,)?"

BODIES: Final[dict[bytes, str]] = {
    b"LINE": f"(?:39,)?{_POINT}11,21,31,",
    b"ARC": f"(?:39,)?{_POINT}40,100,50,51,",
    b"CIRCLE": f"(?:39,)?{_POINT}40,",
    b"LWPOLYLINE": "90,70,(?:43,)?(?:38,)?(?:39,)?(?:10,20,(?:40,)?(?:41,)?(?:42,)?(?:91,)?)+",
    b"POINT": f"(?:39,)?{_POINT}(?:50,)?",
    b"SOLID": f"(?:39,)?{_POINT}11,21,31,12,22,32,(?:13,23,33,)?",
    b"TRACE": f"(?:39,)?{_POINT}11,21,31,12,22,32,(?:13,23,33,)?",
    b"3DFACE": f"{_POINT}11,21,31,12,22,32,(?:13,23,33,)?(?:70,)?",
    b"SPLINE": (
        "(?:210,220,230,)?70,71,72,73,74,(?:42,)?(?:43,)?(?:44,)?(?:12,22,32,)?(?:13,23,33,)?"
        f"(?:40,|41,|{_POINT}|11,21,31,)+"
    ),
    b"LEADER": (
        f"(?:3,|40,|41,|7[1-7],|340,|{_POINT}|210,220,230,|211,221,231,|212,222,232,|213,223,233,)+"
    ),
    b"HATCH": (
        f"{_POINT}210,220,230,2,(?:63,)?70,71,91,{_PATHS}75,76,{_PATTERN}(?:47,)?98,(?:10,20,)*{_GRADIENT}"
    ),
    b"TEXT": f"(?:39,)?{_POINT}40,1,(?:50,|41,|51,|7,|71,|72,|11,21,31,)*100,(?:73,)?",
    b"MTEXT": f"{_POINT}40,(?:41,|46,|7[123],|3,|1,|7,|42,|43,|44,|45,|50,|90,|63,|421,|441,|210,220,230,)+",
    b"ELLIPSE": f"{_POINT}11,21,31,(?:210,220,230,)?40,41,42,",
    b"INSERT": f"(?:66,)?2,{_POINT}(?:41,)?(?:42,)?(?:43,)?(?:50,)?",
    b"DIMENSION": (
        f"(?:280,)?2,(?:{_POINT}|11,21,31,|1,|3,|4[0-2],|5[1-4],|7[0-5],)+"
        "(?:100,(?:13,23,33,|14,24,34,|15,25,35,|16,26,36,|40,|5[0-3],)*)*"
    ),
    b"ATTRIB": (
        f"(?:39,)?{_POINT}40,1,(?:50,|41,|51,|7,|71,|72,|11,21,31,)*"
        "100,(?:280,)?2,70,(?:73,)?(?:74,)?(?:280,)?(?:71,72,11,21,31,)?"
    ),
    b"POLYLINE": f"(?:66,)?{_POINT}(?:39,)?(?:70,)?(?:40,)?(?:41,)?(?:71,72,73,74,)?(?:75,)?",
    b"VERTEX": f"100,{_POINT}(?:40,)?(?:41,)?(?:42,)?(?:91,)?(?:70,)?(?:50,)?",
    b"BLOCK": f"2,70,{_POINT}3,1,",
    b"ENDBLK": "",
}  # fmt: skip
"""What follows the second subclass marker, by kind. None has an extrusion but where it does not matter."""

_MARKERS: Final[dict[bytes, tuple[bytes, ...]]] = {
    b"LINE": (b"AcDbLine",),
    b"ARC": (b"AcDbCircle", b"AcDbArc"),
    b"CIRCLE": (b"AcDbCircle",),
    b"LWPOLYLINE": (b"AcDbPolyline",),
    b"POINT": (b"AcDbPoint",),
    b"SOLID": (b"AcDbTrace",),
    b"TRACE": (b"AcDbTrace",),
    b"3DFACE": (b"AcDbFace",),
    b"SPLINE": (b"AcDbSpline",),
    b"LEADER": (b"AcDbLeader",),
    b"HATCH": (b"AcDbHatch",),
    b"TEXT": (b"AcDbText", b"AcDbText"),
    b"MTEXT": (b"AcDbMText",),
    b"INSERT": (b"AcDbBlockReference",),
    b"DIMENSION": (b"AcDbDimension",),
    b"ELLIPSE": (b"AcDbEllipse",),
    b"ATTRIB": (b"AcDbText", b"AcDbAttribute"),
    b"POLYLINE": (b"AcDb2dPolyline",),
    b"VERTEX": (b"AcDbVertex", b"AcDb2dVertex"),
    b"SEQEND": (),
    b"BLOCK": (b"AcDbBlockBegin",),
    b"ENDBLK": (b"AcDbBlockEnd",),
    b"BLOCK_RECORD": (b"AcDbBlockTableRecord",),
}
_BASE: Final = {b"BLOCK_RECORD": b"AcDbSymbolTableRecord"}
_ONCE: Final[dict[bytes, tuple[int, ...]]] = {
    b"TEXT": (40, 1, 50, 41, 71, 72, 11),
    b"ATTRIB": (40, 1, 50, 41, 71, 72, 11),
    b"MTEXT": (40, 1, 41, 71, 44, 50),
    b"DIMENSION": (2,),
}
"""Codes that must not occur twice where the body would let them."""


def _codes(*ranges: tuple[int, int]) -> npt.NDArray[np.bool_]:
    table = np.zeros(10_000, bool)
    for first, end in ranges:
        table[first:end] = True
    return table


IS_INT: Final = _codes(
    (60, 80), (90, 100), (160, 180), (270, 300), (370, 390), (400, 410), (420, 430), (440, 460), (1060, 1072)
)
IS_FLOAT: Final = _codes((10, 60), (210, 240), (460, 470), (1010, 1060))
"""Which codes promise an integer, and which another number."""

_MARKER, _GROUP, _PROGRAM = 100, 102, 1001
NAMED: Final = _codes((0, 1), (_MARKER, _MARKER + 1), (_GROUP, _GROUP + 1), (_PROGRAM, _PROGRAM + 1))
"""Codes whose values tell orders apart: types, subclass markers, groups, programs that data are of."""


@dataclass(frozen=True, slots=True)
class Plan:
    """What is known of an order.

    Attributes:
        kind: of the record.
        codes: the order.
        at: where the codes of the body stand first.
        layer: where the layer stands; -1 for none.
        owner: where the owner stands.
        points: where x stands of every corner; y follows it.
        bulges: where the bulge of each corner of a polyline stands; -1 for none.
        flags: places of flags, what to look at of them, and what it must be.
    """

    kind: bytes
    codes: tuple[int, ...]
    at: dict[int, int]
    layer: int
    owner: int
    points: tuple[int, ...]
    bulges: tuple[int, ...]
    flags: tuple[tuple[int, int, int], ...]


_PATTERNS: Final = {kind: _HEAD + body + _TAIL for kind, body in BODIES.items()} | {
    b"BLOCK_RECORD": f"{_OWNED}100,2,(?:340,)?(?:70,)?(?:280,)?(?:281,)?{_TAIL}",
    b"SEQEND": f"{_OWNED}8,{_LOOKS}{_TAIL}",
}
"""The orders of each kind."""


def plan_of(codes: tuple[int, ...], names: Mapping[int, bytes]) -> Plan | None:
    """Return the plan of an order, or None if a record of it is not plain.

    Args:
        codes: the order.
        names: what stands at every place of a code that is `NAMED`.
    """
    kind = names[0]
    pattern = _PATTERNS.get(kind)
    if pattern is None or not re.fullmatch(pattern, "".join(f"{code}," for code in codes[1:])):
        return None
    end = codes.index(_PROGRAM) if _PROGRAM in codes else len(codes)
    markers = [i for i, code in enumerate(codes[:end]) if code == _MARKER]
    start = markers[1] + 1 if markers[1:] else end
    text_end = markers[2] if kind == b"ATTRIB" else end
    if any(codes[start:text_end].count(code) > 1 for code in _ONCE.get(kind, ())):
        return None
    if not _names_fit(kind, codes, names, markers):
        return None
    checks: list[tuple[int, int, int]] = []
    body = range(start, end)
    at = {codes[i]: i for i in reversed(body)}
    if kind == b"ATTRIB":  # from 2018 on its end says 71 again: what type it is, 1 for a single line
        checks += [(i, -1, 1) for i in range(text_end, end) if codes[i] == 71]
        at = {code: i for code, i in at.items() if i < text_end or code not in _ONCE[kind]}
    corners = [i for i in body if codes[i] == 10]
    bulges: list[int] = []
    if kind == b"HATCH":
        corners, checks = _paths(codes, at[91] + 1, at[75])
    elif kind == b"LWPOLYLINE":
        bulges = _bulges(codes, [*corners, end])
    layer = codes.index(8) if 8 in codes else -1
    return Plan(kind, codes, at, layer, markers[0] - 1, tuple(corners), tuple(bulges), tuple(checks))


def _names_fit(kind: bytes, codes: tuple[int, ...], names: Mapping[int, bytes], markers: list[int]) -> bool:
    """Say whether markers and groups have the names they should, and no data are ours."""
    meant = (_BASE.get(kind, b"AcDbEntity"), *_MARKERS[kind])
    found = tuple(names[i] for i in markers)
    if found[: len(meant)] != meant or (kind != b"DIMENSION" and len(found) != len(meant)):
        return False
    for i, name in names.items():
        if codes[i] == _PROGRAM and _OURS in name.upper():
            return False
    groups = [i for i in names if codes[i] == _GROUP]
    for opening, closing in zip(groups[::2], groups[1::2], strict=True):
        wanted = b"{ACAD_XDICTIONARY" if codes[opening + 1] == 360 else b"{ACAD_REACTORS"
        if (names[opening], names[closing]) != (wanted, b"}"):
            return False
    return True


def _bulges(codes: tuple[int, ...], corners: list[int]) -> list[int]:
    """Return where the bulge of each corner stands; -1 for none."""
    return [
        next((i for i in range(start, end) if codes[i] == 42), -1)
        for start, end in itertools.pairwise(corners)
    ]


def _paths(codes: tuple[int, ...], start: int, end: int) -> tuple[list[int], list[tuple[int, int, int]]]:
    """Return where the points of the paths of a hatch stand, and what their type flags must be.

    Of the edges only straight ones have ends.
    """
    points: list[int] = []
    checks: list[tuple[int, int, int]] = []
    at = start
    while at < end:
        if codes[at] == 92:
            as_polyline = codes[at + 1] == 72
            checks.append((at, 2, 2 if as_polyline else 0))
            at += 3 if as_polyline else 2
            continue
        if codes[at] == 72:
            after = codes[at + 3 : at + 6]
            kind = 2 if after[0] == 40 else 3 if after[2] == 40 else 1
            checks.append((at, -1, kind))
            points += (at + 1, at + 3) if kind == 1 else ()
            at += {1: 5, 2: 7, 3: 9}[kind]
            continue
        if codes[at] == 10:
            points.append(at)
        at += 1
    return points, checks
