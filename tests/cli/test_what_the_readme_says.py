"""What the README promises of cleaning, and that its list of pages names each once."""

from __future__ import annotations

import re
from pathlib import Path

import ezdxf
import pytest

from cli.drawings import add_box, add_text
from cli.harness import perpend

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")


def drawn(path: Path, release: str, form: str) -> Path:
    doc = ezdxf.new(release)
    doc.header["$INSUNITS"] = 1
    for layer in ("A-ELEV-WALL", "A-ANNO-TEXT"):
        doc.layers.add(layer)
    if release == "R12":
        points = [(0, 0), (480, 0), (480, 144), (0, 144)]
        doc.modelspace().add_polyline2d(points, close=True, dxfattribs={"layer": "A-ELEV-WALL"})
    else:
        add_box(doc, (0, 0, 480, 144), "A-ELEV-WALL")
    add_text(doc, "W1", (6, 120))
    doc.saveas(path, fmt=form)
    return path


@pytest.mark.parametrize(
    ("release", "form", "exact"),
    [("R2010", "asc", True), ("R12", "asc", False), ("R2010", "bin", False)],
)
def test_the_original_comes_back_to_the_byte_only_where_the_readme_says_so(
    release: str, form: str, exact: bool, tmp_path: Path
) -> None:
    drawing = drawn(tmp_path / "a.dxf", release, form)
    whole, cleaned = tmp_path / "whole.dxf", tmp_path / "cleaned.dxf"
    units = ("--units-of-drawing", "in")
    assert perpend("annotate", drawing, "-o", whole, *units).code == 0
    ending = perpend("annotate", whole, "--clean", "-o", cleaned)
    assert ending.code == 0
    same = cleaned.read_bytes() == drawing.read_bytes()
    assert same is exact
    assert ("to the byte" in ending.out) is exact
    shapes = [e.dxftype() for e in ezdxf.readfile(cleaned).modelspace()]
    assert shapes == [e.dxftype() for e in ezdxf.readfile(drawing).modelspace()]
    (row,) = (line for line in README.splitlines() if line.startswith("| `--clean`"))
    assert "where ours was put between its bytes" in row
    assert "R12" in row
    assert "binary" in row


def test_the_list_of_pages_names_each_page_once() -> None:
    links = re.findall(r"\]\(([^)]+)\)", README.split("## More")[1])
    assert links
    assert sorted(links) == sorted(set(links))
