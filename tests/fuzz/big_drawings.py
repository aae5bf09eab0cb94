"""Large drawings written as plain text: what must stay within the bounds, or be refused with a sentence.

``python -m fuzz.big_drawings FOLDER [NAME ...]`` writes them.
"""

from __future__ import annotations

import io
import itertools
import re
import sys
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

import ezdxf

WALL, OPENING, JOINT, NOTES = "A-ELEV-WALL", "A-ELEV-OPNG", "A-ELEV-JNTC", "A-ANNO-NOTE"
_FIRST_HANDLE = 0x10000


def _line(x0: float, y0: float, x1: float, y1: float, layer: str) -> str:
    places = f" 10\n{x0:g}\n 20\n{y0:g}\n 11\n{x1:g}\n 21\n{y1:g}\n"
    return f"  0\nLINE\n100\nAcDbEntity\n  8\n{layer}\n100\nAcDbLine\n{places}"


def _path(points: Iterable[tuple[float, float]], layer: str, *, closed: bool = False) -> str:
    vertices = [f" 10\n{x:g}\n 20\n{y:g}\n" for x, y in points]
    return (
        f"  0\nLWPOLYLINE\n100\nAcDbEntity\n  8\n{layer}\n100\nAcDbPolyline\n 90\n{len(vertices)}\n"
        f" 70\n{int(closed)}\n{''.join(vertices)}"
    )


def _box(x: float, y: float, wide: float, high: float, layer: str) -> str:
    corners = [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]
    return _path(corners, layer, closed=True)


def _text(words: str, x: float, y: float) -> str:
    place = f" 10\n{x:g}\n 20\n{y:g}\n 40\n6\n"
    return f"  0\nTEXT\n100\nAcDbEntity\n  8\n{NOTES}\n100\nAcDbText\n{place}  1\n{words}\n100\nAcDbText\n"


def _duplicate_lines() -> Iterator[str]:
    yield _box(0, 0, 480, 120, WALL)
    yield from (_line(40, 20, 80, 20, OPENING) for _ in range(8000))


def _crossing_lines() -> Iterator[str]:
    yield _box(0, 0, 480, 120, WALL)
    yield from (_line(i / 2, 0, i / 2, 110, OPENING) for i in range(800))
    yield from (_line(0, i / 10, 400, i / 10, OPENING) for i in range(800))


def _long_polyline(layer: str) -> Iterator[str]:
    yield _box(0, 0, 480, 120, WALL)
    yield _path(((i % 1000 / 10, 20 + i // 1000 / 50) for i in range(1_000_000)), layer)


def _heap_of_walls() -> Iterator[str]:
    yield from (_box(i * 2, i % 7, 480, 120, WALL) for i in range(1000))


def _many_outlines() -> Iterator[str]:
    yield from (_box(i % 200 * 30, i // 200 * 30, 20, 20, WALL) for i in range(20_000))


def _overlapping_openings() -> Iterator[str]:
    yield _box(0, 0, 48_000, 120, WALL)
    yield from (_box(5 + i / 100, 5, 20, 20, OPENING) for i in range(3000))


def _many_texts() -> Iterator[str]:
    yield _box(0, 0, 4800, 120, WALL)
    yield from (_text(f"N{i}", i % 4000, i % 110) for i in range(30_000))


def _dense_joints() -> Iterator[str]:
    yield _box(0, 0, 480, 120, WALL)
    yield from (_line(100 + i / 100, 0, 100 + i / 100, 120, JOINT) for i in range(3000))


def _jagged_joint() -> Iterator[str]:
    yield _box(0, 0, 48_000, 2400, WALL)
    yield _path(((i * 2 + 20_000, i % 2 * 2400) for i in range(4000)), JOINT)


def _jagged_wall() -> Iterator[str]:
    teeth = [(i / 20, 120.0 + i % 2) for i in range(19_000)]
    yield _path([*teeth, (950, 0), (0, 0)], WALL, closed=True)


def many_walls() -> Iterator[str]:
    """Yield a sheet of 300 walls with a door, a window and a mark each."""
    for i in range(300):
        x, y = i % 15 * 600, i // 15 * 300
        yield _box(x, y, 480, 120, WALL) + _box(x + 100, y, 40, 84, OPENING)
        yield _box(x + 240, y + 40, 60, 40, OPENING) + _text(f"W{i}", x + 20, y + 100)


def many_joints() -> Iterator[str]:
    """Yield 20 walls with 100 joints each."""
    for row in range(20):
        yield _box(0, row * 400, 48_000, 120, WALL)
        yield from (
            _line(240 + i * 470, row * 400, 240 + i * 470, row * 400 + 120, JOINT) for i in range(100)
        )


def many_openings() -> Iterator[str]:
    """Yield 5,000 openings in 20 rows of one wall."""
    yield _box(0, 0, 24_000, 2400, WALL)
    for row in range(20):
        yield from (_box(30 + i * 95, 30 + row * 115, 40, 60, OPENING) for i in range(250))


DRAWINGS: dict[str, Callable[[], Iterator[str]]] = {
    "duplicate-lines": _duplicate_lines,
    "crossing-lines": _crossing_lines,
    "long-opening": lambda: _long_polyline(OPENING),
    "long-joint": lambda: _long_polyline(JOINT),
    "long-note": lambda: _long_polyline(NOTES),
    "heap-of-walls": _heap_of_walls,
    "many-outlines": _many_outlines,
    "overlapping-openings": _overlapping_openings,
    "many-texts": _many_texts,
    "dense-joints": _dense_joints,
    "jagged-joint": _jagged_joint,
    "jagged-wall": _jagged_wall,
    "many-walls": many_walls,
    "many-joints": many_joints,
    "many-openings": many_openings,
}


def write(name: str, folder: Path) -> Path:
    """Write one of the drawings and return where it is."""
    place = folder / f"{name}.dxf"
    document = ezdxf.new("R2000")
    document.header["$INSUNITS"] = 1
    stream = io.StringIO()
    document.write(stream)
    handles = itertools.count(_FIRST_HANDLE)
    owner = document.modelspace().layout_key
    entities = re.sub(
        r"  0\n([A-Z]+)\n",
        lambda found: f"{found[0]}  5\n{next(handles):X}\n330\n{owner}\n",
        "".join(DRAWINGS[name]()),
    )
    text = stream.getvalue().replace("ENTITIES\n", f"ENTITIES\n{entities}", 1)
    text = re.sub(r"(\$HANDSEED\n *5\n)[0-9A-F]+", rf"\g<1>{next(handles):X}", text)
    place.write_text(text, encoding="ascii")
    return place


if __name__ == "__main__":
    for each in sys.argv[2:] or DRAWINGS:
        print(write(each, Path(sys.argv[1])))
