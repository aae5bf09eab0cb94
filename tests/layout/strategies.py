"""Random walls: small ones for brute force, middling ones for the solver.

All lengths are whole sixteenths of an inch or whole millimetres and all slopes are simple fractions, so
that no two lengths differ by something near the tolerance without being equal.
"""

from __future__ import annotations

from hypothesis import strategies as st

from layout import builders
from layout.builders import CONTINUES, CORNER, FREE, JOINT, Drawn, Hole, basis
from perpend.model import EndCondition, PlaceKind
from perpend.rulebook.wall_basis import WallBasis

ENDS = st.sampled_from([CORNER, FREE, CONTINUES, JOINT, CORNER])
PLACES = st.sampled_from([PlaceKind.PILASTER, PlaceKind.INTERSECTION, PlaceKind.THICKNESS_CHANGE])
SIXTEENTHS = st.sampled_from([0.0, 0.0, 0.0, 0.0625, 0.5, 0.9375])


@st.composite
def holes(
    draw: st.DrawFn, length: float, height: float, least: int, most: int, grid: float
) -> tuple[Hole, ...]:
    """Openings in columns from left to right, one to three in a column, in line or not."""
    found: list[Hole] = []
    at = draw(st.integers(1, 8)) * grid
    for _ in range(draw(st.integers(least, most))):
        width = draw(st.integers(2, 20)) * grid + draw(SIXTEENTHS)
        if at + width >= length:
            break
        found += draw(column(at, at + width, length, height, grid))
        at = max(hole[2] for hole in found) + draw(st.integers(1, 14)) * grid
    return tuple(found)


@st.composite
def column(draw: st.DrawFn, x0: float, x1: float, length: float, height: float, grid: float) -> list[Hole]:
    """Return openings one above the other; their jambs are in line, or shifted on either side."""
    rows, found = draw(st.sampled_from([1, 1, 1, 2, 2, 3])), []
    storey = height / rows
    for row in range(rows):
        low = row * storey + draw(st.sampled_from([0.0, 0.125, 0.25])) * storey
        high = (row + 1) * storey - draw(st.sampled_from([0.0, 0.125, 0.25, 0.5])) * storey
        left, right = x0, x1
        if row and draw(st.booleans()):
            left += draw(st.sampled_from([0, 0, 1, 3, -1])) * grid
            right += draw(st.sampled_from([0, 0, 1, -1, 3])) * grid
        if 0 < left < right < length and high > low:
            found.append((left, low, right, high, draw(st.sampled_from("uuuurra"))))
    merged: list[Hole] = []
    for hole in found:
        if not merged or hole[1] - merged[-1][3] >= builders.LINTEL_DEPTH_IN:
            merged.append(hole)
    return merged


@st.composite
def edges(draw: st.DrawFn, length: float, height: float, grid: float) -> dict[str, object]:
    """Return a top edge: level, stepped once or twice, a gable or a shed; a footing or a terrace."""
    kind = draw(
        st.sampled_from(["level", "level", "level", "step", "steps", "gable", "shed", "footing", "terrace"])
    )
    at = draw(st.integers(1, max(1, int(length / grid) - 1))) * grid
    rise = draw(st.sampled_from([8.0, 16.0, 48.0, 96.0]))
    if not 0 < at < length or kind == "level":
        return {"height": height}
    if kind == "step":
        return {"top": ((0, height + rise), (at, height + rise), (at, height), (length, height))}
    if kind == "steps":
        middle = (at + length) / 2
        return {
            "top": (
                (0, height),
                (at, height),
                (at, height + rise),
                (middle, height + rise),
                (middle, height),
                (length, height),
            )
        }
    slope = draw(st.sampled_from([0.25, 0.5, 0.125]))
    if kind == "gable":
        peak = (int(length / 2 / grid) + 1) * grid
        if peak >= length:
            return {"height": height}
        return {
            "top": (
                (0, height),
                (peak, height + slope * peak),
                (length, height + slope * (2 * peak - length)),
            )
        }
    if kind == "shed":
        return {"top": ((0, height), (length, height + slope * length))}
    ground = ((0, 0), (at, 0), (at, -rise), (length, -rise))
    if kind == "terrace":  # ground and top step alike
        return {"top": tuple((x, y + height + rise) for x, y in ground), "bottom": ground}
    return {"height": height, "bottom": ground}


@st.composite
def small_walls(draw: st.DrawFn) -> WallBasis:
    """Walls of a dozen module lines or so."""
    metric = draw(st.sampled_from([False, False, False, True]))
    mm = 5 / 127
    module = 200 * mm if metric else draw(st.sampled_from([8.0, 16.0, 24.0]))
    grid = 100 * mm if metric else draw(st.sampled_from([4.0, module / 2, 3.0]))
    length = draw(st.integers(4, 12)) * module + draw(st.integers(0, 2)) * grid
    height = draw(st.integers(3, 12)) * (200 * mm if metric else 8.0)
    return draw(walls(length, height, module, grid, 0, 3))


@st.composite
def middling_walls(draw: st.DrawFn) -> WallBasis:
    """Walls of 30 to 60 ft with several openings."""
    module = draw(st.sampled_from([8.0, 8.0, 16.0]))
    length = draw(st.integers(30, 60)) * 12.0
    height = draw(st.integers(8, 20)) * 12.0
    return draw(walls(length, height, module, 4.0, 3, 6))


@st.composite
def walls(
    draw: st.DrawFn, length: float, height: float, module: float, grid: float, least: int, most: int
) -> WallBasis:
    """Return a wall of this length and (lowest) height with openings, places and ends of any kind."""
    floors = draw(st.sampled_from([(), (), (), (0.5,), (0.375, 0.75), (1.0,)]))
    middle = int(length / grid / 2) * grid
    stations = st.integers(1, int(length / grid) - 1).map(lambda k: k * grid)
    inner = stations.filter(lambda x: 0.1 < x < length - 0.1)
    return basis(
        length,
        holes=draw(holes(length, height, least, most, grid)),
        **draw(edges(length, height, grid)),
        ends=(draw(ENDS), draw(ENDS)),
        ratio=draw(st.sampled_from([1.5, 1.5, 2.0, 0.75, None])),
        cap=draw(st.sampled_from([300.0, 240.0, 96.0, 40.0])),
        corner_fraction=draw(st.sampled_from([0.5, 0.5, None])),
        corner_max=draw(st.sampled_from([None, None, 48.0])),
        corner_min=draw(st.sampled_from([0.0, 0.0, 0.0, 24.0])),
        module=module,
        origin=draw(st.sampled_from([0.0, 0.0, grid, -3 * grid])),
        places=draw(st.lists(st.tuples(inner, PLACES), max_size=draw(st.sampled_from([0, 0, 2])))),
        drawn=draw(drawn_joints(inner, length, height)),
        supports=[
            (height * part, *draw(st.sampled_from([(0, length), (0, length), (0, middle)])))
            for part in floors
        ],
        storey=bool(floors),
        over=draw(st.sampled_from([0.0, 0.0, 0.25])),
        near=draw(st.sampled_from([None, None, None, 24.0])),
        step=draw(st.sampled_from([builders.BEARING_IN, builders.BEARING_IN, 0.0, 12.0])),
        least=draw(st.sampled_from([0.0, 24.0, 24.0, 40.0])),
        pier=draw(st.sampled_from([0.0, 48.0, 48.0])),
        rise=draw(st.sampled_from([0.0, 16.0])),
        pilasters=draw(bodies(length, grid)),
        zones=draw(bodies(length, grid)),
        bonded=draw(bonded_walls(length, grid)),
    )


@st.composite
def bodies(draw: st.DrawFn, length: float, grid: float) -> list[tuple[float, float]]:
    """Return no pilaster or zone, or one that may reach up to an end of the wall."""
    if draw(st.sampled_from([True, True, False])):
        return []
    first = draw(st.integers(0, int(length / grid) - 1)) * grid
    return [(first, min(first + draw(st.integers(1, 6)) * grid, length))]


@st.composite
def bonded_walls(draw: st.DrawFn, length: float, grid: float) -> list[tuple[float, float]]:
    """Return none, or one or two intersecting walls that are bonded, with or without a thickness."""
    firsts = st.integers(0, int(length / grid)).map(lambda n: n * grid)
    found = draw(st.lists(firsts, unique=True, max_size=draw(st.sampled_from([0, 0, 1, 2]))))
    return [(x, x + draw(st.sampled_from([0.0, grid]))) for x in found]


@st.composite
def drawn_joints(
    draw: st.DrawFn, inner: st.SearchStrategy[float], length: float, height: float
) -> list[Drawn]:
    """Return none, one or two joints that are drawn already; some of them step at half height."""
    found: list[Drawn] = []
    for foot in draw(st.lists(inner, unique=True, max_size=draw(st.sampled_from([0, 0, 0, 2])))):
        head = foot + draw(st.sampled_from([0.0, 0.0, 8.0, -8.0]))
        found.append((foot, height / 2, head) if 0.1 < head < length - 0.1 else foot)
    return found


@st.composite
def leaning_walls(draw: st.DrawFn) -> WallBasis:
    """Walls whose jamb joints lean on different courses, with few module lines between them.

    On the left a window under one that reaches the top: its joint leans out on the courses between the two
    only. On the right a door: its joint leans out above the head.
    """
    even = st.integers(1, 20).map(lambda k: k * 2.0)
    x0, height = draw(st.sampled_from([16.0, 20.0, 24.0])), 120.0
    x1 = x0 + draw(even)
    found = [(x0, 0.0, x1, 20.0, "u"), (x0, 40.0, x1 - draw(st.sampled_from([0.0, 1.0])), height, "u")]
    at = x1 + 12 + draw(even)
    if draw(st.booleans()):
        width = draw(even)
        found.append((at, 0.0, at + width, draw(st.sampled_from([30.0, 60.0])), draw(st.sampled_from("ur"))))
        at += width + 8 + draw(even)
    right = at + draw(even)
    found.append((at, 0.0, right, 60.0, "u"))
    length = right + draw(st.sampled_from([13.0, 16.0, 30.0]))
    return basis(
        length,
        height,
        found,
        bonded=draw(bonded_walls(length, 2.0)),
        ratio=None,
        cap=draw(st.integers(15, 45)) * 2.0,
        module=draw(st.sampled_from([16.0, 24.0, 32.0])),
        origin=draw(st.integers(0, 7)) * 2.0,
        step=12.0,
    )


@st.composite
def stacked_walls(draw: st.DrawFn) -> WallBasis:
    """Walls of two or three storeys whose openings are seldom in line, some wide enough for both jambs."""
    found = []
    for row in range(draw(st.sampled_from([2, 2, 3]))):
        at = draw(st.integers(5, 16)) * 4.0
        for _ in range(draw(st.integers(1, 2))):
            width = draw(st.sampled_from([24.0, 40.0, 60.0, 80.0]))
            found.append(
                (at, row * 72.0 + 24.0, at + width, row * 72.0 + 56.0, draw(st.sampled_from("uuuuur")))
            )
            at += width + draw(st.integers(3, 12)) * 4.0
    length = max(hole[2] for hole in found) + draw(st.integers(4, 12)) * 4.0
    grid = [x * 4.0 for x in range(3, int(length / 4) - 2)]
    return basis(
        length,
        max(hole[3] for hole in found) + draw(st.sampled_from([0.0, 24.0, 40.0])),
        found,
        ends=(draw(ENDS), draw(ENDS)),
        ratio=None,
        cap=draw(st.sampled_from([60.0, 96.0, 144.0, 300.0])),
        module=draw(st.sampled_from([16.0, 24.0])),
        step=draw(st.sampled_from([0.0, 8.0, 12.0])),
        least=draw(st.sampled_from([0.0, 24.0, 40.0])),
        pier=draw(st.sampled_from([0.0, 48.0])),
        drawn=draw(drawn_joints(st.sampled_from(grid), length, found[0][3] * 2)),
    )


@st.composite
def careless_walls(draw: st.DrawFn, grain: float) -> WallBasis:
    """Walls whose stations are a little off what was meant, by up to a grain."""

    def noise() -> float:
        return draw(st.floats(-grain, grain, allow_subnormal=False))

    height = draw(st.sampled_from([48.0, 96.0, 160.0, 200.3]))
    at, found = draw(st.integers(2, 8)) * 4.0, []
    for _ in range(draw(st.integers(0, 3))):
        width, head = draw(st.integers(1, 20)) * 4.0, draw(st.sampled_from([20.0, 40.0, height * 0.6]))
        sill = draw(st.sampled_from([0.0, 8.0]))
        found.append(
            (at + noise(), sill, at + width + noise(), head + noise(), draw(st.sampled_from("uuura")))
        )
        if head + 24 < height and draw(st.booleans()):
            low, high = head + 12 + noise(), draw(st.sampled_from([height, height - 10]))
            found.append((at + noise(), low, at + width + noise(), high, draw(st.sampled_from("uur"))))
        at += width + draw(st.integers(1, 20)) * 4.0
    length = at + draw(st.sampled_from([4.0, 13.0, 30.0, 100.0])) + noise()
    step = draw(st.integers(1, int(length / 4) - 1)) * 4.0 + noise()
    top: list[tuple[float, float]] = [(0, height), (length, height)]
    if draw(st.booleans()):
        top = [(0, height + 24.1), (step, height + 24.1), (step, height), (length, height)]
    stations = st.integers(1, int(length / 4) - 1).map(lambda k: k * 4.0)
    return basis(
        length,
        holes=found,
        top=top,
        ratio=draw(st.sampled_from([None, 1.5, 1.3])),
        cap=draw(st.sampled_from([40.0, 60.0, 100.7, 300.0])),
        ends=(draw(ENDS), draw(ENDS)),
        module=draw(st.sampled_from([16.0, 24.0, 7.9, 200 / 25.4])),
        origin=draw(st.sampled_from([0.0, 4.0])) + noise(),
        drawn=[x + noise() for x in draw(st.lists(stations, max_size=draw(st.sampled_from([0, 0, 1]))))],
        step=draw(st.sampled_from([8.0, 12.0])),
    )


@st.composite
def plain_walls(draw: st.DrawFn) -> WallBasis:
    """Walls that can always be satisfied: no opening, no place, joints possible every 8 in."""
    length = draw(st.integers(10, 100)) * 8.0
    ends: tuple[EndCondition, EndCondition] = (draw(ENDS), draw(ENDS))
    return basis(length, draw(st.integers(4, 30)) * 8.0, ends=ends)
