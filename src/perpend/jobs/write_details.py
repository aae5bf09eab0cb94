"""Write the sheet of typical details."""

from __future__ import annotations

from pathlib import Path

from perpend.jobs.output_places import check_places, drawing_place
from perpend.jobs.request import AnyPath, as_path
from perpend.jobs.staging import staged
from perpend.settings import book_of, load_settings
from perpend.settings.detail_references import left_out


def details(
    output: AnyPath = "details.dxf",
    *,
    rulebook: str | None = None,
    settings: AnyPath | None = None,
    metric: bool | None = None,
    sheet: str | None = None,
    overwrite: bool = False,
) -> list[str]:
    """Write a drawing with the typical details of a rule book, at scale on one sheet.

    Args:
        output: the new drawing.
        rulebook: key of the rule book; None takes the settings'.
        settings: a settings file; None takes the defaults.
        metric: dimension in millimeters; None goes by the rule book.
        sheet: ``arch-d`` or ``a1``; None takes the settings', or what goes with the units.
        overwrite: replace whatever is there; without it only what perpend wrote is replaced.

    Returns:
        The titles of the typical details that are left out, as the rule book has no rule for what they show.

    Raises:
        InputError: anything wrong with the settings or the place to write; nothing is written then.
    """
    output, settings = Path(output), as_path(settings)
    place = drawing_place(output, output, "details")
    project = load_settings(settings)
    check_places([place], {settings: "the settings that count here"} if settings else {}, overwrite=overwrite)
    book = book_of(project, rulebook)
    from perpend.drawing.details.detail_sheet import detail_file

    data = detail_file(book, project, metric=metric, sheet=sheet)
    with staged({"-o": output}) as where:
        where["-o"].write_bytes(data)
    return left_out(book)
