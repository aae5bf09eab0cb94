"""What is on which layer of a drawing, and a settings file to start from."""

from __future__ import annotations

from pathlib import Path

from perpend.dxf.insert.atomic_file import whole_file
from perpend.errors import InputError
from perpend.jobs.output_places import check_place
from perpend.jobs.settings_to_options import reading_options
from perpend.reading.survey.layer_survey import survey_layers
from perpend.reading.survey.settings_draft import settings_draft
from perpend.report.layer_table import LayersResults, build_layers
from perpend.settings import load_settings


def layers_of(
    drawing: Path,
    *,
    settings: Path | None = None,
    write: Path | None = None,
    units_of_drawing: str | None = None,
    layout: str | None = None,
) -> LayersResults:
    """Look at every layer of a drawing, and draft a settings file if asked for.

    Args:
        drawing: the DXF file.
        settings: a settings file; None looks for ``perpend.toml`` and the drawing's sidecar.
        write: where the drafted settings file goes, or None.
        units_of_drawing: ``in``, ``ft``, ``mm``, ``cm`` or ``m``; overrules header and settings.
        layout: name of the layout to look at; overrules the settings.

    Raises:
        InputError: the drawing or the settings can't be read, or the place to write is taken already.
    """
    project = load_settings(settings, drawing)
    survey = survey_layers(drawing, reading_options(project, units_of_drawing, layout))
    if write is not None:
        _write(write, drawing, settings_draft(survey, project.files))
    return build_layers(survey, write)


def _write(target: Path, drawing: Path, text: str) -> None:
    check_place(target, drawing, "--write")
    if target.exists():
        raise InputError(f"{target} is there already and may hold work: name a new file with --write.")
    with whole_file(target) as temporary:
        temporary.write_text(text, encoding="utf-8", newline="\n")
