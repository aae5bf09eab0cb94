"""The plates of the gallery: what must and must not hold, seen in the output drawings alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from drawing.test_office_words import EVERYWHERE
from gallery import output_referee
from gallery.drafting_plates import Hole, Plate, wall
from gallery.output_referee import Seen
from gallery.plates import PLATES
from gallery.run_plates import run


@pytest.mark.parametrize("plate", PLATES, ids=lambda plate: plate.name)
def test_a_plate_is_as_an_engineer_seals_it(plate: Plate, tmp_path: Path) -> None:
    outcome = run(plate, tmp_path)
    assert outcome.complaints() == []
    assert EVERYWHERE.findall(" ".join(outcome.said.split())) == [], "words that no office uses"


def test_there_are_forty_plates_at_least_each_with_its_point_and_its_demands() -> None:
    assert len(PLATES) >= 40
    assert len({plate.name for plate in PLATES}) == len(PLATES)
    assert all(plate.point and plate.demands for plate in PLATES)


RING = ((0.0, 0.0), (480.0, 0.0), (480.0, 96.0), (0.0, 96.0))
DOOR = ((200.0, 0.0), (240.0, 0.0), (240.0, 84.0), (200.0, 84.0))
VOID = ((200.0, 0.0), (240.0, 0.0), (240.0, 96.0), (200.0, 96.0))


@pytest.mark.parametrize(
    ("joint", "hole", "words"),
    [
        (((220.0, 0.0), (220.0, 96.0)), DOOR, "runs through an opening"),
        (((240.0, 0.0), (240.0, 96.0)), VOID, "stands on a free edge"),
        (((256.0, 0.0), (256.0, 96.0)), VOID, "16 in. of masonry"),
    ],
)
def test_the_referee_sees(joint: tuple[tuple[float, float], ...], hole: object, words: str) -> None:
    seen = Seen((RING,), (hole,), (joint,))  # type: ignore[arg-type]
    found = [
        *output_referee.through_openings(seen),
        *output_referee.on_free_edges(seen),
        *output_referee.narrow_pieces(seen),
    ]
    assert any(words in complaint for complaint in found), found


def test_the_referee_measures_courses_over_a_step() -> None:
    """32 in. at the foot, 16 in. over the heads: only the upper courses are narrow."""
    left = ((200.0, 0.0), (200.0, 48.0), (208.0, 48.0), (208.0, 96.0))
    right = ((232.0, 0.0), (232.0, 48.0), (224.0, 48.0), (224.0, 96.0))
    found = output_referee.narrow_pieces(Seen((RING,), (), (left, right)))
    assert len(found) == 6
    assert all("16 in. of masonry at 208..224" in complaint for complaint in found)


def test_a_plate_that_breaks_a_demand_is_told(tmp_path: Path) -> None:
    from gallery.drafting_plates import Upright

    plate = Plate(
        "wrong", "A door", (wall(480, 144),), (Hole(200, 0, 240, 84),), demands=(Upright(220, 0, 84),)
    )
    assert run(plate, tmp_path).complaints() == ["no joint at 220 from 0 to 84"]
