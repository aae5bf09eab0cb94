"""The functions of ``import perpend``: paths in, results out. The command line calls nothing else.

Every path may be a string or a path object. What an argument means is said once, in
`perpend.jobs.request.Request` and `SideOutputs`; what can go wrong is an `InputError` with a sentence for the
user, and nothing is written then.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from datetime import date
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Final

from perpend.jobs.blame import drawing_to_blame
from perpend.jobs.request import DrawingOutcome, Request, SideOutputs

if TYPE_CHECKING:
    from perpend.folders import BatchReport, Outcome
    from perpend.jobs.clean import CleanOutcome
    from perpend.report import Line, Results
    from perpend.report.changes_document import ChangesResults, FolderChanges
    from perpend.report.comparison import CompareResults
    from perpend.report.layer_table import LayersResults
    from perpend.report.limit_table import LimitsResults
    from perpend.report.unverified_list import UnverifiedList

AnyPath = str | os.PathLike[str]


def annotate(
    drawing: AnyPath,
    output: AnyPath | None = None,
    *,
    settings: AnyPath | None = None,
    waivers: AnyPath | None = None,
    results: AnyPath | None = None,
    sheet: AnyPath | None = None,
    picture: AnyPath | None = None,
    today: date | None = None,
    units_of_drawing: str | None = None,
    layout: str | None = None,
    overwrite: bool = False,
    details: bool = False,
    schedule: AnyPath | None = None,
    release: Sequence[str] = (),
    accept: Sequence[str] = (),
    issue: str = "",
    fresh: bool = False,
) -> DrawingOutcome:
    """Read an elevation and write a new drawing that carries its control joints.

    The arguments are those of `Request` and `SideOutputs`.

    Raises:
        InputError: anything wrong with the drawing, the settings, the waivers or the places to write.
        InternalError: the new drawing did not read back whole.
    """
    from perpend.jobs.annotate import annotate as do

    return _done(
        do,
        Request(
            drawing=Path(drawing),
            output=as_path(output),
            settings=as_path(settings),
            waivers=as_path(waivers),
            today=today,
            units_of_drawing=units_of_drawing,
            layout=layout,
            overwrite=overwrite,
            details=details,
            release=tuple(release),
            accept=tuple(accept),
            issue=issue,
            fresh=fresh,
            outputs=SideOutputs(
                results=as_path(results),
                sheet=as_path(sheet),
                picture=as_path(picture),
                schedule=as_path(schedule),
            ),
        ),
    )


def check(
    drawing: AnyPath,
    output: AnyPath | None = None,
    *,
    settings: AnyPath | None = None,
    waivers: AnyPath | None = None,
    results: AnyPath | None = None,
    sheet: AnyPath | None = None,
    picture: AnyPath | None = None,
    sarif: AnyPath | None = None,
    csv: AnyPath | None = None,
    propose: bool = False,
    today: date | None = None,
    units_of_drawing: str | None = None,
    layout: str | None = None,
    overwrite: bool = False,
) -> DrawingOutcome:
    """Judge the joints that are drawn in an elevation and write a new drawing with a mark at every finding.

    Joints of an earlier `annotate` are judged where they are now, moved by hand or not; marks of an earlier
    check are replaced. The arguments are those of `Request` and `SideOutputs`.

    Raises:
        InputError: anything wrong with the drawing, the settings, the waivers or the places to write.
        InternalError: the new drawing did not read back whole.
    """
    from perpend.jobs.check import check as do

    sides = SideOutputs(
        results=as_path(results),
        sheet=as_path(sheet),
        picture=as_path(picture),
        sarif=as_path(sarif),
        csv=as_path(csv),
    )
    return _done(
        do,
        Request(
            drawing=Path(drawing),
            output=as_path(output),
            settings=as_path(settings),
            waivers=as_path(waivers),
            today=today,
            units_of_drawing=units_of_drawing,
            layout=layout,
            propose=propose,
            overwrite=overwrite,
            outputs=sides,
        ),
    )


def clean(drawing: AnyPath, output: AnyPath | None = None, *, overwrite: bool = False) -> CleanOutcome:
    """Write a drawing without what perpend drew in it.

    Args:
        drawing: the DXF file; it is never changed.
        output: the new drawing; None puts ``NAME-cleaned.dxf`` beside the old one.
        overwrite: replace a file that is there.

    Raises:
        InputError: the drawing can't be read, or the place can't be written.
        InternalError: the new drawing did not read back whole.
    """
    from perpend.jobs.clean import clean as do

    with drawing_to_blame(Path(drawing)):
        return do(Path(drawing), output=as_path(output), overwrite=overwrite)


def compare(
    drawing: AnyPath,
    *,
    settings: AnyPath | None = None,
    csv: AnyPath | None = None,
    veneer: bool = False,
    rulebooks: Sequence[str] = (),
    units_of_drawing: str | None = None,
    layout: str | None = None,
    overwrite: bool = False,
) -> CompareResults:
    """Lay every wall of a drawing out by every method and opening treatment that applies to it.

    Args:
        drawing: the DXF file; it is never changed.
        settings: a settings file; None looks for ``perpend.toml`` and the drawing's sidecar.
        csv: where the table goes as comma-separated values, or None.
        veneer: True to lay walls out as veneer too that are none.
        rulebooks: keys of other rule books, to lay every wall out by each of them instead of by every
            treatment.
        units_of_drawing: ``in``, ``ft``, ``mm``, ``cm`` or ``m``; overrules header and settings.
        layout: name of the layout to read; overrules the settings.
        overwrite: replace whatever stands where the table goes.

    Raises:
        InputError: anything wrong with the drawing, the settings or the place to write.
    """
    from perpend.jobs.compare import compare as do

    with drawing_to_blame(Path(drawing)):
        return do(
            Path(drawing),
            settings=as_path(settings),
            csv=as_path(csv),
            veneer=veneer,
            rulebooks=rulebooks,
            units_of_drawing=units_of_drawing,
            layout=layout,
            overwrite=overwrite,
        )


def layers(
    drawing: AnyPath,
    *,
    settings: AnyPath | None = None,
    write: AnyPath | None = None,
    units_of_drawing: str | None = None,
    layout: str | None = None,
    overwrite: bool = False,
    walls: Sequence[str] | None = None,
    openings: Sequence[str] | None = None,
) -> LayersResults:
    """Look at every layer of a drawing, and draft a settings file if asked for.

    Args:
        drawing: the DXF file.
        settings: a settings file; None looks for ``perpend.toml`` and the drawing's sidecar.
        write: where the drafted settings file goes, or None.
        units_of_drawing: ``in``, ``ft``, ``mm``, ``cm`` or ``m``; overrules header and settings.
        layout: name of the layout to look at; overrules the settings.
        overwrite: replace whatever stands where the draft goes.
        walls: names or patterns of the layers of walls, where you know better; None takes what was found.
        openings: likewise of openings; an empty list says that there are none.

    Raises:
        InputError: the drawing or the settings can't be read, or the place to write is taken already.
    """
    from perpend.jobs.layers import layers_of

    with drawing_to_blame(Path(drawing)):
        return layers_of(
            Path(drawing),
            settings=as_path(settings),
            write=as_path(write),
            units_of_drawing=units_of_drawing,
            layout=layout,
            overwrite=overwrite,
            walls=walls,
            openings=openings,
        )


def spec(
    drawing: AnyPath,
    output: AnyPath | None = None,
    *,
    settings: AnyPath | None = None,
    units_of_drawing: str | None = None,
    layout: str | None = None,
    overwrite: bool = False,
) -> str:
    """Return the specification text of a drawing's joints, as `annotate` would place them.

    Args:
        drawing: the DXF file; it is never changed.
        output: where the text goes, Markdown or plain text by its name; None writes nothing.
        settings: a settings file; None looks for ``perpend.toml`` and the drawing's sidecar.
        units_of_drawing: ``in``, ``ft``, ``mm``, ``cm`` or ``m``; overrules header and settings.
        layout: name of the layout to read; overrules the settings.
        overwrite: replace a file that is there.

    Raises:
        InputError: anything wrong with the drawing, the settings or the place to write.
    """
    from perpend.jobs.write_spec import write_spec

    with drawing_to_blame(Path(drawing)):
        return write_spec(
            Path(drawing),
            as_path(output),
            settings=as_path(settings),
            units_of_drawing=units_of_drawing,
            layout=layout,
            overwrite=overwrite,
        )


def changes(
    old: AnyPath,
    new: AnyPath,
    output: AnyPath | None = None,
    *,
    settings: AnyPath | None = None,
    old_settings: AnyPath | None = None,
    csv: AnyPath | None = None,
    sheet: AnyPath | None = None,
    units_of_drawing: str | None = None,
    layout: str | None = None,
    overwrite: bool = False,
) -> ChangesResults:
    """Compare two issues of a drawing: joints, openings, walls, limits and settings.

    The arguments are those of `perpend.jobs.changes.ChangesRequest`; the new drawing with marks is written
    only where `output` names it.

    Raises:
        InputError: anything wrong with a drawing, the settings or the places to write.
        InternalError: the marked drawing did not read back whole.
    """
    from perpend.jobs.changes import ChangesRequest, refuse_one_drawing
    from perpend.jobs.changes import changes as do

    refuse_one_drawing(Path(old), Path(new))
    with drawing_to_blame(Path(old)), drawing_to_blame(Path(new)):
        return do(
            ChangesRequest(
                old=Path(old),
                new=Path(new),
                output=as_path(output),
                settings=as_path(settings),
                old_settings=as_path(old_settings),
                csv=as_path(csv),
                sheet=as_path(sheet),
                units_of_drawing=units_of_drawing,
                layout=layout,
                overwrite=overwrite,
            )
        )


_TEXTS: Final = {
    "Results": ("perpend.report.summary", "summary"),
    "CompareResults": ("perpend.report.compare_text", "compare_text"),
    "LayersResults": ("perpend.report.layer_table", "layers_text"),
    "LimitsResults": ("perpend.report.limit_table", "limits_text"),
    "ChangesResults": ("perpend.report.changes_text", "changes_text"),
    "FolderChanges": ("perpend.report.changes_text", "folder_changes_text"),
    "BatchReport": ("perpend.folders.batch_text", "batch_text"),
    "Outcome": ("perpend.folders.batch_text", "outcome_text"),
    "UnverifiedList": ("perpend.report.unverified_list", "unverified_text"),
}
"""Which module puts which document into words; only that one is loaded."""


def text_of(
    found: Results
    | ChangesResults
    | FolderChanges
    | CompareResults
    | LayersResults
    | LimitsResults
    | UnverifiedList
    | BatchReport
    | Outcome,
) -> list[Line]:
    """Return what the command line prints of a result: lines of text, each with its tone."""
    module, function = _TEXTS[type(found).__name__]
    lines: list[Line] = getattr(import_module(module), function)(found)
    return lines


def _done(do: Callable[[Request], DrawingOutcome], request: Request) -> DrawingOutcome:
    with drawing_to_blame(request.drawing):
        return do(request)


def as_path(given: AnyPath | None) -> Path | None:
    """Return what was given as a path object; None stays None."""
    return None if given is None else Path(given)
