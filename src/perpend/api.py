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
from typing import TYPE_CHECKING, Final, Literal

from perpend.errors import within_means
from perpend.jobs.request import DrawingOutcome, Request, SideOutputs

if TYPE_CHECKING:
    from perpend.folders import BatchReport, Outcome
    from perpend.jobs.clean import CleanOutcome
    from perpend.report import Line, Results
    from perpend.report.comparison import CompareResults
    from perpend.report.layer_table import LayersResults
    from perpend.report.limit_table import LimitsResults

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
            output=_path(output),
            settings=_path(settings),
            waivers=_path(waivers),
            today=today,
            units_of_drawing=units_of_drawing,
            layout=layout,
            overwrite=overwrite,
            details=details,
            outputs=SideOutputs(
                results=_path(results),
                sheet=_path(sheet),
                picture=_path(picture),
                schedule=_path(schedule),
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
        results=_path(results),
        sheet=_path(sheet),
        picture=_path(picture),
        sarif=_path(sarif),
        csv=_path(csv),
    )
    return _done(
        do,
        Request(
            drawing=Path(drawing),
            output=_path(output),
            settings=_path(settings),
            waivers=_path(waivers),
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

    with within_means(Path(drawing)):
        return do(Path(drawing), output=_path(output), overwrite=overwrite)


def compare(
    drawing: AnyPath,
    *,
    settings: AnyPath | None = None,
    csv: AnyPath | None = None,
    veneer: bool = False,
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
        units_of_drawing: ``in``, ``ft``, ``mm``, ``cm`` or ``m``; overrules header and settings.
        layout: name of the layout to read; overrules the settings.
        overwrite: replace whatever stands where the table goes.

    Raises:
        InputError: anything wrong with the drawing, the settings or the place to write.
    """
    from perpend.jobs.compare import compare as do

    with within_means(Path(drawing)):
        return do(
            Path(drawing),
            settings=_path(settings),
            csv=_path(csv),
            veneer=veneer,
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
) -> LayersResults:
    """Look at every layer of a drawing, and draft a settings file if asked for.

    Args:
        drawing: the DXF file.
        settings: a settings file; None looks for ``perpend.toml`` and the drawing's sidecar.
        write: where the drafted settings file goes, or None.
        units_of_drawing: ``in``, ``ft``, ``mm``, ``cm`` or ``m``; overrules header and settings.
        layout: name of the layout to look at; overrules the settings.
        overwrite: replace whatever stands where the draft goes.

    Raises:
        InputError: the drawing or the settings can't be read, or the place to write is taken already.
    """
    from perpend.jobs.layers import layers_of

    with within_means(Path(drawing)):
        return layers_of(
            Path(drawing),
            settings=_path(settings),
            write=_path(write),
            units_of_drawing=units_of_drawing,
            layout=layout,
            overwrite=overwrite,
        )


def limits(
    height: str,
    *,
    method: str | None = None,
    units: str | None = None,
    ccc: float | None = None,
    shrinkage: float | None = None,
    temperature_drop_f: float | None = None,
    thermal: Literal["printed", "code"] = "printed",
    rulebook: str | None = None,
    settings: AnyPath | None = None,
) -> LimitsResults:
    """Return the limits of a plain wall.

    Args:
        height: as typed: ``16'-8"``, ``16.67 ft``, ``200 in``, ``5.08 m``, ``5080 mm``.
        method: as the rule book names it; None takes the settings' default.
        units: ``full-height`` or ``half-high``; None takes the settings' default.
        ccc: crack control coefficient, in/in, engineered method only.
        shrinkage: drying shrinkage of the units, in/in; with `temperature_drop_f` instead of `ccc`.
        temperature_drop_f: greatest drop of temperature, °F.
        thermal: the thermal coefficient printed with the method, or the building code's (recalled, not seen).
        rulebook: key of the rule book; None takes the settings'.
        settings: a settings file; None takes the defaults.

    Raises:
        InputError: the height is no length above zero, the rule book has no such method or units, or
            the coefficient does not belong to the method or is outside the rule book's rows.
    """
    from perpend.jobs.limits import limits_at

    return limits_at(
        height,
        method=method,
        units=units,
        ccc=ccc,
        shrinkage=shrinkage,
        temperature_drop_f=temperature_drop_f,
        thermal=thermal,
        rulebook=rulebook,
        settings=_path(settings),
    )


def details(
    output: AnyPath = "details.dxf",
    *,
    rulebook: str | None = None,
    settings: AnyPath | None = None,
    metric: bool | None = None,
    sheet: str | None = None,
    overwrite: bool = False,
) -> None:
    """Write a drawing with the typical details of a rule book, at scale on one sheet.

    Args:
        output: the new drawing.
        rulebook: key of the rule book; None takes the settings'.
        settings: a settings file; None takes the defaults.
        metric: dimension in millimeters; None goes by the rule book.
        sheet: ``arch-d`` or ``a1``; None takes the settings', or what goes with the units.
        overwrite: replace whatever is there; without it only what perpend wrote is replaced.

    Raises:
        InputError: anything wrong with the settings or the place to write; nothing is written then.
    """
    from perpend.jobs.write_details import write_details

    write_details(
        Path(output),
        rulebook=rulebook,
        settings=_path(settings),
        metric=metric,
        sheet=sheet,
        overwrite=overwrite,
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

    with within_means(Path(drawing)):
        return write_spec(
            Path(drawing),
            _path(output),
            settings=_path(settings),
            units_of_drawing=units_of_drawing,
            layout=layout,
            overwrite=overwrite,
        )


def batch(
    folder: AnyPath,
    out: AnyPath,
    *,
    check: bool = False,
    propose: bool = False,
    jobs: int | None = None,
    pattern: str = "*.dxf",
    exclude: Sequence[str] = (),
    recursive: bool = False,
    settings: AnyPath | None = None,
    force: bool = False,
    time_limit_s: float = 120.0,
    memory_limit_mb: int = 2048,
    overwrite: bool = False,
    sarif: AnyPath | None = None,
    scheduler: str | None = None,
    start: Callable[[Sequence[str]], None] = lambda _: None,
    watch: Callable[[Outcome], None] = lambda _: None,
) -> BatchReport:
    """Annotate or check every drawing of a folder, and write an index of them all.

    The drawings are done in worker processes that start afresh: a program calls this below
    ``if __name__ == "__main__":``.

    Args:
        folder: where the drawings are.
        out: where the new drawings and the index go.
        check: check the drawings instead of annotating them.
        propose: in a check, draw the nearest layout that satisfies the rules.
        jobs: drawings at once; None: one for each core.
        pattern: which names count.
        exclude: which names, or paths below the folder, do not.
        recursive: whether folders below count.
        settings: a settings file for all drawings.
        force: do unchanged drawings again.
        time_limit_s: for one drawing; 0: none.
        memory_limit_mb: for one drawing; 0: none.
        overwrite: replace outputs that somebody has worked in.
        sarif: in a check, where the findings of all drawings go as SARIF 2.1.0, or None.
        scheduler: address of a Dask scheduler on whose cluster it runs, or None.
        start: told the names of all drawings, in order, before the first is done.
        watch: told of each outcome as it comes, in any order.

    Returns:
        What became of each drawing; a failure of one is in its outcome.

    Raises:
        InputError: a folder or an option is wrong, or another run holds the output folder.
    """
    from perpend.folders import BatchOptions, LocalProcesses, MakeExecutor, run_batch

    make: MakeExecutor = LocalProcesses
    places = os.cpu_count() or 1
    source, target, named = Path(folder), Path(out), _path(settings)
    if scheduler is not None:
        from perpend.folders.dask_cluster import on_cluster

        make, places = on_cluster(scheduler)
        source, target, named = source.absolute(), target.absolute(), named and named.absolute()
    options = BatchOptions(
        check=check,
        propose=propose,
        jobs=jobs or places,
        pattern=pattern,
        exclude=tuple(exclude),
        recursive=recursive,
        settings=named,
        force=force,
        seconds=time_limit_s,
        megabytes=memory_limit_mb,
        overwrite=overwrite,
        sarif=_path(sarif),
    )
    return run_batch(source, target, options, start=start, watch=watch, make=make)


_TEXTS: Final = {
    "Results": ("perpend.report.summary", "summary"),
    "CompareResults": ("perpend.report.compare_text", "compare_text"),
    "LayersResults": ("perpend.report.layer_table", "layers_text"),
    "LimitsResults": ("perpend.report.limit_table", "limits_text"),
    "BatchReport": ("perpend.folders.batch_text", "batch_text"),
    "Outcome": ("perpend.folders.batch_text", "outcome_text"),
}
"""Which module puts which document into words; only that one is loaded."""


def text_of(
    found: Results | CompareResults | LayersResults | LimitsResults | BatchReport | Outcome,
) -> list[Line]:
    """Return what the command line prints of a result: lines of text, each with its tone."""
    module, function = _TEXTS[type(found).__name__]
    lines: list[Line] = getattr(import_module(module), function)(found)
    return lines


def _done(do: Callable[[Request], DrawingOutcome], request: Request) -> DrawingOutcome:
    with within_means(request.drawing):
        return do(request)


def _path(given: AnyPath | None) -> Path | None:
    return None if given is None else Path(given)
