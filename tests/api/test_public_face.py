"""``import perpend`` as somebody's own program uses it."""

from __future__ import annotations

import ast
import inspect
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

import perpend
from cli.drawings import save_elevation
from perpend.jobs.request import Request

ROOT = Path(__file__).parents[2]
HEAVY = ("ezdxf", "shapely", "pydantic", "numpy", "typer", "rich", "jinja2")
WALL = (0.0, 0.0, 624.0, 200.0)
DOOR = (240.0, 0.0, 288.0, 88.0)


@pytest.fixture
def drawing(tmp_path: Path) -> Path:
    return save_elevation(tmp_path / "north.dxf", [("W1", WALL)], [("D1", DOOR)])


def test_the_example_of_the_documents_runs(tmp_path: Path) -> None:
    page = (ROOT / "docs" / "api.md").read_text(encoding="utf-8")
    (example,) = re.findall(r"```python\n(.*?)```", page, re.DOTALL)
    assert len([line for line in example.splitlines() if line and not line.startswith("import")]) <= 10
    sample = ROOT / "sample_drawings" / "shopfront-south.dxf"
    (tmp_path / sample.name).write_bytes(sample.read_bytes())
    done = subprocess.run(
        [sys.executable, "-c", example],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.stderr == ""
    first, *_, last = done.stdout.splitlines()
    assert re.fullmatch(r"W[0-9]: [1-9][0-9]* joints, at most [0-9.]+ in\. apart", first)
    assert last == "A wall of 16'-8\": at most 300 in.", "25 ft, the cap of the empirical method"
    assert sorted(p.name for p in tmp_path.iterdir()) == [
        "shopfront-south.dxf",
        "south-joints.dxf",
        "south-review.dxf",
        "south-review.html",
        "south.json",
    ]


def test_importing_it_loads_nothing_heavy() -> None:
    script = f"import sys, perpend\nprint(*[m for m in {HEAVY!r} if m in sys.modules])"
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, timeout=60, check=True
    )
    assert done.stdout.strip() == ""


@pytest.mark.parametrize("name", perpend.__all__)
def test_everything_that_is_promised_is_there(name: str) -> None:
    assert getattr(perpend, name) is not None
    assert name in dir(perpend)


def test_what_is_not_promised_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="annotat"):
        _ = perpend.annotat  # type: ignore[attr-defined]


def test_types_are_known_to_a_strict_checker(tmp_path: Path) -> None:
    program = tmp_path / "office.py"
    program.write_text(
        "import perpend\n"
        "outcome: perpend.DrawingOutcome = perpend.annotate('a.dxf', results='a.json')\n"
        "findings: list[perpend.Finding] = outcome.results.all_findings\n"
        "found: perpend.BatchReport = perpend.batch('in', 'out', check=True)\n"
        "height: float = perpend.limits('12ft').height_in\n"
        "wrong: int = perpend.limits('12ft').method\n",
        encoding="utf-8",
    )
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", "--config-file", "/dev/null", program],
        cwd=tmp_path,
        env={**os.environ, "MYPYPATH": str(ROOT / "src")},
        capture_output=True,
        text=True,
        timeout=400,
        check=False,
    )
    errors = [line for line in done.stdout.splitlines() if "office.py" in line and "error" in line]
    assert len(errors) == 1, done.stdout
    assert "office.py:6" in errors[0]


ANNOTATE_ALONE = {"details", "schedule", "release", "accept", "issue", "fresh", "decisions_from"}


@pytest.mark.parametrize(
    ("function", "no_part"),
    [(perpend.annotate, {"propose", "sarif", "csv"}), (perpend.check, ANNOTATE_ALONE)],
)
def test_a_function_takes_what_a_request_holds(function: object, no_part: set[str]) -> None:
    """Every field of the request is an argument, and every argument a field: none is forgotten on the way."""
    fields = {*Request.__dataclass_fields__} - no_part
    assert set(inspect.signature(function).parameters) == fields  # type: ignore[arg-type]


def test_a_request_arrives_as_it_was_asked(drawing: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[Request] = []
    monkeypatch.setattr("perpend.jobs.check.check", seen.append)
    arguments = {
        name: f"{name}.x"
        for name in inspect.signature(perpend.check).parameters
        if name not in ("propose", "overwrite", "today", "units_of_drawing", "layout")
    }
    perpend.check(**arguments, propose=True, overwrite=True, units_of_drawing="mm", layout="L1")  # type: ignore[arg-type]
    (request,) = seen
    assert all(getattr(request, name) == Path(value) for name, value in arguments.items())
    assert (request.propose, request.overwrite, request.units_of_drawing, request.layout) == (
        True,
        True,
        "mm",
        "L1",
    )


def test_strings_and_paths_give_the_same(drawing: Path, tmp_path: Path) -> None:
    one = perpend.annotate(str(drawing), str(tmp_path / "a.dxf"))
    other = perpend.annotate(drawing, tmp_path / "b.dxf")
    assert one.output == tmp_path / "a.dxf"
    assert one.output.read_bytes() == other.output.read_bytes()


def test_wrong_input_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(perpend.InputError, match=r"gone\.dxf") as error:
        perpend.annotate(tmp_path / "gone.dxf")
    assert "\n" not in str(error.value)


def test_text_is_what_the_command_line_prints(drawing: Path, tmp_path: Path) -> None:
    found = perpend.compare(drawing)
    assert "W1" in "\n".join(line.text for line in perpend.text_of(found))
    assert any("W1" in line.text for line in perpend.text_of(perpend.annotate(drawing).results))
    assert any("A-ELEV-WALL" in line.text for line in perpend.text_of(perpend.layers(drawing)))


def test_the_command_line_uses_the_public_face_alone() -> None:
    """Its modules import perpend itself, errors, clean_text, wording and each other."""
    allowed = {
        "perpend.errors",
        "perpend.clean_text",
        "perpend.gc_tuning",
        "perpend.version",
        "perpend.wording",
    }
    for module in (ROOT / "src" / "perpend" / "cli").glob("*.py"):
        tree = ast.parse(module.read_text(encoding="utf-8"))
        typing_only = {
            inner
            for node in ast.walk(tree)
            if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
            for inner in ast.walk(node)
        }
        imported = {
            node.module or ""
            for node in ast.walk(tree)
            if isinstance(node, ast.ImportFrom) and node not in typing_only
        }
        ours = {name for name in imported if name.startswith("perpend.") and ".cli" not in name}
        assert ours <= allowed, module.name
