"""The functions of ``import perpend`` that take a folder: `batch`, `folder_changes`, `watch`.

They are to folders what those of `perpend.api` are to drawings; the command line calls nothing else.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from perpend.jobs.request import AnyPath, as_path

if TYPE_CHECKING:
    from perpend.folders import BatchReport, Order, Outcome
    from perpend.report.changes_document import FolderChanges


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


def folder_changes(
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
) -> FolderChanges:
    """Compare the drawings of two folders, matched by file name.

    The arguments are those of `perpend.changes`, with folders for `old`, `new` and `output`.

    Raises:
        InputError: a folder is not there, or holds no drawing, or a place can't be written.
    """
    given = locals()
    from perpend.folders.changed_folders import folder_changes as do
    from perpend.jobs.changes import changes_request

    return do(changes_request(given))


def watch(
    folder: AnyPath,
    out: AnyPath | None = None,
    *,
    check: bool = False,
    settings: AnyPath | None = None,
    overwrite: bool = False,
    once: bool = False,
    every_s: float = 1.0,
    settle_s: float = 1.5,
    page: bool = False,
    port: int = 0,
    at: Callable[[str], None] = lambda _: None,
    note: Callable[[str], None] = lambda _: None,
    tell: Callable[[Outcome], None] = lambda _: None,
) -> int:
    """Annotate or check every drawing of a folder whenever it is saved, until Ctrl-C.

    Args:
        folder: where the drawings are.
        out: where the new drawings and sheets go; None: beside the drawings.
        check: check the drawings instead of annotating them.
        settings: a settings file for all drawings; None: each drawing's own.
        overwrite: replace outputs that somebody has worked in.
        once: end when everything that has to be done is done.
        every_s: seconds between two looks at the folder.
        settle_s: how long a drawing must stay as it is before it is done.
        page: serve a page on this machine that shows the sheets and reloads them.
        port: of that page; 0: a free one.
        at: called with the address of that page.
        note: called with a sentence on what is passed over, when the watch begins.
        tell: called with each outcome.

    Returns:
        With `once` the worst exit code of the drawings that were done.

    Raises:
        InputError: the folder does not exist, or the outputs or the page can't be where they are to be.
        KeyboardInterrupt: Ctrl-C.
    """
    from perpend.folders.watch_folder import WatchOptions, watch_folder

    options = WatchOptions(
        check=check,
        settings=as_path(settings),
        overwrite=overwrite,
        once=once,
        every_s=every_s,
        settle_s=settle_s,
    )
    if not page:
        return watch_folder(Path(folder), as_path(out), options, tell=lambda _, o: tell(o), note=note)
    from perpend.folders.batch_text import outcome_text
    from perpend.folders.live_page import live_page

    with live_page(Path(folder), port) as live:
        at(live.address)

        def show(order: Order, outcome: Outcome) -> None:
            live.update(order, outcome, outcome_text(outcome)[0].text)
            tell(outcome)

        return watch_folder(Path(folder), as_path(out), options, tell=show, note=note)
