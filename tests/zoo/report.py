"""Prints how every drawing of the zoo is read: run it to see the rates (``python -m zoo.report``)."""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from pathlib import Path

from zoo.drawings import drawings_in
from zoo.look import look, look_with_draft


def main() -> None:
    """Draw every sheet in every manner and say what came of it."""
    only = sys.argv[1:]
    counts: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        for name, drawing in drawings_in(Path(folder)).items():
            if only and name.split("-")[0] not in only:
                continue
            path, sheet = drawing()
            plain, drafted = look(path, sheet), look_with_draft(path, sheet)
            silent = bool(plain.fault) and not plain.refused and not plain.doubtful
            counts["drawings"] += 1
            counts["right at once"] += not plain.fault
            counts["right without an edit"] += not plain.fault or not drafted.fault
            counts["right with the draft"] += not drafted.fault
            counts["wrong in silence"] += silent
            if plain.fault or drafted.fault or only:
                doubtful = "doubted" if plain.doubtful else ""
                print(name, doubtful, "|", plain.fault[-150:], "|", drafted.fault[-150:])
    print(dict(counts))


if __name__ == "__main__":
    main()
