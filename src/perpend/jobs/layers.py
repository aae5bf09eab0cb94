"""What is on which layer of a drawing, and a settings file to start from."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from perpend.jobs.output_kinds import SETTINGS
from perpend.jobs.output_places import Place, check_places, read_files
from perpend.jobs.settings_to_options import reading_options
from perpend.jobs.staging import staged, write_text
from perpend.reading.survey.answered_survey import answered_survey
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
    overwrite: bool = False,
    walls: Sequence[str] | None = None,
    openings: Sequence[str] | None = None,
) -> LayersResults:
    """Look at every layer of a drawing, and draft a settings file if asked for; see `perpend.layers`.

    Raises:
        InputError: the drawing or the settings can't be read, or the place to write is taken already.
    """
    if write is not None:
        place = Place("--write", SETTINGS, write)
        check_places([place], read_files(drawing, settings), overwrite=overwrite)
    project = load_settings(settings, drawing)
    survey = survey_layers(drawing, reading_options(project, units_of_drawing, layout))
    if walls is not None or openings is not None:
        survey = answered_survey(survey, walls, openings)
    if write is not None:
        with staged({"--write": write}) as where:
            write_text(where["--write"], settings_draft(survey, project.files, units_of_drawing))
    return build_layers(survey, write)
