"""Office drawings, drawn in many manners and exported by other programs, are read without a question.

Each drawing of the zoo has walls, openings and marks that are typed once, in inches (`zoo.sheets`). What is
read is compared with them to 1/64 in.: at once, without any settings, and with the settings that
``perpend layers --write`` drafts, without an edit.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from zoo.drawings import drawings_in
from zoo.look import Look, look, look_with_draft
from zoo.manners import MANNERS

NAMES = tuple(drawings_in(Path()))
LEAST_RATE = 0.9

LEFT = {
    "odd-plan": "is a floor plan",
}
"""What is not read as drawn, with the doubt (exit code 1) or the sentence of its refusal."""


@pytest.fixture(scope="module")
def looks(tmp_path_factory: pytest.TempPathFactory):  # noqa: ANN201 - a function
    """How each drawing is read: at once, and with the draft."""
    drawings = drawings_in(tmp_path_factory.mktemp("zoo"))

    @cache
    def of(name: str) -> tuple[Look, Look]:
        path, sheet = drawings[name]()
        return look(path, sheet), look_with_draft(path, sheet)

    return of


def test_the_zoo_is_large_enough() -> None:
    assert len(NAMES) >= 80
    assert len(MANNERS) >= 8
    assert len({name.split("-")[0] for name in NAMES} - {manner.__name__ for manner in MANNERS}) >= 5


@pytest.mark.parametrize("name", NAMES)
def test_right_at_once_or_after_the_draft(name: str, looks) -> None:  # noqa: ANN001
    """Never wrong in silence: what differs from the drawing at once is refused or ends with exit code 1."""
    plain, drafted = looks(name)
    assert not plain.fault or plain.refused or plain.doubtful, plain.fault
    assert bool(plain.fault and drafted.fault) is (name in LEFT), f"{plain.fault}; {drafted.fault}"
    if name in LEFT:
        assert LEFT[name] in (plain.fault if plain.refused else plain.codes)


def test_the_rate_without_any_edit(looks) -> None:  # noqa: ANN001
    at_once = sum(not looks(name)[0].fault for name in NAMES)
    drafted = sum(not looks(name)[1].fault for name in NAMES)
    assert at_once >= LEAST_RATE * len(NAMES)
    assert drafted >= LEAST_RATE * len(NAMES)
