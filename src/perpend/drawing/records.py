"""Our layers, line types, text and dimension style in a document, under names that are free there."""

from __future__ import annotations

from dataclasses import dataclass, field

from ezdxf.document import Drawing

from perpend.drawing.style import (
    APP_ID,
    DIMENSION_STYLE,
    LINETYPES,
    LOOKS,
    WIDTH_FACTOR,
    DraftingStyle,
)

_ARCHITECTURAL, _DECIMAL = 4, 2
_MM_PER_INCH = 25.4


@dataclass(slots=True)
class Records:
    """Names of our records in one document; layers are made when first asked for."""

    doc: Drawing
    style: DraftingStyle
    text_style: str
    dimension_style: str
    _layers: dict[str, str] = field(default_factory=dict)

    def layer(self, key: str) -> str:
        """Return the name of the layer with this key, made if need be."""
        if key not in self._layers:
            self._layers[key] = self._make_layer(key)
        return self._layers[key]

    @property
    def layers(self) -> tuple[str, ...]:
        """Names of the layers made so far."""
        return tuple(sorted(self._layers.values()))

    def _make_layer(self, key: str) -> str:
        look, name = LOOKS[key], self.style.layer(key)
        if name not in self.doc.layers:
            linetype = look.linetype
            if linetype in LINETYPES:
                linetype = _make_linetype(self.doc, linetype, self.style)
            self.doc.layers.add(name, color=look.color, linetype=linetype, lineweight=look.lineweight)
        return name


def _make_linetype(doc: Drawing, name: str, style: DraftingStyle) -> str:
    if name not in doc.linetypes:
        description, pattern = LINETYPES[name]
        scale = style.plot_scale / style.inches_per_unit / (doc.header.get("$LTSCALE", 1.0) or 1.0)
        lengths = [part * scale for part in pattern]
        doc.linetypes.add(name, [sum(abs(part) for part in lengths), *lengths], description=description)
    return name


def prepare_records(doc: Drawing, style: DraftingStyle) -> Records:
    """Make our application id and styles in a document.

    Args:
        doc: the document that takes our entities.
        style: text height and scale.
    """
    if APP_ID not in doc.appids:
        doc.appids.add(APP_ID)
    if style.text_style not in doc.styles:
        doc.styles.add(style.text_style, font=style.text_font, dxfattribs={"width": WIDTH_FACTOR})
    if DIMENSION_STYLE not in doc.dimstyles:
        doc.dimstyles.add(DIMENSION_STYLE, dxfattribs=_dimension_look(style))
    return Records(doc, style, style.text_style, DIMENSION_STYLE)


def _dimension_look(style: DraftingStyle) -> dict[str, object]:
    """Return the variables of our dimension style, so that a CAD program redraws it as we drew it."""
    unit = style.text_in / style.inches_per_unit
    return {
        "dimtxsty": style.text_style,
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
        "dimdec": 0 if style.metric else 4,
        "dimzin": 8 if style.metric else 1,
        "dimfrac": 2,
        "dimlfac": style.inches_per_unit * (_MM_PER_INCH if style.metric else 1.0),
    }
