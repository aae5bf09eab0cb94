"""The functions of ``import perpend`` that need no single drawing: limits, details, folders.

See `perpend.api` for those on one drawing.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from perpend.api import AnyPath, as_path

if TYPE_CHECKING:
    from perpend.folders import BatchReport, Outcome
    from perpend.report.limit_table import LimitsResults
    from perpend.report.unverified_list import UnverifiedList


def limits(
    height: str,
    *,
    method: str | None = None,
    units: str | None = None,
    material: str | None = None,
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
        material: of the units, in rule books that tell several apart; None takes the settings' default.
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
        material=material,
        ccc=ccc,
        shrinkage=shrinkage,
        temperature_drop_f=temperature_drop_f,
        thermal=thermal,
        rulebook=rulebook,
        settings=as_path(settings),
    )


def unverified(rulebook: str | None = None, settings: AnyPath | None = None) -> UnverifiedList:
    """Return what an office has to look up: what was typed from memory, and not verified by the settings.

    Args:
        rulebook: key of the rule book; None takes the settings'.
        settings: a settings file; None takes the defaults.

    Raises:
        InputError: there is no such rule book, or the settings do not fit.
    """
    from perpend.jobs.limits import unverified_of

    return unverified_of(rulebook, as_path(settings))


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
        settings=as_path(settings),
        metric=metric,
        sheet=sheet,
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
    source, target, named = Path(folder), Path(out), as_path(settings)
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
        sarif=as_path(sarif),
    )
    return run_batch(source, target, options, start=start, watch=watch, make=make)
