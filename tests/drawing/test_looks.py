"""Layers read on white paper, on a dark screen and in black and white."""

from __future__ import annotations

import ezdxf
import pytest
from ezdxf.colors import aci2rgb

from perpend.drawing.page.drafting_style import LINETYPES, LOOKS, DraftingStyle
from perpend.drawing.page.table_records import prepare_records

WHITE, DARK = (255, 255, 255), (33, 40, 48)
BLACK_OR_WHITE = 7
"""This index turns black on white and white on black."""


def luminance(color: tuple[int, int, int]) -> float:
    """Relative luminance, WCAG 2.1."""
    parts = [v / 255 for v in color]
    linear = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a: tuple[int, int, int], b: tuple[int, int, int]) -> float:
    light, dark = sorted((luminance(a), luminance(b)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize(
    "look", [v for v in LOOKS.values() if v.color != BLACK_OR_WHITE], ids=lambda v: v.title
)
def test_a_layer_stands_off_paper_and_screen(look: object) -> None:
    """WCAG 2.1, 1.4.11: at least 3 to 1 for graphics."""
    color = tuple(aci2rgb(look.color))
    assert contrast(color, WHITE) >= 3.0
    assert contrast(color, DARK) >= 3.0


def test_black_prints_tell_the_masonry_layers_apart() -> None:
    prints = [
        (v.linetype, v.lineweight) for v in LOOKS.values() if v.key in {"", "SLIP", "LINT", "STEL", "DIMS"}
    ]
    assert len(set(prints)) == len(prints)


@pytest.mark.parametrize("ltscale", [1.0, 48.0])
@pytest.mark.parametrize("per_unit", [1.0, 1 / 25.4])
def test_a_dash_is_as_long_on_paper_whatever_the_drawing_says(ltscale: float, per_unit: float) -> None:
    """Dash in the file × $LTSCALE, in inches, over the plot scale: the plotted dash."""
    doc = ezdxf.new()
    doc.header["$LTSCALE"] = ltscale
    style = DraftingStyle(inches_per_unit=per_unit)
    records = prepare_records(doc, style)
    name = records.layer("")
    linetype = doc.linetypes.get(doc.layers.get(name).dxf.linetype)
    dashes = [tag.value for tag in linetype.pattern_tags.tags if tag.code == 49]
    plotted = [dash * ltscale * per_unit / 96 for dash in dashes]
    assert plotted == pytest.approx(LINETYPES["CENTER"][1])


def test_text_is_three_thirty_seconds_on_paper() -> None:
    """3/32 in. × 96 = 9 in. of elevation; at 1/4" = 1'-0" (48) it is 4 1/2 in."""
    assert DraftingStyle().text_in == 9.0
    assert DraftingStyle(plot_scale=48).text_in == 4.5


def test_a_text_style_of_the_drawing_is_used_as_it_is_when_it_is_named() -> None:
    doc = ezdxf.new("R2010")
    doc.styles.add("OFFICE", font="romans.shx")
    assert prepare_records(doc, DraftingStyle(text_style="Office")).text_style == "OFFICE"
    assert doc.styles.get("OFFICE").dxf.font == "romans.shx"
    assert "PERPEND" not in doc.styles


def test_a_text_style_that_the_drawing_lacks_is_made_with_the_font_named() -> None:
    doc = ezdxf.new("R2010")
    assert (
        prepare_records(doc, DraftingStyle(text_style="NOTES", text_font="isocp.shx")).text_style == "NOTES"
    )
    assert doc.styles.get("NOTES").dxf.font == "isocp.shx"
