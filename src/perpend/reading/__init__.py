"""Reading: a DXF file becomes layers, shapes, and walls with their openings.

A look at the layers alone is in `perpend.reading.survey`, a settings file drafted from it in
`perpend.reading.draft`; only who needs them loads them.
"""

from perpend.reading.layouts import MODELSPACE
from perpend.reading.loading import LoadedDrawing, load_drawing
from perpend.reading.options import APPLICATION, REVIEW_APPLICATION, Budget, ReadingOptions, Role
from perpend.reading.reader import Reading, read_drawing, read_loaded

__all__ = [
    "APPLICATION",
    "MODELSPACE",
    "REVIEW_APPLICATION",
    "Budget",
    "LoadedDrawing",
    "Reading",
    "ReadingOptions",
    "Role",
    "load_drawing",
    "read_drawing",
    "read_loaded",
]
