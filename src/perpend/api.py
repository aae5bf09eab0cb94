"""The functions of ``import perpend``: paths in, results out. The command line calls nothing else.

Every path may be a string or a path object. What an argument means is said once, in
`perpend.jobs.request.Request`; what can go wrong is an `InputError` with a sentence for the user, and nothing
is written then.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from importlib import import_module
from typing import TYPE_CHECKING, Final

from perpend.jobs.blame import drawing_to_blame
from perpend.jobs.request import AnyPath, DrawingOutcome, Request, request_of

if TYPE_CHECKING:
    from perpend.folders import BatchReport, Outcome
    from perpend.report import Line, Results
    from perpend.report.changes_document import ChangesResults, FolderChanges
    from perpend.report.comparison import CompareResults
    from perpend.report.layer_table import LayersResults
    from perpend.report.limit_table import LimitsResults
    from perpend.report.unverified_list import UnverifiedList


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
    decisions_from: AnyPath | None = None,
) -> DrawingOutcome:
    """Read an elevation and write a new drawing that carries its control joints.

    The arguments are those of `Request`.

    Raises:
        InputError: anything wrong with the drawing, the settings, the waivers or the places to write.
        InternalError: the new drawing did not read back whole.
    """
    given = locals() | {"release": tuple(release), "accept": tuple(accept)}
    from perpend.jobs.annotate import annotate as do

    return _done(do, request_of(Request, given))


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
    check are replaced. The arguments are those of `Request`.

    Raises:
        InputError: anything wrong with the drawing, the settings, the waivers or the places to write.
        InternalError: the new drawing did not read back whole.
    """
    given = locals()
    from perpend.jobs.check import check as do

    return _done(do, request_of(Request, given))


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
    given = locals()
    from perpend.jobs.changes import changes as do
    from perpend.jobs.changes import changes_request

    request = changes_request(given)
    with drawing_to_blame(request.old), drawing_to_blame(request.new):
        return do(request)


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
