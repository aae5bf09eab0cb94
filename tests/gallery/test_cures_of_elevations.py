"""Every cure that promises to comply, carried out on walls whose joints were drawn wrong, keeps its promise.

The judge says that its finding is gone and that none as grave is new. The walls are plates of the gallery and
random ones; of the joints that belong there some are missing and some are aside.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from cures.carried_out import left_and_new
from gallery.drafting_plates import draw
from gallery.plates import PLATES
from gallery.random_elevations import random_plate, wall_of
from perpend.checks import check_wall
from perpend.cures.apply import DrawnWall
from perpend.cures.solve import solve
from perpend.findings import Severity
from perpend.jobs.settings_to_options import reading_options
from perpend.jobs.walls_round_corners import bases_to_judge, plan_walls
from perpend.layout import place_joints
from perpend.model import Joint
from perpend.reading.reader import read_drawing
from perpend.rulebook import load_rulebook
from perpend.rulebook.wall_basis import WallBasis
from perpend.settings import book_of, parse_settings, resolve_wall

BOOK = load_rulebook("us-cmu")
RANDOM = range(3000, 3050)
MANY_SIDED = (
    "stacked-windows-out-of-line",
    "narrow-pier-wide-doors",
    "strip-window-unreinforced",
    "tower",
    "corner-veneer",
    "fewest-changes",
)
"""Plates tried in the suite; all of them are tried with `broken_promises` outside it."""


def drawn_wrong(basis: WallBasis, joints: Sequence[Joint], seed: str) -> list[Joint]:
    """Leave some joints out, and shift some by one to three modules."""
    dice, drawn = random.Random(seed), []
    for joint in joints:
        how = dice.choice(("as it is", "as it is", "missing", "aside"))
        by = basis.module_in * dice.choice((-3, -2, -1, 1, 2, 3))
        shifted = tuple((x + by, y) for x, y in joint.path)
        if how == "aside" and all(0 < x < basis.wall.length_in for x, _ in shifted):
            joint = replace(joint, path=shifted, x_in=shifted[0][0])
        if how != "missing":
            drawn.append(joint)
    return [replace(j, number=n) for n, j in enumerate(sorted(drawn, key=lambda j: j.path), start=1)]


def broken_promises(basis: WallBasis, drawn: Sequence[Joint]) -> Iterator[str]:
    """Yield a line for every cure that promises to comply: empty, or what is wrong once it is carried out."""
    report = check_wall(basis, drawn)
    for found in solve(DrawnWall.of(basis, drawn, report), report.findings).findings:
        for changes in (found.cure.changes, *found.cure.others) if found.cure and found.cure.complies else ():
            still, new = left_and_new(basis, drawn, found, changes)
            grave = [f for f in new if f.severity in (found.severity, Severity.REQUIRED)]
            wrong = [*(["it is still there"] if still else []), *(f.message for f in grave)]
            yield f"{found.message} {wrong[0]}" if wrong else ""


def of_plate(name: str, folder: Path) -> Iterator[tuple[WallBasis, Sequence[Joint]]]:
    """Yield the walls of a plate with the joints that belong there."""
    plate = next(plate for plate in PLATES if plate.name == name)
    settings = parse_settings(plate.settings)
    elevation = read_drawing(draw(plate, folder), reading_options(settings)).elevation
    alone, plans = plan_walls(elevation, settings, book_of(settings))
    joints = [plan.joints for plan in plans]
    yield from zip(bases_to_judge(settings, elevation.walls, alone, joints), joints, strict=True)


def test_cures_of_random_walls_keep_their_promise() -> None:
    kept = 0
    for seed in RANDOM:
        plate = random_plate(seed, upper=seed % 3 == 0)
        basis = resolve_wall(parse_settings(plate.settings), BOOK, wall_of(plate))
        drawn = drawn_wrong(basis, place_joints(basis).joints, str(seed))
        promises = list(broken_promises(basis, drawn))
        assert not [wrong for wrong in promises if wrong], f"wall {seed}"
        kept += len(promises)
    assert kept >= 60


@pytest.mark.parametrize("name", MANY_SIDED)
def test_cures_of_plates_keep_their_promise(name: str, tmp_path: Path) -> None:
    for number, (basis, joints) in enumerate(of_plate(name, tmp_path)):
        for turn in range(3):
            drawn = drawn_wrong(basis, joints, f"{name} {number} {turn}")
            assert not [wrong for wrong in broken_promises(basis, drawn) if wrong], turn
