"""Our records read back from a written text, each held against what was meant.

ezdxf reads each record by itself, without the drawing around it: loading that again would cost more than
writing it did, and what is not ours is proven by its bytes.

Glossary:
    meant: the thing in the document that was drawn, from which the text was made.
    back: the thing that ezdxf makes of the text.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any, Final

from ezdxf.audit import Auditor
from ezdxf.document import Drawing
from ezdxf.entities import factory
from ezdxf.entities.dimstyle import DIM_ARROW_HEAD_ATTRIBS, DimStyle
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.subentity import LinkedEntities
from ezdxf.lldxf.encoding import decode_dxf_unicode
from ezdxf.lldxf.extendedtags import ExtendedTags
from ezdxf.lldxf.tagger import tag_compiler
from ezdxf.lldxf.tags import Tags as RawTags
from ezdxf.lldxf.tags import group_tags
from ezdxf.lldxf.types import DXFTag

from perpend.dxf.insert.tag_spans import Tags

_MORE: Final[Mapping[str, Callable[[Any], object]]] = {
    "LWPOLYLINE": lambda entity: entity.lwpoints.values.tolist(),
    "LTYPE": lambda entity: [tag.value for tag in entity.pattern_tags.tags],
    "MTEXT": lambda entity: _unescaped(entity.text),
}
"""What a thing holds beside its attributes and its XDATA."""

_NAMES: Final = {
    "layer": "LAYER",
    "linetype": "LTYPE",
    "style": "STYLE",
    "dimstyle": "DIMSTYLE",
    "geometry": "BLOCK_RECORD",
}
"""Attributes that name a record of a table."""

_RESOLVED: Final = "_handle"
"""End of the names of attributes that ezdxf fills in on writing and resolves on reading."""

_DERIVED: Final = {"attribs_follow", "vertices_follow", "owner"}
"""Attributes that are worked out on writing; what follows, and the owner, are looked at by themselves."""


def read_back(tags: Tags, encoding: str, doc: Drawing) -> Iterator[DXFEntity]:
    """Yield what ezdxf makes of each record of a text of ours.

    Args:
        tags: the text.
        encoding: its encoding.
        doc: the document for which it was made; nothing is added to it.
    """
    lines = b"\n".join(tags.lines).decode(encoding, "surrogateescape").replace("\r", "").split("\n")
    pairs = map(DXFTag, tags.codes, lines[1::2])
    for record in group_tags(tag_compiler(pairs)):
        thing = factory.load(ExtendedTags(record), doc)
        if isinstance(thing, DimStyle):
            thing.post_load_hook(doc)  # it names by their handles what it uses
        yield thing


def difference(meant: DXFEntity, back: DXFEntity) -> str | None:
    """Return the name of the first thing in which what came back is not what was meant; None if all is.

    The owner is not compared: a drawing may lack the handle of a table, so that none can be named.
    """
    if meant.dxftype() != back.dxftype():
        return "type"
    wanted, found = _attributes(meant), _attributes(back)
    if wanted != found:
        names = {*wanted, *found}
        return min(name for name in names if wanted.get(name) != found.get(name))
    more = _MORE.get(meant.dxftype())
    if more and more(meant) != more(back):
        return "contents"
    wanted_data = meant.xdata.data if meant.xdata else {}
    found_data = back.xdata.data if back.xdata else {}
    if wanted_data.keys() != found_data.keys():
        return "extended data"
    for name, tags in wanted_data.items():
        if not _are_same(tags, found_data[name]):
            return f"extended data of {name}"
    return None


def take_strings(thing: DXFEntity, app_id: str, strings: Sequence[str]) -> bool:
    """Take these strings off the end of a thing's XDATA; False when that does not end with them."""
    tags = thing.xdata.data.get(app_id, ()) if thing.xdata else ()
    if not thing.xdata or [tag.value for tag in tags[-len(strings) :]] != list(strings):
        return False
    thing.xdata.data[app_id] = RawTags(tags[: -len(strings)])
    return True


def names_used(thing: DXFEntity) -> Iterator[tuple[str, str]]:
    """Yield (table, name) for every table record that a thing names."""
    for attribute, table in _NAMES.items():
        name = thing.dxf.__dict__.get(attribute)
        if name:
            yield table, _unescaped(name)
    if thing.dxftype() == "INSERT":
        yield "BLOCK_RECORD", _unescaped(thing.dxf.name)
    if thing.xdata:
        for app_id in thing.xdata.data:
            yield "APPID", app_id


def faults_of(things: Iterable[DXFEntity], doc: Drawing) -> Iterator[str]:
    """Yield what ezdxf's audit finds wrong with things that were read back.

    What holds vertices or attributes came back without them, so its original is looked at.
    """
    auditor = Auditor(doc)
    for thing in things:
        audited = doc.entitydb.get(thing.dxf.handle) if isinstance(thing, LinkedEntities) else thing
        if audited is not None:
            audited.audit(auditor)
        for error in (*auditor.errors, *auditor.fixes):
            yield f"#{thing.dxf.handle}: {error.message}"


def _attributes(thing: DXFEntity) -> dict[str, object]:
    """Return the attributes that differ from what holds when they are not there."""
    definitions = thing.DXFATTRIBS
    version = thing.doc.dxfversion if thing.doc else ""
    found: dict[str, object] = {}
    for name, value in thing.dxf.all_existing_dxf_attribs().items():
        definition = definitions.get(name)
        if definition is None or definition.dxfversion > version:
            continue
        if name.endswith(_RESOLVED) or name in _DERIVED:
            continue
        if value is None or (definition.default is not None and value == definition.default):
            continue
        if isinstance(value, str):
            value = _unescaped(value)
            if not value:
                continue
            if name in DIM_ARROW_HEAD_ATTRIBS:
                value = value.lstrip("_").upper()
        found[name] = value
    return found


def _are_same(wanted: RawTags, found: RawTags) -> bool:
    return len(wanted) == len(found) and all(
        a.code == b.code and (a.value == b.value or _unescaped(str(a.value)) == _unescaped(str(b.value)))
        for a, b in zip(wanted, found, strict=True)
    )


def _unescaped(text: str) -> str:
    r"""Decode ``\U+XXXX``, which ezdxf leaves as it is, halves of one character joined."""
    if "\\U+" not in text:
        return text
    return decode_dxf_unicode(text).encode("utf-16", "surrogatepass").decode("utf-16", "replace")
