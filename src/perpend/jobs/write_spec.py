"""Write the specification text of a drawing's joints."""

from __future__ import annotations

from pathlib import Path

from perpend.dxf.insert.atomic_file import whole_file
from perpend.errors import InputError
from perpend.jobs.annotate import lay_out, read_afresh
from perpend.jobs.output_places import check_place
from perpend.jobs.settings_to_options import reading_options
from perpend.report.spec_facts import spec_facts
from perpend.report.spec_text import Specification, markdown, plain_text, specification
from perpend.rulebook import load_rulebook
from perpend.settings import load_settings

KINDS = {".md": markdown, ".txt": plain_text}


def specify(
    drawing: Path,
    *,
    settings: Path | None = None,
    units_of_drawing: str | None = None,
    layout: str | None = None,
) -> Specification:
    """Return the specification text of a drawing's joints, as `annotate` would place them.

    Args:
        drawing: the DXF file; it is never changed.
        settings: a settings file; None looks for ``perpend.toml`` and the drawing's sidecar.
        units_of_drawing: ``in``, ``ft``, ``mm``, ``cm`` or ``m``; overrules header and settings.
        layout: name of the layout to read; overrules the settings.

    Raises:
        InputError: anything wrong with the drawing or the settings.
    """
    project = load_settings(settings, drawing)
    book = load_rulebook(project.rulebook)
    elevation = read_afresh(drawing, reading_options(project, units_of_drawing, layout)).elevation
    plans = [outcome.plan for outcome in lay_out(elevation, project, book)]
    return specification(spec_facts(drawing.name, plans, book, project, metric=elevation.metric))


def check_text_place(target: Path, drawing: Path, *, overwrite: bool) -> None:
    """Refuse a place where no specification text may be written.

    Raises:
        InputError: it is the drawing, a folder, a file that is there already, or named otherwise than
            ``.md`` or ``.txt``.
    """
    check_place(target, drawing, "-o")
    if target.suffix.lower() not in KINDS:
        raise InputError(
            f"{target.name} is no name for a text: name a file that ends in .md or .txt with -o."
        )
    if target.exists() and not overwrite:
        raise InputError(f"{target} is there already: name another file with -o, or pass --overwrite.")


def write_text(text: Specification, target: Path) -> None:
    """Write a specification, as Markdown or as plain text by the file's name.

    Raises:
        InputError: the file can't be written.
    """
    with whole_file(target) as temporary:
        temporary.write_text(KINDS[target.suffix.lower()](text), encoding="utf-8", newline="\n")
