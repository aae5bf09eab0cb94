"""Horizontal steel in the masonry below and above strip windows that is too low for joints of its own."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from perpend.model import OpeningRule, Wall
from perpend.rulebook.judgment import Judgment
from perpend.rulebook.no_joint_steel import is_enough
from perpend.rulebook.rule_book import RuleBook, value
from perpend.rulebook.strip_pieces import StripPiece, strip_pieces
from perpend.rulebook.wall_basis import SpacingRule
from perpend.rulebook.wall_section import SteelChoices, bar_area_in2, section_of
from perpend.units import SAME_IN, falls_short


def strip_masonry(
    book: RuleBook,
    wall: Wall,
    rules: Sequence[OpeningRule],
    judged: Judgment,
    spacing: SpacingRule,
    choices: SteelChoices,
) -> tuple[StripPiece, ...]:
    """Return the masonry below and above strip windows, with bond beams where joints would be near others.

    A veneer holds no bond beams, nor does a piece in which they do not fit: their joints stay.

    Args:
        book: the rule book.
        wall: the wall.
        rules: what is required of its openings.
        judged: from which opening, and below which spacing.
        spacing: how far apart joints may be.
        choices: what the settings say of the section and its steel.
    """
    pieces = strip_pieces(wall, rules, judged)
    if not judged.strip_steel_under_in or spacing.method == "veneer" or book.first("no-joint-steel") is None:
        return pieces
    return tuple(_with_beams(book, piece, spacing, judged.strip_steel_under_in, choices) for piece in pieces)


def _with_beams(
    book: RuleBook, piece: StripPiece, spacing: SpacingRule, under_in: float, choices: SteelChoices
) -> StripPiece:
    height, limit = piece.box.height, spacing.at(piece.box.height).max_spacing_in
    if limit is None or not falls_short(limit, under_in) or not falls_short(limit, piece.box.width):
        return piece
    rule, section = book.need("no-joint-steel"), section_of(book, choices)
    bar = choices.bar or book.need("wall-assumed").says["bar"]
    most = math.floor((piece.y1_in - piece.y0_in) / value(rule, "step") + SAME_IN)
    fewest = max(1, math.ceil(height / value(rule, "at_most") - SAME_IN))
    area, ratio = bar_area_in2(book, bar), value(rule, "steel_ratio")
    needed = ((n, ratio * section.net_area_in2(height, n)) for n in range(fewest, most + 1))
    count = next((n for n, required in needed if is_enough(n * area, required)), 0)
    levels = tuple(piece.y1_in - (n + 0.5) * value(rule, "step") for n in range(count))
    return replace(piece, beams_in=levels, bar=bar)
