"""``perpend layers --ask`` on a terminal: three questions with defaults, and settings that work."""

from __future__ import annotations

import os
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from cli.drawings import add_box, add_text, new_drawing
from cli.harness import perpend

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="Windows has no pseudo-terminal in Python")


@pytest.fixture
def foreign(tmp_path: Path) -> Path:
    """A wall on a layer whose name says nothing, another shape, and a door on a layer of its own."""
    doc = new_drawing()
    add_box(doc, (0, 0, 480, 160), "K1")
    add_box(doc, (600, 0, 900, 160), "K2")
    add_box(doc, (96, 0, 136, 84), "DOORS")
    add_text(doc, "A", (240, 80))
    doc.saveas(path := tmp_path / "foreign.dxf")
    return path


def on_a_terminal(typed: str, *arguments: str) -> tuple[int, str]:
    """Run the program on a pseudo-terminal; return its exit code and what it printed."""
    ours, theirs = os.openpty()
    run = [sys.executable, "-m", "perpend", *arguments]
    with subprocess.Popen(run, stdin=theirs, stdout=theirs, stderr=theirs, close_fds=True) as process:
        os.close(theirs)
        os.write(ours, typed.encode())
        printed = b""
        while True:
            try:
                part = os.read(ours, 4096)
            except OSError:  # the other end is closed
                break
            if not part:
                break
            printed += part
        code = process.wait(60)
    os.close(ours)
    return code, printed.decode()


def test_enter_takes_the_defaults(foreign: Path) -> None:
    code, printed = on_a_terminal("K1\n\n\n", "layers", str(foreign), "--ask")
    assert code == 0, printed
    drafted = tomllib.loads(foreign.with_name("foreign.perpend.toml").read_text("utf-8"))
    assert drafted["layers"]["walls"] == ["K1"]
    assert drafted["layers"]["openings"] == ["DOORS"]
    assert drafted["units_of_drawing"] == "in"
    assert "1 wall, 1 opening" in perpend("annotate", foreign).out


def test_answers_are_taken(foreign: Path) -> None:
    to = foreign.with_name("mine.toml")
    typed = "k2, K1\nnone\nlight-year\nmm\n"
    code, printed = on_a_terminal(typed, "layers", str(foreign), "--ask", "--write", str(to))
    assert code == 0, printed
    drafted = tomllib.loads(to.read_text("utf-8"))
    assert drafted["layers"]["walls"] == ["K1", "K2"]
    assert "openings" not in drafted["layers"]
    assert drafted["units_of_drawing"] == "mm"


def test_a_layer_that_is_not_there_is_named(foreign: Path) -> None:
    code, printed = on_a_terminal("K7\n\n\n", "layers", str(foreign), "--ask")
    assert code == 2
    assert "K7" in printed
    assert not foreign.with_name("foreign.perpend.toml").exists()


def test_an_end_of_the_answers_writes_nothing(foreign: Path) -> None:
    code, _ = on_a_terminal("K1\n\x04", "layers", str(foreign), "--ask")
    assert code == 130
    assert not foreign.with_name("foreign.perpend.toml").exists()


def test_without_a_terminal_nothing_is_asked(foreign: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "perpend", "layers", str(foreign), "--ask"],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert "--write" in done.stderr
