"""Prints how every drawing of the zoo is read: run it to see the rates (``python -m zoo.report``)."""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from pathlib import Path

from zoo.look import look, look_with_draft
from zoo.manners import MANNERS
from zoo.sheets import SHEETS


def main() -> None:
    """Draw every sheet in every manner and say what came of it."""
    only = sys.argv[1:]
    counts: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        for manner in MANNERS:
            if only and manner.__name__ not in only:
                continue
            for sheet in SHEETS:
                path = manner(sheet).save(Path(folder) / f"{manner.__name__}-{sheet.name}.dxf")
                plain = look(path, sheet)
                drafted = look_with_draft(path, sheet)
                counts["drawings"] += 1
                counts["right at once"] += not plain.fault
                counts["right without an edit"] += not plain.fault or not drafted.fault
                counts["right with the draft"] += not drafted.fault
                counts["wrong in silence"] += bool(plain.fault) and not plain.refused and not plain.doubtful
                if plain.fault or drafted.fault or only:
                    print(
                        path.stem, f"D{plain.doubtful:d}", "|", plain.fault[-150:], "|", drafted.fault[-150:]
                    )
    print(dict(counts))


if __name__ == "__main__":
    main()
