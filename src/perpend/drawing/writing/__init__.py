"""Writing what we drew into the drafter's drawing, without touching what is his.

The way: `text_map` finds the places in the drawing's text, `strip` takes out what an earlier run drew,
`fresh` exports what is new in the document, `insertion` puts it in, `proof` shows that nothing else changed,
`files` gives the file its name. `saving` is the other way, for drawings that can't be inserted into, and
`changes` measures what that does to them. `seal` tells later whether anybody touched what we wrote. `names`
finds free names for layers and styles.
"""

from perpend.drawing.writing.names import (
    ensure_appid,
    ensure_dimstyle,
    ensure_layer,
    ensure_linetype,
    ensure_style,
)
from perpend.drawing.writing.removal import remove_ours
from perpend.drawing.writing.seal import is_untouched
from perpend.drawing.writing.strip import StripResult, carries_ours, strip_ours
from perpend.drawing.writing.tags import IrregularText
from perpend.drawing.writing.text_map import TextMap, map_text
from perpend.drawing.writing.writer import (
    APP_ID,
    CleanReport,
    OpenedDrawing,
    WriteReport,
    clean_drawing,
    open_without_ours,
    write_drawing,
)

__all__ = [
    "APP_ID",
    "CleanReport",
    "IrregularText",
    "OpenedDrawing",
    "StripResult",
    "TextMap",
    "WriteReport",
    "carries_ours",
    "clean_drawing",
    "ensure_appid",
    "ensure_dimstyle",
    "ensure_layer",
    "ensure_linetype",
    "ensure_style",
    "is_untouched",
    "map_text",
    "open_without_ours",
    "remove_ours",
    "strip_ours",
    "write_drawing",
]
