"""What is on which layer of a drawing, and which role each layer probably plays.

What gives a role away is in `perpend.reading.survey.layer_roles`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal

from perpend.clean_text import visible
from perpend.dxf.entity_attributes import layer_of
from perpend.dxf.load import load_partial, read_bytes
from perpend.dxf.paperspace import MODELSPACE, find_layout
from perpend.dxf.partial.skipped_records import left_out_of
from perpend.dxf.xdata import own_kind
from perpend.model import Box
from perpend.reading.gather.drawing_units import DrawingUnit, find_unit, ill_fit, is_guessed, said_in_header
from perpend.reading.gather.texts import is_mark
from perpend.reading.reading_options import ReadingOptions, Role
from perpend.reading.survey.layer_roles import Guess, Tally, roles_of_layers
from perpend.reading.survey.layer_shapes import MOST_FILLS, MOST_STROKES, STROKED, shapes_by_layer

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.layouts.base import BaseLayout

_MOST_TEXTS: Final = 200
"""Texts per layer that are looked at."""

LayerState = Literal["on", "off", "frozen", "missing"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerRow(Guess):
    """One layer, and what it probably is.

    Attributes:
        name: the layer's name.
        state: ``on``, ``off``, ``frozen`` or ``missing`` (used, but not in the layer table).
        counts: (DXF type, number) pairs, the most frequent first; what is in blocks counts once.
        closed: closed outlines that show on it, also those made of lines or in blocks.
        texts: a few of its texts.
    """

    name: str
    state: LayerState
    counts: tuple[tuple[str, int], ...]
    closed: int
    texts: tuple[str, ...]

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
        contradicts: True where the header names another unit.
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
    contradicts: bool = False

    def layers_of(self, role: Role) -> tuple[str, ...]:
        """Return the names of the layers that probably play a role."""
        return tuple(row.name for row in self.rows if row.plays(role))


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
        return _survey_file(drawing, options)
    header = said_in_header(drawing, lambda name: name in drawing.header)
    return _survey(drawing, str(drawing.filename or ""), header, options)


def _survey_file(drawing: Path, options: ReadingOptions) -> LayerSurvey:
    """Look at a drawing of which no more is loaded than is looked at."""
    data = read_bytes(drawing, options.budget.megabytes)
    loaded = load_partial(drawing, data, lambda _: False, lambda _: True, options.layout, _looked_at)
    header = said_in_header(loaded.doc, loaded.mentions)
    try:
        return _survey(loaded.doc, str(drawing), header, options, left_out_of(loaded.doc).counts)
    except _TooFewStrokes:
        return _survey(loaded.whole().doc, str(drawing), header, options)


class _TooFewStrokes(Exception):  # noqa: N818 - it is no fault
    """Of what is left out of a document some would be looked at: what was loaded shows nothing."""


def _looked_at(kind: str) -> int:
    """Return how many entities of a type are looked at on each layer; of others one, for the order."""
    if kind == "HATCH":
        return MOST_FILLS
    return MOST_STROKES if kind in STROKED else _MOST_TEXTS if kind in ("TEXT", "MTEXT") else 1


def _survey(
    doc: Drawing,
    path: str,
    header: Mapping[str, int],
    options: ReadingOptions,
    unloaded: Mapping[tuple[str, str], int] | None = None,
) -> LayerSurvey:
    """Look at a document.

    Args:
        doc: the document.
        path: the drawing's path.
        header: what its header says of units.
        options: the present settings.
        unloaded: how many entities of each layer and type are in the drawing and not in the document.

    Raises:
        _TooFewStrokes: of those some would be looked at.
    """
    layout = find_layout(doc, options.layout, path or "the drawing")
    file = path or "the drawing"

    def unit_by(heights: Sequence[float], sides: Sequence[float], extent: float = 0.0) -> DrawingUnit:
        return find_unit(header, options.units_of_drawing, heights, sides, file, extent)

    unit = unit_by((), ())
    tallies = _tallies(doc, layout, options, file, None if is_guessed(unit.why) else unit.inches)
    for (layer, kind), count in (unloaded or {}).items():
        if kind in STROKED and tallies[layer].shapes.strokes < MOST_STROKES:
            raise _TooFewStrokes
        tallies[layer].counts[kind] += count
    roles = roles_of_layers(tallies, options, lambda h, s: ill_fit(unit_by(h, s), h, s))
    rows = [_row(doc, name, tally, roles[name]) for name, tally in tallies.items()]
    order = {role: place for place, role in enumerate(Role)}
    rows.sort(key=lambda r: (order[r.role] if r.role else 99, -r.total, r.name.lower()))
    walls = _outlines_of(Role.WALLS, tallies, roles)
    openings = _outlines_of(Role.OPENINGS, tallies, roles)
    extent = max((max(b.width, b.height) for b in walls), default=0.0)
    unit = unit_by([b.height for b in walls], [min(b.width, b.height) for b in openings], extent)
    layouts = tuple(name for name in doc.layout_names() if name != MODELSPACE and len(doc.layout(name)))
    external = tuple(b.name for b in doc.blocks if b.block is not None and b.block.is_xref)
    found = tuple(rows)
    return LayerSurvey(path, unit.name, unit.why, layouts, found, external, layout.name, unit.contradicts)


def _outlines_of(role: Role, tallies: dict[str, Tally], roles: dict[str, Guess]) -> list[Box]:
    outlines = (
        b for name, tally in tallies.items() if roles[name].role is role for b in tally.shapes.outlines
    )
    return [b for b in outlines if b.width > 0 < b.height]


def _tallies(
    doc: Drawing, layout: BaseLayout, options: ReadingOptions, file: str, inches: float | None
) -> dict[str, Tally]:
    tallies: dict[str, Tally] = defaultdict(Tally)
    for entity, in_block in _everything(doc, layout):
        if own_kind(entity):
            continue
        kind = entity.dxftype()
        tally = tallies[layer_of(entity)]
        tally.counts[kind] += 1
        if kind in ("TEXT", "MTEXT") and len(tally.texts) < _MOST_TEXTS:
            tally.texts.append(_words(entity))
            if is_mark(tally.texts[-1]) and not in_block:
                at = entity.dxf.get("insert", (0.0, 0.0))
                tally.marks.append((at[0], at[1]))
    for layer, shapes in shapes_by_layer(doc, layout, options.budget, file, inches).items():
        tallies[layer].shapes = shapes
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


def _row(doc: Drawing, name: str, tally: Tally, guess: Guess) -> LayerRow:
    state: LayerState = "missing"
    if name in doc.layers:
        record = doc.layers.get(name)
        state = "frozen" if record.is_frozen() else "off" if record.is_off() else "on"
    samples = tuple(dict.fromkeys(t[:40] for t in tally.texts if t))[:3]
    return LayerRow(
        name=name,
        state=state,
        counts=tuple(tally.counts.most_common()),
        closed=len(tally.shapes.outlines),
        texts=samples,
        role=guess.role,
        why=guess.why,
        fits=guess.fits,
        maybe=guess.maybe,
        shared=guess.shared,
        by_name=guess.by_name or guess.fits,
    )


def one_line(text: str) -> str:
    """Return a text on one line, without control characters."""
    return visible(text)
