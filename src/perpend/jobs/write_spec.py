"""Write the specification text of a drawing's joints."""

from __future__ import annotations

from pathlib import Path

from perpend.errors import InputError
from perpend.jobs.annotate import lay_out
from perpend.jobs.blame import blames_the_drawing
from perpend.jobs.output_kinds import SPECIFICATION
from perpend.jobs.output_places import Place, check_places, read_files
from perpend.jobs.read_revision import read_with_decisions
from perpend.jobs.request import AnyPath, as_path
from perpend.jobs.settings_to_options import reading_options
from perpend.jobs.staging import staged, write_text
from perpend.report.spec_facts import spec_facts
from perpend.report.spec_text import Specification, markdown, plain_text, specification
from perpend.settings import book_of, load_settings

_KINDS = {".md": markdown, ".txt": plain_text}


@blames_the_drawing
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
    drawing, output, settings = Path(drawing), as_path(output), as_path(settings)
    if output is not None:
        _check_place(output, drawing, settings, overwrite=overwrite)
    found = specify(drawing, settings=settings, units_of_drawing=units_of_drawing, layout=layout)
    if output is None:
        return plain_text(found)
    text = _KINDS[output.suffix.lower()](found)
    with staged({"-o": output}) as where:
        write_text(where["-o"], text)
    return text


def specify(
    drawing: Path,
    *,
    settings: Path | None = None,
    units_of_drawing: str | None = None,
    layout: str | None = None,
) -> Specification:
    """Return the specification of a drawing's joints.

    Raises:
        InputError: anything wrong with the drawing or the settings.
    """
    project = load_settings(settings, drawing)
    book = book_of(project)
    elevation = read_with_decisions(drawing, reading_options(project, units_of_drawing, layout), project)
    plans = [outcome.plan for outcome in lay_out(elevation, project, book)]
    return specification(spec_facts(drawing.name, plans, book, project, metric=elevation.metric))


def _check_place(output: Path, drawing: Path, settings: Path | None, *, overwrite: bool) -> None:
    if output.suffix.lower() not in _KINDS and not output.is_dir():
        raise InputError(
            f"{output.name} is no name for a text: name a file that ends in .md or .txt with -o."
        )
    place = Place("-o", SPECIFICATION, output)
    check_places([place], read_files(drawing, settings), overwrite=overwrite)
