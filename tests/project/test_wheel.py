"""A release: a wheel that ``python -m build`` makes, installed apart from the source, annotates a sample."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
OUTSIDE = """
import sys
from pathlib import Path
import perpend
from perpend.cli import run
print(Path(perpend.__file__).parent)
sys.exit(run(sys.argv[1:]))
"""


def _done(*command: str | Path, cwd: Path, **environment: str) -> str:
    done = subprocess.run(
        list(map(str, command)),
        cwd=cwd,
        env={**{k: v for k, v in os.environ.items() if k != "PYTHONPATH"}, **environment},
        capture_output=True,
        text=True,
        timeout=200,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_the_wheel_works_without_the_source(tmp_path: Path) -> None:
    """Python is begun without site packages, so that no link of an editable install leads to the source."""
    pytest.importorskip("build", reason="pip install -e '.[test]' brings it")
    source = tmp_path / "source"
    source.mkdir()
    for name in ("pyproject.toml", "README.md", "src"):
        place = ROOT / name
        copy = shutil.copytree if place.is_dir() else shutil.copy
        copy(place, source / name)
    _done(sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", tmp_path, cwd=source)
    shutil.rmtree(source)
    (wheel,) = tmp_path.glob("perpend-*-py3-none-any.whl")
    clean = tmp_path / "clean"
    pip = (sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--no-index", "--target")
    _done(*pip, clean, wheel, cwd=tmp_path)
    needed = next(folder for folder in map(Path, sys.path) if (folder / "ezdxf").is_dir())
    drawing = shutil.copy(ROOT / "sample_drawings" / "shopfront-south.dxf", tmp_path)
    path = os.pathsep.join(map(str, (clean, needed)))
    said = _done(sys.executable, "-S", "-c", OUTSIDE, "annotate", drawing, cwd=tmp_path, PYTHONPATH=path)
    assert said.splitlines()[0] == str(clean / "perpend")
    assert (tmp_path / "shopfront-south-annotated.dxf").stat().st_size > Path(drawing).stat().st_size
