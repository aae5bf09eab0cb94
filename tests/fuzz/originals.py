"""Sound drawings and texts that mutants are made of."""

from __future__ import annotations

import gzip
import json
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path

from perpend.folders.orders import Outcome, State
from reading import zoo
from reading.fuzz import NASTY, rich, seeds, trimmed

SETTINGS = b"""\
rulebook = "us-cmu"
units_of_drawing = "in"
layer_prefix = "A-ELEV-JNTC"

[layers]
walls = ["A-ELEV-WALL*", "*WALL*"]

[defaults]
method = "empirical"
module = "8in"
shelf_angles = ["10ft", "12'-6\\""]
joint_width = "3/8in"

[[walls]]
tag = "W1"
left_end = "free"

[[openings]]
tag = "D*"
width_from = "3ft"
treatment = "reinforced"

[text]
plot_scale = 96
height = "3/32in"

[site]
location = "north"

[severities]
corner-distance = "advisory"
"""
WAIVERS = b"""\
[[waivers]]
fingerprint = "3f0c6a51d2b84e97"
reason = "Existing joint, agreed on site."
who = "R. Oduya"
until = 2027-06-30
"""
WORDS = [
    *NASTY,
    b"\x1b[2J",
    b"\xe2\x80\xae",
    b'"""',
    b"[[",
    b"]]",
    b"=",
    b"1" * 5000,
    b"[" * 3000,
    b"{" * 300,
    b"*" * 3000,
    b"9999-99-99",
    b"-1ft",
    b"1e400in",
    b"1/0in",
    b"'",
    b"#",
    b"\r",
    b"null",
    b"true",
    b"\xed\xa0\x80",
]
"""What is put into settings, waivers and records."""


def drawings(folder: Path) -> list[bytes]:
    """Return small drawings: those of the reader's tests, and some with our joints and marks in them.

    The last two are thirty times as large as the others.
    """
    small = seeds(folder)
    wall = judged(zoo.from_lines(folder / "wall.dxf"), folder)
    large = judged(rich(folder), folder)
    return [*small, trimmed(wall), trimmed(large), large]


def judged(drawing: Path, folder: Path) -> bytes:
    """Return a drawing with joints and marks of ours."""
    from perpend import annotate, check

    annotate(drawing, folder / "placed.dxf", overwrite=True)
    check(folder / "placed.dxf", folder / "judged.dxf", overwrite=True)
    return (folder / "judged.dxf").read_bytes()


def records() -> bytes:
    """Return the record of a batch as perpend writes it."""
    outcome = Outcome("a.dxf", State.CLEAN, fingerprint="f", schedule=(("W1", 1, 2.0, "x", "k", "t", "r"),))
    return (json.dumps({"form": 4, **asdict(outcome)}) + "\n").encode() * 3


def corpus() -> Iterator[tuple[str, bytes]]:
    """Yield the damaged drawings that once went wrong, one of each class, by name."""
    for place in sorted(Path(__file__).with_name("corpus").iterdir()):
        data = place.read_bytes()
        yield place.name, gzip.decompress(data) if place.suffix == ".gz" else data
