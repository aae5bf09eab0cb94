"""Damaged drawings, settings, waivers and records: every command ends with 0, 1 or 2, within bounds."""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from fuzz import big_drawings

COUNT = int(os.environ.get("PERPEND_MUTANTS_OF_COMMANDS", "150"))
START = int(os.environ.get("PERPEND_FIRST_MUTANT", "0"))
CORPUS = os.environ.get("PERPEND_CORPUS", "some")
MOST_MB = 500
MOST_BYTES = 2_000_000_000
MOST_SECONDS = 20
"""Of processor time, for a program with all that it loads, on a slow machine."""

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="needs the limits of Linux")


def _trial(*arguments: str) -> dict[str, Any]:
    done = subprocess.run(
        [sys.executable, "-m", "fuzz.long", *arguments],
        cwd=Path(__file__).parents[1],
        capture_output=True,
        text=True,
        timeout=1200,
        check=False,
        preexec_fn=_limited,
    )
    assert done.returncode == 0, done.stderr[-3000:]
    summary: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    print(summary)
    return summary


def _limited() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))


def test_corpus_is_read_or_refused() -> None:
    """One drawing of each class that once ended as a fault of perpend, hung or filled the memory."""
    summary = _trial("0", "--corpus", CORPUS)
    assert summary["failures"] == []
    assert summary["peak_mb"] < MOST_MB
    assert min(summary[ending] for ending in ("clean", "findings", "refused")) > 5


def test_mutants_are_read_or_refused() -> None:
    """Set PERPEND_MUTANTS_OF_COMMANDS and PERPEND_FIRST_MUTANT for others."""
    summary = _trial(str(COUNT), "--start", str(START))
    assert summary["failures"] == []
    assert summary["peak_mb"] < MOST_MB
    assert min(summary[ending] for ending in ("clean", "findings", "refused")) > COUNT // 50


@pytest.mark.parametrize(
    "name", ["duplicate-lines", "crossing-lines", "heap-of-walls", "overlapping-openings"]
)
def test_large_drawings_stay_within_bounds(name: str, tmp_path: Path) -> None:
    """Processor time and memory of the program are limited by the system."""
    drawing = big_drawings.write(name, tmp_path)

    def limited() -> None:
        _limited()
        resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))

    done = subprocess.run(
        [sys.executable, "-m", "perpend", "annotate", drawing, "-o", tmp_path / "new.dxf"],
        capture_output=True,
        text=True,
        check=False,
        preexec_fn=limited,
    )
    assert done.returncode in (0, 1, 2), done.stderr
