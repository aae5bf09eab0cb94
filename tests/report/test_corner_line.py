"""The distance of the first joint from a corner is told of walls that end at one, and of no other."""

from __future__ import annotations

import pytest

from perpend.report.text import summary
from report.sample_results import elevation_of, plain_wall, results_of


@pytest.mark.parametrize(("ends", "told"), [(("free", "free"), False), (("free", "corner"), True)])
def test_the_corner_distance_is_told_where_an_end_is_a_corner(ends: tuple[str, str], told: bool) -> None:
    settings = f"[defaults]\nleft_end = '{ends[0]}'\nright_end = '{ends[1]}'\n"
    results = results_of(elevation_of(plain_wall(720, 200)), settings)
    text = " ".join(line.text for line in summary(results))
    assert ("first joint within" in " ".join(text.split())) is told
