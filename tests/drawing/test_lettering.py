"""Text widths: never less than those of fonts that readers use; texts spelled for TEXT."""

from __future__ import annotations

import itertools
import string
from dataclasses import replace

import pymupdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from perpend.drawing.page.sheet_page import Identity, Letters, Stroke
from perpend.drawing.page.text_blocks import Block, beside, stacked
from perpend.dxf.text_metrics import WIDTHS, plain, text_box, text_width, wrap

PRINTABLE = string.ascii_letters + string.digits + string.punctuation + " "
CAP_HEIGHT = {"helv": 0.718, "cour": 0.562, "tiro": 0.662}
"""Cap heights of the standard PDF fonts (Adobe's font metrics files)."""

SIMPLEX = {
    "A": 18,
    "E": 19,
    "I": 8,
    "J": 16,
    "M": 24,
    "O": 22,
    "T": 16,
    "W": 24,
    "0": 20,
    "-": 26,
    ".": 10,
    " ": 16,
}
"""Advances of the Roman Simplex stroke font over a cap height of 21 (Hershey's published tables)."""


def test_every_printable_letter_has_a_width() -> None:
    assert set(PRINTABLE) <= set(WIDTHS)


@pytest.mark.parametrize("font", ["helv", "tiro"])
@pytest.mark.parametrize("letter", PRINTABLE)
def test_no_letter_of_a_common_font_is_wider(letter: str, font: str) -> None:
    """Helvetica and Times, as PyMuPDF measures them."""
    size = 1 / CAP_HEIGHT[font]
    assert pymupdf.get_text_length(letter, fontname=font, fontsize=size) <= WIDTHS[letter] + 0.05


@pytest.mark.parametrize(("letter", "advance"), SIMPLEX.items())
def test_no_letter_of_the_stroke_font_is_wider(letter: str, advance: int) -> None:
    assert advance / 21 <= WIDTHS[letter] + 1e-9


def test_box_follows_alignment() -> None:
    width = text_width("CJ-1", 9.0)
    assert text_box("CJ-1", (100.0, 0.0), 9.0, "center").x0 == pytest.approx(100 - width / 2)
    assert text_box("CJ-1", (100.0, 0.0), 9.0, "right").x1 == pytest.approx(100)


@pytest.mark.parametrize(
    ("text", "spelled"),
    [
        ("0.025 in²/ft", "0.025 SQ IN./FT"),
        ("1.5 × H – “max.”", '1.5 X H - "MAX."'),
        ("Café at 45°", "CAFE AT 45 DEG"),
        ("100%%u", "100% %U"),
    ],
)
def test_signs_are_spelled_in_ascii(text: str, spelled: str) -> None:
    assert plain(text) == spelled


def test_wrapped_lines_fit_and_lose_nothing() -> None:
    text = "the licensed engineer or architect of record decides the type and the location of every joint"
    lines = wrap(text, 200.0, 9.0)
    assert len(lines) > 1
    assert all(text_width(line, 9.0) <= 200.0 for line in lines)
    assert " ".join(lines) == text


def test_no_line_of_a_paragraph_is_left_with_two_letters() -> None:
    lines = wrap(
        "FORMED PAPER JOINT; FIRE RATING: 4 H.", text_width("FORMED PAPER JOINT; FIRE RATING: 4", 9.0), 9.0
    )
    assert lines == ["FORMED PAPER JOINT; FIRE RATING:", "4 H."]


@settings(max_examples=200, deadline=None)
@given(st.lists(st.text("ilWM1.,-\"'&@ é", max_size=9), max_size=20).map(" ".join), st.integers(20, 300))
def test_lines_are_as_full_as_the_width_allows(text: str, width: int) -> None:
    """Word by word against the measure of whole lines; the last word may come down to a widow."""
    lines = wrap(text, float(width), 9.0)
    assert " ".join(lines).split() == text.split()
    for above, below in itertools.pairwise(lines[:-1]):
        assert text_width(f"{above} {below.split()[0]}", 9.0) > width
    for line in lines[:-1]:
        assert " " not in line or text_width(line, 9.0) <= width


def test_blocks_are_moved_once_however_they_are_set() -> None:
    line = Letters("NOTE", "A", (1.0, -2.0), 9.0, Identity("note"))
    rule = Stroke("NOTE", ((0.0, -3.0), (4.0, -3.0)), Identity("note"), closed=True, solid=True, linetype="X")
    single = Block((line, rule), 5.0, 4.0)
    whole = stacked([single, beside([single, single], 2.0)], 1.0)
    assert (whole.width_in, whole.height_in, whole.marks) == (12.0, 9.0, ())
    placed = whole.at((100.0, 200.0))
    corners = [(101.0, 198.0), (101.0, 193.0), (108.0, 193.0)]
    assert [piece.corner for piece in placed] == [(x - 1, y + 2) for x, y in corners]
    for piece, (x, y) in zip(placed, corners, strict=True):
        moved = replace(rule, path=((x - 1, y - 1), (x + 3, y - 1)))
        assert piece.marks == (replace(line, baseline=(x, y)), moved)


@pytest.mark.parametrize("kept", ["1.5 X H,", "(1.5 × H;", "4 H", "4 h]"])
def test_a_product_and_its_unit_stay_on_one_line(kept: str) -> None:
    for width, end in itertools.product(range(60, 400, 5), ("CAP", "CAP GOVERNS HERE")):
        lines = wrap(f"SPACING NOT OVER IT {kept} {end}", float(width), 9.0)
        assert sum(kept in line for line in lines) == 1, (width, lines)
