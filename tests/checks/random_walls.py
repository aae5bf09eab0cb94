"""Random walls for the judge: plain numbers first, then the basis that the rule book makes of them."""

from __future__ import annotations

import random
from dataclasses import replace

from perpend.model import Box, Opening, Place, PlaceKind, Profile, Treatment, Wall
from perpend.rulebook import WallBasis, load_rulebook
from perpend.settings import parse_settings, resolve_wall

COURSE = 8.0
BOOK = load_rulebook("us-cmu")

_ENDS = ("corner", "free", "continues", "joint")


OTHER_BOOKS = {
    "us-clay": (
        "method = 'empirical'",
        "method = 'engineered'",
        "lintel_support = 'anchored'",
        "left_return = 48",
    ),
    "en-uk": ("material = 'clay'", "material = 'aggregate-concrete'", "parapet = true"),
    "au-ncc": ("",),
}
"""Settings of walls by the other rule books; the walls stand on a module of 8 in. there too."""


def basis_by_book(seed: int, key: str) -> WallBasis:
    """Return the basis of the same random wall by another rule book."""
    dice = random.Random(f"{seed} {key}")
    book, wall = load_rulebook(key), random_basis(seed).wall
    if book.first("opening-treatment"):
        wall = replace(wall, openings=tuple(replace(o, treatment=None) for o in wall.openings))
    lines = [
        f"rulebook = '{key}'",
        "[defaults]",
        "module = 8",
        f"joint_type = '{'sealed' if book.first('joint-type') else 'formed-paper'}'",
        f"left_end = '{dice.choice(_ENDS)}'",
        f"right_end = '{dice.choice(_ENDS)}'",
        dice.choice(OTHER_BOOKS[key]),
    ]
    return resolve_wall(parse_settings("\n".join(lines)), book, wall)


def random_basis(seed: int) -> WallBasis:
    """Return the basis of a random wall: openings of both kinds, steps in the top, pilasters."""
    dice = random.Random(seed)
    length = COURSE * dice.randint(30, 120)
    height = COURSE * dice.randint(12, 32)
    top = _top(dice, length, height)
    openings = _openings(dice, length, height)
    places = _places(dice, length, openings)
    wall = Wall("W1", "1A", length, top, Profile.level(0.0, 0.0, length), openings=openings, places=places)
    lines = [
        "[defaults]",
        f'method = "{dice.choice(("empirical", "empirical", "engineered"))}"',
        f'units = "{dice.choice(("full-height", "full-height", "half-high"))}"',
        f'left_end = "{dice.choice(_ENDS)}"',
        f'right_end = "{dice.choice(_ENDS)}"',
        'joint_type = "formed-paper"',
    ]
    return resolve_wall(parse_settings("\n".join(lines)), BOOK, wall)


def _top(dice: random.Random, length: float, height: float) -> Profile:
    if dice.random() < 0.75:
        return Profile.level(height, 0.0, length)
    x = COURSE * dice.randint(8, int(length // COURSE) - 8)
    other = height + COURSE * dice.choice((2, 3, 4, 6))
    first, second = (height, other) if dice.random() < 0.5 else (other, height)
    return Profile(((0.0, first), (x, first), (x, second), (length, second)))


def _openings(dice: random.Random, length: float, height: float) -> tuple[Opening, ...]:
    found = []
    x = COURSE * dice.randint(2, 20)
    while len(found) < 4:
        width = COURSE * dice.choice((4, 5, 6, 8, 9, 10, 12, 18))
        sill = dice.choice((0.0, 0.0, 32.0, 40.0))
        head = min(sill + COURSE * dice.randint(4, 9), height - 16.0)
        if x + width > length - 16 or dice.random() < 0.2:
            break
        treatment = dice.choice((Treatment.REINFORCED, Treatment.UNREINFORCED))
        tag = f"D{len(found) + 1}"
        if head - sill >= 24.0:
            found.append(Opening(tag, f"2{len(found)}", Box(x, sill, x + width, head), treatment=treatment))
        x += width + COURSE * dice.randint(4, 36)
    return tuple(found)


def _places(dice: random.Random, length: float, openings: tuple[Opening, ...]) -> tuple[Place, ...]:
    if dice.random() < 0.7:
        return ()
    x = COURSE * dice.randint(4, int(length // COURSE) - 4)
    kind = dice.choice((PlaceKind.PILASTER, PlaceKind.INTERSECTION, PlaceKind.THICKNESS_CHANGE))
    return (Place(x, kind, "3A"),)
