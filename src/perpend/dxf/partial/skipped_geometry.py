"""What records show that were kept from ezdxf: the same pieces and boxes as of entities, from raw numbers."""

from __future__ import annotations

import itertools
from array import array
from typing import TYPE_CHECKING

import numpy as np
from ezdxf.entities.ellipse import Ellipse
from ezdxf.tools.text import fast_plain_mtext, plain_text

from perpend.dxf.flat_pieces import ARC_PIECES, arcs_at, around, bulged, chain
from perpend.dxf.text_extents import line_corners, paragraph_corners, placed

if TYPE_CHECKING:
    from perpend.dxf.partial.record_geometry import Shown


def curves_of(shown: Shown) -> array[float]:
    """Return the straight pieces of curves."""
    lines = array("d")
    arcs = np.array(shown.arcs).reshape(-1, 5)
    shapes, which = np.unique(arcs[:, 2:], axis=0, return_inverse=True)
    order = np.argsort(which, kind="stable")
    centers = np.split(arcs[order, :2], np.cumsum(np.bincount(which, minlength=len(shapes)))[:-1])
    for (radius, start, end), alike in zip(shapes.tolist(), centers, strict=False):
        lines.frombytes(arcs_at(alike, radius, start, end))
    for rows, closed in shown.bulged:
        lines.extend(bulged(rows, closed))
    for attributes in shown.ellipses:
        ellipse = Ellipse.new(dxfattribs=attributes)
        lines.extend(chain(ellipse.vertices(ellipse.params(ARC_PIECES))))
    return lines


def areas_of(shown: Shown) -> array[float]:
    """Return the corners of the boxes around hatches and solids."""
    areas, boxes = array("d"), shown.boxes
    for i in range(0, len(boxes), 4):
        areas.extend(around((boxes[i : i + 2], boxes[i + 2 : i + 4])))
    return areas


def quads_of(shown: Shown, *, hidden: bool) -> array[float]:
    """Return the corners of texts; attributes are hidden with the reference they go with."""
    quads = array("d")
    for text in itertools.chain(shown.texts, () if hidden else shown.attributes):
        corners, place = line_corners(line_text(text.text), *text[1:])
        quads.extend(placed(corners, place))
    for paragraph in shown.paragraphs:
        corners = paragraph_corners(paragraph_lines(paragraph.text), *paragraph[1:-1])
        quads.extend(placed(corners, paragraph.insert))
    return quads


def line_text(text: str) -> str:
    """Return what a line of text says, without control codes."""
    return plain_text(text) if "%%" in text else text


def paragraph_lines(text: str) -> list[str]:
    r"""Return what a paragraph says, line by line, without formatting.

    One that has nothing but line ends (``\\P``) in it is quickly cut.
    """
    if text.count("\\") == text.count("\\P") and not any(sign in text for sign in "{}^%"):
        return text.split("\\P")
    return list(fast_plain_mtext(text, split=True))
