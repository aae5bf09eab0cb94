"""What a run noticed and a person should know: one type, and the one collector that goes through reading.

A notice is no finding: no rule of masonry is broken. It says how something was read, what was repaired, what
was left out, or what may have been read wrongly. Whoever prints, counts or weighs notices looks at their
fields, never into their words.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

ENTITY_IGNORED: Final = "entity-ignored"
"""Code of every entity on a layer of interest that was not used; the words say why, without a full stop."""


class NoticeSeverity(StrEnum):
    """How much a notice weighs."""

    NOTE = "note"
    """How something was read or repaired."""
    DOUBT = "doubt"
    """It may have been read wrongly."""
    GRAVE_DOUBT = "grave-doubt"
    """It may have been read wrongly, and then joints are in wrong places."""


@dataclass(frozen=True, slots=True)
class NoticePlace:
    """Where something was noticed, as far as that is known.

    Attributes:
        handle: DXF handle, or empty.
        kind: DXF type, or empty.
        layer: its layer, or empty.
        at: a point of it in drawing axes and drawing units.
        wall: tag of the wall that it concerns, or empty.
        x_in: its station in that wall, inches.
    """

    handle: str = ""
    kind: str = ""
    layer: str = ""
    at: tuple[float, float] | None = None
    wall: str = ""
    x_in: float | None = None


NOWHERE: Final = NoticePlace()


@dataclass(frozen=True, slots=True)
class Notice:
    """One thing that was noticed.

    Attributes:
        code: a stable slug that names the kind of it.
        words: one sentence.
        severity: how much it weighs.
        place: where it is.
    """

    code: str
    words: str
    severity: NoticeSeverity = NoticeSeverity.NOTE
    place: NoticePlace = NOWHERE

    @property
    def is_doubt(self) -> bool:
        """Whether something may have been read wrongly."""
        return self.severity is not NoticeSeverity.NOTE

    @property
    def is_grave(self) -> bool:
        """Whether joints are in wrong places if the doubt is right."""
        return self.severity is NoticeSeverity.GRAVE_DOUBT


class Notices:
    """Collects notices in the order in which they come."""

    def __init__(self, wall: str = "") -> None:
        """Take the tag of the wall that every notice concerns, or nothing."""
        self._wall = wall
        self._kept: list[Notice] = []

    def note(self, code: str, words: str, place: NoticePlace = NOWHERE) -> None:
        """Say how something was read or repaired."""
        self._kept.append(Notice(code, words, NoticeSeverity.NOTE, place))

    def doubt(self, code: str, words: str, place: NoticePlace = NOWHERE, *, grave: bool = True) -> None:
        """Say what may have been read wrongly.

        Args:
            code: the kind of doubt.
            words: one sentence.
            place: with a wall's tag it is a doubt about that wall alone; without, one about the drawing.
            grave: joints are in wrong places if the doubt is right.
        """
        severity = NoticeSeverity.GRAVE_DOUBT if grave else NoticeSeverity.DOUBT
        self._kept.append(Notice(code, words, severity, place))

    def ignore(
        self,
        handle: str,
        kind: str,
        layer: str,
        why: str,
        at: tuple[float, float] | None = None,
        x_in: float | None = None,
    ) -> None:
        """Say that an entity on a layer of interest is not used, and why; see `NoticePlace`."""
        place = NoticePlace(handle, kind, layer, at, self._wall, x_in)
        self._kept.append(Notice(ENTITY_IGNORED, why, NoticeSeverity.NOTE, place))

    def within(self, wall: str) -> Notices:
        """Return a collector into this one for what concerns one wall."""
        part = Notices(wall)
        part._kept = self._kept
        return part

    def add(self, notices: Iterable[Notice]) -> None:
        """Take over notices that were made elsewhere."""
        self._kept += notices

    def __iter__(self) -> Iterator[Notice]:
        return iter(self._kept)

    def about_wall(self, tag: str) -> tuple[Notice, ...]:
        """Return the doubts about one wall, in the order in which they came."""
        return tuple(notice for notice in self._kept if notice.is_doubt and notice.place.wall == tag)

    def about_drawing(self) -> tuple[Notice, ...]:
        """Return all others, each once, the doubts first."""
        others = [n for n in dict.fromkeys(self._kept) if not (n.is_doubt and n.place.wall)]
        return tuple(sorted(others, key=lambda notice: not notice.is_doubt))


def notes(code: str, sentences: Iterable[str]) -> tuple[Notice, ...]:
    """Return sentences as notices of one kind."""
    return tuple(Notice(code, sentence) for sentence in sentences)
