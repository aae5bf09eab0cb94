"""An entity with too many points is refused by its bytes, by every command, before anything is loaded."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from cli.harness import perpend
from fuzz import big_drawings
from perpend import InputError
from perpend.dxf.long_records import refuse_long_records

COMMANDS = ("annotate", "check", "annotate --clean", "layers")


def _polyline(points: int, end: str = "\n") -> str:
    head = ("0", "LWPOLYLINE", "5", "2F", "8", "A-NOTE", "90", str(points))
    return end.join((*head, *((" 10", "10", " 20", "0") * points), ""))


@pytest.fixture(scope="module")
def drawing(tmp_path_factory: pytest.TempPathFactory) -> Path:
    drawing = big_drawings.write("heap-of-walls", tmp_path_factory.mktemp("long"))
    sound = drawing.read_bytes()
    start = sound.index(b"ENTITIES\n") + len(b"ENTITIES\n")
    drawing.write_bytes(sound[:start] + _polyline(200_001).encode() + sound[start:])
    return drawing


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_names_the_entity(command: str, drawing: Path, tmp_path: Path) -> None:
    output = () if command == "layers" else ("-o", tmp_path / "new.dxf")
    done = perpend(*command.split(), drawing, *output)
    assert done.code == 2
    said = " ".join(done.err.split())
    assert "LWPOLYLINE with handle 2F on layer A-NOTE" in said
    assert "200,000" in said
    assert not (tmp_path / "new.dxf").exists()


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_points_are_counted_in_each_record_and_chain(end: str) -> None:
    """Against the numbers that the text was made with; values that look like codes are no points."""
    dice = random.Random(end)
    for _ in range(60):
        counts = [dice.randint(0, 40) for _ in range(dice.randint(1, 8))]
        chain = dice.randint(0, 60)
        others = [end.join(("0", "TEXT", "8", "0", "1", "0" * dice.randint(1, 3000), "")) for _ in counts]
        parts = [text for n, other in zip(counts, others, strict=True) for text in (_polyline(n, end), other)]
        vertices = end.join(("0", "VERTEX", "10", "10")) + end
        parts.append(end.join(("0", "POLYLINE", "5", "A", "")) + vertices * chain + end.join(("0", "SEQEND")))
        data = end.join(("0", "SECTION", "2", "ENTITIES", "", *parts, "0", "EOF", "")).encode()
        most = max(*counts, chain)
        refuse_long_records(Path("a.dxf"), data, most)
        if most:
            with pytest.raises(InputError, match=r"LWPOLYLINE|POLYLINE with handle A"):
                refuse_long_records(Path("a.dxf"), data, most - 1)
