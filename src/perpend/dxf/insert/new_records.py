"""What a drawing function has made in a document, as DXF text.

Glossary:
    fresh: made since the document was loaded, and therefore ours.
    stranger: a record that is in the document but not in the text, because ezdxf adds on loading what a
        drawing should have (layer ``Defpoints``, text style ``Standard``, ...). It goes into the text only
        when one of ours needs it, and is then ours as well.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Final

from ezdxf.document import Drawing
from ezdxf.entities.blockrecord import BlockRecord
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.dxfgfx import is_graphic_entity
from ezdxf.entities.dxfobj import DXFObject
from ezdxf.lldxf.tagwriter import AbstractTagWriter
from ezdxf.lldxf.types import DXFTag, DXFVertex
from ezdxf.sections.classes import CLASS_DEFINITIONS
from ezdxf.sections.table import Table

from perpend.dxf.insert.free_names import ensure_appid
from perpend.dxf.insert.tag_spans import IrregularText
from perpend.dxf.insert.text_map import BLOCKS, ENTITIES, OBJECTS, PAPER, TextMap
from perpend.dxf.xdata import sign
from perpend.errors import InternalError

TABLES: Final = ("LTYPE", "LAYER", "STYLE", "UCS", "VIEW", "APPID", "DIMSTYLE", "BLOCK_RECORD")
_NEEDS_CLASS: Final = frozenset(CLASS_DEFINITIONS)
_XDATA: Final = 1000
_APP: Final = 1001
_OPTIONAL_POINTERS: Final = (330, 347, 348, 390)
_POINTERS: Final = frozenset((*range(320, 370), *range(390, 400), 480, 481, 1005))
_NAMING: Final = frozenset((2, 3, 6, 7, 8, _APP))
"""Group codes whose values may name a record of a table."""
_ALWAYS_THERE: Final = {"LTYPE": ("bylayer", "byblock", "continuous"), "LAYER": ("0",)}
_STYLED: Final = ("TEXT", "ATTRIB", "ATTDEF", "MTEXT")
_DIMSTYLED: Final = ("DIMENSION", "LEADER", "TOLERANCE", "ARC_DIMENSION")
_LINKED: Final = ("VERTEX", "ATTRIB", "SEQEND")
_PLACED: Final = ("INSERT", "DIMENSION", "ARC_DIMENSION")

TextTag = tuple[int, str]


@dataclass(slots=True)
class Record:
    """One record as text: its tags, the first of them code 0."""

    tags: list[TextTag]

    @property
    def kind(self) -> str:
        """Type name, such as ``LINE``."""
        return self.tags[0][1]

    @property
    def handle(self) -> str:
        """Its own handle."""
        code = 105 if self.kind == "DIMSTYLE" else 5
        return next((value for tag_code, value in self.tags if tag_code == code), "")

    def text(self) -> str:
        """Return the record's lines."""
        return "".join(f"{code:3d}\n{value}\n" for code, value in self.tags)


@dataclass(slots=True)
class Fresh:
    """Everything of ours in a document.

    Attributes:
        places: records by place, in the order of the file; entities and blocks with what belongs to them.
        entities: our entities in the layouts.
        table_records: our records in the tables.
    """

    places: dict[str, list[Record]]
    entities: list[DXFEntity] = field(repr=False)
    table_records: list[DXFEntity] = field(repr=False)


class Ledger:
    """Keeps what a document held before, and finds what was added since.

    Args:
        doc: the document, before anything is drawn.
        app_id: registered application whose XDATA marks what is ours.
    """

    def __init__(self, doc: Drawing, app_id: str) -> None:
        self.doc = doc
        self.app_id = app_id
        # The dict itself, as walking the database's own keys() costs a tenth of a second per 100,000.
        self._before = frozenset(doc.entitydb._database)
        self._dead_before = self._dead()

    def sign(self) -> tuple[list[DXFEntity], list[DXFEntity]]:
        """Find our entities and table records, and see that each carries our XDATA.

        Returns:
            Our entities in the layouts and our records in the tables.

        Raises:
            InternalError: something was deleted, or drawn outside of the layouts.
        """
        ensure_appid(self.doc, self.app_id)
        database = self.doc.entitydb._database
        gone = self._before.difference(database) | (self._dead() - self._dead_before) & self._before
        if gone:
            raise InternalError(
                f"Drawing has deleted {len(gone)} things of the original, #{min(gone)} first."
            )
        new = {handle: thing for handle, thing in database.items() if handle not in self._before}
        layouts = {layout.layout_key for layout in self.doc.layouts}
        graphics = [thing for thing in new.values() if thing.is_alive and is_graphic_entity(thing)]
        entities: list[DXFEntity] = [
            thing for thing in graphics if thing.dxf.owner in layouts and thing.dxftype() not in _LINKED
        ]
        records = [record for name in TABLES for record in _table(self.doc, name) if record.dxf.handle in new]
        for thing in graphics:
            if thing.dxf.owner not in layouts and thing.dxf.owner not in new:
                raise InternalError(f"{thing.dxftype()} #{thing.dxf.handle} was drawn in a place not ours.")
        for thing in (*records, *entities):
            self.mark(thing)
        for entity in entities:
            sign(entity, self.app_id)
        return entities, records

    def _dead(self) -> set[str]:
        return {handle for handle, thing in self.doc.entitydb._database.items() if not thing.is_alive}

    def mark(self, thing: DXFEntity) -> None:
        """Attach our XDATA to something of ours that has none, and give a table record its owner."""
        if not thing.has_xdata(self.app_id):
            thing.set_xdata(self.app_id, [(_XDATA, "kind=record")])
        if thing.dxftype() in TABLES:
            thing.dxf.owner = _table(self.doc, thing.dxftype()).head.dxf.handle

    def is_fresh(self, thing: DXFEntity) -> bool:
        """Tell whether something was made since."""
        return thing.dxf.handle not in self._before

    def export(self, text: TextMap) -> Fresh:
        """Return what is ours as text.

        Args:
            text: the drawing into which it will go.

        Raises:
            InternalError: see `sign`; or one of ours names something that is nowhere.
            IrregularText: one of ours needs something that the text can't give.
        """
        entities, records = self.sign()
        return _Export(self, text, entities, records).run()


class _Export:
    """One export: our records as text, and whatever else they need."""

    def __init__(
        self, ledger: Ledger, text: TextMap, entities: list[DXFEntity], records: list[DXFEntity]
    ) -> None:
        self.ledger = ledger
        self.doc = ledger.doc
        self.text = text
        self.entities = entities
        self.records = records
        self.objects: list[DXFEntity] = []
        self.texts: dict[str, list[Record]] = {}
        self.names = {name: text_names(text, name) for name in TABLES}

    def run(self) -> Fresh:
        queue = [*self.records, *self.entities]
        ours = {thing.dxf.handle for thing in queue}
        for thing in queue:
            self.texts[thing.dxf.handle] = _records_of(thing, self.text.version)
            for needed in self._needs(self.texts[thing.dxf.handle], ours):
                self._adopt(needed)
                queue.append(needed)
                ours.add(needed.dxf.handle)
        self._resolve_pointers()
        return Fresh(self._places(), self.entities, self.records)

    def _adopt(self, needed: DXFEntity) -> None:
        """Make a stranger, or an object of ours, part of what is inserted."""
        if needed.dxftype() in TABLES:
            if needed.dxf.name.lower() in self.names[needed.dxftype()]:
                raise IrregularText(f"{needed.dxftype()} {needed.dxf.name} has no handle in it")
            if int(needed.dxf.handle, 16) in self.text.handles:
                raise IrregularText(f"the handle {needed.dxf.handle} is taken by something that was not read")
            self.records.append(needed)
        else:
            self.objects.append(needed)
        self.ledger.mark(needed)
        if needed.dxftype() not in TABLES:
            sign(needed, self.ledger.app_id)

    def _needs(self, records: list[Record], ours: set[str]) -> Iterator[DXFEntity]:
        """Yield what the records refer to that is neither in the text nor among ours."""
        seen: set[str] = set()
        for record in records:
            if record.kind in _NEEDS_CLASS:
                raise IrregularText(f"it may lack the class of {record.kind}")
            for table, name in _names_used(record):
                if name.lower() in self.names[table] or name.lower() in _ALWAYS_THERE.get(table, ()):
                    continue
                found = _lookup(self.doc, table, name)
                if found is None:
                    raise InternalError(
                        f"{record.kind} #{record.handle} names {table} {name}, which is not there."
                    )
                if found.dxf.handle not in ours and found.dxf.handle not in seen:
                    seen.add(found.dxf.handle)
                    yield found
            for code, handle in _pointers(record):
                if handle in seen or handle in ours or self._in_text(handle):
                    continue
                found = self.doc.entitydb.get(handle)
                if found is not None and self._can_be_adopted(found, code):
                    seen.add(handle)
                    yield found

    def _can_be_adopted(self, found: DXFEntity, code: int) -> bool:
        if found.dxftype() in TABLES:
            return code not in _OPTIONAL_POINTERS
        return isinstance(found, DXFObject) and self.ledger.is_fresh(found)

    def _in_text(self, handle: str) -> bool:
        try:
            return handle == "0" or int(handle, 16) in self.text.handles
        except ValueError:  # a damaged table can leave a record of ours without an owner
            return False

    def _resolve_pointers(self) -> None:
        """Drop the optional pointers that lead nowhere in the text; any other one is too much."""
        ours = {record.handle for records in self.texts.values() for record in records}
        for records in self.texts.values():
            for record in records:
                for code, handle in list(_pointers(record)):
                    if handle in ours or self._in_text(handle):
                        continue
                    if code not in _OPTIONAL_POINTERS:
                        raise IrregularText(
                            f"what {record.kind} #{record.handle} points at has no handle in it"
                        )
                    record.tags.remove((code, handle))

    def _places(self) -> dict[str, list[Record]]:
        places: dict[str, list[Record]] = {}
        for name in TABLES:
            for thing in self.records:
                if thing.dxftype() == name:
                    record, *definition = self.texts[thing.dxf.handle]
                    places.setdefault(name, []).append(record)
                    if definition:
                        places.setdefault(BLOCKS, []).extend(definition)
        if BLOCKS in places:
            places[BLOCKS] = places.pop(BLOCKS)
        apart = {
            layout.layout_key: name
            for layout in self.doc.layouts
            if (name := layout.block_record_name.upper()).startswith(PAPER) and name != PAPER
        }
        put = [(apart.get(entity.dxf.owner, ENTITIES), entity) for entity in self.entities]
        for place, thing in (*put, *((OBJECTS, thing) for thing in self.objects)):
            if records := self.texts[thing.dxf.handle]:
                places.setdefault(place, []).extend(records)
        return places


def text_names(text: TextMap, table: str) -> frozenset[str]:
    """Return the names in a table of a text, in small letters."""
    if table not in text.tables:
        return frozenset()
    encoding = encoding_of(text)
    return frozenset(_decoded(name, encoding).lower() for name, _ in text.tables[table].entries)


def encoding_of(text: TextMap) -> str:
    """Return the encoding of a text; plain ASCII when its code page is unknown."""
    from ezdxf.tools.codepage import codepage_to_encoding

    if text.version >= "AC1021":
        return "utf-8"
    digits = text.codepage.upper().removeprefix("ANSI_")
    return codepage_to_encoding.get(digits, "ascii")


def _decoded(name: bytes, encoding: str) -> str:
    from ezdxf.lldxf.encoding import decode_dxf_unicode

    return decode_dxf_unicode(name.decode(encoding, "surrogateescape"))


def _table(doc: Drawing, name: str) -> Table[Any]:
    tables: dict[str, Table[Any]] = {
        "LTYPE": doc.linetypes,
        "LAYER": doc.layers,
        "STYLE": doc.styles,
        "UCS": doc.ucs,
        "VIEW": doc.views,
        "APPID": doc.appids,
        "DIMSTYLE": doc.dimstyles,
        "BLOCK_RECORD": doc.block_records,
    }
    return tables[name]


def _lookup(doc: Drawing, table: str, name: str) -> DXFEntity | None:
    entries = _table(doc, table)
    return entries.get(name) if name in entries else None


def _records_of(thing: DXFEntity, version: str) -> list[Record]:
    """Export a thing and what belongs to it; for a block its record, then its definition."""
    writer = _RecordWriter(version)
    thing.export_dxf(writer)
    if isinstance(thing, BlockRecord):
        thing.export_block_definition(writer)
    return writer.records


class _RecordWriter(AbstractTagWriter):
    """Takes what ezdxf exports, tag by tag, with each value as it will stand in the text."""

    def __init__(self, version: str) -> None:
        self.dxfversion = version
        self.records: list[Record] = []

    def write_tag2(self, code: int, value: object) -> None:
        if code == 0:
            self.records.append(Record([]))
        self.records[-1].tags.append((code, str(value)))

    def write_tag(self, tag: DXFTag) -> None:
        if type(tag) is DXFTag:
            self.write_tag2(tag.code, tag.value)
        elif isinstance(tag, DXFVertex):
            self.write_vertex(tag.code, tag.value)
        else:
            self.write_str(tag.dxfstr())

    def write_str(self, s: str) -> None:
        lines = s.split("\n")
        for code, value in zip(lines[::2], lines[1::2], strict=False):  # an empty line is left at the end
            self.write_tag2(int(code), value)


def _names_used(record: Record) -> Iterator[tuple[str, str]]:
    """Yield (table, name) for every table record that a record names."""
    kind = record.kind
    is_entity = kind not in TABLES
    has_name = False
    for code, value in record.tags:
        if code not in _NAMING or not value:
            continue
        if code == _APP:
            yield "APPID", value
        elif code == 8 and is_entity:
            yield "LAYER", value
        elif code == 6 and (is_entity or kind == "LAYER"):
            yield "LTYPE", value
        elif code == 7 and kind in _STYLED:
            yield "STYLE", value
        elif code == 3 and kind in _DIMSTYLED:
            yield "DIMSTYLE", value
        elif code == 2 and kind in _PLACED and not has_name:
            has_name = True
            yield "BLOCK_RECORD", value


def _pointers(record: Record) -> Iterator[TextTag]:
    return (tag for tag in record.tags if tag[0] in _POINTERS)
