"""Draw the picture of a review for the documents.

.venv/bin/python -m tests.check_command.draw_picture docs/images/warehouse-north-checked.png
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import ezdxf

from perpend import annotate, check

ROOT = Path(__file__).parents[2]


def draw(picture: Path) -> None:
    """Annotate a sample, move one joint, cut one short, delete one, and picture the review."""
    settings = ROOT / "sample_drawings" / "perpend.toml"
    with tempfile.TemporaryDirectory() as folder:
        drawing = Path(folder) / "warehouse-north.dxf"
        annotate(ROOT / "sample_drawings" / "warehouse-north.dxf", output=drawing, settings=settings)
        doc = ezdxf.readfile(drawing)
        joints = [e for e in doc.modelspace().query("LWPOLYLINE") if (1000, "kind=joint") in _signed(e)]
        joints[1].translate(-27, 0, 0)
        foot, head = joints[4].get_points("xy")
        joints[4].set_points([foot, (head[0], head[1] - 60)], format="xy")
        doc.modelspace().delete_entity(joints[6])
        doc.saveas(drawing)
        check(drawing, settings=settings, picture=picture, propose=True, overwrite=True)


def _signed(entity: ezdxf.entities.DXFEntity) -> list[object]:
    return list(entity.get_xdata("PERPEND")) if entity.has_xdata("PERPEND") else []


if __name__ == "__main__":
    draw(Path(sys.argv[1]))
