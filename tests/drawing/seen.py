"""What a plate holds: entities of modelspace, and those of the blocks that perpend refers to."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ezdxf.document import Drawing


def entities(doc: Drawing) -> Iterator[Any]:
    """Yield modelspace, and at their places the parts of perpend's own lists."""
    for entity in doc.modelspace():
        if entity.dxftype() == "INSERT" and entity.dxf.name.startswith("PERPEND-"):
            block = doc.blocks.get(entity.dxf.name)
            assert entity.dxf.insert.isclose(block.base_point)
            yield from block
        else:
            yield entity


def said(doc: Drawing, kind: str, app: str = "PERPEND") -> list[str]:
    """Return the texts of a kind, line by line."""
    lines: list[str] = []
    for entity in entities(doc):
        if not entity.has_xdata(app) or (1000, f"kind={kind}") not in entity.get_xdata(app):
            continue
        if entity.dxftype() == "TEXT":
            lines.append(entity.dxf.text)
        elif entity.dxftype() == "MTEXT":
            lines += [line.strip() for line in entity.plain_text(split=True) if line.strip()]
    return lines
