"""Reading: a DXF file becomes layers, shapes, and walls with their openings.

A look at the layers alone is in `perpend.reading.survey.layer_survey`, a settings file drafted from it in
`perpend.reading.survey.settings_draft`; only who needs them loads them.
"""

from perpend.dxf.expansion_budget import Budget
from perpend.dxf.load import LoadedDrawing, load_drawing
from perpend.dxf.paperspace import MODELSPACE
from perpend.reading.reader import Reading, read_drawing, read_loaded
from perpend.reading.reading_options import ReadingOptions, Role

__all__ = [
    "MODELSPACE",
    "Budget",
    "LoadedDrawing",
    "Reading",
    "ReadingOptions",
    "Role",
    "load_drawing",
    "read_drawing",
    "read_loaded",
]
