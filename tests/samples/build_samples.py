"""Draws the sample drawings of the invented produce depot.

Run from the repository's top folder::

    .venv/bin/python -m tests.samples.build_samples [FOLDER]

It writes every sheet of the scenario into FOLDER (default ``sample_drawings``), the same on every run.
"""

from __future__ import annotations

import sys
from pathlib import Path

import ezdxf
from ezdxf.document import Drawing

from .drafting import new_document
from .elevations import draw_view
from .scenario import PLOT_SCALE, SHEETS, Sheet
from .sheets import draw_sheet

DEFAULT_FOLDER = Path(__file__).resolve().parents[2] / "sample_drawings"


def build_sheet(sheet: Sheet) -> Drawing:
    """Return one sheet as a drawing in memory."""
    doc = new_document()
    msp = doc.modelspace()
    draw_sheet(doc, sheet)
    for view in sheet.views:
        draw_view(msp, view)
    x0, y0 = sheet.corner
    x1, y1 = x0 + sheet.size[0] * PLOT_SCALE, y0 + sheet.size[1] * PLOT_SCALE
    msp.reset_extents((x0, y0, 0), (x1, y1, 0))
    msp.reset_limits((x0, y0), (x1, y1))
    doc.header["$EXTMIN"], doc.header["$EXTMAX"] = (x0, y0, 0), (x1, y1, 0)
    doc.header["$LIMMIN"], doc.header["$LIMMAX"] = (x0, y0), (x1, y1)
    doc.set_modelspace_vport(height=(y1 - y0) * 1.05, center=((x0 + x1) / 2, (y0 + y1) / 2))
    return doc


def build_all(folder: Path) -> list[Path]:
    """Write every sheet into a folder.

    Args:
        folder: an existing folder; files of the same names are replaced.

    Returns:
        The paths written, in the order of the scenario.
    """
    paths = []
    fixed = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        for sheet in SHEETS:
            path = folder / sheet.file
            doc = build_sheet(sheet)
            _add_classes_in_order(doc)
            doc.saveas(path)
            paths.append(path)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = fixed
    return paths


def _add_classes_in_order(doc: Drawing) -> None:
    """Add the class records by name: ezdxf's own order changes from run to run."""
    doc.classes.add_required_classes(doc.dxfversion)
    for key in sorted(doc.classes.classes):
        doc.classes.classes.move_to_end(key)


if __name__ == "__main__":
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else DEFAULT_FOLDER
    for written in build_all(target):
        sys.stdout.write(f"{written}\n")
