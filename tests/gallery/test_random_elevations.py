"""2,000 random walls with everything that the gallery shows: the designer makes none of the faults.

The referee looks at outlines, openings and joint lines alone and shares no code with the program. A wall for
which no layout complies must have a finding for what the referee sees.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from gallery import output_referee
from gallery.drafting_plates import BEARINGS, NO_JOINTS, PILASTERS, Plate
from gallery.output_referee import Seen
from gallery.random_elevations import random_plate, wall_of
from gallery.run_plates import run
from perpend.checks import check_wall
from perpend.layout import place_joints
from perpend.rulebook import load_rulebook
from perpend.settings import parse_settings, resolve_wall

PARTS, WALLS = 8, 2000
WITH_UPPER_ROW = 25
"""Walls of each part that have windows above some of their openings, beside those without."""
BOOK = load_rulebook("us-cmu")
WALLS_OF_EVERY_BOOK = 150
OTHER_BOOKS = {"us-clay": "lintel_support = 'loose'", "en-uk": "material = 'clay'", "au-ncc": ""}
LEAST, NARROW = 24.0, 48.0
"""Below the first a piece of masonry between two joints is too short, below the second narrow: facts, 13."""
CLEAR = {PILASTERS: 0.0, NO_JOINTS: 0.0, BEARINGS: 24.0}


def inside_kept_parts(plate: Plate, seen: Seen) -> set[str]:
    """Return the layers of the parts that a joint enters."""
    found = set()
    for shape in plate.shapes:
        if shape.layer in CLEAR:
            x0, x1 = shape.points[0][0] - CLEAR[shape.layer], shape.points[2][0] + CLEAR[shape.layer]
            if any(x0 + 0.1 < x < x1 - 0.1 for x, _, _ in seen.uprights):
                found.add(shape.layer)
    return found


@pytest.mark.parametrize("part", range(PARTS))
def test_the_designer_makes_no_fault_that_is_not_reported(part: int) -> None:
    told: Counter[str] = Counter()
    clean = 0
    plain = range(part * WALLS // PARTS, (part + 1) * WALLS // PARTS)
    upper = range(10_000 + part * WITH_UPPER_ROW, 10_000 + (part + 1) * WITH_UPPER_ROW)
    for seed in (*plain, *upper):
        plate = random_plate(seed, upper=seed in upper)
        wall = wall_of(plate)
        basis = resolve_wall(parse_settings(plate.settings), BOOK, wall)
        placed = place_joints(basis)
        report = check_wall(basis, placed.joints)
        codes = {f.code for f in report.findings}
        at_strips = [f for f in report.required if f.code == "panel-at-opening-too-long"]
        assert not at_strips or placed.cost.violations, (
            f"wall {seed}: no whole joint is missing beside the strip"
        )
        told.update(codes)
        clean += seed in plain and not report.required
        low = min(y for _, y in plate.walls[0][1])
        seen = seen_of(plate, low, tuple(joint.path for joint in placed.joints))
        assert output_referee.through_openings(seen) == [], f"wall {seed}"
        narrow = output_referee.narrow_pieces(seen)
        assert not narrow or "panel-too-short" in codes, f"wall {seed}: {narrow[:3]}"
        pieces = output_referee.cut_off(seen)
        alone = {asked.own_piece_in for asked in basis.place_rules}
        confirm = {f for f, width in pieces.items() if LEAST - 0.1 < width < NARROW - 0.1} - alone
        assert {(f.at[0][0], f.at[1][0]) for f in report.findings if f.code == "panel-narrow"} == confirm, (
            seed
        )
        entered = inside_kept_parts(plate, seen)
        assert not entered or codes & {
            "joint-through-pilaster",
            "joint-in-no-joint-zone",
            "joint-under-bearing",
        }, f"wall {seed}: {entered}"
        wanted = placed.cost.violations + placed.cost.narrow
        assert bool(wanted) is bool([f for f in report.required if f.code not in BESIDE]), f"wall {seed}"
    assert clean >= WALLS // PARTS * 3 // 8, told
    assert told["pier-shares-joint"] >= 3, told
    assert told["panel-narrow"] >= 10, told


@pytest.mark.parametrize("key", OTHER_BOOKS)
def test_by_every_other_book_the_designer_makes_no_fault_that_is_not_reported(key: str) -> None:
    """What a book says nothing of (narrow pieces, bearings, zones) it does not ask."""
    book = load_rulebook(key)
    sealed = "sealed" if book.first("joint-type") else "formed-paper"
    clean = 0
    for seed in range(WALLS_OF_EVERY_BOOK):
        plate = random_plate(seed)
        ends = "\n".join(line for line in plate.settings.splitlines() if "_end" in line)
        text = (
            f"rulebook = '{key}'\n[defaults]\nmodule = 8\njoint_type = '{sealed}'\n{ends}\n{OTHER_BOOKS[key]}"
        )
        wall = wall_of(plate)
        wall = replace(wall, openings=tuple(replace(o, treatment=None) for o in wall.openings))
        basis = resolve_wall(parse_settings(text), book, wall)
        placed = place_joints(basis)
        report = check_wall(basis, placed.joints)
        clean += not report.required
        seen = seen_of(plate, min(y for _, y in plate.walls[0][1]), tuple(j.path for j in placed.joints))
        assert output_referee.through_openings(seen) == [], f"wall {seed}"
        wrong = [f.code for f in report.required if f.code not in BESIDE]
        assert bool(placed.cost.violations + placed.cost.narrow) is bool(wrong), f"wall {seed}: {wrong}"
    assert clean >= WALLS_OF_EVERY_BOOK // 3


def seen_of(plate: Plate, low: float, joints: tuple[tuple[tuple[float, float], ...], ...]) -> Seen:
    """Return what the referee looks at, in the axes of the wall."""
    rings = [ring for _, ring in plate.walls]
    holes = [((h.x0, h.y0), (h.x1, h.y0), (h.x1, h.y1), (h.x0, h.y1)) for h in plate.holes]
    lifted = [tuple(tuple((x, y - low) for x, y in ring) for ring in each) for each in (rings, holes)]
    return Seen(lifted[0], lifted[1], joints)


BESIDE = {"lintel-without-bearing", "shear-transfer-needed", "panel-at-opening-too-long"}
"""What the search for joints does not decide."""


@pytest.mark.parametrize("seed", range(5000, 5024))
def test_whole_drawings_of_random_walls(seed: int, tmp_path: Path) -> None:
    assert run(random_plate(seed, through=seed % 2 == 0), tmp_path).complaints() == []
