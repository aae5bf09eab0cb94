"""Style, types and the contracts between the rooms hold; each tool is run as a developer would."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from conftest import LONGEST_FIRST

ROOT = Path(__file__).parents[2]
BIN = Path(sys.executable).parent


@pytest.mark.parametrize(
    "command",
    [
        ("ruff", "check", "src", "tests"),
        ("ruff", "format", "--check", "src", "tests"),
        ("mypy", "src"),
        ("mypy", "--platform", "win32", "--cache-dir", ".mypy_cache/win32", "src"),
        ("lint-imports", "--no-cache"),
    ],
    ids=lambda command: " ".join(command),
)
def test_tool_has_nothing_to_say(command: tuple[str, ...]) -> None:
    program, *arguments = command
    done = subprocess.run(
        [str(BIN / program), *arguments], cwd=ROOT, capture_output=True, text=True, timeout=400, check=False
    )
    assert done.returncode == 0, f"{done.stdout}\n{done.stderr}"


def test_modules_stay_short() -> None:
    """Under 400 lines: a longer one is two rooms in one."""
    long = {
        str(path.relative_to(ROOT)): count
        for path in (ROOT / "src").rglob("*.py")
        if (count := len(path.read_text(encoding="utf-8").splitlines())) >= 400
    }
    assert long == {}


def test_the_files_that_are_begun_first_are_there() -> None:
    tests = Path(__file__).parents[1]
    assert [name for name in LONGEST_FIRST if not (tests / name).is_file()] == []
