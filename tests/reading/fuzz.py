"""Mutated drawings against the reader: ``python -m reading.fuzz COUNT SEED [--keep FOLDER]``.

Runs in a process of its own, so that its memory and its signals are its own. Prints one JSON object:
how many mutants were read and refused, the slowest, the peak memory, and every failure (an error that
is no sentence, or a mutant that took longer than the limit).
"""

from __future__ import annotations

import json
import random
import re
import signal
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from perpend.dxf.load import load_bytes
from perpend.errors import InputError
from perpend.gc_tuning import collect_rarely
from perpend.reading import ReadingOptions
from perpend.reading.reader import read_loaded
from perpend.reading.survey.layer_survey import survey_layers
from reading import zoo

MOST_SECONDS = 5
NASTY = [
    b"nan",
    b"inf",
    b"-inf",
    b"1e308",
    b"-1e308",
    b"1e-320",
    b"0",
    b"-1",
    b"65536",
    b"2147483648",
    b"99999999999999999999",
    b"",
    b"A",
    b"\xff\xfe",
    b"\\U+D800",
    b"A-ELEV-WALL",
    b"A-ELEV-OPNG",
    b"*Model_Space",
    b"0.0000001",
    b"1e9",
]
CODES = [
    b"0",
    b"2",
    b"8",
    b"10",
    b"20",
    b"11",
    b"21",
    b"42",
    b"70",
    b"90",
    b"100",
    b"330",
    b"5",
    b"1000",
    b"-5",
    b"999",
]

_ASKED_FOR_BY_NOBODY = re.compile(
    rb"  9\n\$(?!ACADVER|DWGCODEPAGE|HANDLING|HANDSEED|INSUNITS|LTSCALE|LUNITS|MEASUREMENT|EXTMIN|DIMTXT)"
    rb"\w+\n(?: *[1-8]\d*\n.*\n)+"
)
"""A variable of a header, its name and its values."""


def seeds(folder: Path) -> list[bytes]:
    """Small drawings with every kind of entity that the reader looks into."""
    drawings = [zoo.plain(folder / "r12.dxf", version="R12"), zoo.from_lines(folder / "lines.dxf")]
    drawings += [zoo.nested_blocks(folder / "nested.dxf"), zoo.attribute_tags(folder / "attribs.dxf")]
    drawings += [
        zoo.hatched(folder / "hatch.dxf"),
        zoo.plain(folder / "bin.dxf", "bin", version="R12"),
        rich(folder),
    ]
    return [trimmed(d.read_bytes()) for d in drawings]


def rich(folder: Path) -> Path:
    """One drawing with curves, arrays, joints, places and levels."""
    pen = zoo.Pen(version="R2000")
    rows = [(0, 0, 0), (480, 0, 0), (480, 120, 0), (240, 180, 0.2), (0, 120, 0)]
    pen.space.add_lwpolyline(rows, format="xyb", close=True, dxfattribs={"layer": zoo.WALL})
    pen.space.add_circle((60, 60), 20, dxfattribs={"layer": zoo.OPENING})
    pen.space.add_ellipse((120, 60), (20, 0), 0.5, dxfattribs={"layer": zoo.OPENING})
    spline = pen.space.add_spline(
        [(160, 40), (200, 40), (200, 80), (160, 80), (160, 40)], dxfattribs={"layer": zoo.OPENING}
    )
    spline.closed = True
    pen.path([(220, 0), (220, 80), (260, 80), (260, 0)], zoo.OPENING)
    window = pen.doc.blocks.new("WINDOW-A")
    window.add_lwpolyline([(0, 0), (20, 0), (20, 30), (0, 30)], close=True, dxfattribs={"layer": zoo.OPENING})
    pen.space.add_blockref("WINDOW-A", (300, 20), dxfattribs={"column_count": 3, "column_spacing": 40})
    pen.line((280, 0), (280, 150), zoo.JOINT)
    pen.line((100, 0), (100, 120), "A-ELEV-PILR")
    pen.line((0, 96), (480, 96), "A-ELEV-SUPT")
    pen.box((0, 100, 480, 108), "A-ELEV-BBEM")
    pen.text("W1", (30, 100))
    pen.space.add_mtext("D1", dxfattribs={"insert": (240, 40), "char_height": 6})
    return pen.save(folder / "rich.dxf")


def trimmed(data: bytes) -> bytes:
    """Leave out what only costs time: CLASSES, OBJECTS, and the header's variables that nobody asks for."""
    data = _ASKED_FOR_BY_NOBODY.sub(b"", data)
    for name in (b"CLASSES", b"OBJECTS"):
        start = data.find(b"  0\nSECTION\n  2\n" + name)
        if start >= 0:
            end = data.index(b"  0\nENDSEC\n", start) + len(b"  0\nENDSEC\n")
            data = data[:start] + data[end:]
    return data


def mutate(data: bytes, rng: random.Random) -> bytes:
    """Change a drawing in one to four places."""
    for _ in range(rng.choice((1, 1, 1, 2, 4))):
        data = rng.choice(MUTATIONS)(data, rng) or b"0"
    return data


def _lines(data: bytes) -> list[bytes]:
    return data.split(b"\n")


def _at(lines: list[bytes], rng: random.Random, odd: int) -> int:
    """Choose a group code (0) or a value (1), mostly in the entities and blocks."""
    low = 0
    if rng.random() < 0.8:
        low = next((i for i, line in enumerate(lines) if line.strip() in (b"BLOCKS", b"ENTITIES")), 0)
    index = rng.randrange(low, max(low + 1, len(lines) - 2))
    return min(len(lines) - 1, index - index % 2 + odd)


def _nasty_value(data: bytes, rng: random.Random) -> bytes:
    lines = _lines(data)
    lines[_at(lines, rng, 1)] = rng.choice(NASTY)
    return b"\n".join(lines)


def _nasty_code(data: bytes, rng: random.Random) -> bytes:
    lines = _lines(data)
    lines[_at(lines, rng, 0)] = rng.choice(CODES)
    return b"\n".join(lines)


def _swap(data: bytes, rng: random.Random) -> bytes:
    lines = _lines(data)
    odd = rng.randrange(2)
    a, b = _at(lines, rng, odd), _at(lines, rng, odd)
    lines[a], lines[b] = lines[b], lines[a]
    return b"\n".join(lines)


def _drop(data: bytes, rng: random.Random) -> bytes:
    lines = _lines(data)
    start = _at(lines, rng, rng.randrange(2))
    del lines[start : start + rng.choice((1, 2, 2, 8, 40))]
    return b"\n".join(lines)


def _repeat(data: bytes, rng: random.Random) -> bytes:
    lines = _lines(data)
    start = _at(lines, rng, 0)
    piece = lines[start : start + rng.choice((2, 2, 10, 60))]
    return b"\n".join(lines[:start] + piece * rng.choice((1, 2, 50)) + lines[start:])


def _cut(data: bytes, rng: random.Random) -> bytes:
    kept = data[: rng.randrange(len(data))]
    return kept + b"\n  0\nENDSEC\n  0\nEOF\n" if rng.random() < 0.5 else kept


def _bytes(data: bytes, rng: random.Random) -> bytes:
    changed = bytearray(data)
    for _ in range(rng.choice((1, 3, 20))):
        changed[rng.randrange(len(changed))] = rng.randrange(256)
    return bytes(changed)


MUTATIONS: list[Callable[[bytes, random.Random], bytes]] = [
    _nasty_value,
    _nasty_value,
    _nasty_value,
    _nasty_code,
    _swap,
    _drop,
    _repeat,
    _cut,
    _bytes,
]


class _TooSlowError(Exception):
    """Raised by the alarm."""


def _alarm(*_: object) -> None:
    raise _TooSlowError


def run(count: int, seed: int, keep: Path | None = None) -> dict[str, object]:
    """Read so many mutants and say what came of them."""
    signal.signal(signal.SIGALRM, _alarm)
    warnings.simplefilter("ignore")
    rng = random.Random(seed)
    tally: Counter[str] = Counter()
    failures: list[str] = []
    slowest = 0.0
    with tempfile.TemporaryDirectory() as folder:
        originals = seeds(Path(folder))
    for number in range(count):
        data = mutate(rng.choice(originals), rng)
        start = time.perf_counter()
        signal.alarm(MOST_SECONDS)
        outcome = one(data, survey=number % 10 == 0)
        signal.alarm(0)
        slowest = max(slowest, time.perf_counter() - start)
        tally[outcome if outcome in ("read", "refused") else "failed"] += 1
        if outcome not in ("read", "refused"):
            failures.append(f"mutant {number}: {outcome}")
            if keep is not None:
                (keep / f"mutant-{seed}-{number}.dxf").write_bytes(data)
    return {
        "seed": seed,
        **tally,
        "slowest_s": round(slowest, 2),
        "peak_mb": round(peak_mb()),
        "failures": failures[:20],
    }


def peak_mb() -> float:
    """Return the most memory this process ever held, megabytes.

    getrusage is no use here: on Linux its figure survives exec, so a child reports at least what its parent
    held. VmHWM belongs to the program itself.
    """
    for line in Path("/proc/self/status").read_text().splitlines():
        if line.startswith("VmHWM:"):
            return int(line.split()[1]) / 1024
    raise OSError("/proc/self/status names no VmHWM")


def forget_peak() -> None:
    """Let `peak_mb` begin anew."""
    Path("/proc/self/clear_refs").write_text("5")


def one(data: bytes, *, survey: bool) -> str:
    """Read one mutant: ``read``, ``refused`` with a sentence, or what went wrong."""
    path = Path("mutant.dxf")
    try:
        loaded = load_bytes(path, data)
        if survey:
            survey_layers(loaded.doc)
        read_loaded(loaded, ReadingOptions())
    except InputError as error:
        sentence = str(error)
        return (
            "refused"
            if "\n" not in sentence and 20 < len(sentence) < 1000
            else f"not a sentence: {sentence!r}"
        )
    except _TooSlowError:
        return "took too long: " + traceback.format_exc().splitlines()[-3]
    except BaseException as error:
        where = traceback.extract_tb(error.__traceback__)[-1]
        ours = [f for f in traceback.extract_tb(error.__traceback__) if "perpend" in f.filename][-1]
        places = f"{where.filename}:{where.lineno}, ours {ours.filename}:{ours.lineno}"
        return f"{type(error).__name__}: {error} at {places}"
    return "read"


if __name__ == "__main__":
    collect_rarely()
    folder = Path(sys.argv[4]) if len(sys.argv) > 4 else None
    print(json.dumps(run(int(sys.argv[1]), int(sys.argv[2]), folder), indent=1))
