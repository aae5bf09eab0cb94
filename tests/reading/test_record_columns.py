"""Columns of records hold what ezdxf reads, bit for bit, however a program writes its numbers and codes."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from pathlib import Path
from typing import Final

import pytest

from cli.drawings import add_box, new_drawing
from perpend.dxf.load import LoadedDrawing
from perpend.dxf.partial import record_columns
from perpend.dxf.partial.record_columns import IrregularPartError, Scanner, find_end
from perpend.dxf.partial.skipped_records import left_out_of
from perpend.reading import ReadingOptions, load_drawing
from perpend.reading.gather.load_by_role import load_selected
from reading.clutter import add_clutter
from reading.test_selective_mutants import outcome

pytestmark = pytest.mark.usefixtures("small_ones_too")

OPTIONS: Final = ReadingOptions()


def drawing(path: Path) -> bytes:
    doc = new_drawing()
    add_box(doc, (0, 0, 960, 144), "A-ELEV-WALL")
    add_clutter(doc, rounds=2)
    doc.saveas(path)
    return path.read_bytes()


def selected(path: Path) -> LoadedDrawing:
    return load_selected(path, OPTIONS)


def with_lines(data: bytes, change: Callable[[bytes, bytes], tuple[bytes, bytes]]) -> bytes:
    """Change codes and values of BLOCKS and ENTITIES."""
    lines = data.split(b"\n")
    first, last = lines.index(b"BLOCKS") + 1, lines.index(b"OBJECTS") - 2
    for i in range(first, last, 2):
        lines[i], lines[i + 1] = change(lines[i], lines[i + 1])
    return b"\n".join(lines)


def odd_numbers(data: bytes) -> bytes:
    """Write numbers as no two programs do."""
    chance = random.Random(3)

    def change(code: bytes, value: bytes) -> tuple[bytes, bytes]:
        if 10 <= int(code) < 60:
            x = float(value)
            forms = [b"%.17e" % x, b"  " + value, value + b" ", repr(x).encode(), b"%.20f" % x, b"%.25f" % x]
            return code, chance.choice([*forms, b"+%r" % abs(x) if x >= 0 else value])
        return code, value.rjust(chance.choice((1, 6, 9))) if 60 <= int(code) < 100 else value

    return with_lines(data, change)


WAYS: Final[dict[str, Callable[[bytes], bytes]]] = {
    "odd numbers": odd_numbers,
    "carriage returns": lambda data: data.replace(b"\n", b"\r\n"),
    "codes without blanks": lambda data: with_lines(data, lambda code, value: (code.strip(), value)),
    "codes with many blanks": lambda data: with_lines(data, lambda code, value: (code.rjust(7), value)),
}


@pytest.mark.parametrize("size", [500, 1 << 21])
@pytest.mark.parametrize("way", WAYS)
def test_obstacles_are_those_of_the_full_reading(
    way: str, size: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(record_columns, "_PART", size)
    path = tmp_path / "d.dxf"
    path.write_bytes(WAYS[way](drawing(path)))
    part, is_selected = outcome(selected, path)
    assert is_selected
    assert len(left_out_of(selected(path).doc).handles) > 100
    assert part == outcome(load_drawing, path)[0]


LINE: Final = (
    b"  0\nLINE\n  5\nA1\n330\n1F\n100\nAcDbEntity\n  8\nX\n100\nAcDbLine\n"
    b" 10\n%b\n 20\n2.0\n 30\n0.0\n 11\n3.0\n 21\n4.0\n 31\n0.0\n"
)


def read(text: bytes) -> list[record_columns.Part]:
    start = text.index(b"\n") + 1
    return list(Scanner(text, b"\n").parts(start, len(text), set()))


@pytest.mark.parametrize("number", [b"abc", b"", b"1,5", b"nan", b"inf", b"1.2.3", b"1e999", b"- 1", b"0x10"])
def test_what_is_no_number_makes_its_record_unsound(number: bytes) -> None:
    (part,) = read(b"head of the text\n" + LINE % b"1.5" + LINE % number)
    assert part.sound.tolist() == [True, False]
    assert part.handles.tolist() == [0xA1, 0xA1]


@pytest.mark.parametrize("code", [b"1x", b"", b"1 0", b"12345", b"-1", b" 10 ", b"+10", b"\t10"])
def test_what_is_no_code_is_refused(code: bytes) -> None:
    text = b"head of the text\n" + (LINE % b"1.5").replace(b" 10\n", code + b"\n")
    with pytest.raises(IrregularPartError):
        read(text)


def test_a_lost_line_is_refused() -> None:
    with pytest.raises(IrregularPartError):
        read(b"head of the text\n" + (LINE % b"1.5").replace(b" 20\n", b"", 1))


@pytest.mark.parametrize("ending", [b"  0\nENDSEC\n", b"0\r\nENDSEC\r\n"])
def test_the_end_of_a_section(ending: bytes) -> None:
    text = b"ENTITIES\n" + LINE % b"1.5"
    assert find_end(text + ending, b"ENDSEC", 9) == len(text)
    assert find_end(text + ending.replace(b"0", b"1"), b"ENDSEC", 9) is None
    assert find_end(re.sub(b"X", b"ENDSEC", text) + ending, b"ENDSEC", 9) is None
    assert find_end(text, b"ENDSEC", 9) is None
