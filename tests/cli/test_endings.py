"""How the command line starts and ends: help, version, exit codes, faults of ours, start-up."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from cli.harness import perpend, program
from perpend import __version__
from perpend.errors import InternalError

COMMANDS = (
    *("annotate", "batch", "changes", "check", "compare"),
    *("details", "layers", "limits", "spec", "watch"),
)
HEAVY = ("ezdxf", "shapely", "pydantic", "numpy", "rich", "jinja2")
TYPERS_OWN = {"pydantic"}
"""typer itself loads this to describe an argument that is a path."""


@pytest.mark.parametrize("command", ["", *COMMANDS])
def test_every_help_has_an_example(command: str) -> None:
    ending = perpend(*([command] if command else []), "--help")
    assert ending.code == 0
    assert "Examples:" in ending.out
    assert f"perpend {command}".strip() in ending.out.split("Examples:")[1]


def test_the_commands_of_this_test_are_all_there_are() -> None:
    listed = perpend("--help").out.split("Commands:")[1].split("Examples:")[0]
    names = [line.split()[0] for line in listed.splitlines() if line.startswith("  ") and line[2:3].isalpha()]
    assert sorted(names) == sorted(COMMANDS)


def test_the_documents_and_sentences_name_only_commands_that_exist() -> None:
    root = Path(__file__).parents[2]
    files = [*root.glob("*.md"), *root.glob("docs/**/*.md"), *root.glob("src/**/*.py")]
    named = {
        word for file in files for word in re.findall(r"`perpend ([a-z]+)", file.read_text(encoding="utf-8"))
    }
    assert {"annotate", "layers"} <= named <= set(COMMANDS)


def test_version() -> None:
    assert perpend("--version").out == f"perpend {__version__}\n"


def test_the_installed_program_answers() -> None:
    ending = program("limits", "--height", "8ft")
    assert (ending.code, ending.err) == (0, "")
    assert "12'-0\" at most" in ending.out


def test_ctrl_c_before_a_command_has_begun_ends_it_without_a_traceback(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def interrupted(_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("perpend.cli.app.make_app", interrupted)
    ending = perpend("limits", "--height", "8ft")
    assert (ending.code, ending.out, ending.err) == (130, "", "")


def test_nothing_is_coloured_when_the_output_is_no_terminal() -> None:
    assert "\x1b" not in program("limits", "--height", "8ft").out


def test_a_terminal_without_the_letters_gets_question_marks_not_a_fault() -> None:
    ending = program("limits", "--height", "8ft", PYTHONIOENCODING="ascii")
    assert ending.code == 0
    assert "1.5 ? H" in ending.out


@pytest.mark.parametrize(
    ("arguments", "may"),
    [(("--help",), set()), (("--version",), set()), (("annotate", "--help"), TYPERS_OWN)],
)
def test_help_loads_nothing_heavy(arguments: tuple[str, ...], may: set[str]) -> None:
    script = (
        "import sys\nfrom perpend.cli import run\n"
        f"code = run({list(arguments)!r})\n"
        f"print(code, *[m for m in {HEAVY!r} if m in sys.modules], file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, timeout=60, check=True
    )
    code, *loaded = done.stderr.split()
    assert (code, set(loaded) - may) == ("0", set())


@pytest.mark.parametrize("arguments", [("scribble",), ("annotate",), ("limits", "--height", "8ft", "--loud")])
def test_usage_errors_end_with_2(arguments: tuple[str, ...]) -> None:
    ending = perpend(*arguments)
    assert (ending.code, ending.out) == (2, "")
    assert "Usage:" in ending.err


def test_a_fault_of_ours_ends_with_3_and_says_what_to_report(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("PERPEND_DEBUG", raising=False)
    monkeypatch.setattr("perpend.limits", _broken)
    ending = perpend("limits", "--height", "8ft")
    assert (ending.code, ending.out) == (3, "")
    assert "fault of perpend itself, not of the drawing: ZeroDivisionError: split" in ending.err
    assert "please report" in ending.err
    assert "Traceback" not in ending.err


def test_the_traceback_is_there_for_who_asks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PERPEND_DEBUG", "1")
    monkeypatch.setattr("perpend.limits", _broken)
    ending = perpend("limits", "--height", "8ft")
    assert ending.code == 3
    assert "Traceback" in ending.err


def test_a_broken_promise_ends_with_3(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise InternalError("The output did not read back whole.")

    monkeypatch.setattr("perpend.limits", broken)
    ending = perpend("limits", "--height", "8ft")
    assert ending.code == 3
    assert "did not read back whole" in ending.err


def _broken(*_: object, **__: object) -> None:
    raise ZeroDivisionError("split")
