"""What is on which layer of a drawing, and which role each layer probably plays.

A role is told from a layer's name (the settings' patterns first, then words of the trade), then from
what is drawn on it: closed shapes that hold closed shapes of another layer are walls, the held ones
openings, upright lines that cross walls joints. A role that the present settings fill is not guessed again.

Glossary:
    shape: the box of something drawn, in drawing axes.
    why: one clause that says what gave a role away.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import field
from pathlib import Path
from typing import TYPE_CHECKING, Final

from perpend.errors import InputError
from perpend.frozen import dataclass
from perpend.model import Box
from perpend.reading.drawing_units import find_unit, said_in_header
from perpend.reading.layer_names import is_no_face, words_in
from perpend.reading.layouts import MODELSPACE, find_layout
from perpend.reading.loading import load_drawing
from perpend.reading.options import ReadingOptions, Role, matches
from perpend.reading.records import layer_of, own_kind
from perpend.reading.strokes import SHAPES, Origin, strokes_of
from perpend.reading.texts import is_mark

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.layouts.base import BaseLayout

_SHOWN_SHAPES: Final = 4000
"""Shapes per layer that are looked at when roles are guessed from geometry."""


@dataclass(frozen=True, slots=True)
class LayerRow:
    """One layer.

    Attributes:
        name: the layer's name.
        state: ``on``, ``off``, ``frozen`` or ``missing`` (used, but not in the layer table).
        counts: (DXF type, number) pairs, the most frequent first; what stands in blocks counts once.
        closed: closed outlines among them.
        texts: a few of its texts.
        role: the role it probably plays, or None.
        why: what gave it away, or why there is none.
        fits: True when the present settings take it for that role already.
    """

    name: str
    state: str
    counts: tuple[tuple[str, int], ...]
    closed: int
    texts: tuple[str, ...]
    role: Role | None
    why: str
    fits: bool

    @property
    def total(self) -> int:
        """Entities on the layer."""
        return sum(count for _, count in self.counts)


@dataclass(frozen=True, slots=True)
class LayerSurvey:
    """Every layer that is used, the ones with a role first.

    Attributes:
        path: the drawing's path, or empty.
        units: the drawing's unit, as read or guessed.
        units_why: how it is known.
        layouts: names of the layouts that hold something beside modelspace.
        rows: one per layer.
        external: external references whose content is not in the file.
        layout: name of the layout that was looked at; ``Model`` is modelspace.
    """

    path: str
    units: str
    units_why: str
    layouts: tuple[str, ...]
    rows: tuple[LayerRow, ...]
    external: tuple[str, ...] = ()
    layout: str = MODELSPACE

    def layers_of(self, role: Role) -> tuple[str, ...]:
        """Return the names of the layers that probably play a role."""
        return tuple(row.name for row in self.rows if row.role is role)


@dataclass(slots=True)
class _Tally:
    counts: Counter[str] = field(default_factory=Counter)
    closed: list[Box] = field(default_factory=list)
    upright: list[Box] = field(default_factory=list)
    texts: list[str] = field(default_factory=list)
    marks: list[tuple[float, float]] = field(default_factory=list)
    closed_in_blocks: int = 0


def survey_layers(drawing: Path | Drawing, options: ReadingOptions | None = None) -> LayerSurvey:
    """Look at every layer of a drawing.

    Args:
        drawing: the DXF file, or a document that is loaded already.
        options: the present settings; their patterns are tried first. Their layout is looked at.

    Raises:
        InputError: the file cannot be read, or has no such layout.
    """
    options = options or ReadingOptions()
    if isinstance(drawing, Path):
        loaded = load_drawing(drawing)
        path, doc, header = str(drawing), loaded.doc, said_in_header(loaded.doc, loaded.mentions)
    else:
        path, doc = str(drawing.filename or ""), drawing
        header = said_in_header(doc, lambda name: name in doc.header)
    layout = find_layout(doc, options.layout, path or "the drawing")
    tallies = _tallies(doc, layout, path)
    roles = _roles(tallies, options)
    rows = [_row(doc, name, tally, roles[name], options) for name, tally in tallies.items()]
    order = {role: place for place, role in enumerate(Role)}
    rows.sort(key=lambda r: (order[r.role] if r.role else 99, -r.total, r.name.lower()))
    walls = [b for name, t in tallies.items() if roles[name][0] is Role.WALLS for b in t.closed]
    holes = [b for name, t in tallies.items() if roles[name][0] is Role.OPENINGS for b in t.closed]
    unit = find_unit(
        header,
        options.units_of_drawing,
        [b.height for b in walls if b.height > 0],
        [s for b in holes if (s := min(b.width, b.height)) > 0],
        path or "the drawing",
    )
    layouts = tuple(name for name in doc.layout_names() if name != MODELSPACE and len(doc.layout(name)))
    external = tuple(b.name for b in doc.blocks if b.block is not None and b.block.is_xref)
    return LayerSurvey(path, unit.name, unit.why, layouts, tuple(rows), external, layout.name)


def _tallies(doc: Drawing, layout: BaseLayout, path: str) -> dict[str, _Tally]:
    tallies: dict[str, _Tally] = defaultdict(_Tally)
    for entity, in_block in _everything(doc, layout):
        if own_kind(entity):
            continue
        kind = entity.dxftype()
        tally = tallies[layer_of(entity)]
        tally.counts[kind] += 1
        if kind in ("TEXT", "MTEXT") and len(tally.texts) < 200:
            tally.texts.append(_words(entity))
            if is_mark(tally.texts[-1]) and not in_block:
                at = entity.dxf.get("insert", (0.0, 0.0))
                tally.marks.append((at[0], at[1]))
        elif kind in SHAPES and tally.counts[kind] <= _SHOWN_SHAPES:
            _measure(entity, kind, tally, path, in_block=in_block)
    return dict(tallies)


def _everything(doc: Drawing, layout: BaseLayout) -> Iterator[tuple[DXFEntity, bool]]:
    """Yield the entities of a layout, then those of the blocks that are used there, once each."""
    waiting: list[str] = []
    for entity in layout:
        yield entity, False
        if entity.dxftype() == "INSERT":
            waiting.append(str(entity.dxf.get("name", "")))
    seen: set[str] = set()
    while waiting:
        name = waiting.pop().lower()
        block = doc.blocks.get(name) if name not in seen else None
        seen.add(name)
        for entity in block or ():
            yield entity, True
            if entity.dxftype() == "INSERT":
                waiting.append(str(entity.dxf.get("name", "")))


def _words(entity: DXFEntity) -> str:
    try:
        return " ".join(str(entity.plain_text()).split())  # type: ignore[attr-defined]
    except Exception:
        return ""


def _measure(entity: DXFEntity, kind: str, tally: _Tally, path: str, *, in_block: bool) -> None:
    """Note the boxes of what an entity draws; in a block only how many of them close."""
    if kind in ("HATCH", "MPOLYGON", "SPLINE", "ELLIPSE"):
        return
    try:
        strokes = strokes_of(entity, Origin(str(entity.dxf.handle), layer_of(entity)), path, 20_000)
    except InputError:
        return
    for stroke in strokes:
        box = Box.around(stroke.points)
        closes = stroke.closed or (len(stroke.points) > 3 and stroke.points[0] == stroke.points[-1])
        if in_block:
            tally.closed_in_blocks += closes
        elif closes:
            tally.closed.append(box)
        elif box.height > 8 * box.width:
            tally.upright.append(box)


_Guess = tuple[Role | None, str, bool]


def _roles(tallies: dict[str, _Tally], options: ReadingOptions) -> dict[str, _Guess]:
    """Give each layer its likeliest role."""
    guesses: dict[str, _Guess] = {}
    for name in tallies:
        guesses[name] = _by_settings(name, options) or (None, "", False)
    settled = {role: name for name, (role, _, _) in guesses.items() if role}
    for name, tally in tallies.items():
        named = _by_name(name, tally) if guesses[name][0] is None else None
        if named is not None:
            home = settled.get(named[0]) if named[0] else None
            guesses[name] = named if home is None else (None, f"{named[1]}, but {home} has that role", False)
    if not any(role is Role.WALLS for role, _, _ in guesses.values()):
        _by_shape(tallies, guesses)
    walls = [b for name, t in tallies.items() if guesses[name][0] is Role.WALLS for b in t.closed]
    taken = {role for role, _, _ in guesses.values() if role}
    for name, tally in tallies.items():
        role, why, fits = guesses[name]
        if role is None:
            placed = _by_place(name, tally, walls)
            fresh = placed is not None and placed[0] not in taken
            guesses[name] = placed if fresh and placed else (None, why or _why_not(tally), False)
        elif (
            role is Role.TAGS
            and not fits
            and walls
            and not any(w.holds(m) for w in walls for m in tally.marks)
        ):
            guesses[name] = None, "its marks stand outside the walls", False
    return guesses


def _by_settings(name: str, options: ReadingOptions) -> _Guess | None:
    """Return the role the present settings give a layer; the most particular one counts."""
    roles = options.roles_of(name)
    for role in reversed(Role):
        if role in roles:
            pattern = next(p for p in options.patterns(role) if matches(name, (p,)))
            return role, f"its name fits {pattern}", True
    return None


def _by_name(name: str, tally: _Tally) -> _Guess | None:
    for role, word in words_in(name):
        if role is Role.WALLS and not _has_faces(tally):
            continue
        if role is Role.OPENINGS and not _has_shapes(tally):
            continue
        if role is Role.TAGS and not any(is_mark(text) for text in tally.texts):
            continue
        return role, f"its name says {word!r}", False
    return None


def _has_faces(tally: _Tally) -> bool:
    """True when the layer holds closed outlines, blocks, or lines enough to make some."""
    return (
        bool(tally.closed or tally.closed_in_blocks) or "INSERT" in tally.counts or tally.counts["LINE"] >= 4
    )


def _has_shapes(tally: _Tally) -> bool:
    """True when the layer holds what may be an opening; a door may be drawn without its threshold."""
    open_lines = ("LWPOLYLINE", "POLYLINE")
    return _has_faces(tally) or tally.counts["LINE"] >= 3 or any(kind in tally.counts for kind in open_lines)


def _by_shape(tallies: dict[str, _Tally], guesses: dict[str, _Guess]) -> None:
    """Without a wall by name: the layer whose closed shapes hold the most of other layers' is the walls'."""
    held: dict[str, int] = {}
    for name, tally in tallies.items():
        others = [b for other, t in tallies.items() if other != name for b in t.closed[:300]]
        held[name] = sum(_holds_some(outer, others) for outer in tally.closed[:200])
    best = max(held, key=lambda n: held[n], default=None)
    if best is not None and held[best] and guesses[best][0] is None:
        guesses[best] = Role.WALLS, f"{held[best]} of its closed outlines hold shapes of other layers", False


def _holds_some(outer: Box, others: Sequence[Box]) -> bool:
    return any(
        outer.holds((b.x0, b.y0)) and outer.holds((b.x1, b.y1)) and b.width < outer.width for b in others
    )


def _by_place(name: str, tally: _Tally, walls: Sequence[Box]) -> _Guess | None:
    """Return the role that a layer's shapes have inside the walls."""
    if not walls or is_no_face(name):
        return None
    inside = [b for b in tally.closed if any(w.holds((b.x0, b.y0)) and w.holds((b.x1, b.y1)) for w in walls)]
    if tally.closed and len(inside) >= 0.6 * len(tally.closed) and _big_enough(inside, walls):
        return Role.OPENINGS, f"{len(inside)} of its {len(tally.closed)} closed outlines lie in walls", False
    crossing = [b for b in tally.upright if any(_crosses(b, w) for w in walls)]
    if tally.upright and len(crossing) >= 0.6 * len(tally.upright) and not tally.closed:
        return Role.JOINTS, f"{len(crossing)} of its upright lines cross walls from edge to edge", False
    return None


def _big_enough(inside: Iterable[Box], walls: Sequence[Box]) -> bool:
    """Bricks and blocks lie in walls too, but are far lower."""
    tallest = max(w.height for w in walls)
    return sum(b.height for b in inside) / max(1, len(list(inside))) >= 0.15 * tallest


def _crosses(line: Box, wall: Box) -> bool:
    return wall.x0 < line.x0 < wall.x1 and min(line.y1, wall.y1) - max(line.y0, wall.y0) > 0.7 * wall.height


def _why_not(tally: _Tally) -> str:
    return (
        "texts only"
        if tally.texts and len(tally.texts) == sum(tally.counts.values())
        else "nothing points to a role"
    )


def _row(doc: Drawing, name: str, tally: _Tally, guess: _Guess, options: ReadingOptions) -> LayerRow:
    state = "missing"
    if name in doc.layers:
        record = doc.layers.get(name)
        state = "frozen" if record.is_frozen() else "off" if record.is_off() else "on"
    role, why, fits = guess
    samples = tuple(dict.fromkeys(t[:40] for t in tally.texts if t))[:3]
    return LayerRow(
        name,
        state,
        tuple(tally.counts.most_common()),
        len(tally.closed) + tally.closed_in_blocks,
        samples,
        role,
        why,
        fits,
    )


def one_line(text: str) -> str:
    """Return a text without line ends and control characters."""
    return "".join(c if c.isprintable() else "?" for c in text)


def names_walls(doc: Drawing, options: ReadingOptions, file: str) -> bool:
    """Say whether a layer of the layout that is read has a name and contents that speak of walls."""
    tallies = _tallies(doc, find_layout(doc, options.layout, file), file)
    guesses = (_by_name(name, tally) for name, tally in tallies.items())
    return any(guess is not None and guess[0] is Role.WALLS for guess in guesses)
