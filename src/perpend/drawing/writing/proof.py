"""Proof that a drawing we wrote is the drafter's drawing plus ours, at a cost that hardly grows with it.

Reading the output back entity by entity costs as much as loading the drawing. It is not needed to know that
nothing of the original was harmed, because more can be shown from the bytes:

1. What stands on the disk is what was put together in memory, byte for byte.
2. Undone by its own imprint, it has the hash of the original: no byte of the original is lost or changed.
3. Our text stands at the ends of tables and sections, consists of whole records, and holds no record that
   opens or closes a table or a section: so every record of the original is read as before.
4. Our handles are new, differ from each other, and are below ``$HANDSEED``.
5. The tables of the output and our blocks and entities alone, without the drafter's, load in ezdxf, every one
   of ours is there, and an audit finds nothing wrong with any of them.

The tests hold this against full read-backs of whole drawings.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from ezdxf.document import Drawing
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.filemanagement import read as read_stream
from ezdxf.lldxf.encoding import decode_dxf_unicode

from perpend.drawing.writing.fresh import Fresh, Record, encoding_of
from perpend.drawing.writing.imprint import BLOCKS, ENTITIES
from perpend.drawing.writing.insertion import Insertion
from perpend.drawing.writing.strip import undo_insertion
from perpend.drawing.writing.text_map import IrregularText, TextMap, iter_tags, map_text
from perpend.errors import InternalError

_STRUCTURE: Final = {b"SECTION", b"ENDSEC", b"TABLE", b"ENDTAB", b"EOF", b"CLASS"}


def prove_insertion(text: TextMap, fresh: Fresh, insertion: Insertion, written: Path, app_id: str) -> None:
    """Read a written drawing back and prove that it is the original plus ours.

    Args:
        text: the original.
        fresh: what was to go in.
        insertion: the new text as it was put together.
        written: the file.
        app_id: registered application whose XDATA marks what is ours.

    Raises:
        InternalError: any step of the proof fails; the file must then not be kept.
    """
    try:
        back = written.read_bytes()
        _check(back == insertion.data, "the disk gave back other bytes than were written")
        for place, blob in insertion.texts.items():
            _check_records(place, blob, fresh.places[place])
        output = map_text(back, lines_known=True)
        _check(undo_insertion(output, app_id) == text.data, "without ours it is not the original")
        _check_handles(text, output, fresh)
        _check_reading(output, insertion, fresh)
    except IrregularText as error:
        raise InternalError(
            f"The new drawing did not read back whole: {error}; nothing was written."
        ) from None


def _check(fine: bool, otherwise: str) -> None:
    if not fine:
        raise InternalError(f"The new drawing did not read back whole: {otherwise}; nothing was written.")


def _check_records(place: str, blob: bytes, records: list[Record]) -> None:
    kinds = [tag.value for tag in iter_tags(blob, 0, len(blob)) if tag.code == 0]
    first = next(iter_tags(blob, 0, len(blob)), None)
    _check(first is not None and first.code == 0, f"our text in {place} does not start with a record")
    _check(not _STRUCTURE.intersection(kinds), f"our text in {place} breaks the order of the file")
    _check(
        [kind.decode("ascii") for kind in kinds] == [record.kind for record in records],
        f"our text in {place} holds other records than were made",
    )


def _check_handles(text: TextMap, output: TextMap, fresh: Fresh) -> None:
    handles = [int(record.handle, 16) for record in _all_records(fresh) if record.handle]
    _check(len(handles) == sum(1 for _ in _all_records(fresh)), "one of ours has no handle")
    _check(len(set(handles)) == len(handles), "two of ours have the same handle")
    taken = text.handles.intersection(handles)
    _check(not taken, f"the handle {min(taken, default=0):X} was taken already")
    _check(max(handles, default=0) < output.handseed_value, "$HANDSEED is too small")


def _all_records(fresh: Fresh) -> Iterator[Record]:
    for records in fresh.places.values():
        yield from records


def _check_reading(output: TextMap, insertion: Insertion, fresh: Fresh) -> None:
    """Load the output without the drafter's entities and look for every one of ours."""
    doc = _load(_skeleton(output, insertion), encoding_of(output))
    found = [entity for entity in doc.modelspace() if entity.dxf.handle]
    _check(
        [_shown(entity) for entity in found] == [_shown(entity) for entity in fresh.entities],
        "not every entity of ours came back as it was made",
    )
    for record in fresh.table_records:
        twin = doc.entitydb.get(record.dxf.handle)
        _check(
            twin is not None and _shown(twin) == _shown(record),
            f"{record.dxftype()} {record.dxf.name} did not come back",
        )
    ours = {record.handle for record in _all_records(fresh)}
    auditor = doc.audit()
    for error in (*auditor.errors, *auditor.fixes):
        entity = error.entity
        handle = entity.dxf.handle if entity is not None and entity.is_alive else None
        _check(handle not in ours, f"an audit finds fault with #{handle}: {error.message}")
    alive = {handle for handle in ours if (twin := doc.entitydb.get(handle)) and twin.is_alive}
    in_database = {record.handle for record in _all_records(fresh) if record.kind != "SEQEND"}
    _check(in_database <= alive, "an audit removes some of ours")


def _shown(entity: DXFEntity) -> tuple[str, ...]:
    """Return type, handle, layer, name and text of an entity, as far as it has them."""
    dxf = entity.dxf
    known = [str(dxf.get(name) or "") for name in ("layer", "name", "text") if dxf.is_supported(name)]
    return (entity.dxftype(), dxf.handle, *map(_unescaped, known))


def _unescaped(text: str) -> str:
    r"""Decode ``\U+XXXX``, which ezdxf leaves as it is, halves of one character joined."""
    return decode_dxf_unicode(text).encode("utf-16", "surrogatepass").decode("utf-16", "replace")


def _skeleton(output: TextMap, insertion: Insertion) -> bytes:
    """Return header, classes and tables of a drawing, and of its blocks and entities only ours."""
    pieces: list[bytes] = []
    newline = output.newline
    for section in output.sections.values():
        if section.name in ("HEADER", "CLASSES", "TABLES"):
            pieces.append(output.data[section.start : section.end])
            pieces.append(_lines(newline, "0", "ENDSEC"))
    for name, place in (("BLOCKS", BLOCKS), ("ENTITIES", ENTITIES)):
        pieces += [_lines(newline, "0", "SECTION", "2", name), insertion.texts.get(place, b"")]
        pieces.append(_lines(newline, "0", "ENDSEC"))
    pieces.append(_lines(newline, "0", "EOF"))
    return b"".join(pieces)


def _lines(newline: bytes, *lines: str) -> bytes:
    return b"".join(line.encode("ascii") + newline for line in lines)


def _load(data: bytes, encoding: str) -> Drawing:
    try:
        text = data.decode(encoding, "surrogateescape").replace("\r\n", "\n")
        return read_stream(io.StringIO(text))
    except Exception as error:
        raise InternalError(
            f"The new drawing did not read back whole: {type(error).__name__} {error}; nothing was written."
        ) from error
