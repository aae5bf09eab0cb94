"""Reading: a DXF file becomes layers, shapes, and walls with their openings."""

from perpend.reading.draft import settings_draft
from perpend.reading.layouts import MODELSPACE
from perpend.reading.loading import LoadedDrawing, load_drawing
from perpend.reading.options import APPLICATION, REVIEW_APPLICATION, Budget, ReadingOptions, Role
from perpend.reading.reader import Reading, read_drawing, read_loaded
from perpend.reading.survey import LayerRow, LayerSurvey, survey_layers

__all__ = [
    "APPLICATION",
    "MODELSPACE",
    "REVIEW_APPLICATION",
    "Budget",
    "LayerRow",
    "LayerSurvey",
    "LoadedDrawing",
    "Reading",
    "ReadingOptions",
    "Role",
    "load_drawing",
    "read_drawing",
    "read_loaded",
    "settings_draft",
    "survey_layers",
]
