"""Which role each layer of a drawing probably plays, judged by its name and from what is drawn on it.

The settings' patterns come first, then words of the trade, then the shapes: closed shapes that hold
closed shapes of another layer are walls, the held ones openings, upright lines that cross walls joints.
A role that the present settings fill is given to another layer only where name and shapes agree; where
the shapes alone say so, that is a doubt.

Glossary:
    why: one clause that says what gave a role away.
    held: a shape whose smallest holder among the shapes of other layers is that of a certain layer.
    ill fit: how far sizes are from those that walls and openings mostly have.
"""

from __future__ import annotations

import itertools
import statistics
from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from perpend.model import Box
from perpend.reading.gather.layer_names import is_no_face, says_nothing, words_in
from perpend.reading.gather.texts import is_mark
from perpend.reading.reading_options import ReadingOptions, Role, matches
from perpend.reading.survey.layer_shapes import LayerShapes

_MOST_OF_A_LAYER: Final = 300
_MOST_SHAPES: Final = 4000
"""Shapes that are looked at when the walls are sought among them: of one layer, and of all, largest first."""

_MOST_OF: Final = 0.6
"""This part of what a layer draws has to agree."""

_LEAST_OF_WALL: Final = 0.15
"""Openings are at least this part of the wall's height: bricks and blocks lie in walls too, but are lower."""

_MOST_OF_WALL: Final = 0.6
"""Openings cover at most this part of the wall; what covers more is its coursing or cladding."""

_CROSSED: Final = 0.7
"""A line crosses a wall where it covers this part of its height."""

_BEYOND: Final = 0.15
"""A line that runs on past a wall by more than this part of its height is a grid line or the like."""

_PATTERN: Final = 0.12
"""Lines nearer to each other than this part of the wall's height are a pattern."""

IllFit = Callable[[Sequence[float], Sequence[float]], float]
"""Says of heights of walls and lesser sides of openings, drawing units, how ill they fit."""


@dataclass(frozen=True, slots=True)
class Guess:
    """What a layer probably is.

    Attributes:
        role: the role it probably plays, or None.
        why: what gave it away, or why there is none.
        fits: True when the present settings take it for that role already.
        maybe: the role it may play although another layer has it, or None.
        shared: True where walls are on it and their openings too.
        by_name: True when its name says the role; in a survey also when the settings do.
    """

    role: Role | None = None
    why: str = ""
    fits: bool = False
    maybe: Role | None = None
    shared: bool = False
    by_name: bool = False

    def plays(self, role: Role) -> bool:
        """Say whether the layer probably plays a role."""
        return self.role is role or (self.shared and role is Role.OPENINGS)


@dataclass(slots=True)
class Tally:
    """What is on one layer.

    Attributes:
        counts: entities by DXF type; what is in blocks counts once.
        shapes: what it draws.
        texts: its texts.
        marks: where those stand that look like marks, drawing axes.
    """

    counts: Counter[str] = field(default_factory=Counter)
    shapes: LayerShapes = field(default_factory=LayerShapes)
    texts: list[str] = field(default_factory=list)
    marks: list[tuple[float, float]] = field(default_factory=list)


def roles_of_layers(
    tallies: Mapping[str, Tally], options: ReadingOptions, ill_fit: IllFit
) -> dict[str, Guess]:
    """Give each layer its likeliest role.

    Args:
        tallies: what is on each layer.
        options: the present settings.
        ill_fit: tells walls from the frames round them and the panes in their windows.
    """
    counted = {name: tally for name, tally in tallies.items() if not matches(name, options.ignored)}
    ignored = {name: Guess(why="the settings ignore it") for name in tallies if name not in counted}
    return {**_guesses(counted, options, ill_fit), **ignored}


def _guesses(tallies: Mapping[str, Tally], options: ReadingOptions, ill_fit: IllFit) -> dict[str, Guess]:
    guesses = {name: _by_settings(name, options) or Guess() for name in tallies}
    settled = {guess.role: name for name, guess in guesses.items() if guess.role}
    named = {name: by_name(name, t) for name, t in tallies.items() if guesses[name].role is None}
    for name, guess in named.items():
        if guess is not None and guess.role not in settled:
            guesses[name] = guess
    if not any(guess.role is Role.WALLS for guess in guesses.values()):
        _find_filled_walls(tallies, guesses)
    if not any(guess.role is Role.WALLS for guess in guesses.values()):
        _find_walls(tallies, guesses, ill_fit)
        _find_bases(tallies, guesses)
    drawn = _Drawn(tallies, guesses)
    taken: dict[Role | None, str] = {
        guess.role: name for name, guess in reversed(guesses.items()) if guess.role
    }
    for name, tally in tallies.items():
        guess = guesses[name]
        if guess.role is None:
            guesses[name] = _second_look(tally, named[name], drawn.by_place(name, tally), taken)
        elif guess.role is Role.TAGS and not guess.fits and drawn.stand_outside(tally.marks):
            guesses[name] = Guess(why="its marks stand outside the walls")
    return guesses


def _by_settings(name: str, options: ReadingOptions) -> Guess | None:
    """Return the role the present settings give a layer; the most particular one counts."""
    roles = options.roles_of(name)
    for role in reversed(Role):
        if role in roles:
            pattern = next(p for p in options.patterns(role) if matches(name, (p,)))
            shared = role is Role.JOINTS and Role.OPENINGS in roles
            also = ": what closes on it is an opening" if shared else ""
            return Guess(role, f"its name fits {pattern}{also}", fits=True)
    return None


def by_name(name: str, tally: Tally) -> Guess | None:
    """Return the role that a layer's name says, where what is on it can play that role."""
    for role, word in words_in(name):
        if role is Role.WALLS and not _has_faces(tally):
            continue
        if role is Role.OPENINGS and not _has_shapes(tally):
            continue
        if role is Role.TAGS and not any(is_mark(text) for text in tally.texts):
            continue
        return Guess(role, f"its name says {word!r}", by_name=True)
    return None


def _has_faces(tally: Tally) -> bool:
    """True when the layer holds closed outlines, blocks, lines enough to make some, or both ends of one."""
    corners = len(tally.shapes.uprights) >= 2 or tally.shapes.bent
    return bool(tally.shapes.outlines) or "INSERT" in tally.counts or tally.counts["LINE"] >= 4 or corners


def _has_shapes(tally: Tally) -> bool:
    """True when the layer holds what may be an opening; a door may be drawn without its threshold."""
    open_lines = ("LWPOLYLINE", "POLYLINE")
    return _has_faces(tally) or tally.counts["LINE"] >= 3 or any(kind in tally.counts for kind in open_lines)


def _find_filled_walls(tallies: Mapping[str, Tally], guesses: dict[str, Guess]) -> None:
    """Without an outline on a layer that is named for walls: fills on one, with holes for openings."""
    for name, tally in tallies.items():
        said = next((word for role, word in words_in(name) if role is Role.WALLS), "")
        if said and guesses[name].role is None and any(tally.counts[kind] for kind in ("HATCH", "MPOLYGON")):
            guesses[name] = Guess(Role.WALLS, f"its name says {said!r}, and fills on it", by_name=True)


def _find_walls(tallies: Mapping[str, Tally], guesses: dict[str, Guess], ill_fit: IllFit) -> None:
    """Without a wall by name: among the layers that hold shapes, of others first, whose sizes fit best."""
    for shared in (False, True):
        holders, held = _held_by_layer(tallies, own=shared)
        fit = {
            name: ill_fit([b.height for b in holders[name]], [min(b.width, b.height) for b in held[name]])
            for name in held
            if guesses[name].role is None and not is_no_face(name)
        }
        if fit:
            best = min(fit, key=lambda name: fit[name])
            count = len(set(holders[best]))
            hold = "holds" if count == 1 else "hold"
            others = "others on it" if shared else "shapes of other layers"
            why = f"{_count(count, 'closed outline')} on it {hold} {others}"
            if len(fit) > 1:
                why += f", and {'its size fits' if count == 1 else 'their sizes fit'} walls best"
            shared = shared or best in _held_by_layer(tallies, own=True)[0]
            guesses[best] = Guess(Role.WALLS, why, shared=shared)
            return


def _find_bases(tallies: Mapping[str, Tally], guesses: dict[str, Guess]) -> None:
    """Beside a wall by its shape: what stands under it, as long as it is, with a door in both of them."""
    of_role = {role: [n for n, g in guesses.items() if g.plays(role)] for role in (Role.WALLS, Role.OPENINGS)}
    walls, doors = ([b for n in of_role[r] for b in tallies[n].shapes.outlines] for r in of_role)
    for name, tally in tallies.items():
        if guesses[name].role is None and says_nothing(name):
            outlines = tally.shapes.outlines[:_MOST_OF_A_LAYER]
            if any(_stands_under(base, wall, doors) for wall in walls for base in outlines):
                why = "a closed outline on it is under a wall, and a door is in both"
                guesses[name] = Guess(Role.WALLS, why)


def _stands_under(base: Box, wall: Box, doors: Sequence[Box]) -> bool:
    slack = 1e-3 * wall.width
    ends = max(abs(base.x0 - wall.x0), abs(base.x1 - wall.x1), abs(base.y1 - wall.y0))
    return ends <= slack and any(wall.overlaps(d, slack) and base.overlaps(d, slack) for d in doors)


def _held_by_layer(
    tallies: Mapping[str, Tally], *, own: bool
) -> tuple[dict[str, list[Box]], dict[str, list[Box]]]:
    """Return, by the layer of the holders, every holder and the shape of another (its own) layer in it."""
    import numpy as np

    shapes = [(b, name) for name, t in tallies.items() for b in t.shapes.outlines[:_MOST_OF_A_LAYER]]
    shapes.sort(key=lambda shape: -_area(shape[0]))
    boxes, owners = [b for b, _ in shapes[:_MOST_SHAPES]], [name for _, name in shapes[:_MOST_SHAPES]]
    sides = np.array([(b.x0, b.y0, b.x1, b.y1) for b in boxes]).reshape(-1, 4)
    number = {name: n for n, name in enumerate(dict.fromkeys(owners))}
    owner_of = np.array([number[name] for name in owners])
    holders: dict[str, list[Box]] = defaultdict(list)
    held: dict[str, list[Box]] = defaultdict(list)
    for shape, name in zip(boxes, owners, strict=True):
        around = (sides[:, :2] <= (shape.x0, shape.y0)).all(axis=1) & (
            sides[:, 2:] >= (shape.x1, shape.y1)
        ).all(axis=1)
        around &= ((owner_of == number[name]) == own) & (sides[:, 2] - sides[:, 0] > shape.width)
        if around.any():
            smallest = int(np.flatnonzero(around)[-1])
            holders[owners[smallest]].append(boxes[smallest])
            held[owners[smallest]].append(shape)
    return holders, held


def _area(box: Box) -> float:
    return box.width * box.height


def _holds(outer: Box, inner: Box) -> bool:
    return (
        outer.holds((inner.x0, inner.y0)) and outer.holds((inner.x1, inner.y1)) and inner.width < outer.width
    )


def _second_look(
    tally: Tally, named: Guess | None, placed: Guess | None, taken: Mapping[Role | None, str]
) -> Guess:
    """Weigh what name and place say of a layer that has no role yet."""
    if named is not None:
        home = taken.get(named.role)
        if placed is not None and placed.role is named.role:
            return Guess(named.role, f"{named.why}, and {placed.why}", by_name=True)
        return Guess(why=f"{named.why}, but {home} has that role" if home else named.why)
    if placed is None:
        only_texts = tally.texts and len(tally.texts) == sum(tally.counts.values())
        return Guess(why="texts only" if only_texts else "nothing points to a role")
    home = taken.get(placed.role)
    if home is None:
        return placed
    return Guess(why=f"{placed.why}, but {home} has that role", maybe=placed.role)


def _count(count: int, noun: str, of_all: str = "") -> str:
    return f"{count}{of_all} {noun}{'' if count == 1 and not of_all else 's'}"


class _Drawn:
    """The walls and openings that are known, and what is in them."""

    def __init__(self, tallies: Mapping[str, Tally], guesses: Mapping[str, Guess]) -> None:
        def outlines(role: Role) -> list[Box]:
            return [b for name, t in tallies.items() if guesses[name].role is role for b in t.shapes.outlines]

        self.walls = outlines(Role.WALLS)
        self.openings = outlines(Role.OPENINGS)

    def stand_outside(self, marks: Sequence[tuple[float, float]]) -> bool:
        """Say whether none of some marks stands in a wall."""
        return bool(self.walls and marks) and not any(w.holds(mark) for w in self.walls for mark in marks)

    def by_place(self, name: str, tally: Tally) -> Guess | None:
        """Return the role that a layer's shapes have inside the walls."""
        if not self.walls or is_no_face(name):
            return None
        return self._as_openings(tally.shapes.outlines) or self._as_joints(tally.shapes)

    def _as_openings(self, outlines: Sequence[Box]) -> Guess | None:
        count = sum(map(self._is_opening, outlines))
        if not count or count < _MOST_OF * len(outlines):
            return None
        of_all = "" if count == len(outlines) else f" of {len(outlines)}"
        lie = "lies in a wall" if count == 1 else "lie in walls"
        return Guess(Role.OPENINGS, f"{_count(count, 'closed outline', of_all)} on it {lie}")

    def _as_joints(self, shapes: LayerShapes) -> Guess | None:
        crossing = [b for b in shapes.uprights if any(_crosses(b, w) for w in self.walls)]
        count = len(crossing)
        if shapes.outlines or not count or count < _MOST_OF * len(shapes.uprights):
            return None
        cross = "crosses a wall" if count == 1 else "cross walls"
        why = f"{_count(count, 'upright line')} on it {cross} from edge to edge"
        return Guess(Role.JOINTS, why) if self._stand_apart(crossing) else None

    def _is_opening(self, shape: Box) -> bool:
        """True for what lies in a wall, is no brick, not its coursing, and no part of an opening."""
        home = min((w for w in self.walls if _holds(w, shape)), key=_area, default=None)
        if home is None or any(_holds(o, shape) for o in self.openings):
            return False
        return shape.height >= _LEAST_OF_WALL * home.height and _area(shape) <= _MOST_OF_WALL * _area(home)

    def _stand_apart(self, lines: Sequence[Box]) -> bool:
        stations = sorted(line.x0 for line in lines)
        apart = [b - a for a, b in itertools.pairwise(stations) if b > a]
        return len(apart) < 2 or statistics.median(apart) >= _PATTERN * max(w.height for w in self.walls)


def _crosses(line: Box, wall: Box) -> bool:
    beyond = _BEYOND * wall.height
    return (
        wall.x0 < line.x0 < wall.x1
        and min(line.y1, wall.y1) - max(line.y0, wall.y0) > _CROSSED * wall.height
        and line.y0 >= wall.y0 - beyond
        and line.y1 <= wall.y1 + beyond
    )
