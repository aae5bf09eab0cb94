"""Plot every annotated sample on tabloid paper, for docs/plate.md (run ``python -m plots.build_plots``)."""

from __future__ import annotations

import tempfile
from pathlib import Path

import ezdxf
from ezdxf.addons.drawing import Frontend, RenderContext, config, layout, pymupdf

from perpend import annotate

ROOT = Path(__file__).parents[2]
SAMPLES = ROOT / "sample_drawings"
IMAGES = ROOT / "docs" / "images"
TABLOID = layout.Page(17, 11, layout.Units.inch, margins=layout.Margins.all(0.25))
DOTS_PER_INCH = 110


def plot(drawing: Path, image: Path) -> None:
    """Plot a drawing's modelspace on tabloid paper as a printer would: in black, by lineweight."""
    document = ezdxf.readfile(drawing)
    backend = pymupdf.PyMuPdfBackend()
    looks = config.Configuration(
        background_policy=config.BackgroundPolicy.WHITE, color_policy=config.ColorPolicy.BLACK
    )
    context = RenderContext(document, export_mode=True)  # layers that do not plot are left out
    Frontend(context, backend, config=looks).draw_layout(document.modelspace())
    image.write_bytes(backend.get_pixmap_bytes(TABLOID, fmt="png", dpi=DOTS_PER_INCH))


def build_all(folder: Path) -> list[Path]:
    """Annotate and plot every sample; return the pictures."""
    plotted = []
    with tempfile.TemporaryDirectory() as scratch:
        for sample in sorted(SAMPLES.glob("*.dxf")):
            if sample.stem.endswith(("-annotated", "-checked")):
                continue
            output = Path(scratch) / sample.name
            annotate(sample, output=output)
            image = folder / f"plot-{sample.stem}.png"
            plot(output, image)
            plotted.append(image)
    return plotted


if __name__ == "__main__":
    for path in build_all(IMAGES):
        print(path.relative_to(ROOT))
