"""The curve of docs/benchmarks.md as an SVG: ``python -m tests.benchmarks.curve_picture``.

The figures are those of the page's table; both axes are logarithmic.
"""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Final

DOCS: Final = Path(__file__).parents[2] / "docs"
PAGE: Final = DOCS / "benchmarks.md"
PICTURE: Final = DOCS / "images" / "benchmark-curve.svg"
_HEADING: Final = "### Every command, from 1,000 to 1,000,000 entities"
_SHOWN: Final = {
    "`annotate`": ("#c00000", ""),
    "again": ("#c00000", "6 4"),
    "`check`": ("#1f5fa8", ""),
    "`layers`": ("#1f5fa8", "6 4"),
    "`--clean`": ("#1f5fa8", "2 3"),
    "load + save": ("#404040", ""),
    "`ogr2ogr`": ("#808080", "6 4"),
    "copy": ("#808080", "2 3"),
}
"""Columns that are drawn, each with its color and the dashes of its line."""
_LEFT, _TOP, _WIDE, _HIGH = 70.0, 20.0, 520.0, 360.0
_SIZES, _SECONDS = (1e3, 1e6), (1e-3, 1e3)


def curves(page: str) -> dict[str, list[tuple[float, float]]]:
    """Return (entities, seconds) for every column of the table that holds seconds."""
    table = page.split(_HEADING, 1)[1]
    rows = [
        [cell.strip() for cell in row.strip("|").split("|")] for row in re.findall(r"^\|.*\|$", table, re.M)
    ]
    names = rows[0]
    found: dict[str, list[tuple[float, float]]] = {}
    for row in rows[2:]:
        size = row[0].replace(",", "")
        if not size.isdigit():
            break
        for name, cell in zip(names, row, strict=True):
            if name in _SHOWN and re.fullmatch(r"[\d.]+", cell):
                found.setdefault(name, []).append((float(size), float(cell)))
    return found


def _at(size: float, seconds: float) -> tuple[float, float]:
    (x0, x1), (y0, y1) = (tuple(map(math.log10, pair)) for pair in (_SIZES, _SECONDS))
    x = _LEFT + _WIDE * (math.log10(size) - x0) / (x1 - x0)
    return x, _TOP + _HIGH * (y1 - math.log10(seconds)) / (y1 - y0)


def picture(found: dict[str, list[tuple[float, float]]]) -> str:
    """Return the SVG."""
    lines = [
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 760 440" font-family="sans-serif"'
        ' font-size="13">',
        "<title>Processor seconds of each command by the number of entities</title>",
        '<rect width="760" height="440" fill="#ffffff"/>',
    ]
    for power in range(3, 7):
        x, _ = _at(10.0**power, 1.0)
        lines.append(f'<path d="M{x:.1f} {_TOP}V{_TOP + _HIGH}" stroke="#dddddd"/>')
        lines.append(f'<text x="{x:.1f}" y="{_TOP + _HIGH + 20}" text-anchor="middle">{10**power:,}</text>')
    for power in range(-3, 4):
        _, y = _at(1e3, 10.0**power)
        lines.append(f'<path d="M{_LEFT} {y:.1f}H{_LEFT + _WIDE}" stroke="#dddddd"/>')
        lines.append(f'<text x="{_LEFT - 8}" y="{y + 4:.1f}" text-anchor="end">{10.0**power:g} s</text>')
    lines.append(
        f'<text x="{_LEFT + _WIDE / 2}" y="{_TOP + _HIGH + 45}" text-anchor="middle">entities</text>'
    )
    ends = sorted((_at(*points[-1])[1], name) for name, points in found.items())
    label = -math.inf
    for y, name in ends:
        label = max(y + 4, label + 16)
        color, dashes = _SHOWN[name]
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in (_at(*point) for point in found[name]))
        dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
        lines.append(f'<polyline points="{path}" fill="none" stroke="{color}" stroke-width="2"{dashed}/>')
        x = _LEFT + _WIDE + 8
        lines.append(f'<text x="{x}" y="{label:.1f}" fill="{color}">{name.strip("`")}</text>')
    return "\n".join([*lines, "</svg>", ""])


if __name__ == "__main__":
    PICTURE.write_text(picture(curves(PAGE.read_text(encoding="utf-8"))), encoding="utf-8")
