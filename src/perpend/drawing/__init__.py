"""Results into entities: the plate that a drafter would draw, and how it is written and pictured."""

from ezdxf.document import Drawing as Document

from perpend.drawing.page.drafting_style import Content, DraftingReport, DraftingStyle, Revised
from perpend.drawing.page.sheet_scale import at_sheet_scale
from perpend.drawing.plate.draw_plate import draw_plans

__all__ = [
    "Content",
    "Document",
    "DraftingReport",
    "DraftingStyle",
    "Revised",
    "at_sheet_scale",
    "draw_plans",
]
