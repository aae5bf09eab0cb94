"""Whatever else stands on a sheet: all that may be left out of the loading, and some that may not."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any, Final

from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts.base import BaseLayout

LAYERS: Final = ("A-DETL", "A-HIDE", "A-FURN SET", "0")
ROUNDS: Final = 4
Look = dict[str, Any]
Place = tuple[float, float]
Size = tuple[float, float]


def add_clutter(doc: Drawing, seed: int = 7, rounds: int = ROUNDS) -> None:
    """Draw things of every kind over the extents of the drawing and around them, near and far."""
    chance = random.Random(seed)
    for name in (*LAYERS, "Defpoints"):
        if name not in doc.layers:
            doc.layers.add(name)
    doc.layers.get("A-HIDE").off()
    if "OFFICE" not in doc.appids:
        doc.appids.add("OFFICE")
    _add_blocks(doc)
    msp = doc.modelspace()
    for i in range(rounds):
        for k, draw in enumerate(KINDS):
            far = (i + k) % 5 == 4
            reach = 40_000.0 if far else 2_000.0
            place = chance.uniform(-reach / 2, reach), chance.uniform(-reach / 4, reach / 2)
            size = chance.uniform(-90, 90), chance.uniform(-90, 90)
            look = {"layer": LAYERS[(i + k) % 4], "color": i % 3 or 256}
            before = len(msp)
            draw(msp, place, size, look)
            if i % 3 == 1:
                for entity in list(msp)[before:]:
                    entity.set_xdata("OFFICE", [(1000, "mind me"), (1010, (1, 2, 3)), (1040, 2.5), (1070, 7)])
            if i % 3 == 2:
                for entity in list(msp)[before:]:
                    entity.append_reactor_handle(msp.layout_key)
                    entity.new_extension_dict()
    doc.groups.new("CLUTTER").extend(list(msp)[-40:])


def _add_blocks(doc: Drawing) -> None:
    inner = doc.blocks.new("CLUTTER INNER", base_point=(3, 1))
    inner.add_line((0, 0), (30, 12))
    inner.add_circle((8, 8), 6, dxfattribs={"layer": "A-DETL"})
    outer = doc.blocks.new("CLUTTER-OUTER")
    outer.add_lwpolyline([(0, 0, 0.4), (20, 0, 0), (20, 30, -0.2)], format="xyb", close=True)
    outer.add_hatch().paths.add_polyline_path([(0, 0), (9, 0), (9, 9)])
    outer.add_blockref("Clutter Inner", (10, 10), dxfattribs={"rotation": 33, "xscale": 0.5})
    texts = doc.blocks.new("CLUTTER-TEXT")
    texts.add_text("IN A BLOCK", height=4)
    marked = doc.blocks.new("CLUTTER-ATTRIB")
    marked.add_circle((0, 0), 10)
    marked.add_attdef("NO", (0, 0), height=4)
    door = doc.blocks.new("CLUTTER DOOR")
    door.add_lwpolyline([(0, 0), (5, 0), (5, 5), (0, 5)], close=True)


def _line(msp: BaseLayout, at: Place, size: Size, look: Look) -> None:
    msp.add_line(at, (at[0] + size[0], at[1] + (size[1] if size[0] > 0 else 0)), dxfattribs=look)


def _polyline(msp: BaseLayout, at: Place, size: Size, look: Look) -> None:
    x, y = at
    msp.add_lwpolyline([(x, y), (x + size[0], y), (x, y + size[1])], close=size[0] > 0, dxfattribs=look)


def _bulged(msp: BaseLayout, at: Place, size: Size, look: Look) -> None:
    x, y = at
    corners = [(x, y, 0.4), (x + size[0], y, 0), (x, y + size[1], -0.7)]
    msp.add_lwpolyline(corners, format="xyb", close=size[0] > 0, dxfattribs=look)


def _arc(msp: BaseLayout, at: Place, size: Size, look: Look) -> None:
    msp.add_arc(at, abs(size[0]) + 1, size[0], size[1], dxfattribs=look)


def _circle(msp: BaseLayout, at: Place, size: Size, look: Look) -> None:
    msp.add_circle(at, abs(size[1]) + 1, dxfattribs=look)


def _hatch(msp: BaseLayout, at: Place, size: Size, look: Look) -> None:
    x, y = at
    hatch = msp.add_hatch(dxfattribs=look)
    hatch.set_pattern_fill("ANSI37", scale=3)
    hatch.paths.add_polyline_path([(x, y), (x + size[0], y, 0.3), (x, y + size[1])])
    hatch.paths.add_polyline_path([(x, y), (x + 1, y), (x, y + 1)], flags=16)


def _edged(msp: BaseLayout, at: Place, size: Size, look: Look) -> None:
    x, y = at
    edges = msp.add_hatch(dxfattribs=look).paths.add_edge_path()
    edges.add_line((x, y), (x + size[0], y))
    edges.add_arc((x + size[0] / 2, y), abs(size[0]) / 2, 0, 180)
    edges.add_ellipse((x, y), (5, 0), 0.5, 0, 90)


def _splined(msp: BaseLayout, at: Place, size: Size, look: Look) -> None:
    x, y = at
    edges = msp.add_hatch(dxfattribs=look).paths.add_edge_path()
    edges.add_line((x, y), (x + size[0], y))
    edges.add_spline(
        control_points=[(x, y), (x, y + size[1]), (x + size[0], y)], degree=2, knot_values=[0] * 6
    )


def _solid(msp: BaseLayout, at: Place, size: Size, look: Look) -> None:
    x, y = at
    msp.add_solid([(x, y), (x + size[0], y), (x, y + size[1]), at], dxfattribs=look)
    msp.add_3dface([(x, y), (x - size[0], y), (x, y - size[1]), at], dxfattribs=look)


def _point(msp: BaseLayout, at: Place, _: Size, look: Look) -> None:
    msp.add_point(at, dxfattribs=look)


def _spline(msp: BaseLayout, at: Place, size: Size, look: Look) -> None:
    x, y = at
    points = [(x, y), (x + size[0], y + 5), (x + 20, y + size[1]), (x + 30, y)]
    msp.add_open_spline(points, dxfattribs=look)
    msp.add_spline(points[:3], dxfattribs=look)
    msp.add_rational_spline(points, [1, 2, 3, 1], dxfattribs=look)


def _ellipse(msp: BaseLayout, at: Place, size: Size, look: Look) -> None:
    msp.add_ellipse(at, (size[0], size[1]), 0.4, 0.5, 4, dxfattribs=look)


def _leader(msp: BaseLayout, at: Place, size: Size, look: Look) -> None:
    x, y = at
    msp.add_leader([(x, y), (x + size[0], y), (x + size[0], y + size[1])], dxfattribs=look)


def _old_polyline(msp: BaseLayout, at: Place, size: Size, look: Look) -> None:
    x, y = at
    msp.add_polyline2d([(x, y), (x + size[0], y), (x, y + size[1])], close=size[0] > 0, dxfattribs=look)


def _text(msp: BaseLayout, at: Place, size: Size, look: Look) -> None:
    texts = ("NOTE %%d", "FREE END", "REINF", "W7", "A LONG LINE OF WORDS \\ {x}", "1'-0\"", "Möbel", " ")
    pick = int(abs(size[0]) * 7)
    text = msp.add_text(
        texts[pick % len(texts)], height=5 + pick % 7, rotation=size[1] * (pick % 2), dxfattribs=look
    )
    text.dxf.width = 0.8 + pick % 3
    aligned = list(TextEntityAlignment)[pick % len(TextEntityAlignment)]
    text.set_placement(at, (at[0] + size[0], at[1] + size[1]), align=aligned)


def _paragraph(msp: BaseLayout, at: Place, size: Size, look: Look) -> None:
    pick = int(abs(size[1]) * 7)
    texts = (
        "PLAIN",
        "TWO\\PLINES",
        "{\\fArial|b1;BOLD} x^2 %%d",
        "A\\\\Path",
        "LONG " * 60,
        "W9\\PSEE SHEET 3",
        "ä\\~ö",
    )
    how = {"char_height": 4 + pick % 5, "width": 40 * (pick % 3), "attachment_point": 1 + pick % 9}
    msp.add_mtext(
        texts[pick % len(texts)], dxfattribs={**look, **how, "insert": at, "rotation": size[0] * (pick % 2)}
    )


def _reference(msp: BaseLayout, at: Place, size: Size, look: Look) -> None:
    scales = {"xscale": size[0] / 40, "yscale": size[1] / 30, "rotation": size[1]}
    msp.add_blockref("CLUTTER-OUTER", at, dxfattribs={**look, **scales})
    msp.add_blockref("clutter inner", at, dxfattribs=look)
    msp.add_blockref("CLUTTER INNER", at, dxfattribs={**look, "extrusion": (0, 0, -1)})
    msp.add_blockref("CLUTTER INNER", at, dxfattribs={**look, "row_count": 2, "row_spacing": 30})


def _marked(msp: BaseLayout, at: Place, size: Size, look: Look) -> None:
    msp.add_blockref("CLUTTER-TEXT", at, dxfattribs=look)
    msp.add_blockref("CLUTTER-ATTRIB", at, dxfattribs=look).add_auto_attribs({"NO": f"D{int(abs(size[0]))}"})


def _dimension(msp: BaseLayout, at: Place, size: Size, look: Look) -> None:
    x, y = at
    msp.add_linear_dim((x, y + size[1]), (x, y), (x + size[0], y), angle=0, dxfattribs=look).render()
    msp.add_aligned_dim((x, y), (x + size[0], y + size[1]), 12, dxfattribs=look).render()
    msp.add_radius_dim((x, y), radius=abs(size[0]) + 5, angle=30, dxfattribs=look).render()
    override = {"dimblk": "DOT", "dimtxt": 6, "dimpost": "<> CLR"}
    msp.add_linear_dim((x, y - 30), (x, y), (x + 60, y), override=override, dxfattribs=look).render()


KINDS: Final[tuple[Callable[[BaseLayout, Place, Size, Look], None], ...]] = (
    _line,
    _hatch,
    _reference,
    _dimension,
    _text,
    _paragraph,
    _spline,
    _bulged,
    _line,
    _polyline,
    _arc,
    _circle,
    _edged,
    _splined,
    _solid,
    _point,
    _ellipse,
    _leader,
    _old_polyline,
    _text,
    _paragraph,
    _marked,
    _text,
    _paragraph,
)
