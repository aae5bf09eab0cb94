"""Small pieces of SVG: elements with escaped texts and short numbers.

Glossary:
    unit: one user unit of the drawing, which is one CSS pixel at full size.
"""

from __future__ import annotations

import html
from collections.abc import Iterable

from perpend.model import Point

Attribute = str | float | int | None


def element(name: str, *children: str, **attributes: Attribute) -> str:
    """Return an element.

    Args:
        name: such as ``line``.
        children: markup, already escaped.
        attributes: an underscore in a name becomes a hyphen, one at its end is dropped (``class_``);
            None leaves the attribute out.
    """
    written = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{_value(value)}"'
        for key, value in attributes.items()
        if value is not None
    )
    inside = "".join(children)
    return f"<{name}{written}>{inside}</{name}>" if inside else f"<{name}{written}/>"


def group(children: Iterable[str], **attributes: Attribute) -> str:
    """Return a group of elements, or nothing when it would be empty."""
    inside = "".join(children)
    return element("g", inside, **attributes) if inside else ""


def letters(text: str, at: Point, *, turned: bool = False, **attributes: Attribute) -> str:
    """Return a text, centered on a point unless the class says otherwise.

    Args:
        text: as read; it is escaped here.
        at: its place, units.
        turned: read from the right, for places too narrow to read across.
        attributes: as of `element`.
    """
    x, y = (number(v) for v in at)
    turn = f"rotate(-90 {x} {y})" if turned else None
    return element("text", html.escape(text), x=x, y=y, transform=turn, **attributes)


def line(a: Point, b: Point, **attributes: Attribute) -> str:
    """Return a straight line."""
    return element("line", x1=a[0], y1=a[1], x2=b[0], y2=b[1], **attributes)


def polyline(points: Iterable[Point], **attributes: Attribute) -> str:
    """Return an open line through some points."""
    return element("polyline", points=point_list(points), **attributes)


def polygon(points: Iterable[Point], **attributes: Attribute) -> str:
    """Return a closed shape."""
    return element("polygon", points=point_list(points), **attributes)


def rectangle(a: Point, b: Point, **attributes: Attribute) -> str:
    """Return the rectangle between two opposite corners, in any order."""
    (x0, x1), (y0, y1) = sorted((a[0], b[0])), sorted((a[1], b[1]))
    return element("rect", x=x0, y=y0, width=x1 - x0, height=y1 - y0, **attributes)


def point_list(points: Iterable[Point]) -> str:
    """Return points as SVG writes them."""
    return " ".join(f"{number(x)},{number(y)}" for x, y in points)


def number(value: float) -> str:
    """Return a coordinate with two decimals at most, without trailing zeros."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _value(value: str | float) -> str:
    return html.escape(value) if isinstance(value, str) else number(value)
