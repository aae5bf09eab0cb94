"""What is on which layer of a drawing, and which role each layer probably plays."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from perpend.reading.gather import Gathered
from perpend.reading.options import ReadingOptions

if TYPE_CHECKING:
    from ezdxf.document import Drawing


def no_wall_sentence(doc: Drawing, found: Gathered, options: ReadingOptions, file: str) -> str:
    """Say why no wall was found: what was looked for, what is there, and what to do."""
    looked = ", ".join(options.walls)
    counts = Counter(str(e.dxf.get("layer", "0")) for e in doc.modelspace())
    there = ", ".join(f"{name} ({count})" for name, count in counts.most_common(8)) or "none"
    more = f" and {len(counts) - 8} more" if len(counts) > 8 else ""
    hidden = f" Hidden layers hold {sum(found.hidden.values())} entities that fit." if found.hidden else ""
    return (
        f"{file}: no wall found: no closed outline on a layer that fits {looked}; the layers with "
        "entities are "
        f"{there}{more}.{hidden} Run `perpend layers` on the drawing to see them and to write a settings "
        "file."
    )
