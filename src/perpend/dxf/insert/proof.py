"""Proof that a drawing we wrote is the drafter's drawing plus ours, at a cost that hardly grows with it.

Reading the output back entity by entity costs as much as loading the drawing. It is not needed to know that
nothing of the original was harmed, because more can be shown from the bytes. The drafter's entities are one
run of bytes that stands in both texts: once that is shown, the rest is shown of both texts without it.

1. What stands on the disk is, byte for byte, the original's pieces and ours as they were put together.
2. Undone by its own imprint, it is the original, and the imprint has the hash of that: no byte of the
   original is lost or changed.
3. Our text stands at the ends of tables and sections, consists of whole records, and holds no record that
   opens or closes a table or a section: so every record of the original is read as before.
4. Our handles are new, differ from each other, and are below ``$HANDSEED``; the counts of the tables grew
   by as many records as are ours, and no name in them is there twice because of us.
5. Each of our records, read back by ezdxf, has the handle, attributes, contents and extended data that were
   meant, and its audit finds nothing wrong with it. Its owner is the one it must have, and every layer, line
   type, style, block and application that it names is in the tables of the output; no block of ours holds
   itself.

The tests hold this against full read-backs of whole drawings.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from pathlib import Path
from typing import Final

from ezdxf.document import Drawing
from ezdxf.entities.dxfentity import DXFEntity

from perpend.dxf.insert.byte_edits import Edit, apply_edits, consists_of, edited, reads_as
from perpend.dxf.insert.insertion import Insertion
from perpend.dxf.insert.new_records import TABLES, Fresh, Record, encoding_of, text_names
from perpend.dxf.insert.read_back import difference, faults_of, names_used, read_back, take_strings
from perpend.dxf.insert.tag_spans import IrregularText, Tags, read_tags
from perpend.dxf.insert.take_out import undoing_of
from perpend.dxf.insert.text_map import BLOCKS, ENTITIES, PAPER, TextMap, map_text
from perpend.errors import InternalError

_STRUCTURE: Final = {b"SECTION", b"ENDSEC", b"TABLE", b"ENDTAB", b"EOF", b"CLASS"}
_MODELSPACE: Final = "*MODEL_SPACE"
_ALWAYS_THERE: Final = {"LTYPE": {"bylayer", "byblock", "continuous"}, "LAYER": {"0"}}
_LINKED: Final = {"VERTEX", "ATTRIB", "SEQEND"}


def prove_insertion(
    text: TextMap, fresh: Fresh, insertion: Insertion, written: Path, app_id: str, doc: Drawing
) -> None:
    """Read a written drawing back and prove that it is the original plus ours.

    Args:
        text: the original.
        fresh: what was to go in.
        insertion: the new text as it was put together.
        written: the file.
        app_id: registered application whose XDATA marks what is ours.
        doc: the document in which ours was drawn.

    Raises:
        InternalError: any step of the proof fails; the file must then not be kept.
    """
    try:
        with written.open("rb") as file:
            whole = reads_as(file, insertion.pieces())
        _check(whole, "the disk gave back other bytes than were written")
        ours = {place: read_tags(blob, 0, len(blob)) for place, blob in insertion.texts.items()}
        _check(ours.keys() == fresh.places.keys(), "one of our places was left out")
        for place, tags in ours.items():
            _check_records(place, tags, fresh.places[place])
        bare, edits = _without_entities(text, insertion)
        output = map_text(apply_edits(bare.data, edits), lines_known=True)
        _check_undoing(bare, output, insertion, app_id)
        _check_handles(text, output, fresh)
        _check_tables(bare, output, fresh)
        _Reading(output, fresh, doc).check(ours, insertion.imprint.strings(app_id), app_id)
    except IrregularText as error:
        raise _failed(str(error)) from None


def _without_entities(text: TextMap, insertion: Insertion) -> tuple[TextMap, list[Edit]]:
    """Return the original without the drafter's entities, and what was put into it.

    Nothing is put in between these entities, and none of them opens or closes a section (`map_text` has
    looked for such records): with them or without them, what is around them is read in the same way.
    """
    start, end = text.sections["ENTITIES"].body, text.sections["ENTITIES"].end
    edits = []
    for edit in insertion.edits:
        _check(
            edit.end <= start or edit.start >= end, "something of ours stands between the drafter's entities"
        )
        back = end - start if edit.start >= end else 0
        edits.append(Edit(edit.start - back, edit.end - back, edit.new))
    return map_text(apply_edits(text.data, [Edit(start, end, b"")]), lines_known=True), edits


def _failed(why: str) -> InternalError:
    return InternalError(f"The new drawing did not read back whole: {why}; nothing was written.")


def _check(fine: bool, otherwise: str) -> None:
    if not fine:
        raise _failed(otherwise)


def _check_records(place: str, tags: Tags, records: list[Record]) -> None:
    kinds = [tags.values[index] for index in tags.heads]
    _check(bool(kinds) and tags.heads[0] == 0, f"our text in {place} does not start with a record")
    _check(not _STRUCTURE.intersection(kinds), f"our text in {place} breaks the order of the file")
    _check(
        [kind.decode("ascii") for kind in kinds] == [record.kind for record in records],
        f"our text in {place} holds other records than were made",
    )


def _check_undoing(text: TextMap, output: TextMap, insertion: Insertion, app_id: str) -> None:
    undoing = undoing_of(output, app_id)
    _check(
        undoing is not None
        and consists_of(text.data, edited(output.data, undoing.edits))
        and undoing.sha256 == insertion.imprint.sha256,
        "without ours it is not the original",
    )


def _check_handles(text: TextMap, output: TextMap, fresh: Fresh) -> None:
    handles = [int(record.handle, 16) for record in _all_records(fresh) if record.handle]
    _check(len(handles) == sum(1 for _ in _all_records(fresh)), "one of ours has no handle")
    _check(len(set(handles)) == len(handles), "two of ours have the same handle")
    taken = [handle for handle in handles if handle in text.handles]
    _check(not taken, f"the handle {min(taken, default=0):X} was taken already")
    _check(max(handles, default=0) < output.handseed_value, "$HANDSEED is too small")
    meant = {int(thing.dxf.handle, 16) for thing in (*fresh.entities, *fresh.table_records)}
    _check(meant <= set(handles), "one of ours has no record")


def _check_tables(text: TextMap, output: TextMap, fresh: Fresh) -> None:
    for name, table in output.tables.items():
        before, added = text.tables[name], len(fresh.places.get(name, ()))
        _check(
            len(table.entries) == len(before.entries) + added,
            f"table {name} has other records than it should",
        )
        if table.count and before.count:
            grown = int(output.data[slice(*table.count)]) - int(text.data[slice(*before.count)])
            _check(grown == added, f"the count of table {name} is wrong")
        if added:
            names = text_names(output, name)
            doubled = len(table.entries) - len(names) - (len(before.entries) - len(text_names(text, name)))
            _check(not doubled, f"table {name} has a name twice")


def _all_records(fresh: Fresh) -> Iterator[Record]:
    for records in fresh.places.values():
        yield from records


class _Reading:
    """Our records, read back from the output and held against what was meant."""

    def __init__(self, output: TextMap, fresh: Fresh, doc: Drawing) -> None:
        self.output = output
        self.doc = doc
        self.encoding = encoding_of(output)
        self.names = {name: text_names(output, name) | _ALWAYS_THERE.get(name, set()) for name in TABLES}
        self.places = fresh.places
        self.handles = {int(record.handle, 16) for record in _all_records(fresh)}
        self.spaces = _handles_of(output, (_MODELSPACE, PAPER))

    def check(self, ours: dict[str, Tags], imprint: list[str], app_id: str) -> None:
        """Read every record of ours and check it; the very first carries the imprint."""
        for number, (place, tags) in enumerate(ours.items()):
            things = self._read(tags)
            if number == 0:
                _check(take_strings(things[0], app_id, imprint), "the imprint is not where it should be")
            handles = [record.handle for record in self.places[place]]
            _check([thing.dxf.handle for thing in things] == handles, f"{place} came back with other handles")
            for thing in things:
                self._check_thing(place, thing)
            if place == BLOCKS:
                _check_blocks(things)
            fault = next(faults_of(things, self.doc), None)
            _check(fault is None, f"an audit finds fault with {fault}")

    def _read(self, tags: Tags) -> list[DXFEntity]:
        try:
            return list(read_back(tags, self.encoding, self.doc))
        except MemoryError:
            raise
        except Exception as error:
            raise _failed(f"{type(error).__name__} {error}") from error

    def _check_thing(self, place: str, thing: DXFEntity) -> None:
        dxf, called = thing.dxf, f"{thing.dxftype()} #{thing.dxf.handle}"
        meant = self.doc.entitydb.get(dxf.handle)
        wrong = "handle" if meant is None else difference(meant, thing)
        _check(wrong is None, f"the {wrong} of {called} did not come back as it was made")
        _check(self._is_owner(dxf.owner, place, thing.dxftype()), f"{called} does not belong where it should")
        for table, name in names_used(thing):
            _check(name.lower() in self.names[table], f"{called} names {table} {name}, which is not there")

    def _is_owner(self, handle: str | None, place: str, kind: str) -> bool:
        """Say whether something belongs where it stands; where no handle could be named it names none."""
        owner = None if handle is None else int(handle, 16)
        if place in self.output.tables:
            return owner == _number(self.output.tables[place].handle)
        if place == ENTITIES:
            linked = kind in _LINKED and owner in self.handles
            return linked or owner in (self.spaces or {None})
        if place.startswith(PAPER):
            return owner in _handles_of(self.output, (place,))
        return owner in self.handles


def _number(handle: bytes) -> int | None:
    return int(handle, 16) if handle else None


def _handles_of(output: TextMap, layouts: Collection[str]) -> set[int | None]:
    """Return the handles of layouts, the owners of their entities; a damaged drawing may have one twice."""
    table = output.tables.get("BLOCK_RECORD")
    entries = table.entries if table else ()
    return {_number(handle) for name, handle in entries if name.decode("ascii", "replace").upper() in layouts}


def _check_blocks(things: Iterable[DXFEntity]) -> None:
    """Check that our blocks are whole, and that none of them holds itself."""
    held: dict[str, set[str]] = {}
    name = ""
    for thing in things:
        if thing.dxftype() == "BLOCK":
            _check(not name, f"block {name} does not end")
            name = thing.dxf.name
            held[name] = set()
        elif thing.dxftype() == "ENDBLK":
            name = ""
        else:
            _check(bool(name), f"{thing.dxftype()} #{thing.dxf.handle} stands between blocks")
            held[name] |= {used for table, used in names_used(thing) if table == "BLOCK_RECORD"}
    _check(not name, f"block {name} does not end")
    while held:
        inmost = [name for name, names in held.items() if not names & held.keys()]
        _check(bool(inmost), f"block {next(iter(held))} holds itself")
        for name in inmost:
            del held[name]
