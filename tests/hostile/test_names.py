"""Names that want to do harm, in all places at once, through every output of every command."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import sys
import tomllib
from pathlib import Path
from xml.etree import ElementTree

import pytest

from cli.drawings import save_elevation
from cli.harness import Ending, perpend
from perpend.clean_text import LONGEST_QUOTE, neutral_cell, quoted, visible
from perpend.errors import InputError
from perpend.report import Results

ESCAPE = b"\x1b[31m\x1b]0;EVIL\x07"
SCRIPT = b"<script>alert(1)</script>"
BIDI = "\u202e\u2066\u200f\u2028\x9b".encode()
NO_TEXT = b"\xfc\xff"
TAG = b"=\x1b\xfc"
"""Short enough to be read as a tag."""
LAYER = b"A-ELEV-WALL-" + ESCAPE + b"<script>" + BIDI + NO_TEXT
NAME = os.fsdecode(b"=1+1" + ESCAPE + b"<script>alert(1)<-script>" + BIDI + NO_TEXT + b"\n")
FORMULA = tuple("=+-@\uff1d\uff0b\uff0d\uff20")
CONTROLS = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]"
)

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="such file names exist on POSIX alone")


@pytest.fixture
def drawing(tmp_path: Path) -> Path:
    """An elevation whose folder, name, layer and tag are hostile; its settings and waivers too."""
    folder = tmp_path / NAME
    folder.mkdir()
    path = save_elevation(folder / "a.dxf", [("TAGTAG", (0, 0, 624, 200))], [("D1", (240, 0, 288, 88))])
    data = path.read_bytes().replace(b"TAGTAG", TAG).replace(b"A-ELEV-WALL", LAYER)
    path.unlink()
    hostile = folder / f"{NAME}.dxf"
    hostile.write_bytes(data)
    (folder / "perpend.toml").write_text(
        '[[walls]]\ntag = "=<script>\u202e"\nmethod = "engineered"\n', encoding="utf-8"
    )
    (folder / f"{NAME}.waivers.toml").write_text(
        '[[waivers]]\nfingerprint = "0123456789abcdef"\nreason = "=1+1<script>\u202e\\n\u2066"\nwho = "@x"\n',
        encoding="utf-8",
    )
    return hostile


def assert_clean(text: str, where: str) -> None:
    found = CONTROLS.search(text.replace("\r\n", "\n"))
    assert found is None, f"{where}: {found[0]!r} in {text[max(0, found.start() - 60) : found.end()]!r}"


def assert_harmless(folder: Path, ending: Ending) -> None:
    """Look at everything that was printed and written."""
    assert ending.code in (0, 1), ending.err
    assert_clean(ending.out, "out")
    assert_clean(ending.err, "err")
    for path in folder.rglob("*"):
        name = visible(path.name)
        if not path.is_file() or path.suffix in (".dxf", ".png", ".lock"):
            continue
        text = path.read_bytes().decode("utf-8-sig")
        assert_clean(text, name)
        if path.suffix in (".json", ".sarif"):
            assert json.loads(text)
        if path.suffix == ".jsonl":
            assert all(json.loads(line) for line in text.splitlines())
        if path.suffix == ".csv":
            rows = list(csv.reader(io.StringIO(text)))
            assert rows
            cells = [cell for row in rows for cell in row if cell.startswith(FORMULA)]
            assert [cell for cell in cells if not number(cell)] == []
        if path.suffix == ".svg":
            assert [e.tag for e in ElementTree.fromstring(text).iter() if e.tag.endswith("script")] == []
        if path.suffix == ".html":
            assert "<script>alert" not in text
            assert "<b>" not in text.replace("<body>", "")
        if path.suffix == ".toml":
            tomllib.loads(text)


def number(cell: str) -> bool:
    return re.fullmatch(r"-?[0-9.]+( -?[0-9.]+)*(; -?[0-9.]+ -?[0-9.]+)*", cell) is not None


def test_annotate(drawing: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    sides = ("--results", out / "r.json", "--sheet", out / "s.html", "--picture", out / "p.svg")
    ending = perpend("annotate", drawing, "-o", out / f"{NAME}.dxf", *sides)
    assert_harmless(out, ending)
    results = Results.from_json((out / "r.json").read_text(encoding="utf-8"))
    assert len(results.walls) == 1
    assert "\\u001b" in results.walls[0].tag, "what is hidden can be seen"
    assert "\\udcff" in results.drawing.path


def test_check(drawing: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    sides = ("--results", out / "r.json", "--sheet", out / "s.html", "--picture", out / "p.svg")
    tables = ("--csv", out / "f.csv", "--sarif", out / "f.sarif", "--propose")
    ending = perpend("check", drawing, "-o", out / "o.dxf", *sides, *tables)
    assert_harmless(out, ending)
    assert ending.code == 1


@pytest.mark.parametrize("option", [(), ("--json",)])
def test_compare(drawing: Path, tmp_path: Path, option: tuple[str, ...]) -> None:
    out = tmp_path / "out"
    out.mkdir()
    assert_harmless(out, perpend("compare", drawing, "--csv", out / "o.csv", *option))


@pytest.mark.parametrize("option", [(), ("--json",)])
def test_layers_and_a_draft_that_finds_the_wall_again(
    drawing: Path, tmp_path: Path, option: tuple[str, ...]
) -> None:
    out = tmp_path / "out"
    out.mkdir()
    assert_harmless(out, perpend("layers", drawing, "--write", out / "draft.toml", *option))
    assert "A-ELEV-WALL" in str(tomllib.loads((out / "draft.toml").read_text(encoding="utf-8")))


@pytest.mark.parametrize("option", [("--json",), ()])
@pytest.mark.parametrize("check", [("--check", "--propose", "--sarif"), ()])
def test_batch(drawing: Path, tmp_path: Path, option: tuple[str, ...], check: tuple[str, ...]) -> None:
    out = tmp_path / "out"
    out.mkdir()
    extras = (*check, out / "all.sarif") if check else ()
    (drawing.parent / f"{NAME}torn.dxf").write_bytes(b"no drawing")
    ending = perpend("batch", drawing.parent, "--out", out / "all", "--jobs", "1", *extras, *option)
    assert ending.code == 2, "the torn one"
    assert_harmless(out, Ending(1, ending.out, ending.err))
    rows = json.loads((out / "all" / "index.json").read_text(encoding="utf-8"))["drawings"]
    assert [row["state"] for row in rows] == ["violations" if check else rows[0]["state"], "refused"]


@pytest.mark.parametrize("option", [(), ("--json",)])
def test_changes(drawing: Path, tmp_path: Path, option: tuple[str, ...]) -> None:
    out = tmp_path / "out"
    out.mkdir()
    newer = drawing.with_name(f"newer{NAME}.dxf")
    newer.write_bytes(drawing.read_bytes().replace(b"\n288.0\n", b"\n296.0\n"))
    sides = ("--sheet", out / "s.html", "--csv", out / "c.csv", "-o", out / f"{NAME}.dxf")
    ending = perpend("changes", drawing, newer, *sides, *option)
    assert ending.code == 1, "the door is 8 in. wider"
    assert_harmless(out, ending)
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / drawing.name).write_bytes(newer.read_bytes())
    newer.unlink()
    sides = ("--sheet", out / "f.html", "--csv", out / "f.csv", "-o", out / "marked")
    ending = perpend("changes", drawing.parent, tmp_path / "other", *sides, *option)
    assert_harmless(out, ending)


def test_watch(drawing: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert_harmless(out, perpend("watch", drawing.parent, "--once", "--out", out))
    assert any(path.suffix == ".html" for path in out.iterdir())


@pytest.mark.parametrize(
    "arguments",
    [
        ("changes", "DRAWING", f"gone{NAME}.dxf"),
        ("changes", "DRAWING", "DRAWING"),
        ("changes", f"gone{NAME}", "."),
        ("watch", f"gone{NAME}", "--once"),
        ("annotate", f"gone{NAME}.dxf"),
        ("annotate", "DRAWING", "--layout", NAME.replace("\udcfc\udcff", "")),
        ("annotate", "DRAWING", "--settings", f"gone{NAME}.toml"),
        ("annotate", "DRAWING", "-o", f"nowhere{NAME}/o.dxf"),
        ("annotate", "DRAWING", f"--{NAME}"),
        ("annotate", "DRAWING", NAME),
        (NAME,),
        ("limits", "--height", NAME),
        ("limits", "--height", "12ft", "--rulebook", NAME),
        ("batch", f"gone{NAME}", "--out", "o"),
    ],
)
def test_sentences(drawing: Path, arguments: tuple[str, ...]) -> None:
    ending = perpend(*(drawing if a == "DRAWING" else a for a in arguments))
    assert ending.code == 2, ending.err
    assert_clean(ending.out, "out")
    assert_clean(ending.err, "err")


@pytest.mark.parametrize("number", [*range(32), *range(127, 160), 0x202E, 0x2028, 0x2029, 0xDCFF, 0xFEFF])
def test_every_control_character_becomes_visible(number: int) -> None:
    assert visible(f"a{chr(number)}b") == f"a\\u{number:04x}b"
    assert json.loads(f'"{visible(chr(number))}"') == chr(number)


def test_a_quote_is_short_and_keeps_its_ends() -> None:
    shown = quoted("begin" + "x" * 500 + "\x1b" * 500 + "end")
    assert len(shown) == LONGEST_QUOTE
    assert shown.startswith("begin")
    assert shown.endswith("end")
    assert quoted(Path("/") / ("n" * 300) / "f.dxf").count("n") < LONGEST_QUOTE


@pytest.mark.parametrize("sign", [*FORMULA, "\t", "\r", "\n"])
def test_no_cell_is_a_formula(sign: str) -> None:
    assert not neutral_cell(f"{sign}1+1").startswith((*FORMULA, "\t", "\r", "\n"))


def test_every_error_is_one_visible_line() -> None:
    assert str(InputError("a\nb\x1b")) == "a\\u000ab\\u001b"
