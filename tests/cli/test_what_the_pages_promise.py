"""What the documents promise of cleaning and of our layers, and that the README names each page once."""

from __future__ import annotations

import re
from pathlib import Path

import ezdxf
import pytest
from ezdxf.addons.importer import Importer

from cli.drawings import add_box, add_text
from cli.harness import perpend

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
COMMANDS = (ROOT / "docs" / "commands.md").read_text(encoding="utf-8")


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
def test_the_original_comes_back_to_the_byte_only_where_the_page_says_so(
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
    (row,) = (line for line in COMMANDS.splitlines() if line.startswith("| `--clean`"))
    assert "where ours was put between its bytes" in row
    assert "R12" in row
    assert "binary" in row


def layers_drawn_on(path: Path) -> set[str]:
    return {entity.dxf.layer for entity in ezdxf.readfile(path).modelspace()}


def test_our_layer_takes_a_number_beside_another_look_and_none_beside_its_own_or_a_name_of_ours(
    tmp_path: Path,
) -> None:
    """The drafter's layer is as ours but for the line type at first, and then in that too."""
    drawing, whole = drawn(tmp_path / "a.dxf", "R2010", "asc"), tmp_path / "whole.dxf"
    assert perpend("annotate", drawing, "-o", whole).code == 0
    assert "A-ELEV-JNTC" in layers_drawn_on(whole)
    (pattern,) = (t for t in ezdxf.readfile(whole).linetypes if t.dxf.name == "CENTER")
    doc = ezdxf.readfile(drawing)
    layer = doc.layers.add("A-ELEV-JNTC", color=1, linetype="Continuous", lineweight=50)
    doc.saveas(drawing)
    ending = perpend("annotate", drawing, "-o", tmp_path / "two.dxf")
    assert "so that ours is A-ELEV-JNTC-2" in " ".join(ending.out.split())
    assert "A-ELEV-JNTC-2" in layers_drawn_on(tmp_path / "two.dxf")
    other = tmp_path / "other.toml"
    other.write_text('layer_prefix = "A-ELEV-JNTC-NEW"\n', encoding="utf-8")
    ending = perpend("annotate", drawing, "-o", tmp_path / "new.dxf", "--settings", other)
    assert "so that ours is" not in ending.out
    assert "A-ELEV-JNTC-NEW" in layers_drawn_on(tmp_path / "new.dxf")
    Importer(ezdxf.readfile(whole), doc).import_table("linetypes", [pattern.dxf.name])
    layer.dxf.linetype = pattern.dxf.name
    doc.saveas(drawing)
    ending = perpend("annotate", drawing, "-o", tmp_path / "own.dxf")
    assert "so that ours is" not in ending.out
    assert "A-ELEV-JNTC" in layers_drawn_on(tmp_path / "own.dxf")
    assert "color 1, line weight 0.50 mm" in " ".join(COMMANDS.split())


def test_the_list_of_pages_names_each_page_once() -> None:
    links = re.findall(r"\]\(([^)]+)\)", README.split("## More")[1])
    assert links
    assert sorted(links) == sorted(set(links))
