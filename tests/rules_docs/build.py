"""Write the pages made from the rule books: ``python -m tests.rules_docs.build`` from the top folder."""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tests"))

from rules_docs.pages import pages  # noqa: E402
from rules_docs.validation import validation_page  # noqa: E402

DOCS = ROOT / "docs"


def wanted() -> dict[Path, str]:
    """Return every made page by its place."""
    return {
        **{DOCS / "rules" / name: text for name, text in pages().items()},
        DOCS / "validation.md": validation_page(),
    }


def strays() -> list[Path]:
    """Return pages that stand in the folder of the rules and belong to no rule."""
    return sorted(set((DOCS / "rules").rglob("*.md")) - set(wanted()))


def main() -> None:
    """Write every page and take the strays away."""
    for path in strays():
        path.unlink()
    for path, text in wanted().items():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
