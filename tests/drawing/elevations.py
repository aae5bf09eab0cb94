"""Random elevations: walls with up to 40 openings, drafters' texts, dimensions and a sheet around them."""

from __future__ import annotations

import math
import random

import ezdxf
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment

from perpend.layout import plan_wall
from perpend.model import Box, Frame, Opening, Profile, Treatment, Wall, WallPlan
from perpend.rulebook import load_rulebook
from perpend.settings import Settings, resolve_wall

BOOK = load_rulebook("us-cmu")
SETTINGS = Settings()
_HOW_MANY = (0, 0, 1, 1, 1, 2, 2, 2, 3, 3, 3, 4, 4, 5, 5, 6, 7, 8, 10, 12, 15, 40)


def random_wall(rng: random.Random, tag: str, x0: float, y0: float) -> Wall:
    """A wall on the half-unit module, 5 to 30 ft high, with up to 40 openings side by side."""
    height = 8.0 * rng.randint(7, 45)
    openings = []
    x = 8.0 * rng.randint(3, 40)
    for index in range(rng.choice(_HOW_MANY)):
        width = 8.0 * rng.randint(3, 20)
        sill = rng.choice((0.0, 0.0, 24.0, 32.0, 40.0))
        head = min(sill + 8.0 * rng.randint(4, 12), height - 16.0)
        if head - sill >= 24.0:
            treatment = rng.choice((Treatment.REINFORCED, Treatment.UNREINFORCED))
            openings.append(Opening(f"N{index + 1}", "B", Box(x, sill, x + width, head), treatment=treatment))
            x += width
        x += 8.0 * rng.randint(6, 40)
    length = x + 8.0 * rng.randint(6, 60)
    return Wall(
        tag,
        "A",
        length,
        Profile.level(height, 0.0, length),
        Profile.level(0.0, 0.0, length),
        Frame((x0, y0)),
        tuple(openings),
        layer="A-ELEV-WALL",
    )


def random_elevation(seed: int) -> tuple[Drawing, list[WallPlan]]:
    """One to three walls with what an office has around them."""
    rng = random.Random(seed)
    doc = ezdxf.new("R2010")
    for layer in ("A-ELEV-WALL", "A-ELEV-OPNG", "A-ELEV-GRAD", "A-ANNO-KEYN", "A-GRID"):
        doc.layers.add(layer)
    plans, y = [], 0.0
    for number in range(rng.choice((1, 1, 1, 2))):
        wall = random_wall(rng, f"W{number + 1}", 0.0, y)
        _draw(doc, wall, rng)
        plans.append(_plan(wall))
        y -= wall.height_in + rng.randint(150, 600)
    extras = random.Random(seed + 1000)
    for plan in plans:
        _add_office_things(doc, plan.wall, extras)
    if rng.random() < 0.5:
        width = max(plan.wall.length_in for plan in plans) + 1500
        doc.modelspace().add_lwpolyline(
            [(-700, y - 500), (width, y - 500), (width, 1200), (-700, 1200)], close=True
        )
    return doc, plans


def _plan(wall: Wall) -> WallPlan:
    return plan_wall(resolve_wall(SETTINGS, BOOK, wall))


def _draw(doc: Drawing, wall: Wall, rng: random.Random) -> None:
    msp, (x0, y0) = doc.modelspace(), wall.frame.origin
    length, height = wall.length_in, wall.height_in
    box = [(x0, y0), (x0 + length, y0), (x0 + length, y0 + height), (x0, y0 + height)]
    msp.add_lwpolyline(box, close=True, dxfattribs={"layer": "A-ELEV-WALL"})
    msp.add_line((x0 - 60, y0), (x0 + length + 60, y0), dxfattribs={"layer": "A-ELEV-GRAD"})
    for opening in wall.openings:
        b = opening.box
        ring = [(x0 + x, y0 + y) for x, y in ((b.x0, b.y0), (b.x1, b.y0), (b.x1, b.y1), (b.x0, b.y1))]
        msp.add_lwpolyline(ring, close=True, dxfattribs={"layer": "A-ELEV-OPNG"})
        msp.add_text(opening.tag, height=9).set_placement((x0 + b.x0 + 4, y0 + b.y0 + 4))
    for _ in range(rng.randint(0, 12)):
        words = rng.choice(
            ("CONCRETE MASONRY", "PAINT P-2", "T.O. WALL", "ALIGN", "SEE 4/A-501", "MATCH ADJACENT")
        )
        place = (x0 + rng.uniform(-100, length), y0 + rng.uniform(-120, height + 120))
        msp.add_text(
            words,
            height=rng.choice((6.0, 9.0, 12.0)),
            rotation=rng.choice((0, 0, 0, 90)),
            dxfattribs={"insert": place},
        )
    for _ in range(rng.randint(0, 3)):
        place = (x0 + rng.uniform(0, length), y0 + height + rng.uniform(20, 100))
        msp.add_mtext("PREFINISHED COPING\\PTYPICAL", dxfattribs={"char_height": 9.0, "insert": place})
    if rng.random() < 0.7:
        base = y0 - rng.uniform(30, 110)
        step = length / rng.randint(1, 6)
        for k in range(round(length / step)):
            msp.add_linear_dim(
                (0, base),
                (x0 + k * step, y0),
                (x0 + (k + 1) * step, y0),
                override={"dimtxt": 9.0, "dimexe": 4.0, "dimexo": 6.0},
            ).render()


def _add_office_things(doc: Drawing, wall: Wall, rng: random.Random) -> None:
    """Grid lines with bubbles, keynotes, tags in circles, and a title with a frame."""
    msp, (x0, y0) = doc.modelspace(), wall.frame.origin
    if rng.random() < 0.6:
        bays, top = rng.randint(1, 5), y0 + wall.height_in + rng.uniform(60, 160)
        for i in range(bays + 1):
            x = x0 + wall.length_in * i / bays
            msp.add_line((x, y0 - 20), (x, top), dxfattribs={"layer": "A-GRID"})
            msp.add_circle((x, top + 16), 16, dxfattribs={"layer": "A-GRID"})
            letter = msp.add_text(chr(65 + i), height=9, dxfattribs={"layer": "A-GRID"})
            letter.set_placement((x, top + 16), align=TextEntityAlignment.MIDDLE_CENTER)
    for i in range(rng.randint(0, 4)):
        x, y = x0 + rng.uniform(0, wall.length_in), y0 + wall.height_in * rng.uniform(0.1, 1.4)
        ring = [(x + 12 * math.cos(math.pi / 3 * k), y + 12 * math.sin(math.pi / 3 * k)) for k in range(6)]
        msp.add_lwpolyline(ring, close=True, dxfattribs={"layer": "A-ANNO-KEYN"})
        number = msp.add_text(str(i + 1), height=8, dxfattribs={"layer": "A-ANNO-KEYN"})
        number.set_placement((x, y), align=TextEntityAlignment.MIDDLE_CENTER)
    for opening in wall.openings[::3]:
        center = (x0 + opening.box.center[0], y0 + opening.box.y1 + 22)
        msp.add_circle(center, 9, dxfattribs={"layer": "A-ANNO-KEYN"})
        mark = msp.add_text("7", height=8, dxfattribs={"layer": "A-ANNO-KEYN"})
        mark.set_placement(center, align=TextEntityAlignment.MIDDLE_CENTER)
    if rng.random() < 0.5:
        x, y = x0 + wall.length_in + 300, y0 - 100
        msp.add_lwpolyline([(x, y), (x + 300, y), (x + 300, y + 150), (x, y + 150)], close=True)
        msp.add_text("ELEVATION", height=14, dxfattribs={"insert": (x + 12, y + 60)})
