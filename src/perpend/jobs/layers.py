"""What is on which layer of a drawing, and a settings file to start from."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from perpend.errors import InputError
from perpend.jobs.blame import blames_the_drawing
from perpend.jobs.output_kinds import SETTINGS
from perpend.jobs.output_places import Place, check_places, read_files
from perpend.jobs.request import AnyPath, as_path
from perpend.jobs.settings_to_options import reading_options
from perpend.jobs.staging import staged, write_text
from perpend.reading import ReadingOptions, read_drawing
from perpend.reading.survey.answered_survey import answered_survey
from perpend.reading.survey.layer_survey import LayerSurvey, survey_layers
from perpend.reading.survey.settings_draft import settings_draft
from perpend.report.layer_table import LayersResults, build_layers
from perpend.settings import load_settings


@blames_the_drawing
def layers(
    drawing: AnyPath,
    *,
    settings: AnyPath | None = None,
    write: AnyPath | None = None,
    units_of_drawing: str | None = None,
    layout: str | None = None,
    overwrite: bool = False,
    walls: Sequence[str] | None = None,
    openings: Sequence[str] | None = None,
) -> LayersResults:
    """Look at every layer of a drawing, and draft a settings file if asked for.

    Args:
        drawing: the DXF file.
        settings: a settings file; None looks for ``perpend.toml`` and the drawing's sidecar.
        write: where the drafted settings file goes, or None.
        units_of_drawing: ``in``, ``ft``, ``mm``, ``cm`` or ``m``; overrules header and settings.
        layout: name of the layout to look at; overrules the settings.
        overwrite: replace whatever stands where the draft goes.
        walls: names or patterns of the layers of walls, where you know better; None takes what was found.
        openings: likewise of openings; an empty list says that there are none.

    Raises:
        InputError: the drawing or the settings can't be read, or the place to write is taken already.
    """
    drawing, settings, write = Path(drawing), as_path(settings), as_path(write)
    if write is not None:
        place = Place("--write", SETTINGS, write)
        check_places([place], read_files(drawing, settings), overwrite=overwrite)
    project = load_settings(settings, drawing)
    options = reading_options(project, units_of_drawing, layout)
    survey = survey_layers(drawing, options)
    if walls is not None or openings is not None:
        survey = answered_survey(survey, walls, openings)
    if write is not None:
        named = _walls_by_handle(drawing, survey, options)
        draft = settings_draft(survey, project.files, units_of_drawing, named.items())
        with staged({"--write": write}) as where:
            write_text(where["--write"], draft)
    return build_layers(survey, write)


def _walls_by_handle(drawing: Path, survey: LayerSurvey, options: ReadingOptions) -> dict[str, str]:
    """Return handles and tags of walls named one by one, as all is on one layer and no name says walls."""
    if not any(row.shared and not row.by_name for row in survey.rows) or options.named_walls:
        return {}
    try:
        walls = read_drawing(drawing, options).elevation.walls
    except InputError:  # the run that comes next says so
        return {}
    return {wall.handle: wall.part_of or wall.tag for wall in walls}
