"""Drawings that we did not make: the symbol library of the Debian package ``librecad-data``.

1,335 DXF files of many hands and programs (furniture, electrics, plans, sheet frames, R12 to R2007). Each
is read or refused with a sentence, with every layer taken for walls, and every layer is surveyed.
"""

from __future__ import annotations

import time
from collections import Counter
from pathlib import Path

import pytest

from perpend.errors import InputError
from perpend.reading import ReadingOptions, load_drawing, read_loaded
from perpend.reading.survey.layer_survey import survey_layers

LIBRARY = Path("/usr/share/librecad/library")
EVERY = 8
MOST_SECONDS = 5.0


@pytest.fixture(scope="module")
def drawings() -> list[Path]:
    """Every eighth drawing, and the largest ones; `.ci/run` installs the package."""
    found = sorted(LIBRARY.rglob("*.dxf"))
    assert len(found) > 1000, "the package librecad-data is not installed: apt-get install librecad-data"
    largest = sorted(found, key=lambda p: -p.stat().st_size)[:4]
    return list(dict.fromkeys([*found[::EVERY], *largest]))


def test_each_is_read_or_refused_with_a_sentence(drawings: list[Path]) -> None:
    everything = ReadingOptions(walls=("*",))
    outcomes: Counter[str] = Counter()
    for path in drawings:
        start = time.process_time()
        try:
            loaded = load_drawing(path)
            survey = survey_layers(loaded.doc)
            assert sum(row.total for row in survey.rows) >= len(loaded.doc.modelspace())
            read = read_loaded(loaded, everything).elevation
            assert all(wall.length_in > 0 for wall in read.walls)
            outcomes["read"] += 1
        except InputError as error:
            sentence = str(error)
            assert "\n" not in sentence
            assert path.name in sentence
            outcomes["refused"] += 1
        assert time.process_time() - start < MOST_SECONDS, path
    assert outcomes["read"] > 40
    assert outcomes["refused"] > 40
