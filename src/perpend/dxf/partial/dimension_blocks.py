"""Dimensions that are left out with their blocks, and with the records of these.

The block of a dimension can be left out when its content is plain and nothing else names it.
"""

from __future__ import annotations

import re
from array import array
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from perpend.dxf.partial.record_columns import Flags, Ints, Part, Scanner, find_end
from perpend.dxf.partial.record_geometry import ADDERS, THINGS, Rows, Shown, Thing, add_things
from perpend.dxf.partial.skipped_records import LeftOut

BLOCKS: Final = re.compile(rb"SECTION\r?\n[ \t]*2\r?\nBLOCKS(?=\r?\n)")
_BLOCK: Final = re.compile(rb"(?<=\n)[ \t]*0\r?\nBLOCK\r?\n")
_RECORDS: Final = re.compile(rb"TABLE\r?\n[ \t]*2\r?\nBLOCK_RECORD(?=\r?\n)")
_RECORD: Final = re.compile(rb"(?<=\n)[ \t]*0\r?\nBLOCK_RECORD\r?\n")
_NAME: Final = re.compile(rb"\*[Dd][0-9]+")
_NAMINGS: Final = re.compile(rb"\n(\*[Dd][0-9]+)(?=\r?\n)")
_NAMED_BY: Final = 4
"""Lines that name the block of a dimension: its record, its head twice, and the dimension."""


@dataclass(slots=True)
class _Noted:
    """A dimension: its layer, its owner, and handles and spans of what goes with it."""

    layer: str
    owner: bytes
    handles: list[int]
    spans: list[int]
    has_record: bool = False


class DimensionBlocks:
    """The dimensions of a text that can be left out if their blocks can."""

    def __init__(self, scanner: Scanner) -> None:
        """Remember the text."""
        self.scanner = scanner
        self.noted: dict[bytes, _Noted] = {}

    def note(self, rows: Rows, layers: list[str]) -> None:
        """Note plain dimensions, and the layer of each."""
        part, records = rows.part, rows.records
        texts = rows.texts(2), layers, part.texts(records, rows.plan.owner)
        numbers = part.handles[records].tolist(), part.spans[records].tolist()
        for name, layer, owner, handle, span in zip(*texts, *numbers, strict=True):
            if _NAME.fullmatch(name):
                self.noted[name.lower()] = _Noted(layer, owner.upper(), [handle], span)

    def leave_out(self, out: LeftOut, spans: array[int]) -> None:
        """Leave out every dimension whose block can be left out.

        Args:
            out: takes what was left out.
            spans: takes where it is in the text.

        Raises:
            IrregularPartError: the lines of the blocks are no tags.
        """
        data = self.scanner.data
        named = Counter(name.lower() for name in _NAMINGS.findall(data)) if self.noted else Counter[bytes]()
        self.noted = {name: noted for name, noted in self.noted.items() if named[name] == _NAMED_BY}
        for part in self._parts(_RECORDS, _RECORD, b"ENDTAB", set()):
            self._take_records(part)
        self.noted = {name: noted for name, noted in self.noted.items() if noted.has_record}
        for part in self._parts(BLOCKS, _BLOCK, b"ENDSEC", {b"BLOCK"}):
            self._take_blocks(part, out, spans)

    def _parts(
        self, room: re.Pattern[bytes], first: re.Pattern[bytes], closing: bytes, heads: set[bytes]
    ) -> Iterator[Part]:
        """Yield the records of the only section or table of its name."""
        data = self.scanner.data
        rooms = list(room.finditer(data)) if self.noted else []
        found = first.search(data, rooms[0].end()) if len(rooms) == 1 else None
        end = find_end(data, closing, found.start()) if found else None
        if found and end is not None:
            yield from self.scanner.parts(found.start(), end, heads, inside=bool(heads))

    def _take_records(self, part: Part) -> None:
        for plan, records in part.groups(part.sound & (part.kinds() == b"BLOCK_RECORD")):
            rows = Rows(part, plan, records)
            belongs = rows.texts(340) if 340 in plan.at else [b"0"] * len(records)
            numbers = part.handles[records].tolist(), part.spans[records].tolist()
            for name, value, handle, span in zip(rows.texts(2), belongs, *numbers, strict=True):
                noted = self.noted.get(name.lower())
                if noted and value.strip() == b"0":
                    noted.handles.append(handle)
                    noted.spans += span
                    noted.has_record = True

    def _take_blocks(self, part: Part, out: LeftOut, spans: array[int]) -> None:
        kinds = part.kinds()
        heads = np.flatnonzero(kinds == b"BLOCK")
        names = _names(part, heads)
        wanted = np.array([name in self.noted for name in names], bool)
        if not wanted.any():
            return
        block = np.cumsum(kinds == b"BLOCK") - 1
        fine = part.sound & (block >= 0)
        fine &= wanted[np.maximum(block, 0)]
        last = np.append(heads[1:], len(kinds)) - 1
        things = _look(part, fine)
        for record in np.flatnonzero(kinds == b"ENDBLK").tolist():
            fine[record] &= last[block[record]] == record
        whole = np.logical_and.reduceat(fine[heads[0] :], heads - heads[0]) & (kinds[last] == b"ENDBLK")
        chosen = fine & whole[np.maximum(block, 0)]
        leaving = [name for name, is_whole in zip(names, whole.tolist(), strict=True) if is_whole]
        layers = sorted({self.noted[name].layer for name in leaving})
        number = {layer: k for k, layer in enumerate(layers)}
        on = np.array([number[self.noted[n].layer] if w else -1 for n, w in zip(names, whole, strict=True)])
        _add(part, chosen, on[block], [out.dimensions.setdefault(layer, Shown()) for layer in layers], things)
        out.handles.frombytes(part.handles[chosen].tobytes())
        spans.frombytes(part.spans[chosen].tobytes())
        for name in leaving:
            noted = self.noted[name]
            out.counts[noted.layer, "DIMENSION"] += 1
            out.blocks.add(name.decode("ascii"))
            out.handles.extend(noted.handles)
            spans.extend(noted.spans)
            out.owners.add(noted.owner)


def _names(part: Part, heads: Ints) -> list[bytes]:
    """Return the names of blocks in small letters."""
    which, found = np.zeros(len(part.first), bool), dict[int, bytes]()
    which[heads] = True
    for plan, records in part.groups(which):
        found.update(zip(records.tolist(), part.texts(records, plan.at[2]), strict=True))
    return [found[head].lower() for head in heads.tolist()]


def _look(part: Part, fine: Flags) -> dict[int, Thing]:
    """Look at what records show that is not numbers alone; what is not plain after all is no longer fine."""
    things: dict[int, Thing] = {}
    for plan, records in part.groups(fine):
        rows = Rows(part, plan, records)
        if plan.kind in ADDERS or plan.kind in (b"BLOCK", b"ENDBLK"):
            continue
        find: Callable[[Rows], list[Thing | None]] | None = THINGS.get(plan.kind)
        found: list[Thing | None] = [None] * len(records)
        if find and plan.kind != b"ATTRIB" and not (plan.kind == b"INSERT" and 66 in plan.at):
            found = find(rows)
        if plan.kind == b"INSERT":
            found = [None if name[:1] == b"*" else a for a, name in zip(found, rows.texts(2), strict=True)]
        for record, thing in zip(records.tolist(), found, strict=True):
            if thing is None:
                fine[record] = False
            else:
                things[record] = thing
    return things


def _add(part: Part, which: Flags, on: Ints, shown: list[Shown], things: dict[int, Thing]) -> None:
    """Add what records show to one of several, by the number of which it is."""
    for plan, records in part.groups(which):
        if plan.kind not in ADDERS and plan.kind not in THINGS:
            continue
        for number in np.unique(on[records]).tolist():
            some = records[on[records] == number]
            if plan.kind in ADDERS:
                ADDERS[plan.kind](shown[number], Rows(part, plan, some))
            else:
                add_things(shown[number], plan.kind, [things[record] for record in some.tolist()])
