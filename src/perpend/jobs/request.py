"""What is asked of `annotate` and `check`, and what they hand back."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from perpend.model import WallPlan
    from perpend.report import Results

AnyPath = str | os.PathLike[str]
R = TypeVar("R")


def as_path(given: AnyPath | None) -> Path | None:
    """Return what was given as a path object; None stays None."""
    return None if given is None else Path(given)


def request_of(kind: type[R], given: Mapping[str, Any]) -> R:
    """Return a request made of the arguments of a public function; what names a place becomes a path.

    Args:
        kind: `Request`, or another dataclass whose fields are the arguments.
        given: the arguments as the function got them.
    """
    places = {field.name for field in fields(kind) if "Path" in str(field.type)}  # type: ignore[arg-type]
    return kind(**{name: as_path(value) if name in places else value for name, value in given.items()})


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """One drawing to be annotated or checked.

    Attributes:
        drawing: the DXF file; it is never changed.
        output: the new drawing; None puts ``NAME-annotated.dxf`` or ``NAME-checked.dxf`` beside the old one.
        settings: a settings file; None looks for ``perpend.toml`` and the drawing's sidecar.
        waivers: a file of waivers; None looks for ``NAME.waivers.toml`` beside the drawing.
        today: the day on which waivers must count; None is the day of the run.
        units_of_drawing: ``in``, ``ft``, ``mm``, ``cm`` or ``m``; overrules header and settings.
        layout: name of the layout to read; overrules the settings.
        propose: find for every wall with findings the nearest layout that satisfies the rules, and draw it;
            `check` alone.
        overwrite: replace whatever stands where an output goes; without it only what perpend wrote, and in
            a drawing only where nobody has worked in it since.
        results: where the results document (JSON) goes, or None; the outputs below likewise.
        sheet: the review sheet (HTML).
        picture: a picture of the new drawing (``.svg`` or ``.png``).
        sarif: the findings as SARIF 2.1.0; `check` alone.
        csv: the table of findings as comma-separated values; `check` alone.
        schedule: the joint schedule as comma-separated values; `annotate` alone.
        details: draw the typical details below the drawing as well; `annotate` alone.
        release: numbers of joints that are held no more (``4`` or ``W1-4``), or ``all``; `annotate` alone.
        accept: numbers of proposed joints that are taken, or ``all``; `annotate` alone.
        issue: name of an issue to be recorded, such as ``Bid set``; `annotate` alone.
        fresh: forget all that people decided, and every number; `annotate` alone.
        decisions_from: an annotated drawing whose joints, numbers, issues and decisions are carried over; the
            drawing itself has none of ours then; `annotate` alone.
    """

    drawing: Path
    output: Path | None = None
    settings: Path | None = None
    waivers: Path | None = None
    today: date | None = None
    units_of_drawing: str | None = None
    layout: str | None = None
    propose: bool = False
    overwrite: bool = False
    results: Path | None = None
    sheet: Path | None = None
    picture: Path | None = None
    sarif: Path | None = None
    csv: Path | None = None
    schedule: Path | None = None
    details: bool = False
    release: tuple[str, ...] = ()
    accept: tuple[str, ...] = ()
    issue: str = ""
    fresh: bool = False
    decisions_from: Path | None = None


@dataclass(frozen=True, slots=True)
class DrawingOutcome:
    """What `annotate` or `check` did.

    Attributes:
        results: the results document.
        output: the new drawing.
        plans: the walls with their joints, in the order of ``results.walls``.
    """

    results: Results
    output: Path
    plans: tuple[WallPlan, ...]
