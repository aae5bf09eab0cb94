"""What was noticed, in the results document: entities that were left out, doubts, repairs, remarks."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated, Literal

from perpend.model import Elevation
from perpend.notices import ENTITY_IGNORED, Notice
from perpend.report.document_parts import Part, described


@dataclass(frozen=True, slots=True, kw_only=True)
class IgnoredEntry(Part):
    """Something on a layer of interest that was not used, and why.

    Where its place is known: `at` in drawing axes and drawing units, and the station `x_in` in its `wall`.
    """

    handle: str
    kind: str
    layer: str
    why: str
    at: tuple[float, float] | None = None
    wall: str = ""
    x_in: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NoticeEntry(Part):
    """Something that was noticed in reading or about the run, with what a program needs to sort it."""

    code: Annotated[str, described("A stable slug that names the kind of notice.")]
    severity: Annotated[
        Literal["note", "doubt", "grave-doubt"],
        described("grave-doubt: if it is right, joints are in wrong places."),
    ]
    words: str
    layer: str = ""
    handle: str = ""
    wall: Annotated[str, described("Tag of the wall that it is about, or empty.")] = ""


def ignored_entries(elevation: Elevation) -> list[IgnoredEntry]:
    """Return the entities that were not used."""
    return [IgnoredEntry.of(notice.place, why=notice.words) for notice in elevation.ignored]


def notice_entries(elevation: Elevation, remarks: Iterable[Notice]) -> list[NoticeEntry]:
    """Return doubts about walls, then doubts about the drawing and repairs, then remarks about the run."""
    about_walls = [doubt for wall in elevation.walls for doubt in wall.doubts]
    about_drawing = [notice for notice in elevation.notices if notice.code != ENTITY_IGNORED]
    return [NoticeEntry.of(n, n.place) for n in (*about_walls, *about_drawing, *remarks)]
