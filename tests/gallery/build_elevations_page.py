"""Write docs/elevations.md and its pictures: ``python -m gallery.build_elevations_page`` in ``tests``.

The pictures are drawn from the output drawings alone: outlines and openings in black, joints in red, slip
planes and lintels in blue, bars in green, and what else was drawn in gray.
"""

from __future__ import annotations

import tempfile
import textwrap
from pathlib import Path

import ezdxf
from PIL import Image, ImageDraw

from gallery.drafting_plates import Plate
from gallery.plates import PLATES
from gallery.run_plates import Outcome, run

DOCS = Path(__file__).parents[2] / "docs"
PAGE = DOCS / "elevations.md"
WIDTH, MARGIN, SCALE = 720, 14, 2
COLORS = (
    ("A-ELEV-WALL", (20, 20, 20), 2),
    ("A-ELEV-OPNG", (20, 20, 20), 1),
    ("A-ELEV-JNTC-LINT", (60, 110, 190), 1),
    ("A-ELEV-JNTC-SLIP", (60, 110, 190), 3),
    ("A-ELEV-JNTC-STEL", (70, 150, 80), 1),
    ("A-ELEV-JNTC", (200, 20, 30), 3),
)
OTHERS = (
    "A-ELEV-PILR",
    "A-ELEV-SUPT",
    "A-ELEV-INTS",
    "A-ELEV-BRNG",
    "A-ELEV-NOJT",
    "A-ELEV-SHLF",
    "A-ELEV-THCK",
)
GRAY = (165, 165, 165)


def picture(plate: Plate, drawing: Path) -> Image.Image:
    """Return a picture of the walls of an output drawing."""
    xs = [x for _, ring in plate.walls for x, _ in ring]
    ys = [y for _, ring in plate.walls for _, y in ring]
    ys += [y for h in plate.holes for y in (h.y0, h.y1)]
    unit = SCALE * (WIDTH - 2 * MARGIN) / max(max(xs) - min(xs), 480.0)
    height = int((max(ys) - min(ys)) * unit) + 2 * SCALE * MARGIN
    image = Image.new("RGB", (SCALE * WIDTH, height), "white")
    pen = ImageDraw.Draw(image)

    def at(x: float, y: float) -> tuple[float, float]:
        return (SCALE * MARGIN + (x - min(xs)) * unit, height - SCALE * MARGIN - (y - min(ys)) * unit)

    for entity in ezdxf.readfile(drawing).modelspace():
        style = style_of(entity.dxf.layer)
        if style is None or entity.dxftype() not in ("LINE", "LWPOLYLINE"):
            continue
        points = [at(x, y) for x, y in _points(entity)]
        if all(-20 <= x <= SCALE * WIDTH + 20 and -20 <= y <= height + 20 for x, y in points):
            pen.line(points, fill=style[0], width=style[1] * SCALE // 2 + 1)
    small = image.resize((WIDTH, height // SCALE), Image.Resampling.LANCZOS)
    return small.quantize(24, Image.Quantize.MAXCOVERAGE)


def _points(entity: ezdxf.entities.DXFEntity) -> list[tuple[float, float]]:
    from ezdxf import path

    return [(p.x, p.y) for p in path.make_path(entity).flattening(0.1)]


def style_of(layer: str) -> tuple[tuple[int, int, int], int] | None:
    """Return the color and the weight of a layer, or None for what is left out."""
    if layer in OTHERS or layer == "A-ELEV-EXPJ":
        return GRAY, 2
    bare = layer.removesuffix("-2").removesuffix("-REIN").removesuffix("-UNRE")
    return next(((color, weight) for name, color, weight in COLORS if bare == name), None)


INTRO = """\
Made by `python -m gallery.build_elevations_page` (in `tests`); `tests/gallery` asserts on each plate what must
and what must not hold, with places, on the output drawing alone. All walls are invented. Red: joints; blue:
lintels and slip planes; green: bars. A layout is an aid, not a design: local codes and the licensed
professional of record decide; lintels, jamb steel and shear walls need structural design."""  # noqa: E501


def page(outcomes: list[Outcome]) -> str:
    """Return docs/elevations.md."""
    lines = [
        "# Elevations, looked at as an engineer of record does",
        "",
        INTRO,
        "",
    ]
    for outcome in outcomes:
        plate = outcome.plate
        said = ", ".join(f"`{code}`" for code in sorted(set(outcome.codes)))
        lines += [f"## {plate.title}", "", f"{plate.point}{f' Reported: {said}.' if said else ''}", ""]
        lines += [f"![{plate.title}](images/elevation-{plate.name}.png)", ""]
        if plate.settings:
            lines += ["```toml", plate.settings.strip(), "```", ""]
    return "\n".join(part for line in lines for part in _wrapped(line))


def _wrapped(line: str) -> list[str]:
    """Break a line of prose where a reader likes it; pictures, settings and headings stay whole."""
    whole = line.startswith(("![", "#", "```", "[")) or "\n" in line or "=" in line
    return [line] if whole or not line else textwrap.wrap(line, 112, break_long_words=False)


def main() -> None:
    """Run every plate and write page and pictures."""
    outcomes = []
    with tempfile.TemporaryDirectory() as folder:
        for plate in PLATES:
            outcomes.append(run(plate, Path(folder)))
            target = DOCS / "images" / f"elevation-{plate.name}.png"
            picture(plate, Path(folder) / f"{plate.name}-annotated.dxf").save(target, optimize=True)
    PAGE.write_text(page(outcomes), encoding="utf-8")


if __name__ == "__main__":
    main()
