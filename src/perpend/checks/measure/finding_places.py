"""Where the marks of findings stand, how heights are told, and which sources an opening's cite."""

from __future__ import annotations

from perpend.checks.measure.judged_wall import JudgedWall
from perpend.model import OpeningRule, Point, Source
from perpend.wording import listed as listed


def opening_source(rule: OpeningRule, *rows: str) -> Source | None:
    """Return the first source of an opening whose row begins with one of some names, else its first."""
    for row in rows:
        for source in rule.sources:
            if source.row.startswith(row):
                return source
    return next(iter(rule.sources), None)


def head(rule: OpeningRule) -> tuple[Point, Point]:
    """Return the two upper corners of an opening, where marks are put."""
    box = rule.opening.box
    return ((box.x0, box.y1), (box.x1, box.y1))


def above_bottom(wall: JudgedWall, x_in: float, y_in: float) -> str:
    """Tell a height for a sentence, measured from the wall's bottom at a station: no station is told so."""
    return f"{wall.at(y_in - max(wall.basis.wall.bottom.at(x_in)))} above the bottom"
