"""Write the pages of docs/findings/: ``python -m tests.checks.build_pages`` from the top folder."""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tests"))

from checks.pages import pages  # noqa: E402

FOLDER = ROOT / "docs" / "findings"


def wanted() -> dict[Path, str]:
    """Return every made page and picture by its place."""
    return {FOLDER / name: text for name, text in pages().items()}


def strays() -> list[Path]:
    """Return files in the folder that no case file stands behind."""
    there = [p for p in FOLDER.rglob("*") if p.is_file()]
    return sorted(set(there) - set(wanted()))


def main() -> None:
    """Write every page and take the strays away."""
    for path in strays():
        path.unlink()
    for path, text in wanted().items():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
