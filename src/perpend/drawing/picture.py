"""A picture of an annotated drawing, without a CAD program and on a machine without fonts.

ezdxf's drawing add-on turns modelspace into vector graphics. Letters are drawn with an alphabet of
our own (``alphabet.lff``), so the same drawing gives the same picture everywhere.
"""

from __future__ import annotations

import contextlib
import math
import unicodedata
from functools import cache
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Final

from ezdxf.addons.drawing import layout
from ezdxf.addons.drawing.config import BackgroundPolicy, Configuration, LineweightPolicy
from ezdxf.addons.drawing.frontend import Frontend
from ezdxf.addons.drawing.mtext_complex import ComplexMTextRenderer
from ezdxf.addons.drawing.properties import LayerProperties, Properties, RenderContext, layer_key
from ezdxf.addons.drawing.svg import SVGBackend
from ezdxf.addons.drawing.unified_text_renderer import UnifiedTextRenderer
from ezdxf.document import Drawing
from ezdxf.entities.mtext import MText
from ezdxf.fonts import fonts, lff
from ezdxf.layouts.layout import Layout
from ezdxf.math import BoundingBox2d
from ezdxf.tools import text_layout
from ezdxf.tools.text import MTextContext

from perpend.dxf.block_index import cells
from perpend.dxf.damage import DAMAGED
from perpend.dxf.insert.atomic_file import whole_file
from perpend.dxf.paperspace import space_of
from perpend.dxf.viewports import paper_layouts, scales_dashes, views_of
from perpend.dxf.xdata import APPLICATION, REVIEW_APPLICATION
from perpend.errors import InputError

if TYPE_CHECKING:
    from ezdxf.addons.drawing.backend import BackendInterface
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.entities.dxfgfx import DXFGraphic
    from ezdxf.fonts.font_face import FontFace
    from ezdxf.fonts.glyphs import GlyphPath, Glyphs

KINDS: Final = (".svg", ".png")
_SHEET_IN: Final = (17.0, 11.0)
_DOTS_PER_INCH: Final = 150
_LEGIBLE_IN: Final = 10 / _DOTS_PER_INCH
"""Height that our letters have at least in a PNG, where the limits below allow it: ten dots."""
_MOST_SHEETS: Final = 6.0
_LONGEST_IN: Final = 80.0
"""No PNG is larger than six tabloid sheets, or longer than this: 25 million dots, 12,000 in a row."""
_MOST_ENTITIES: Final = 200_000
"""Entities of modelspace with all blocks opened; twice what a large office sheet has."""
_MOST_OF_SMALL: Final = 20_000
_MOST_OF_EACH: Final = 20
"""A drawing of few records shows no more than this and so many for each: a small file costs little."""
_DEEPEST: Final = 200
"""Nesting of blocks that is counted."""
_MARGIN_MM: Final = 6.0
_THINNER: Final = 0.6
"""Line weights are meant for the full sheet; the picture is about half of it."""


class _Alphabet(lff.GlyphCache):
    """Our letters; one that we lack is drawn as the letter it is made of."""

    def get_shape(self, shape_number: int) -> GlyphPath:
        if self.font.get(shape_number) is None:
            base = unicodedata.normalize("NFKD", chr(shape_number))[0]
            shape_number = ord(base) if self.font.get(ord(base)) else ord("?")
        return super().get_shape(shape_number)

    def get_advance_width(self, shape_number: int) -> float:
        if shape_number > 32 and self.font.get(shape_number) is None:
            base = unicodedata.normalize("NFKD", chr(shape_number))[0]
            shape_number = ord(base) if self.font.get(ord(base)) else ord("?")
        return super().get_advance_width(shape_number)


@cache
def alphabet() -> Glyphs:
    """Return our letters, read once."""
    text = resources.files("perpend.drawing").joinpath("alphabet.lff").read_text(encoding="utf-8")
    return _Alphabet(lff.loads(text))


class _OurFont(fonts.LibreCadFont):
    """The alphabet as a font of ezdxf's."""

    def create_cache(self, font_name: str) -> Glyphs:
        return alphabet()


class _OurLetters(UnifiedTextRenderer):
    """Draws every text with our alphabet, whatever its style names."""

    def get_font(self, font_face: FontFace) -> fonts.AbstractFont:
        return _our_font()


class _Context(RenderContext):
    """Shows what is on layers without a record as CAD programs do: on, in color 7, black on our white."""

    dash_share = 1.0
    """How much longer dashes are drawn than they are in the file."""

    def resolve_linetype_scale(self, entity: DXFGraphic) -> float:
        try:
            return float(super().resolve_linetype_scale(entity)) * self.dash_share
        except DAMAGED:
            return 1.0

    def resolve_all(self, entity: DXFGraphic) -> Properties:
        try:
            return super().resolve_all(entity)
        except DAMAGED:
            return Properties()

    def resolve_layer(self, entity: DXFGraphic) -> str:
        name = super().resolve_layer(entity)
        if layer_key(name) not in self.layers:
            self.layers[layer_key(name)] = _in_colour_7()
        return name


def _in_colour_7() -> LayerProperties:
    properties = LayerProperties()  # type: ignore[no-untyped-call]
    properties.has_aci_color_7 = True
    return properties


class _Paragraphs(ComplexMTextRenderer):
    """Measures paragraphs with our alphabet too, so that no font is looked for."""

    def get_font(self, ctx: MTextContext) -> fonts.AbstractFont:
        return _OurFont("alphabet.lff", ctx.cap_height, ctx.width_factor)


class _Frontend(Frontend):
    """Draws formatted paragraphs with our letters, and leaves out what is too damaged to be drawn."""

    def draw_entity(self, entity: DXFGraphic, properties: Properties) -> None:
        with contextlib.suppress(*DAMAGED):
            super().draw_entity(entity, properties)

    def draw_complex_mtext(self, mtext: MText, properties: Properties) -> None:
        engine = _Paragraphs(self.ctx, self.pipeline, properties).layout_engine(mtext)
        engine.place(align=text_layout.LayoutAlignment(mtext.dxf.attachment_point))
        engine.render(mtext.ucs().matrix)


@cache
def _our_font() -> fonts.AbstractFont:
    return _OurFont("alphabet.lff", 1.0)


def render_picture(doc: Drawing, target: Path, layout_name: str | None = None) -> None:
    """Draw modelspace, or a layout, into a picture file on white, fitted to a tabloid sheet.

    A PNG is larger where its letters would be too small to read.

    Args:
        doc: the annotated drawing; it is not changed.
        target: an ``.svg`` or ``.png`` file.
        layout_name: the layout; None is modelspace.

    Raises:
        InputError: another kind of file, an empty drawing, or no package for PNG.
    """
    data = picture_of(doc, target, layout_name)
    with whole_file(target) as temporary:
        temporary.write_bytes(data)


def picture_of(doc: Drawing, target: Path, layout_name: str | None = None) -> bytes:
    """Return the picture that would go into a file, by the file's kind; see `render_picture`."""
    kind, space = target.suffix.lower(), space_of(doc, layout_name)
    if kind == ".svg":
        return _svg(space).encode("utf-8")
    if kind == ".png":
        return _png(space)
    raise InputError(f"{target.name} is no picture that can be drawn: name it .svg or .png.")


def _svg(space: Layout) -> str:
    backend = SVGBackend()
    page = _sheet(_draw(space, backend))
    return str(backend.get_string(page, settings=_settings()))


def _png(space: Layout) -> bytes:
    try:
        from ezdxf.addons.drawing.pymupdf import PyMuPdfBackend
    except ImportError:
        raise InputError(
            "A PNG needs the package pymupdf: install it (pip install pymupdf), or name an .svg file."
        ) from None
    backend = PyMuPdfBackend()
    page = _sheet(_draw(space, backend), _least_letters(space))
    settings = _settings(layers=False)  # which dots have none of, and which cost a third of the time
    return bytes(backend.get_pixmap_bytes(page, fmt="png", settings=settings, dpi=_DOTS_PER_INCH))


def _settings(*, layers: bool = True) -> layout.Settings:
    return layout.Settings(fit_page=True, output_layers=layers)


def _draw(space: Layout, backend: BackendInterface) -> BoundingBox2d:
    """Draw a layout into a backend and return the box around it, drawing units."""
    _refuse_crowds(space)
    context = _Context(space.doc)
    if space.is_modelspace:
        context.dash_share = _dash_share(space.doc)
    frontend = _Frontend(context, backend, config=_config())
    frontend.pipeline.text_engine = _OurLetters()
    frontend.draw_layout(space, finalize=True)
    box: BoundingBox2d = backend.player().bbox()  # type: ignore[attr-defined]
    if not box.has_data:
        raise InputError("The drawing shows nothing where its walls are: there is no picture to draw.")
    return box


def _dash_share(doc: Drawing) -> float:
    """Return by how much a dash in units of paper is longer in modelspace, by the largest viewport."""
    views = (view for page in paper_layouts(doc) if scales_dashes(page) for view in views_of(page))
    largest = max(views, key=lambda view: view.frame.width * view.frame.height, default=None)
    return 1.0 / largest.scale if largest is not None else 1.0


def _refuse_crowds(space: Layout) -> None:
    """Refuse a picture that would take minutes.

    Raises:
        InputError: the layout with all its blocks opened has more than is drawn.
    """
    crowd = _Crowd(space.doc)
    shown = sum(crowd.of(entity) for entity in space)
    most = min(_MOST_ENTITIES, _MOST_OF_SMALL + _MOST_OF_EACH * len(space.doc.entitydb))
    if shown > most:
        raise InputError(
            f"A picture of this drawing would show {shown:,} entities, more than the {most:,} that "
            "are drawn: run without --picture, or purge arrays and hatching of single lines."
        )


class _Crowd:
    """Counts what entities show with all their blocks opened, those of dimensions among them."""

    def __init__(self, doc: Drawing) -> None:
        self._doc = doc
        self._known: dict[str, int] = {}

    def of(self, entity: DXFEntity, above: tuple[str, ...] = ()) -> int:
        """Count an entity; each cell of an array counts, even if its block is empty."""
        if entity.dxftype() == "INSERT":
            return 1 + cells(entity) * max(self._of_block(str(entity.dxf.get("name", "")), above), 1)
        if "DIMENSION" in entity.dxftype():
            return 1 + self._of_block(str(entity.dxf.get("geometry", "")), above)
        return 1

    def _of_block(self, name: str, above: tuple[str, ...]) -> int:
        key = name.lower()
        if key not in self._known:
            block = self._doc.blocks.get(name)
            if block is None or key in above or len(above) > _DEEPEST:
                return 0
            self._known[key] = sum(self.of(entity, (*above, key)) for entity in block)
        return self._known[key]


def _least_letters(space: Layout) -> float:
    """Return the height of our smallest letters, drawing units; 0 without any."""
    heights = {"TEXT": "height", "MTEXT": "char_height"}
    texts = (e for e in space if e.DXFTYPE in heights and e.xdata is not None)
    ours = (text for text in texts if text.has_xdata(APPLICATION) or text.has_xdata(REVIEW_APPLICATION))
    return min((text.dxf.get(heights[text.DXFTYPE]) for text in ours), default=0.0)


def _config() -> Configuration:
    return Configuration(
        background_policy=BackgroundPolicy.WHITE,
        lineweight_policy=LineweightPolicy.ABSOLUTE,
        lineweight_scaling=_THINNER,
    )


def _sheet(box: BoundingBox2d, letters: float = 0.0) -> layout.Page:
    """Return a sheet of the picture's proportions within tabloid size, or large enough for its letters."""
    wide, high = max(box.size.x, 1e-9), max(box.size.y, 1e-9)
    scale = min(_SHEET_IN[0] / wide, _SHEET_IN[1] / high)
    if letters > 0.0:
        most = math.sqrt(_MOST_SHEETS * math.prod(_SHEET_IN) / (wide * high))
        scale = max(scale, min(_LEGIBLE_IN / letters, most, _LONGEST_IN / max(wide, high)))
    return layout.Page(
        max(wide * scale, 1.0),
        max(high * scale, 1.0),
        layout.Units.inch,
        layout.Margins.all(_MARGIN_MM / 25.4),
    )
