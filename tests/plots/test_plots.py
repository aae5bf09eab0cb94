"""The plots in docs/plate.md: every sample, on tabloid paper, with its joints on it."""

from __future__ import annotations

import struct
from pathlib import Path

import ezdxf
import ezdxf.bbox
import pytest
from PIL import Image

from perpend import annotate
from plots.build_plots import DOTS_PER_INCH, IMAGES, ROOT, SAMPLES, plot

NAMES = sorted(
    path.stem for path in SAMPLES.glob("*.dxf") if not path.stem.endswith(("-annotated", "-checked"))
)


@pytest.mark.parametrize("name", NAMES)
def test_the_page_shows_a_tabloid_plot_of_every_sample(name: str) -> None:
    image = IMAGES / f"plot-{name}.png"
    assert f"images/{image.name}" in (ROOT / "docs" / "plate.md").read_text(encoding="utf-8")
    width, height = struct.unpack(">II", image.read_bytes()[16:24])
    assert (width, height) == (17 * DOTS_PER_INCH, 11 * DOTS_PER_INCH)


def test_a_plot_shows_ink_along_every_joint_that_the_bare_drawing_lacks(tmp_path: Path) -> None:
    """W1's joints stand at 12, 34, 56 ... 188 ft; a column of dark dots must be there and nowhere between."""
    sample, output = SAMPLES / "warehouse-north.dxf", tmp_path / "w.dxf"
    annotate(sample, output=output)
    plot(sample, tmp_path / "before.png")
    plot(output, tmp_path / "after.png")
    before, after = (Image.open(tmp_path / f"{n}.png").convert("L") for n in ("before", "after"))
    left, right, row = _wall_on_paper(sample, before)
    seen = [x for x in range(left + 3, right - 2) if _darkening(before, after, x, row) > 0.35]
    stations = sorted({round((x - left) / (right - left) * 200) for x in seen})
    joints = [12, 34, 56, 78, 100, 122, 144, 166, 188]
    assert all(any(abs(s - j) <= 1 for s in stations) for j in joints), stations
    clear = [23, 45, 111, 155, 177]
    assert not any(abs(s - c) <= 2 for s in stations for c in clear), stations


def _wall_on_paper(drawing: Path, image: Image.Image) -> tuple[int, int, int]:
    """Where W1 lies on the plot, from the drawing's own extents: left and right column, middle row."""
    extents = ezdxf.bbox.extents(ezdxf.readfile(drawing).modelspace(), fast=True)
    scale = min((image.width - 55) / extents.size.x, (image.height - 55) / extents.size.y)
    x0 = image.width / 2 - extents.center.x * scale
    y0 = image.height / 2 + extents.center.y * scale
    return round(x0 + 24000 * scale), round(x0 + 26400 * scale), round(y0 - (1200 + 120) * scale)


def _darkening(before: Image.Image, after: Image.Image, x: int, row: int) -> float:
    """How much darker a short column of the plot became, 0 to 1."""
    rows = range(row - 25, row + 25)
    change = [before.getpixel((x, y)) - after.getpixel((x, y)) for y in rows]
    return sum(change) / len(change) / 255
