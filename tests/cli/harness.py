"""Run the command line: in this process for speed, or as the installed program."""

from __future__ import annotations

import contextlib
import io
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from perpend.cli import run


@dataclass(frozen=True, slots=True)
class Ending:
    """How a run ended: exit code, what it printed, what it complained of."""

    code: int
    out: str
    err: str


def perpend(*arguments: str | Path) -> Ending:
    """Run a command in this process."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run([str(a) for a in arguments])
    return Ending(code, out.getvalue(), err.getvalue())


def program(*arguments: str | Path, cwd: Path | None = None, **environment: str) -> Ending:
    """Run ``python -m perpend`` as a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "perpend", *map(str, arguments)],
        cwd=cwd,
        env={**os.environ, "PYTHONIOENCODING": "utf-8", **environment},
        capture_output=True,
        encoding="utf-8",
        timeout=120,
        check=False,
    )
    return Ending(done.returncode, done.stdout, done.stderr)
