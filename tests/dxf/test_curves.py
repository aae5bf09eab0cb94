"""Arcs cut into chords: against ezdxf's own arcs, in both finenesses."""

from __future__ import annotations

import itertools
import math

import pytest
from ezdxf.math import bulge_to_arc

from perpend.dxf.curves import CHORD_RAD, COARSE_RAD, arc_points, bulge_points


@pytest.mark.parametrize(("chord_rad", "sagitta"), [(CHORD_RAD, 5.1e-5), (COARSE_RAD, 0.035)])
@pytest.mark.parametrize("bulge", [0.2, -0.5, 1.0, -2.5])
def test_a_bulge_is_the_arc_that_ezdxf_makes_of_it(bulge: float, chord_rad: float, sagitta: float) -> None:
    center, start, end, radius = bulge_to_arc((3, 4), (11, -2), bulge)
    points = bulge_points((3, 4), (11, -2), bulge, chord_rad)
    assert (points[0], points[-1]) == ((3, 4), (11, -2))
    assert all(math.dist(point, center) == pytest.approx(radius, abs=1e-9) for point in points)
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in itertools.pairwise(points)]
    assert min(math.dist(m, center) for m in middles) >= radius * (1 - sagitta)
    length = sum(math.dist(a, b) for a, b in itertools.pairwise(points))
    assert length == pytest.approx(radius * ((end - start) % math.tau), rel=0.012)


def test_a_coarse_circle_has_its_extreme_points() -> None:
    xs, ys = zip(*arc_points((10, 20), 3, 0.1, math.tau, COARSE_RAD), strict=True)
    assert (min(xs), max(xs), min(ys), max(ys)) == pytest.approx((7, 13, 17, 23))
