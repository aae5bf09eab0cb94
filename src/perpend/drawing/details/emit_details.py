"""Framed details as blocks of a document: lines, hatches, texts and dimensions."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final

from ezdxf.document import Drawing
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.xdata import XData
from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts.blocklayout import BlockLayout
from ezdxf.lldxf.const import BLK_ANONYMOUS
from ezdxf.lldxf.tags import Tags
from ezdxf.lldxf.types import DXFTag
from ezdxf.tools import pattern

from perpend.drawing.details.detail_frame import Frame, letters_of
from perpend.drawing.details.detail_sketch import (
    CUT,
    DIMS,
    FINE,
    FRAME,
    HATCH,
    JOINT,
    NOTES,
    SEAL,
    STEEL,
    TEXT,
    Circle,
    Dimension,
    Fill,
    Letters,
    Line,
    Mark,
    Pattern,
    Vertex,
)
from perpend.drawing.page.drafting_style import WIRE, XDATA_VERSION, DraftingStyle
from perpend.drawing.page.table_records import Records, prepare_records
from perpend.dxf.insert.free_names import ensure_dimstyle, ensure_layer
from perpend.dxf.paperspace import space_of
from perpend.dxf.partial.skipped_records import left_out_of
from perpend.dxf.text_metrics import WIDTH_FACTOR
from perpend.model import Point

_MM_PER_INCH: Final = 25.4
_ARCHITECTURAL, _DECIMAL = 4, 2
_IN_INCHES: Final = {"dimlunit": _ARCHITECTURAL, "dimdec": 4, "dimzin": 0}
_DIMTYPE_LINEAR, _DIMTYPE_OWN_BLOCK, _DIMTYPE_TEXT_PLACED = 0, 32, 128
_TICK: Final = 0.045
_FOOT_GAP: Final = 0.06
_BEYOND: Final = 0.05
_HEAVY: Final = 70
_ALIGN: Final = {
    "left": TextEntityAlignment.LEFT,
    "center": TextEntityAlignment.CENTER,
    "right": TextEntityAlignment.RIGHT,
}

_LOOKS: Final = {
    CUT: (7, 50, "cut masonry"),
    FINE: (8, 18, "bed joints, break lines"),
    HATCH: (8, 9, "hatches"),
    STEEL: (92, 35, "reinforcement"),
    SEAL: (30, 35, "sealant, backer rod, paper"),
    JOINT: (1, 70, "control joint"),
    DIMS: (7, 18, "dimensions and leaders"),
    NOTES: (7, 18, "notes"),
    FRAME: (7, 25, "frames and titles"),
}
"""Colour index, line weight in hundredths of a millimetre, and what is on the layer."""

_HATCHES: Final[dict[Pattern, tuple[str, float, int]]] = {
    "masonry": ("ANSI31", 0.5, 8),
    "grout": ("AR-CONC", 0.03, 8),
    "concrete": ("AR-CONC", 0.05, 8),
    "mortar": ("SOLID", 0.0, 253),
    "solid": ("SOLID", 0.0, 251),
}
"""Pattern, scale on paper, colour index."""


@dataclass(slots=True)
class Emitter:
    """Draws frames into a document, each as a block.

    Attributes:
        doc: the document.
        style: scale, units, layer prefix and application id.
        records: our text style and line types in the document.
        unit: drawing units to one plotted inch.
    """

    doc: Drawing
    style: DraftingStyle
    records: Records
    unit: float
    _layers: dict[str, str] = field(default_factory=dict)
    _patterns: dict[str, object] = field(default_factory=lambda: dict(pattern.load(measurement=0)))

    @classmethod
    def of(cls, doc: Drawing, style: DraftingStyle) -> Emitter:
        """Return an emitter whose styles are in the document."""
        return cls(doc, style, prepare_records(doc, style), style.plot_scale / style.inches_per_unit)

    def block(self, frame: Frame) -> BlockLayout:
        """Draw a frame into a block of its own, its lower left corner at the origin."""
        block = self.doc.blocks.new(self._free_name(f"PERPEND-DETAIL-{frame.key}".upper()))
        for mark in sorted(frame.marks, key=lambda m: not isinstance(m, Fill)):
            self._draw(block, mark, frame)
        return block

    def loose(self, layout: BlockLayout, marks: Iterable[Mark]) -> None:
        """Draw marks that belong to no detail, such as a sheet's border."""
        for mark in marks:
            self._draw(layout, mark, Frame("sheet", "", "", 1.0, ()))

    def place(self, block: BlockLayout, frame: Frame, at: Point) -> None:
        """Put a reference to a block where the walls are, at a point in drawing units."""
        insert = space_of(self.doc, self.style.layout).add_blockref(
            block.name, at, {"layer": self.layer(FRAME)}
        )
        self._sign(insert, frame.key, frame.number, "detail")

    def layer(self, key: str) -> str:
        """Return the name of one of our layers, made if need be."""
        if key not in self._layers:
            color, weight, what = _LOOKS[key]
            name = f"{self.style.layer_prefix}-{key}"
            self._layers[key] = ensure_layer(
                self.doc, name, color=color, lineweight=weight, description=f"details: {what}"
            )
        return self._layers[key]

    def _free_name(self, wish: str) -> str:
        taken = left_out_of(self.doc).blocks
        name, number = wish, 1
        while name in self.doc.blocks or name.lower() in taken:
            number += 1
            name = f"{wish}-{number}"
        return name

    def _at(self, q: Vertex) -> Point:
        return (q[0] * self.unit, q[1] * self.unit)

    def _draw(self, layout: BlockLayout, mark: Mark, frame: Frame) -> None:
        if isinstance(mark, Line):
            self._line(layout, mark)
        elif isinstance(mark, Circle):
            self._circle(layout, mark)
        elif isinstance(mark, Fill):
            self._fill(layout, mark)
        elif isinstance(mark, Letters):
            self._letters(layout, mark)
        else:
            self._dimension(layout, mark, frame)

    def _line(self, layout: BlockLayout, line: Line) -> DXFGraphic:
        looks: dict[str, object] = {"layer": self.layer(line.layer)}
        if line.dashed:
            looks["linetype"] = self.records.linetype(WIRE)
        if line.heavy:
            looks["lineweight"] = _HEAVY
        if line.layer == JOINT:
            looks["linetype"] = self.records.linetype("CENTER")
        points = [(*self._at(q), q[2] if len(q) > 2 else 0.0) for q in line.points]
        return layout.add_lwpolyline(
            points, format="xyb", close=line.closed, dxfattribs={**looks, "flags": 128}
        )

    def _circle(self, layout: BlockLayout, circle: Circle) -> None:
        x, y = self._at(circle.center)
        radius = circle.radius * self.unit
        layer = self.layer(circle.layer)
        if not circle.filled:
            layout.add_circle((x, y), radius, dxfattribs={"layer": layer})
            return
        hatch = layout.add_hatch(color=256, dxfattribs={"layer": layer})
        hatch.paths.add_polyline_path([(x - radius, y, 1.0), (x + radius, y, 1.0)], is_closed=True)

    def _fill(self, layout: BlockLayout, fill: Fill) -> None:
        name, scale, color = _HATCHES[fill.pattern]
        hatch = layout.add_hatch(color=color, dxfattribs={"layer": self.layer(HATCH)})
        if name != "SOLID":
            hatch.set_pattern_fill(
                name,
                color=color,
                scale=scale * self.unit,
                definition=self._patterns[name],
            )
        for number, ring in enumerate(fill.rings):
            points = [(*self._at(q), q[2] if len(q) > 2 else 0.0) for q in ring]
            hatch.paths.add_polyline_path(points, is_closed=True, flags=1 if number == 0 else 16)

    def _letters(self, layout: BlockLayout, letters: Letters) -> None:
        looks = {
            "layer": self.layer(letters.layer),
            "style": self.records.text_style,
            "width": WIDTH_FACTOR,
        }
        text = layout.add_text(letters.text, height=letters.height * self.unit, dxfattribs=looks)
        text.set_placement(self._at(letters.at), align=_ALIGN[letters.align])

    def _dimension(self, layout: BlockLayout, d: Dimension, frame: Frame) -> None:
        """Draw a dimension over a block of its own lines and text, as a CAD program keeps it."""
        block = self.doc.blocks.new(self._free_dimension_name(), dxfattribs={"flags": BLK_ANONYMOUS})
        for line in _dimension_lines(d):
            self._line(block, line)
        letters = letters_of(d)
        assert letters is not None
        self._letters(block, letters)
        foot0, foot1 = (d.line, d.b[1]) if d.upright else (d.b[0], d.line), d.a
        dimension = layout.new_entity(
            "DIMENSION",
            {
                "dimtype": _DIMTYPE_LINEAR | _DIMTYPE_OWN_BLOCK | _DIMTYPE_TEXT_PLACED,
                "geometry": block.name,
                "dimstyle": self._dimension_style(frame.scale),
                "layer": self.layer(DIMS),
                "defpoint": self._at(foot0),
                "defpoint2": self._at(foot1),
                "defpoint3": self._at(d.b),
                "text_midpoint": self._at((d.text_at[0], d.text_at[1] + TEXT / 2)),
                "attachment_point": 5,
                "angle": 90.0 if d.upright else 0.0,
                "actual_measurement": d.real / frame.scale * self.unit,
                "text": d.text,  # for readers that know no DIMLFAC (decision 17)
            },
        )
        self._sign(dimension, frame.key, frame.number, d.name)

    def _free_dimension_name(self) -> str:
        taken = left_out_of(self.doc).blocks
        while (name := self.doc.blocks.anonymous_block_name("D")).lower() in taken:
            pass
        return name

    def _dimension_style(self, scale: float) -> str:
        """Return the dimension style of a scale: what is drawn smaller is dimensioned at full size."""
        metric = self.style.metric
        factor = scale / self.unit * (_MM_PER_INCH if metric else 1.0)
        look = {**dimension_sizes(self.unit), "dimlfac": factor, "dimtxsty": self.records.text_style}
        look |= {"dimtad": 1, "dimtih": 1, "dimtoh": 1, "dimtmove": 1, "dimfrac": 2}
        look |= {"dimlunit": _DECIMAL, "dimdec": 0, "dimzin": 8} if metric else _IN_INCHES
        return ensure_dimstyle(self.doc, f"PERPEND-DETAIL-{scale:g}".replace(".", "-"), variables=look)

    def _sign(self, entity: DXFGraphic, key: str, number: str, rule: str) -> None:
        """Attach what the entity is, so that a later run knows it as ours."""
        said = (f"kind=detail-{key}", f"number={number}", f"rule={rule}", f"version={XDATA_VERSION}")
        tags = [DXFTag(1001, self.style.app_id), *(DXFTag(1000, text) for text in said)]
        entity.xdata = XData([Tags(tags)])


def dimension_sizes(unit: float) -> dict[str, object]:
    """Return what a dimension's parts measure, by ezdxf's names of the variables.

    Args:
        unit: drawing units to one plotted inch.
    """
    return {
        "dimtxt": TEXT * unit,
        "dimtsz": _TICK * unit,
        "dimasz": 2 * _TICK * unit,
        "dimexo": _FOOT_GAP * unit,
        "dimexe": _BEYOND * unit,
        "dimgap": 0.05 * unit,
        "dimscale": 1.0,
    }


def _dimension_lines(d: Dimension) -> list[Line]:
    """Return extension lines, dimension line and ticks."""
    lines = []
    ends: list[Point] = []
    for foot in (d.a, d.b):
        end = (d.line, foot[1]) if d.upright else (foot[0], d.line)
        away = 1.0 if (d.line > (foot[0] if d.upright else foot[1])) else -1.0
        dx, dy = (away, 0.0) if d.upright else (0.0, away)
        start = (foot[0] + dx * _FOOT_GAP, foot[1] + dy * _FOOT_GAP)
        lines.append(Line((start, (end[0] + dx * _BEYOND, end[1] + dy * _BEYOND)), DIMS))
        lines.append(Line(((end[0] - _TICK, end[1] - _TICK), (end[0] + _TICK, end[1] + _TICK)), DIMS))
        ends.append(end)
    (ax, ay), (bx, by) = ends
    lines.append(Line(((ax, ay), (bx, by)), DIMS))
    short = (bx - ax) + (by - ay) < 0.25
    if short and not d.upright:
        lines.append(Line(((ax - 0.15, ay), (ax, ay)), DIMS))
        lines.append(Line(((bx, by), (bx + 0.1, by)), DIMS))
    elif short:
        lines.append(Line(((ax, ay - 0.15), (ax, ay)), DIMS))
        lines.append(Line(((bx, by), (bx, by + 0.15)), DIMS))
    return lines
