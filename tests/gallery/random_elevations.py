"""Random elevations with everything that the gallery shows, as plates and as walls; lengths in inches."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace

from gallery.drafting_plates import (
    BEARINGS,
    INTERSECTIONS,
    NO_JOINTS,
    OPENINGS,
    PILASTERS,
    THICKNESS,
    Hole,
    Plate,
    Ring,
    Shape,
    strip,
)
from perpend.model import Box, Opening, Place, PlaceKind, Profile, Treatment, Wall, Zone, ZoneKind

TREATMENTS = {"-REIN": Treatment.REINFORCED, "-UNRE": Treatment.UNREINFORCED}


def random_plate(seed: int, *, through: bool = False, upper: bool = False) -> Plate:
    """Return an elevation of one wall, 20 to 90 ft long, drawn on the module.

    Args:
        seed: of its dice.
        through: True where one opening goes from foot to top.
        upper: True where windows are above some openings.
    """
    dice = random.Random(seed)
    length, height = 8.0 * dice.randint(30, 135), 8.0 * dice.choice((6, 10, 15, 18, 20, 24, 30))
    holes = tuple(_holes(dice, length, height))
    if through and holes:
        one = dice.randrange(len(holes))
        holes = tuple(replace(h, y0=0.0, y1=height, rise=0.0) if n == one else h for n, h in enumerate(holes))
    if upper:
        holes += tuple(_upper_row(dice, length, height, holes))
    shapes = tuple(_shapes(dice, length, height, holes))
    ends = [dice.choice(("corner", "corner", "free", "continues")) for _ in range(2)]
    settings = f'[defaults]\nleft_end = "{ends[0]}"\nright_end = "{ends[1]}"\n'
    settings += f'intersections = "{dice.choice(("joint", "unbonded", "bonded"))}"\n'
    if dice.random() < 0.2:
        settings += 'method = "engineered"\nccc = 0.0015\n'
    return Plate(
        f"random-{seed}",
        "A random wall",
        (("W1", _outline(dice, length, height, holes)),),
        holes,
        shapes,
        settings=settings,
    )


def _holes(dice: random.Random, length: float, height: float) -> Iterator[Hole]:
    at, number = 8.0 * dice.randint(0, 12), 0
    while at < length - 40:
        number += 1
        kind = dice.choice(("door", "window", "window", "dock", "strip", "arch", "high", "gang"))
        widths = {"door": 40.0, "window": 8.0 * dice.randint(3, 9), "dock": 8.0 * dice.randint(12, 20)}
        width = widths.get(kind, 48.0)
        width = 8.0 * dice.randint(26, 44) if kind == "strip" else width
        sill = 0.0 if kind in ("door", "dock", "arch") else 8.0 * dice.randint(1, 5)
        head = min(sill + 8.0 * dice.randint(4, 12), height - 8.0 * dice.randint(1, 3))
        if kind == "high":
            sill, head = max(height - 56.0, 8.0), height - 8.0
        if head - sill < 16 or at + width > length - 8:
            break
        layer = OPENINGS + dice.choice(("-REIN", "-UNRE", "-UNRE"))
        rise = 16.0 if kind == "arch" and head - sill > 40 and head < height else 0.0
        yield Hole(at, sill, at + width, head, f"O{number}", rise, layer)
        if kind == "gang":
            yield Hole(at + width + 8, sill, at + 2 * width + 8, head, f"O{number}G", 0.0, layer)
            at += width + 8
        at += width + 8.0 * dice.choice((2, 3, 4, 5, 6, 8, 12, 20, 30))


def _upper_row(dice: random.Random, length: float, height: float, lower: tuple[Hole, ...]) -> Iterator[Hole]:
    """Yield windows of a second row over some of the openings, in line with them or not."""
    at = 8.0
    for hole in lower:
        sill = hole.y1 + hole.rise + 8.0 * dice.randint(3, 6)
        x0 = hole.x0 + 8.0 * dice.choice((0, 0, 1, 2, 3, 5, -2, -3))
        x1 = x0 + dice.choice((hole.x1 - hole.x0, 40.0, 64.0, 88.0))
        if dice.random() < 0.6 and at <= x0 and x1 <= length - 8 and sill + 32 <= height - 16:
            yield Hole(x0, sill, x1, sill + 32.0, f"{hole.tag}U", 0.0, hole.layer)
            at = x1 + 16.0


def _outline(dice: random.Random, length: float, height: float, holes: tuple[Hole, ...]) -> Ring:
    """Return a level wall, one with a tower or a footing step; its corners keep off openings."""
    stations = (8.0 * k for k in range(6, int(length / 8) - 6))
    free = [x for x in stations if all(not h.x0 < x < h.x1 for h in holes)]
    kind = dice.choice(("level", "level", "tower", "footing", "parapet"))
    if kind == "level" or len(free) < 2:
        return ((0.0, 0.0), (length, 0.0), (length, height), (0.0, height))
    a, b = sorted(dice.sample(free, 2))
    if kind == "footing":
        return ((0.0, 0.0), (a, 0.0), (a, -24.0), (length, -24.0), (length, height), (0.0, height))
    rise = 16.0 if kind == "parapet" else 8.0 * dice.randint(4, 12)
    up = height + rise
    return (
        (0.0, 0.0),
        (length, 0.0),
        (length, height),
        (b, height),
        (b, up),
        (a, up),
        (a, height),
        (0.0, height),
    )


def _shapes(dice: random.Random, length: float, height: float, holes: tuple[Hole, ...]) -> Iterator[Shape]:
    widths = {PILASTERS: 16.0, BEARINGS: 16.0, NO_JOINTS: 64.0, THICKNESS: 56.0, INTERSECTIONS: 8.0}
    for layer, width in widths.items():
        if dice.random() > 0.3:
            continue
        x = 8.0 * dice.randint(4, int(length / 8) - 12)
        clear = all(x + width <= h.x0 or x >= h.x1 for h in holes)
        if clear:
            low = height - 16.0 if layer == BEARINGS else 0.0
            yield strip(layer, x, low, x + width, height)


# --- as the model has it ----------------------------------------------------------------------------


def wall_of(plate: Plate) -> Wall:
    """Return the wall of a random plate as it is read, axes at the left end of its lowest foot."""
    (_, ring), shift = plate.walls[0], -min(y for _, y in plate.walls[0][1])
    length = max(x for x, _ in ring)
    moved = [(x, y + shift) for x, y in ring]
    turn = next(i for i, (x, _) in enumerate(moved) if x == length)
    bottom, top = moved[: turn + 1], moved[turn + 1 :][::-1]
    if top[0][0] != 0.0:
        top = [moved[-1], *top]
    return Wall(
        tag="W1",
        handle="1A",
        length_in=length,
        top=Profile(tuple(top)),
        bottom=Profile(tuple(bottom)),
        openings=tuple(sorted((_opening(h, shift) for h in plate.holes), key=lambda o: (o.box.x0, o.box.y0))),
        places=tuple(sorted((p for s in plate.shapes if (p := _place(s))), key=lambda p: p.x_in)),
        zones=tuple(z for s in plate.shapes if (z := _zone(s, shift))),
    )


def _opening(hole: Hole, shift: float) -> Opening:
    box = Box(hole.x0, hole.y0 + shift, hole.x1, hole.y1 + shift)
    return Opening(
        hole.tag, hole.tag, box, box.corners, hole.layer, TREATMENTS[hole.layer[-5:]], hole.rise > 0
    )


def _place(shape: Shape) -> Place | None:
    kinds = {
        PILASTERS: PlaceKind.PILASTER,
        THICKNESS: PlaceKind.THICKNESS_CHANGE,
        INTERSECTIONS: PlaceKind.INTERSECTION,
    }
    if shape.layer not in kinds:
        return None
    x0, x1 = shape.points[0][0], shape.points[1][0]
    x = x0 if shape.layer == THICKNESS else (x0 + x1) / 2
    return Place(x, kinds[shape.layer], f"{shape.layer} {x0:g}", faces_in=(x0, x1))


def _zone(shape: Shape, shift: float) -> Zone | None:
    kinds = {BEARINGS: ZoneKind.BEARING, NO_JOINTS: ZoneKind.NO_JOINTS}
    if shape.layer not in kinds:
        return None
    (x0, y0), _, (x1, y1), _ = shape.points
    return Zone(Box(x0, y0 + shift, x1, y1 + shift), kinds[shape.layer], f"{shape.layer} {x0:g}")
