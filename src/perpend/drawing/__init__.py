"""Results into entities: the plate that a drafter would draw, and how it is written and pictured."""

from ezdxf.document import Drawing as Document

from perpend.drawing.plate import draw_plans
from perpend.drawing.style import DraftingReport, DraftingStyle

__all__ = ["Document", "DraftingReport", "DraftingStyle", "draw_plans"]
