"""A plain install is enough: no command loads a package that perpend does not declare."""

from __future__ import annotations

import re
import subprocess
import sys
from importlib import metadata
from pathlib import Path

import pytest

SAMPLES = Path(__file__).parents[2] / "sample_drawings"
SHOPFRONT = str(SAMPLES / "shopfront-south.dxf")


def declared() -> set[str]:
    """Return perpend and every package it needs, directly or not, extras left out."""
    found: set[str] = set()
    waiting = ["perpend"]
    while waiting:
        name = _plain(waiting.pop())
        if name in found:
            continue
        try:
            needs = metadata.requires(name) or []
        except metadata.PackageNotFoundError:
            continue  # needed on another system or by another release of Python
        found.add(name)
        waiting += [re.split(r"[^\w.-]", need)[0] for need in needs if "extra ==" not in need]
    return found


def _plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


@pytest.mark.parametrize(
    "arguments",
    [
        ["annotate", SHOPFRONT, "-o", "OUT.dxf", "--results", "OUT.json", "--sheet", "OUT.html"],
        [
            "check",
            SHOPFRONT,
            "-o",
            "OUT.dxf",
            "--propose",
            "--sheet",
            "OUT.html",
            "--sarif",
            "O.sarif",
            "--csv",
            "O.csv",
        ],
        ["layers", SHOPFRONT],
        ["limits", "--height", "12ft"],
        ["compare", SHOPFRONT],
    ],
    ids=lambda arguments: arguments[0],
)
def test_only_declared_packages_are_loaded(arguments: list[str], tmp_path: Path) -> None:
    script = (
        "import sys\nbefore = set(sys.modules)\nfrom perpend.cli import run\n"
        f"code = run({arguments!r})\n"
        "print('LOADED', code, *sorted({name.split('.')[0] for name in set(sys.modules) - before}))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=tmp_path, capture_output=True, text=True, timeout=120, check=True
    )
    code, *modules = done.stdout.rsplit("LOADED", 1)[1].split()
    assert code == ("1" if arguments[0] == "check" else "0"), done.stderr
    owners = metadata.packages_distributions()
    allowed = declared()
    foreign = {m for m in modules if m in owners and not {_plain(o) for o in owners[m]} & allowed}
    assert foreign == set()
