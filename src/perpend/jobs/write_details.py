"""Write the sheet of typical details."""

from __future__ import annotations

from pathlib import Path

from perpend.dxf.insert.atomic_file import whole_file
from perpend.errors import InputError
from perpend.jobs.output_places import refuse_work_of_others
from perpend.rulebook import load_rulebook
from perpend.settings import load_settings


def write_details(
    output: Path,
    *,
    rulebook: str | None = None,
    settings: Path | None = None,
    metric: bool | None = None,
    sheet: str | None = None,
    overwrite: bool = False,
) -> None:
    """Write a drawing with the typical details of a rule book, at scale on one sheet.

    Args:
        output: the new drawing.
        rulebook: key of the rule book; None takes the settings'.
        settings: a settings file; None takes the defaults.
        metric: dimension in millimetres; None goes by the rule book.
        sheet: ``arch-d`` or ``a1``; None takes the settings', or what goes with the units.
        overwrite: replace whatever is there; without it only what perpend wrote is replaced.

    Raises:
        InputError: anything wrong with the settings or the place to write; nothing is written then.
    """
    if output.suffix.lower() != ".dxf":
        raise InputError(f"{output} is no name for a drawing: name a file that ends in .dxf with -o.")
    if output.is_dir() or not output.parent.is_dir():
        raise InputError(f"{output} can't be written: name a file in a folder that exists with -o.")
    project = load_settings(settings)
    book = load_rulebook(rulebook or project.rulebook)
    if not overwrite:
        refuse_work_of_others(output)
    from perpend.drawing.details.detail_sheet import detail_file

    data = detail_file(book, project, metric=metric, sheet=sheet)
    with whole_file(output) as temporary:
        temporary.write_bytes(data)
