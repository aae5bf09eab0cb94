"""The elevations of the zoo, in inches: what every manner of drawing has to give back."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from typing import Final

Point = tuple[float, float]
Rectangle = tuple[float, float, float, float]


@dataclass(frozen=True)
class Opening:
    """A masonry opening: left jamb, sill, right jamb, head, from the wall's lower left corner."""

    tag: str
    box: Rectangle

    @property
    def is_door(self) -> bool:
        return self.box[1] <= 0.0


@dataclass(frozen=True)
class Wall:
    """A wall: its corners from its lower left corner, and where that is on the sheet.

    Attributes:
        tag: its mark; empty where the drafter gave it none.
        title: what is written below the elevation.
        read_as: the tag that a wall without a mark is to have.
    """

    tag: str
    corners: tuple[Point, ...]
    openings: tuple[Opening, ...] = ()
    at: Point = (0.0, 0.0)
    title: str = ""
    read_as: str = ""

    @property
    def expected_tag(self) -> str:
        return self.tag or self.read_as

    def placed(self) -> tuple[Point, ...]:
        return tuple((x + self.at[0], y + self.at[1]) for x, y in self.corners)

    def placed_box(self, opening: Opening) -> Rectangle:
        x, y = self.at
        a, b, c, d = opening.box
        return (a + x, b + y, c + x, d + y)


@dataclass(frozen=True)
class Sheet:
    """One drawing."""

    name: str
    walls: tuple[Wall, ...]

    def without_texts(self) -> Sheet:
        """Return what is to be read where no text came through: walls and openings in their order."""
        count = itertools.count(1)
        walls = []
        for number, wall in enumerate(self.walls, 1):
            ordered = sorted(wall.openings, key=lambda o: (o.box[0], o.box[1]))
            openings = tuple(Opening(f"opening {next(count)}", o.box) for o in ordered)
            walls.append(replace(wall, tag=f"wall {number}", openings=openings))
        return Sheet(self.name, tuple(walls))


def rectangle(width: float, height: float) -> tuple[Point, ...]:
    return ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))


def row(tag: str, count: int, start: float, pitch: float, sill: float, size: Point) -> tuple[Opening, ...]:
    """Return openings at one pitch: ``N1``, ``N2`` and so on."""
    return tuple(
        Opening(f"{tag}{n + 1}", (start + n * pitch, sill, start + n * pitch + size[0], sill + size[1]))
        for n in range(count)
    )


_SHOP: Final = (Opening("D1", (96, 0, 136, 88)), Opening("N1", (240, 40, 288, 88)))
_STORE: Final = Wall(
    "W1",
    rectangle(720, 192),
    (
        Opening("D1", (48, 0, 88, 84)),
        Opening("N1", (160, 32, 232, 88)),
        Opening("OH1", (320, 0, 464, 144)),
        Opening("N2", (560, 32, 632, 88)),
    ),
)
_GABLE: Final = Wall(
    "W1", ((0, 0), (360, 0), (360, 120), (180, 200), (0, 120)), row("N", 2, 80, 140, 40, (56, 48))
)
_STEPPED: Final = Wall(
    "W1",
    ((0, 0), (640, 0), (640, 160), (400, 160), (400, 208), (240, 208), (240, 160), (0, 160)),
    (Opening("D1", (296, 0, 344, 96)), *row("N", 2, 80, 420, 40, (64, 56))),
)
_SCHOOL: Final = Wall(
    "W1", rectangle(1200, 288), (*row("N", 8, 60, 140, 36, (80, 64)), *row("M", 8, 60, 140, 176, (80, 64)))
)
_PAIR: Final = (
    Wall("W1", rectangle(480, 144), _SHOP),
    Wall("W2", rectangle(360, 168), row("N", 2, 72, 160, 40, (64, 64)), at=(640, 0)),
)
_FOUR: Final = tuple(
    Wall(
        "",
        rectangle(length, 144),
        row("N", count, 60, 120, 40, (48, 48)),
        at=at,
        title=f"{side} ELEVATION",
        read_as=f"{side[0]}1",
    )
    for side, length, count, at in (
        ("NORTH", 480.0, 3, (0.0, 400.0)),
        ("EAST", 300.0, 2, (640.0, 400.0)),
        ("SOUTH", 480.0, 2, (0.0, 0.0)),
        ("WEST", 300.0, 1, (640.0, 0.0)),
    )
)
_FOOTING: Final = Wall(
    "W1",
    ((0, 24), (200, 24), (200, 0), (560, 0), (560, 184), (0, 184)),
    row("N", 3, 60, 170, 64, (64, 56)),
)

SHEETS: Final = (
    Sheet("shop", (Wall("W1", rectangle(480, 144), _SHOP),)),
    Sheet("store", (_STORE,)),
    Sheet("gable", (_GABLE,)),
    Sheet("stepped", (_STEPPED,)),
    Sheet("school", (_SCHOOL,)),
    Sheet("pair", _PAIR),
    Sheet("titles", _FOUR),
    Sheet("footing", (_FOOTING,)),
    Sheet("unmarked", (replace(_STORE, tag="", title="SOUTH ELEVATION", read_as="S1"),)),
)
"""Nine elevations; each is drawn in every manner."""
