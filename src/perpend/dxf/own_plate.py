"""What stands of a plate that an earlier run drew: its joints as they are now, and the record beside them.

A joint's XDATA says which number it had and along which points it was drawn (``path=``, drawing axes). The
record is text of ours, in order, spread over the XDATA of our own table records: they are in use, so that no
program purges them, and each stays below what one entity may carry.

Glossary:
    copy: what carries the XDATA of another entity of ours.
    home layer: the layer on which our joints were drawn.
"""

from __future__ import annotations

import contextlib
import itertools
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from ezdxf.document import Drawing
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.insert import Insert
from ezdxf.entities.mtext import MText
from ezdxf.tools.text import plain_mtext

from perpend.dxf.damage import DAMAGED
from perpend.dxf.entity_attributes import layer_of
from perpend.dxf.entity_points import Origin, strokes_of
from perpend.dxf.own_labels import PATH, OwnLabel, Points, points_of, points_of_label, read_own_labels
from perpend.dxf.paperspace import on_any_layout
from perpend.dxf.plate_tally import PlateTally
from perpend.dxf.xdata import APPLICATION, REVIEW_APPLICATION, our_entities, said_by

_RECORD: Final = re.compile(r"record (\d+)(\+?) (.*)", re.DOTALL)
_TAG: Final = re.compile(r"[A-Z]{1,3}(?:-| (\S.*)-)(\d+[A-Z]*)")
_TAGS: Final = "NOTE"
"""End of the name of the layer that holds the tags: those in a schedule are on another one."""
NOTE_TITLE: Final = "RECORD OF JOINTS (DOES NOT PLOT; KEEP IT)"
_STRING: Final = 1000
_LONGEST: Final = 200
"""Characters in one string: 255 bytes at most, and a letter may be written with seven (``\\U+00D8``)."""
_MOST_IN_ONE: Final = 12_000
"""Characters in the XDATA of one table record, which may have 16,383 bytes."""
_SHAPES: Final = ("LINE", "LWPOLYLINE", "POLYLINE")
_MOST_POINTS: Final = 100_000


@dataclass(frozen=True, slots=True)
class OwnJoint:
    """A joint line that carries our XDATA, as it is now; drawing axes and units.

    Attributes:
        handle: of the entity.
        layer: it is on.
        number: under which it was drawn, such as ``W1-4``.
        points: its corners now.
        drawn: its corners as it was drawn; empty where that is not known.
        is_copy: True when it carries the XDATA of another entity.
        kind: ``joint``, or ``proposed`` for one that a check proposed.
        said: further words of its XDATA, by key.
    """

    handle: str
    layer: str
    number: str
    points: Points
    drawn: Points = ()
    is_copy: bool = False
    kind: str = "joint"
    said: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class PlainTag:
    """A joint tag that carries no XDATA: a text of the form that ours have, on a layer named like ours.

    Attributes:
        wall: tag of the wall that it names; empty where it names none.
        label: the number.
        at: where it is, drawing axes.
        layer: its layer.
    """

    wall: str
    label: str
    at: tuple[float, float]
    layer: str


@dataclass(frozen=True, slots=True)
class OwnPlate:
    """What an earlier run left in a drawing.

    Attributes:
        joints: every joint line that carries our XDATA.
        proposed: what a check proposed.
        record: the lines of our record; None where there is none.
        layers: names of the layers of ours.
        others: names of all other layers.
        tags: joint tags without XDATA, where nothing in the drawing carries ours: another program lost it.
        labels: all else that is drawn of ours.
        notes: lines of all texts on layers like ours, in the same case as the tags.
        old: handles of what is on layers that hold what we drew there and nothing else, in the same case.
        old_joints: handles of the joints that are drawn anew, in the same case.
        record_notes: handle and lines of every note of a record, in the same case.
    """

    joints: tuple[OwnJoint, ...] = ()
    proposed: tuple[OwnJoint, ...] = ()
    record: tuple[str, ...] | None = None
    layers: frozenset[str] = frozenset()
    others: frozenset[str] = frozenset()
    tags: tuple[PlainTag, ...] = ()
    labels: tuple[OwnLabel, ...] = ()
    notes: tuple[str, ...] = ()
    old: frozenset[str] = frozenset()
    old_joints: frozenset[str] = frozenset()
    record_notes: tuple[tuple[str, ...], ...] = ()


def read_own_plate(doc: Drawing, file: str) -> OwnPlate:
    """Read the joints and the record of an earlier run; nothing is changed.

    Args:
        doc: the document, with what is ours in it.
        file: the drawing's path, for sentences.

    Raises:
        InputError: a coordinate of a joint is not a number.
    """
    ours = frozenset(layer.dxf.name for layer in doc.layers if layer.has_xdata(APPLICATION))
    return OwnPlate(
        tuple(_joints(doc, APPLICATION, "joint", file)),
        tuple(_joints(doc, REVIEW_APPLICATION, "proposed", file)),
        _record_of(doc),
        ours,
        frozenset(layer.dxf.name for layer in doc.layers) - ours,
        labels=read_own_labels(doc),
    )


def read_stripped_plate(doc: Drawing, prefix: str) -> OwnPlate:
    """Read the joint tags of a plate whose XDATA another program lost; an empty plate where there are none.

    Args:
        doc: a document in which nothing carries our XDATA, loaded whole.
        prefix: what our layers' names begin with.
    """
    named = re.compile(rf"{re.escape(prefix)}-([A-Z]+)(?:-\d+)?", re.IGNORECASE)
    tags: list[PlainTag] = []
    notes: list[str] = []
    tally = PlateTally()
    pieces: dict[tuple[str, str], list[str]] = {}
    record_notes: list[tuple[str, ...]] = []
    for entity in on_any_layout(doc):
        layer = layer_of(entity)
        if match := named.fullmatch(layer):
            with contextlib.suppress(*DAMAGED):
                key, words = match[1].upper(), _texts_of(entity)
                if key == _TAGS and len(words) == 1:
                    tags += _plain_tags(entity, words[0], layer)
                notes += (line for text in words for line in text.splitlines())
                if words and words[0].startswith(NOTE_TITLE):
                    record_notes.append((str(entity.dxf.handle), *words[0].splitlines()))
                    continue
                for text in words:
                    tally.add_text(key, "".join(text.splitlines()))
                points = points_of_label(entity) if entity.dxftype() in (*_SHAPES, "DIMENSION") else ()
                if points:
                    tally.add_lines(key, points, closed=bool(getattr(entity, "is_closed", False)))
                if words or points:
                    pieces.setdefault((key, "TEXTS" if words else "LINES"), []).append(str(entity.dxf.handle))
    proven = tally.proven_by(notes)
    layers = frozenset(e for e in map(layer_of, on_any_layout(doc)) if named.fullmatch(e))
    old = frozenset(handle for what, handles in pieces.items() if what in proven for handle in handles)
    return OwnPlate(
        layers=layers, tags=tuple(tags), notes=tuple(notes), old=old, record_notes=tuple(record_notes)
    )


def _texts_of(entity: DXFEntity) -> list[str]:
    """Return the texts that an entity shows: its own, or those of its block."""
    if isinstance(entity, Insert):
        block = entity.block()
        return [] if block is None else [str(text.dxf.text) for text in block.query("TEXT")]
    return [_words_of(entity)] if entity.dxftype() in ("TEXT", "MTEXT") else []


def _words_of(entity: DXFEntity) -> str:
    """Return what a text says; some programs write every space of an MTEXT as one that does not break."""
    if isinstance(entity, MText):
        return str(plain_mtext(entity.text.replace("\\~", " ")))
    return str(entity.dxf.get("text", ""))


def _plain_tags(entity: DXFEntity, words: str, layer: str) -> Iterator[PlainTag]:
    if match := _TAG.fullmatch(words.strip()):
        aligned = entity.dxf.get("align_point") if entity.dxftype() == "TEXT" else None
        x, y, _ = aligned or entity.dxf.insert
        yield PlainTag(match[1] or "", match[2], (x, y), layer)


def _joints(doc: Drawing, application: str, kind: str, file: str) -> Iterator[OwnJoint]:
    marked = [e for e in on_any_layout(doc) if e.xdata is not None and e.has_xdata(application)]
    at_home = {id(entity) for entity in our_entities(marked, application)}
    for entity in marked:
        said = said_by(entity, application)
        words = dict(said)
        told = kind == "joint" or "change" in words
        if words.get("kind") != kind or not told or entity.dxftype() not in _SHAPES:
            continue
        origin = Origin(str(entity.dxf.handle), layer_of(entity))
        points = [p for s in strokes_of(entity, origin, file, _MOST_POINTS) for p in s.points]
        if len(points) > 1:
            yield OwnJoint(
                origin.handle.upper(),
                origin.layer,
                words.get("number", ""),
                tuple(points),
                points_of(text for key, text in said if key == PATH[:-1]),
                id(entity) not in at_home,
                kind,
                tuple(said),
            )


class RecordCarriers:
    """The table records of ours that carry the record: those that a plate makes, never the drafter's.

    Where they are too few, as on a plate that lost its XDATA and whose layers are the drafter's now,
    registered applications of ours are added.
    """

    def __init__(self, doc: Drawing) -> None:
        """Remember what a document has before a plate is drawn in it."""
        self._doc = doc
        self._layers = {layer.dxf.name for layer in doc.layers}
        self._registered = APPLICATION in doc.appids

    def write(self, lines: Sequence[str], layers: Iterable[str]) -> None:
        """Write the record.

        Args:
            lines: the record.
            layers: names of the layers that the plate uses, the one for joints first.
        """
        texts = [f"record {n}{piece}" for n, piece in enumerate(_pieces(lines), start=1)]
        carriers = self._carriers(layers)
        while texts:
            carrier, room, mine = next(carriers), _MOST_IN_ONE, []
            while texts and room >= len(texts[0]):
                room -= len(texts[0]) + 3
                mine.append(texts.pop(0))
            tags = [(_STRING, "kind=record"), *((_STRING, text) for text in mine)]
            carrier.set_xdata(APPLICATION, tags)

    def _carriers(self, layers: Iterable[str]) -> Iterator[DXFEntity]:
        yield from (self._doc.layers.get(name) for name in layers if name not in self._layers)
        if not self._registered:
            yield self._doc.appids.get(APPLICATION)
        for n in itertools.count(1):
            if (name := f"{APPLICATION}-RECORD-{n}") not in self._doc.appids:
                yield self._doc.appids.new(name)


def _pieces(lines: Sequence[str]) -> Iterator[str]:
    """Cut the record into strings; ``+`` says that a line goes on in the next string."""
    for line in lines:
        rest = " ".join(line.split())
        while len(rest) > _LONGEST:
            yield f"+ {rest[:_LONGEST]}"
            rest = rest[_LONGEST:]
        yield f" {rest}"


def _record_of(doc: Drawing) -> tuple[str, ...] | None:
    found: dict[int, tuple[str, str]] = {}
    for carrier in (*doc.appids, *doc.layers):
        if carrier.has_xdata(APPLICATION):
            for tag in carrier.get_xdata(APPLICATION):
                if tag.code == _STRING and (match := _RECORD.fullmatch(str(tag.value))):
                    found[int(match[1])] = (match[2], match[3])
    lines, begun = [], ""
    for number in sorted(found):
        goes_on, text = found[number]
        begun += text
        if not goes_on:
            lines.append(begun)
            begun = ""
    return tuple(lines) or None
