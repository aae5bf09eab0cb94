"""Our layers, line types, text and dimension style in a document, under names that are free there."""

from __future__ import annotations

from dataclasses import dataclass, field

from ezdxf.document import Drawing

from perpend.drawing.page.drafting_style import (
    DIMENSION_STYLE,
    FAMILIES,
    LINETYPES,
    LOOKS,
    TEXT_STYLE,
    DraftingStyle,
)
from perpend.dxf.entity_attributes import header_number
from perpend.dxf.insert.free_names import (
    ensure_appid,
    ensure_dimstyle,
    ensure_layer,
    ensure_linetype,
    ensure_style,
    has_pattern,
)
from perpend.dxf.text_metrics import WIDTH_FACTOR

_ARCHITECTURAL, _DECIMAL = 4, 2
_MM_PER_INCH = 25.4


@dataclass(slots=True)
class Records:
    """Names of our records in one document; layers and the dimension style are made when first asked for."""

    doc: Drawing
    style: DraftingStyle
    text_style: str
    _layers: dict[str, str] = field(default_factory=dict)
    _dimension_style: str = ""
    _linetypes: dict[str, str] = field(default_factory=dict)

    @property
    def dimension_style(self) -> str:
        """Name of our dimension style, made if need be."""
        if not self._dimension_style:
            variables = {**_dimension_look(self.style), "dimtxsty": self.text_style}
            self._dimension_style = ensure_dimstyle(self.doc, DIMENSION_STYLE, variables=variables)
        return self._dimension_style

    def layer(self, key: str) -> str:
        """Return the name of the layer with this key, made if need be."""
        if key not in self._layers:
            self._layers[key] = self._make_layer(key)
        return self._layers[key]

    def linetype(self, name: str) -> str:
        """Return the name of one of our line types, made if need be."""
        if name not in self._linetypes:
            self._linetypes[name] = _make_linetype(self.doc, name, self.style)
        return self._linetypes[name]

    @property
    def layers(self) -> tuple[str, ...]:
        """Names of the layers made so far."""
        return tuple(sorted(self._layers.values()))

    def _make_layer(self, key: str) -> str:
        look, linetype = LOOKS[key], "Continuous"
        if look.linetype in LINETYPES:
            linetype = self.linetype(look.linetype)
        return ensure_layer(
            self.doc,
            self.style.layer(key),
            color=look.color,
            linetype=linetype,
            lineweight=look.lineweight,
            description=look.title,
            plots=self.style.plots(key),
        )


def _make_linetype(doc: Drawing, name: str, style: DraftingStyle) -> str:
    """Make a line type whose pattern has its plotted size, whatever ``$LTSCALE`` and ``PSLTSCALE`` are.

    Some programs know line types by their names alone. Where the drawing has one of the standard name with
    another pattern, ours takes another standard name that looks the same there.
    """
    description, pattern = LINETYPES[name]
    paper = style.dash_paper_unit_in
    unit = 1 / paper if paper else style.plot_scale / style.inches_per_unit
    scale = unit / header_number(doc, "$LTSCALE", 1.0)
    scaled = [part * scale for part in pattern]
    family = (name, *FAMILIES.get(name, ()))
    for candidate in (f"{member}{size}" for member in family for size in ("", "2", "X2")):
        if candidate not in doc.linetypes or has_pattern(doc.linetypes.get(candidate), scaled):
            return ensure_linetype(doc, candidate, pattern=scaled, description=description)
    return ensure_linetype(doc, name, pattern=scaled, description=description)


def prepare_records(doc: Drawing, style: DraftingStyle) -> Records:
    """Make our application id and styles in a document.

    Args:
        doc: the document that takes our entities.
        style: text height and scale.
    """
    ensure_appid(doc, style.app_id)
    if style.text_style != TEXT_STYLE and style.text_style in doc.styles:
        # the drafter's own, asked for by name: our letters keep their height and width whatever it says
        return Records(doc, style, doc.styles.get(style.text_style).dxf.name)
    text_style = ensure_style(doc, style.text_style, font=style.text_font, width=WIDTH_FACTOR)
    return Records(doc, style, text_style)


def _dimension_look(style: DraftingStyle) -> dict[str, object]:
    """Return the variables of our dimension style, so that a CAD program redraws it as we drew it."""
    unit = style.text_in / style.inches_per_unit
    return {
        "dimtxt": unit,
        "dimscale": 1.0,
        "dimtsz": 0.35 * unit,
        "dimasz": 0.7 * unit,
        "dimexo": 0.6 * unit,
        "dimexe": 0.5 * unit,
        "dimgap": 0.5 * unit,
        "dimtad": 1,
        "dimtih": 0,
        "dimtoh": 0,
        "dimtmove": 1,
        "dimlunit": _DECIMAL if style.metric else _ARCHITECTURAL,
        "dimdec": {"imperial": 4, "metric": 0, "metres": 3}[style.display],
        "dimzin": {"imperial": 1, "metric": 8, "metres": 0}[style.display],
        "dimfrac": 2,
        "dimlfac": style.inches_per_unit
        * {"imperial": 1.0, "metric": _MM_PER_INCH, "metres": _MM_PER_INCH / 1000}[style.display],
    }
