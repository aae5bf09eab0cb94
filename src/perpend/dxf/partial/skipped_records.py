"""What a document lacks although its drawing has it, known wherever the document is.

Kept apart from `perpend.dxf.partial.partial_load`, which leaves it out, because every drawing is asked and
few lack anything.
"""

from __future__ import annotations

from array import array
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final
from weakref import WeakKeyDictionary

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.dxfentity import DXFEntity

    from perpend.dxf.partial.record_geometry import Shown


Reach = Sequence[float]
"""Two opposite corners of a box, as x, y, x, y; of a block reference its place and its scales."""


def box_of(numbers: Sequence[float]) -> Reach:
    """Return the box of corners that are given as x and y in turn."""
    xs, ys = numbers[::2], numbers[1::2]
    return min(xs), min(ys), max(xs), max(ys)


@dataclass(frozen=True, slots=True)
class LateText:
    """A text that was left out, and may have to be looked into.

    Attributes:
        handle: its handle; that of the block reference with which it goes.
        layer: its layer.
        host: layer of that block reference; its own for one that stands alone.
        at: where it is inserted.
        record: its text.
    """

    handle: str
    layer: str
    host: str
    at: tuple[float, float]
    record: bytes

    def entity(self, doc: Drawing) -> DXFEntity:
        """Return it as ezdxf would have loaded it; it belongs to nothing."""
        return entity_of(b"0\n" + self.record, doc)


@dataclass(slots=True)
class LateTexts:
    """Texts of one layer that were left out and go with things of one layer.

    Attributes:
        data: the drawing's text.
        layer: their layer.
        host: layer of the block references with which they go; their own for those that stand alone.
        handles: their handles; those of the block references.
        places: where they are inserted, two numbers each.
        spans: where each starts in the text, and where it ends.
    """

    data: bytes = field(repr=False)
    layer: str
    host: str
    handles: list[str] = field(default_factory=list)
    places: array[float] = field(default_factory=lambda: array("d"))
    spans: array[int] = field(default_factory=lambda: array("q"))

    def which(self, near: Callable[[tuple[float, float]], bool] = lambda _: True) -> Iterator[LateText]:
        """Yield those that are at places that somebody asks for."""
        places = zip(self.places[::2], self.places[1::2], strict=True)
        for number, (handle, at) in enumerate(zip(self.handles, places, strict=True)):
            if near(at):
                start, end = self.spans[2 * number : 2 * number + 2]
                record = self.data[self.data.index(b"\n", start) + 1 : end]
                record = record.removesuffix(b"\n").removesuffix(b"\r")
                yield LateText(handle, self.layer, self.host, at, record)


def _numbers(kind: str) -> Callable[[], array[Any]]:
    return lambda: array(kind)


@dataclass(slots=True)
class Records:
    """Records of one kind on one layer that were left out, and may have to be looked into.

    Attributes:
        reaches: how far each reaches (`Reach`), four numbers each.
        spans: where each starts in the text, and where it ends.
    """

    reaches: array[float] = field(default_factory=_numbers("d"))
    spans: array[int] = field(default_factory=_numbers("q"))

    def entity(self, number: int, data: bytes, doc: Drawing) -> DXFEntity:
        """Return one as ezdxf would have loaded it from the text; it belongs to nothing."""
        return entity_of(self._text(number, data), doc)

    def handle(self, number: int, data: bytes) -> str:
        """Return the handle of one, with which every plain record begins after its type."""
        return self._text(number, data).split(maxsplit=4)[3].decode("ascii")

    def _text(self, number: int, data: bytes) -> bytes:
        record = data[self.spans[2 * number] : self.spans[2 * number + 1]]
        return record.lstrip().removesuffix(b"\n").removesuffix(b"\r")


def entity_of(record: bytes, doc: Drawing) -> DXFEntity:
    """Return what ezdxf would have loaded from a record, and from the vertices that follow it."""
    from ezdxf.entities.factory import load
    from ezdxf.entities.subentity import LinkedEntities
    from ezdxf.lldxf.extendedtags import ExtendedTags
    from ezdxf.lldxf.tags import Tags, group_tags

    lines = record.decode("latin-1").replace("\r\n", "\n")
    first, *more = (load(ExtendedTags(tags), doc) for tags in group_tags(Tags.from_text(f"{lines}\n")))
    if isinstance(first, LinkedEntities):
        for part in more:
            if part.dxftype() == "VERTEX":
                first.link_entity(part)
    return first


@dataclass(slots=True)
class LeftOut:
    """The records that were left out of a text.

    Attributes:
        shown: what they show, by layer.
        dimensions: the same for dimensions.
        texts: the texts among them, by their layer and that of what they go with.
        outlines: those among them that an opening may be drawn of, by layer, kind and block.
        blocks: names of the blocks among them, in small letters.
        handles: their handles.
        owners: the handles of what they belong to.
        counts: how many entities of each type, by layer and type.
        phantoms: handles that ezdxf, loading them, would have given to ends of sequences it adds.
    """

    shown: dict[str, Shown] = field(default_factory=dict)
    dimensions: dict[str, Shown] = field(default_factory=dict)
    texts: dict[tuple[str, str], LateTexts] = field(default_factory=dict)
    outlines: dict[tuple[str, bytes, str], Records] = field(default_factory=dict)
    blocks: set[str] = field(default_factory=set)
    handles: array[int] = field(default_factory=_numbers("Q"))
    owners: set[bytes] = field(default_factory=set)
    counts: Counter[tuple[str, str]] = field(default_factory=Counter)
    phantoms: int = 0


_LEFT_OUT: Final[WeakKeyDictionary[Drawing, LeftOut]] = WeakKeyDictionary()
_NOTHING: Final = LeftOut()


def left_out_of(doc: Drawing) -> LeftOut:
    """Return what a document does not hold although its drawing does; mostly nothing."""
    return _LEFT_OUT.get(doc, _NOTHING)


def remember(doc: Drawing, out: LeftOut) -> None:
    """Note what was left out of a document, for as long as the document lives."""
    _LEFT_OUT[doc] = out
