"""Most of a drawing is not ours: what is plain and on layers without a role is kept from ezdxf.

It matters only as something that a label should not lie on, and texts as marks that may stand at a wall; so
what it shows is taken from the text and the rest of the drawing is loaded without it. What is left out is a
record of modelspace that is, code for code, as every program writes it
(`perpend.dxf.partial.record_grammar`); whatever has anything more to say goes to ezdxf. Where the text leaves
any doubt nothing is left out.

Why the search can't be misled: a record starts where ``0`` stands in a line of its own, as a code. Where it
is a value instead, the piece before it ends with a code that has no value, which no plain record does.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from perpend.dxf.partial.block_records import BlockTexts, Interest
from perpend.dxf.partial.record_geometry import (
    ADDERS,
    REACHES,
    Reach,
    Shown,
    add_attribute,
    add_vertices,
    box_of,
)
from perpend.dxf.partial.record_grammar import Plan, Plans
from perpend.dxf.partial.record_spans import Piece, Text
from perpend.dxf.partial.skipped_records import LateText, LeftOut, Records, remember

if TYPE_CHECKING:
    from ezdxf.document import Drawing

_RELEASES: Final = re.compile(rb"\$ACADVER\r?\n[ \t]*1\r?\nAC10(?:15|18|21|24|27|32)\r?\n")
_SEED: Final = re.compile(rb"\$HANDSEED\r?\n[ \t]*5\r?\n[ \t]*([0-9A-Fa-f]{1,15})[ \t]*\r?\n")
_ENTITIES: Final = re.compile(rb"SECTION\r?\n[ \t]*2\r?\nENTITIES\r?\n")
_HANDLE: Final = re.compile(rb"[0-9A-Fa-f]{1,15}")
_LAYER: Final = re.compile(rb"[!-\[\]-~](?:[ -\[\]-~]*[!-\[\]-~])?")
_COLUMNS: Final = b"ACAD_MTEXT_COLUMN"
_LINKED_COLUMNS: Final = b"ACAD_MTEXT_COLUMNS"
"""Paragraphs in columns are loaded; where one is linked to others that hold its next columns, all are."""


def without_plain_records(data: bytes, interest: Interest) -> tuple[bytes, LeftOut] | None:
    """Leave the plain records of layers without a role out of a drawing's text.

    Args:
        data: an ASCII DXF text.
        interest: says what is to be read.

    Returns:
        The rest of the text and what was left out; None where nothing can be left out, or there is doubt.
    """
    newline = _newline_of(data)
    span = _entities_of(data) if newline else None
    if newline is None or span is None:
        return None
    blanks = re.compile(rb"[ \t]*").match(data, span[0])
    assert blanks is not None  # it fits nothing as well
    text = Text(data, newline, newline + blanks[0] + b"0" + newline)
    out = _Selection(text, interest).run(span[0] - len(newline), span[1])
    seed = _SEED.search(data, 0, span[0])
    if not out.spans or seed is None or max(out.handles) >= int(seed[1], 16):
        return None
    if len(set(out.handles)) != len(out.handles) or len(out.owners) != 1:
        return None
    out.phantoms += sum(len(shown.references) for shown in (*out.shown.values(), *out.dimensions.values()))
    head = data[: seed.start(1)] + b"%X" % (int(seed[1], 16) + out.phantoms)
    return head + _rest(data, out.spans, seed.end(1)), out


def proven(doc: Drawing, out: LeftOut) -> bool:
    """Say whether a document, loaded without them, is what it would be with them; then remember them."""
    database = doc.entitydb
    owner = doc.modelspace().layout_key.encode("ascii")
    if out.owners != {owner.upper()}:
        return False
    if any(f"{handle:X}" in database for handle in out.handles):
        return False
    if any(name in doc.blocks for name in out.blocks):
        return False
    remember(doc, out)
    return True


class _Selection:
    """One pass over the entities of a text."""

    def __init__(self, text: Text, interest: Interest) -> None:
        self.text = text
        self.interest = interest
        self.plans = Plans()
        self.blocks = BlockTexts(text, interest, self.plans)
        self.out = LeftOut()
        self.layers: dict[bytes, str | None] = {}
        self.linked_columns = _LINKED_COLUMNS in text.data

    def run(self, start: int, end: int) -> LeftOut:
        """Look at every record between two offsets, the first of them before a line end."""
        pieces = self.text.pieces(start, end)
        for piece in pieces:
            if piece.kind in ADDERS:
                self._single(piece, pieces)
            elif piece.kind == b"DIMENSION":
                self._dimension(piece)
            elif piece.kind == b"POLYLINE":
                self._group(piece, pieces, b"VERTEX")
        return self.out

    def _layer(self, name: bytes) -> str | None:
        """Return a layer's name if what is on it need not be read."""
        try:
            return self.layers[name]
        except KeyError:
            dull = _LAYER.fullmatch(name) and not self.interest.has_role(name.decode("ascii"))
            found = self.layers[name] = name.decode("ascii") if dull else None
            return found

    def _sound(self, piece: Piece) -> tuple[Plan, str] | None:
        """Return the plan and the layer of a record that is plain and need not be read."""
        plan = self.plans.of(piece.kind, piece.codes)
        if plan is None:
            return None
        values = piece.values
        layer = self._layer(values[plan.layer])
        if layer is None or not plan.agrees(values) or not _HANDLE.fullmatch(values[0]):
            return None
        if piece.kind == b"INSERT" and not self.blocks.is_dull(values[plan.at[2]]):
            return None
        return plan, layer

    def _single(self, piece: Piece, pieces: Iterator[Piece]) -> None:
        sound = self._sound(piece)
        if sound is None or (piece.kind == b"MTEXT" and (self.linked_columns or _COLUMNS in piece.record)):
            return
        plan, layer = sound
        if piece.kind == b"INSERT" and 66 in plan.at:
            self._group(piece, pieces, b"ATTRIB")
            return
        shown = self.out.shown.get(layer)
        if shown is None:
            shown = self.out.shown[layer] = Shown()
        if not ADDERS[piece.kind](shown, plan, piece.values):
            return
        if piece.kind in (b"TEXT", b"MTEXT"):
            self._late(piece, plan, piece.values[0], layer, layer)
        elif piece.kind in REACHES:
            self._note(piece, layer, shown, REACHES[piece.kind](shown, plan, piece.values), piece.span[1])
        self._leave_out(piece, piece.values[plan.owner])

    def _note(self, piece: Piece, layer: str, shown: Shown, reach: Reach, end: int) -> None:
        """Note what an opening may be drawn of, for the case that it stands in a wall."""
        key = layer, piece.kind, shown.references[-1][0] if piece.kind == b"INSERT" else ""
        known = self.out.outlines.get(key)
        if known is None:
            known = self.out.outlines[key] = Records()
        known.reaches.extend(reach)
        known.spans.extend((piece.span[0], end))

    def _late(self, piece: Piece, plan: Plan, handle: bytes, layer: str, host: str) -> None:
        at = float(piece.values[plan.at[10]]), float(piece.values[plan.at[20]])
        self.out.texts.append(LateText(handle.decode("ascii"), layer, host, at, piece.record))

    def _group(self, piece: Piece, pieces: Iterator[Piece], kind: bytes) -> None:
        """Leave out a record with what belongs to it, up to the record that ends it, or none of it."""
        group = [piece, *_group_of(pieces, kind)]
        sound = [found for part in group if (found := self._sound(part)) is not None]
        if len(sound) != len(group) or group[-1].kind != b"SEQEND":
            return
        plan, layer = sound[0]
        parts = [(part, *found) for part, found in zip(group[1:-1], sound[1:-1], strict=True)]
        shown = Shown()
        if kind == b"VERTEX":
            corners = [float(number) for part, its, _ in parts for number in its.points(part.values)]
            fine = bool(corners) and add_vertices(shown, plan, piece.values, corners)
        else:
            fine = ADDERS[piece.kind](shown, plan, piece.values)
            fine = fine and all(add_attribute(shown, its, part.values) for part, its, _ in parts)
        if not fine:
            return
        self.out.shown.setdefault(layer, Shown()).extend(shown)
        if kind == b"VERTEX":
            self._note(piece, layer, shown, box_of(corners), group[-1].span[1])
        else:
            self._note(piece, layer, shown, REACHES[piece.kind](shown, plan, piece.values), piece.span[1])
            for part, its, its_layer in parts:
                self._late(part, its, piece.values[0], its_layer, layer)
        for part in group[1:]:
            self.out.handles.append(int(part.values[0], 16))
            self.out.spans.append(part.span)
        self.out.phantoms += kind == b"VERTEX"
        self._leave_out(piece, piece.values[plan.owner])

    def _leave_out(self, piece: Piece, owner: bytes) -> None:
        self.out.handles.append(int(piece.values[0], 16))
        self.out.owners.add(owner.upper())
        self.out.spans.append(piece.span)

    def _dimension(self, piece: Piece) -> None:
        sound = self._sound(piece)
        if sound is None:
            return
        plan, layer = sound
        block = self.blocks.of_dimension(piece.values[plan.at[2]])
        if block is None:
            return
        self.out.dimensions.setdefault(layer, Shown()).extend(block.shown)
        self.out.handles += block.handles
        self.out.spans += block.spans
        self.out.blocks.add(block.name)
        self._leave_out(piece, piece.values[plan.owner])


def _group_of(pieces: Iterator[Piece], kind: bytes) -> Iterator[Piece]:
    """Yield records of a kind and the first one of another."""
    for piece in pieces:
        yield piece
        if piece.kind != kind:
            return


def _newline_of(data: bytes) -> bytes | None:
    """Return the one line end of a text."""
    pairs = data.count(b"\r\n")
    if data.count(b"\r") != pairs or pairs not in (0, data.count(b"\n")):
        return None
    return b"\r\n" if pairs else b"\n"


def _entities_of(data: bytes) -> tuple[int, int] | None:
    """Return where the records of the ENTITIES section lie, if the text is what we know."""
    starts = list(_ENTITIES.finditer(data))
    if len(starts) != 1 or len(_RELEASES.findall(data, 0, starts[0].start())) != 1:
        return None
    end = data.find(b"ENDSEC", starts[0].end())
    return (starts[0].end(), end) if end != -1 else None


def _rest(data: bytes, spans: list[tuple[int, int]], at: int) -> bytes:
    """Return the text from an offset on without spans that do not overlap."""
    view, pieces = memoryview(data), []
    for start, end in sorted(spans):
        if start > at:
            pieces.append(view[at:start])
        at = end
    pieces.append(view[at:])
    return b"".join(pieces)
