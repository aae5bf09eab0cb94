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
from perpend.drawing.page.scene import Scene
from perpend.drawing.page.sheet_page import (
    Identity,
    Letters,
    Mark,
    Measure,
    Page,
    Paragraph,
    Piece,
    Stroke,
)
from perpend.drawing.page.table_records import Records
from perpend.dxf.insert.free_names import free_block_name, free_dimension_name
from perpend.dxf.own_labels import TEXT_AT, at_string, path_strings, with_direction
from perpend.dxf.text_metrics import WIDTH_FACTOR
from perpend.dxf.xdata import APPLICATION
from perpend.model import Point

_R12, _R2000 = "AC1009", "AC1015"
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
    space: BaseLayout

    def draw(self, marks: Iterable[Mark]) -> None:
        """Draw the marks in their order."""
        for mark in marks:
            if isinstance(mark, Measure):
                self._measure(mark)
            elif isinstance(mark, Paragraph):
                self._paragraph(mark)
            elif isinstance(mark, Piece):
                self._piece(mark)
            else:
                self._simple(self.space, mark)

    @property
    def _is_plate(self) -> bool:
        """Whether a plate is drawn, and not a review: a later run looks at what a person did to it."""
        return self.style.app_id == APPLICATION

    @property
    def _is_plain(self) -> bool:
        """Whether lines and single texts are all there may be: by the settings, or the drawing is too old."""
        return self.style.dimensions == "plain" or (self.doc.loaded_dxfversion or _R2000) <= _R12

    @property
    def _dash_scale(self) -> float:
        """How much shorter dashes are here than in modelspace: on paper they have their plotted length."""
        return self.style.inches_per_unit / self.page.inches_per_unit

    def _paragraph(self, mark: Paragraph) -> None:
        """Write lines of text as one MTEXT; where there may be none, line by line."""
        if self._is_plain:
            for line in mark.letters(upside_down=self.page.upside_down):
                self._simple(self.space, line)
            return
        box = mark.box
        corner = (box.x1, box.y0) if self.page.upside_down else mark.corner
        paragraph = self.space.add_mtext(
            "\\P".join(map(_escaped, mark.lines)),
            {
                "insert": Vec3(self._point(corner)),
                "char_height": mark.height_in / self.page.inches_per_unit,
                "rotation": self.page.text_degrees,
                "style": self.records.text_style,
                "layer": self.records.layer(mark.layer),
                "attachment_point": 1,
                "line_spacing_style": 2,
                "line_spacing_factor": 1.0,
                "width": 0.0,
            },
        )
        self._sign(paragraph, mark.identity)
        self._tell(paragraph, path_strings(with_direction(self._point(corner), self.page.text_degrees)))

    def _piece(self, piece: Piece) -> None:
        """Draw a block where it is seen, and refer to it there."""
        if self._is_plain:
            for mark in piece.marks:
                self._simple(self.space, mark)
            return
        corner = self._point(piece.corner)
        block = self.doc.blocks.new(free_block_name(self.doc, piece.name), base_point=corner)
        for mark in piece.marks:
            self._simple(block, mark)
        layer = self.records.layer(piece.marks[0].layer)
        reference = self.space.add_blockref(block.name, corner, {"layer": layer})
        self._sign(reference, piece.identity)
        if piece.identity.kind != "callout":  # its texts say so themselves
            self._tell(reference, path_strings(with_direction(corner)))

    def _simple(self, layout: BaseLayout, mark: Stroke | Letters, layer: str | None = None) -> None:
        entity = self._stroke(layout, mark) if isinstance(mark, Stroke) else self._letters(layout, mark)
        entity.dxf.unprotected_set("layer", layer or self.records.layer(mark.layer))
        if mark.solid if isinstance(mark, Stroke) else LOOKS[mark.layer].linetype in LINETYPES:
            entity.dxf.unprotected_set("linetype", "Continuous")
        if isinstance(mark, Stroke) and mark.linetype:
            entity.dxf.unprotected_set("linetype", self.records.linetype(mark.linetype))
            entity.dxf.unprotected_set("lineweight", mark.weight or WEIGHTS[mark.linetype])
        elif isinstance(mark, Stroke) and mark.weight:
            entity.dxf.unprotected_set("lineweight", mark.weight)
        if isinstance(mark, Stroke) and (by := self._dash_scale) != 1.0:
            entity.dxf.unprotected_set("ltscale", by)
        self._sign(entity, mark.identity)
        if isinstance(mark, Letters) and (layout is self.space or mark.identity.kind == "callout"):
            self._tell(entity, [at_string(self._aligned_at(mark))])
        elif isinstance(mark, Stroke) and layout is self.space and (self._is_plate or mark.identity.said):
            self._tell(entity, path_strings(map(self._point, mark.path)))

    def _tell(self, entity: DXFGraphic, strings: Iterable[str]) -> None:
        """Say in its XDATA where an entity was drawn: a later run sees whether a person moved it."""
        assert entity.xdata is not None, "it was signed"
        data = entity.xdata.data
        data[self.style.app_id] = Tags([*data[self.style.app_id], *(DXFTag(1000, text) for text in strings)])

    def _aligned_at(self, letters: Letters) -> Point:
        """Return the point of the drawing by which a line of text is aligned."""
        x, y = letters.baseline
        return self._point((x, y + letters.height_in if self.page.upside_down else y))

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
        place = Vec3(self._aligned_at(letters))
        if self.page.upside_down:
            y += letters.height_in
            to_left = to_left - reach
            align = {"left": "right", "center": "center", "right": "left"}[align]
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
                self._simple(self.space, part)
            return
        layer = self.records.layer(measure.letters.layer)
        block = self.doc.blocks.new(free_dimension_name(self.doc), dxfattribs={"flags": BLK_ANONYMOUS})
        for part in parts:
            self._simple(block, part, layer)
        middle_y = measure.letters.baseline[1] + measure.letters.height_in / 2
        dimension = self.space.new_entity(
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
                "text": measure.words,
            },
        )
        self._sign(dimension, measure.identity)
        ends = ((measure.x1_in, measure.line_y_in), (measure.x0_in, measure.feet[0]))
        text_at = at_string(self._point((measure.letters.baseline[0], middle_y)), TEXT_AT)
        self._tell(dimension, [*path_strings(map(self._point, ends)), text_at])

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
        *identity.said,
    )
    return Tags([DXFTag(1001, app_id), *(DXFTag(1000, text) for text in said)])


def _escaped(line: str) -> str:
    """Return a line as an MTEXT holds it: its spaces stay, and no letter is a code."""
    return line.replace("\\", "\\\\").replace("{", "\\{").replace("}", "\\}").replace("^", "^ ")


def _one_line(text: str) -> str:
    """Return a text that fits one XDATA string, which holds 255 bytes and no line break."""
    return visible(" ".join(text.split()))[:_LONGEST]


def emit(doc: Drawing, scene: Scene, records: Records) -> None:
    """Draw everything on the board of a page into modelspace, or into the page's own layout.

    Args:
        doc: the document that takes the entities.
        scene: the page; counts are added to its report.
        records: names of our layers and styles in this document.
    """
    space = scene.layout or doc.modelspace()
    Emitter(doc, scene.page, scene.style, records, scene.report, space).draw(scene.board.marks)
