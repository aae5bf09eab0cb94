"""Marks into DXF entities: LINE, LWPOLYLINE, TEXT and DIMENSION, on our layers, with our XDATA."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from ezdxf.document import Drawing
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.xdata import XData
from ezdxf.layouts.base import BaseLayout
from ezdxf.lldxf.const import BLK_ANONYMOUS
from ezdxf.lldxf.tags import Tags
from ezdxf.lldxf.types import DXFTag
from ezdxf.math import Vec3

from perpend.clean_text import visible
from perpend.drawing.page.drafting_style import (
    LINETYPES,
    LOOKS,
    WEIGHTS,
    XDATA_VERSION,
    DraftingReport,
    DraftingStyle,
)
from perpend.drawing.page.sheet_page import Board, Identity, Letters, Mark, Measure, Page, Stroke
from perpend.drawing.page.table_records import Records
from perpend.dxf.partial.skipped_records import left_out_of
from perpend.dxf.text_metrics import WIDTH_FACTOR
from perpend.model import Point

_LINETYPE_ALONG_WHOLE_LINE = 128
_LONGEST = 120
_DIMTYPE_LINEAR, _DIMTYPE_OWN_BLOCK, _DIMTYPE_TEXT_PLACED = 0, 32, 128


_ALIGNMENTS = {"left": 0, "center": 1, "right": 2}


@dataclass(frozen=True, slots=True)
class Emitter:
    """Draws marks of one page into a document."""

    doc: Drawing
    page: Page
    style: DraftingStyle
    records: Records
    report: DraftingReport

    def draw(self, marks: Iterable[Mark]) -> None:
        """Draw the marks in their order."""
        for mark in marks:
            if isinstance(mark, Measure):
                self._measure(mark)
            else:
                self._simple(self.doc.modelspace(), mark)

    def _simple(self, layout: BaseLayout, mark: Stroke | Letters, layer: str | None = None) -> None:
        entity = self._stroke(layout, mark) if isinstance(mark, Stroke) else self._letters(layout, mark)
        entity.dxf.unprotected_set("layer", layer or self.records.layer(mark.layer))
        if mark.solid if isinstance(mark, Stroke) else LOOKS[mark.layer].linetype in LINETYPES:
            entity.dxf.unprotected_set("linetype", "Continuous")
        if isinstance(mark, Stroke) and mark.linetype:
            entity.dxf.unprotected_set("linetype", self.records.linetype(mark.linetype))
            entity.dxf.unprotected_set("lineweight", WEIGHTS[mark.linetype])
        self._sign(entity, mark.identity)

    def _point(self, point: Point) -> Point:
        return self.page.to_drawing(point)

    def _stroke(self, layout: BaseLayout, stroke: Stroke) -> DXFGraphic:
        points = [self._point(p) for p in stroke.path]
        if len(points) == 2 and stroke.identity.kind != "joint":
            return _made(layout, "LINE", {"start": Vec3(points[0]), "end": Vec3(points[1])})
        flags = {"flags": _LINETYPE_ALONG_WHOLE_LINE}
        return layout.add_lwpolyline(points, close=stroke.closed, dxfattribs=flags)

    def _letters(self, layout: BaseLayout, letters: Letters) -> DXFGraphic:
        """Write a line of text; on a page that stands on its head it is turned about its middle."""
        x, y = letters.baseline
        reach = letters.box.width
        to_left = {"left": 0.0, "center": reach / 2, "right": reach}[letters.align]
        align = letters.align
        if self.page.upside_down:
            y += letters.height_in
            to_left = to_left - reach
            align = {"left": "right", "center": "center", "right": "left"}[align]
        place = Vec3(self._point((x, y)))
        looks = {
            "text": letters.text,
            "height": letters.height_in / self.page.inches_per_unit,
            "rotation": self.page.text_degrees,
            "style": self.records.text_style,
            "width": WIDTH_FACTOR,
            "halign": _ALIGNMENTS[align],
            "valign": 0,
            "align_point": place,
            "insert": place if align == "left" else Vec3(self._point((x - to_left, y))),
        }
        return _made(layout, "TEXT", looks)

    def _measure(self, measure: Measure) -> None:
        """Draw a dimension: a DIMENSION over a block of lines and text, or these alone."""
        parts: tuple[Stroke | Letters, ...] = (*measure.strokes, measure.letters)
        if self.style.dimensions == "plain":
            for part in parts:
                self._simple(self.doc.modelspace(), part)
            return
        layer = self.records.layer(measure.letters.layer)
        block = self.doc.blocks.new(self._free_block_name(), dxfattribs={"flags": BLK_ANONYMOUS})
        for part in parts:
            self._simple(block, part, layer)
        middle_y = measure.letters.baseline[1] + measure.letters.height_in / 2
        dimension = self.doc.modelspace().new_entity(
            "DIMENSION",
            {
                "dimtype": _DIMTYPE_LINEAR | _DIMTYPE_OWN_BLOCK | _DIMTYPE_TEXT_PLACED,
                "geometry": block.name,
                "dimstyle": self.records.dimension_style,
                "layer": layer,
                "defpoint": self._point((measure.x1_in, measure.line_y_in)),
                "defpoint2": self._point((measure.x0_in, measure.feet[0])),
                "defpoint3": self._point((measure.x1_in, measure.feet[1])),
                "text_midpoint": self._point((measure.letters.baseline[0], middle_y)),
                "attachment_point": 5,
                "angle": self.page.text_degrees,
                "actual_measurement": (measure.x1_in - measure.x0_in) / self.page.inches_per_unit,
                "text": self._measured_text(measure),
            },
        )
        self._sign(dimension, measure.identity)

    def _free_block_name(self) -> str:
        """Return a name for the block of a dimension; those of blocks that were left out are taken too."""
        taken = left_out_of(self.doc).blocks
        while (name := self.doc.blocks.anonymous_block_name("D")).lower() in taken:
            pass
        return name

    def _measured_text(self, measure: Measure) -> str:
        """Return the text with the measured part left to the reader (``<>``)."""
        head, bracket, tail = measure.letters.text.partition(" (")
        return f"<>{bracket}{tail}" if bracket and head else ""

    def _sign(self, entity: DXFGraphic, identity: Identity) -> None:
        """Attach what the entity is, so that a later run and a checker know it as ours."""
        entity.xdata = XData([_signature(self.style.app_id, identity)])
        self.report.entities[identity.kind] += 1


def _made(layout: BaseLayout, kind: str, looks: dict[str, object]) -> DXFGraphic:
    """Make an entity; what it gets is right by its making, so ezdxf need not test each value."""
    entity = layout.new_entity(kind, {})
    for key, value in looks.items():
        entity.dxf.unprotected_set(key, value)
    return entity


@lru_cache(maxsize=256)
def _signature(app_id: str, identity: Identity) -> Tags:
    """Return the XDATA of all entities of one identity; each entity gets a list of its own."""
    said = (
        f"kind={identity.kind}",
        f"number={_one_line(identity.number)}",
        f"rule={_one_line(identity.rule)}",
        f"version={XDATA_VERSION}",
    )
    return Tags([DXFTag(1001, app_id), *(DXFTag(1000, text) for text in said)])


def _one_line(text: str) -> str:
    """Return a text that fits one XDATA string, which holds 255 bytes and no line break."""
    return visible(" ".join(text.split()))[:_LONGEST]


def emit(doc: Drawing, board: Board, style: DraftingStyle, records: Records, report: DraftingReport) -> None:
    """Draw everything on a board into modelspace.

    Args:
        doc: the document that takes the entities.
        board: the marks and the page they lie on.
        style: how dimensions are drawn.
        records: names of our layers and styles in this document.
        report: counts are added to it.
    """
    Emitter(doc, board.page, style, records, report).draw(board.marks)
