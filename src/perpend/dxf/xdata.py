"""Extended data (XDATA) by which perpend knows its own entities.

An entity is ours only if its XDATA says so and names the entity's own handle: a copy carries the handle of
what it was copied from, and is the drafter's. So is a text whose words were changed. Where another program
gave every entity a new handle, the first of those that name one handle is ours.

Glossary:
    claim: what XDATA of ours says of the entity that carries it: its handle, and the digest of its words.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Collection, Hashable, Iterable
from typing import TYPE_CHECKING, Final, NamedTuple, TypeVar

from ezdxf.lldxf.tags import Tags
from ezdxf.lldxf.types import DXFTag

if TYPE_CHECKING:
    from ezdxf.entities.dxfentity import DXFEntity

APPLICATION: Final = "PERPEND"
"""Registered application name of the extended data that marks perpend's own entities."""

REVIEW_APPLICATION: Final = "PERPEND-CHECK"
"""The same for the marks of a check, so that they come and go without the joints of an earlier run."""

WORDED: Final = ("TEXT", "MTEXT", "INSERT")
"""Kinds of entity that stop being ours when their words are changed: those of a block are its texts'."""

_STRING: Final = 1000
CLAIM: Final = "handle="
_WORDS: Final = "words="
_NOT_PLAIN: Final = re.compile(r"\\U\+[0-9A-Fa-f]{4}|[^!-~]")
"""What programs write in several ways: letters beyond ASCII, and spaces."""

T = TypeVar("T", bound=Hashable)


class Claim(NamedTuple):
    """What the XDATA of an entity says of it, and what it is.

    Attributes:
        handle: the entity's own handle.
        claimed: the handle that its XDATA names; empty for none.
        is_reworded: True for a text whose words are no longer those that were drawn.
    """

    handle: str
    claimed: str
    is_reworded: bool = False


def digest_of(words: str) -> str:
    """Return a short digest of a text, the same in every encoding that a program may save it in."""
    return f"{zlib.crc32(_NOT_PLAIN.sub('', words).encode('ascii')):08X}"


def together(texts: Iterable[str]) -> str:
    """Return what the texts of a block say, in whatever order a program has them."""
    return "".join(sorted(_NOT_PLAIN.sub("", text) for text in texts))


def claim_of(handle: str, strings: Iterable[str], words: str | None) -> Claim:
    """Return what the strings of our XDATA say of an entity.

    Args:
        handle: the entity's own handle.
        strings: values of group code 1000 of our XDATA.
        words: what a text says; None for other kinds.
    """
    claimed = digest = ""
    for text in strings:
        if text.startswith(CLAIM):
            claimed = text[len(CLAIM) :].upper()
        elif text.startswith(_WORDS):
            digest = text[len(_WORDS) :]
    reworded = bool(digest) and words is not None and digest != digest_of(words)
    return Claim(handle.upper(), claimed, reworded)


def ours_among(claims: Iterable[tuple[T, Claim]]) -> set[T]:
    """Return the things that are ours among those that carry our XDATA.

    Args:
        claims: each thing with its claim, in the order of the file.
    """
    named = [(thing, claim) for thing, claim in claims if claim.claimed]
    at_home = {claim.claimed for _, claim in named if claim.claimed == claim.handle}
    ours: set[T] = set()
    taken: set[str] = set()
    for thing, claim in named:
        first = not at_home and claim.claimed not in taken
        if claim.claimed == claim.handle or first:
            taken.add(claim.claimed)
            if not claim.is_reworded:
                ours.add(thing)
    return ours


def sign(entity: DXFEntity, application: str) -> None:
    """Add to the XDATA of an entity of ours which entity it is, and what it says."""
    handle = entity.dxf.handle
    if entity.xdata is None or not handle:
        return
    before = entity.xdata.data[application]
    tags = (tag for tag in before if not str(tag.value).startswith((CLAIM, _WORDS)))
    said = [DXFTag(_STRING, f"{CLAIM}{handle}")]
    words = _words_of(entity)
    if words is not None:
        said.append(DXFTag(_STRING, f"{_WORDS}{digest_of(words)}"))
    entity.xdata.data[application] = Tags([*tags, *said])


def our_entities(entities: Iterable[DXFEntity], application: str) -> Collection[DXFEntity]:
    """Return the entities that are ours, in their order."""
    marked = [entity for entity in entities if entity.xdata is not None and entity.has_xdata(application)]
    ours = ours_among((n, _claim(entity, application)) for n, entity in enumerate(marked))
    return [entity for n, entity in enumerate(marked) if n in ours]


def _claim(entity: DXFEntity, application: str) -> Claim:
    strings = (str(tag.value) for tag in entity.get_xdata(application) if tag.code == _STRING)
    return claim_of(entity.dxf.handle or "", strings, _words_of(entity))


def _words_of(entity: DXFEntity) -> str | None:
    kind = entity.dxftype()
    if kind not in WORDED:
        return None
    if kind == "INSERT":
        block = entity.doc.blocks.get(entity.dxf.name) if entity.doc else None
        texts = [] if block is None else [part for part in block if part.dxftype() == "TEXT"]
        return together(str(text.dxf.get("text", "")) for text in texts)
    return str(entity.dxf.get("text", "")) if kind == "TEXT" else str(getattr(entity, "text", ""))


def said_by(entity: DXFEntity, application: str = APPLICATION) -> list[tuple[str, str]]:
    """Return what the XDATA of an entity of ours says, by key; nothing where it carries none."""
    if entity.xdata is None or not entity.has_xdata(application):
        return []
    texts = (str(tag.value).partition("=") for tag in entity.get_xdata(application) if tag.code == _STRING)
    return [(key, value) for key, equals, value in texts if equals]


def own_number(entity: DXFEntity | None) -> str:
    """Return the number that a record of ours names, such as that of a joint, or empty."""
    return next((value for key, value in said_by(entity) if key == "number"), "") if entity else ""


def own_kind(entity: DXFEntity) -> str:
    """Return the kind that perpend's own extended data names (``joint``, ``label``), or empty.

    A text of ours whose words were changed is the drafter's.
    """
    if entity.xdata is None:
        return ""
    application = next((a for a in (APPLICATION, REVIEW_APPLICATION) if a in entity.xdata), None)
    if application is None or _claim(entity, application).is_reworded:
        return ""
    return next((value for key, value in said_by(entity, application) if key == "kind"), "unnamed")
