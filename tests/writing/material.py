"""Drawings to write into, a plate to draw in them, and an eye on texts that shares no code with ours."""

from __future__ import annotations

import io
from collections import Counter
from pathlib import Path

import ezdxf
from ezdxf.document import Drawing

from perpend.dxf.insert.free_names import ensure_dimstyle, ensure_layer, ensure_linetype, ensure_style

VERSIONS = {
    "R2000": "AC1015",
    "R2004": "AC1018",
    "R2007": "AC1021",
    "R2010": "AC1024",
    "R2013": "AC1027",
    "R2018": "AC1032",
}
ENDS = {"LF": "\n", "CRLF": "\r\n"}
JOINTS, DIMENSIONS = 5, 2
OURS = Counter(LWPOLYLINE=JOINTS, TEXT=JOINTS, DIMENSION=DIMENSIONS)


def make_document(release: str = "R2010", words: str = "Brüstung Ø 12") -> Drawing:
    """Return an elevation with some of everything: blocks, attributes, dimensions, hatch, a paper layout."""
    doc = ezdxf.new(release, setup=["linetypes"])
    doc.layers.add("A-ELEV-WALL", color=2)
    doc.appids.add("OFFICE")
    modelspace = doc.modelspace()
    wall = modelspace.add_lwpolyline(
        [(0, 0), (480, 0), (480, 144), (0, 144)], close=True, dxfattribs={"layer": "A-ELEV-WALL"}
    )
    wall.set_xdata("OFFICE", [(1000, "wall 1"), (1005, wall.dxf.handle)])
    modelspace.add_text(words, height=9).set_placement((20, 60))
    modelspace.add_mtext("first line\\Psecond line")
    modelspace.add_hatch(color=3).paths.add_polyline_path([(0, 0), (40, 0), (40, 20)])
    modelspace.add_polyline2d([(0, 150), (240, 180), (480, 150)])
    block = doc.blocks.new("DOOR")
    block.add_line((0, 0), (36, 0))
    block.add_attdef("TAG", (0, 5), dxfattribs={"height": 3})
    modelspace.add_blockref("DOOR", (96, 0)).add_attrib("TAG", "D1", (96, 5))
    modelspace.add_linear_dim(base=(0, -40), p1=(0, 0), p2=(480, 0)).render()
    paper = doc.layout("Layout1")
    paper.add_viewport(center=(5, 5), size=(8, 8), view_center_point=(240, 72), view_height=200)
    paper.add_text("SHEET A-201", height=0.25)
    return doc


def as_text(doc: Drawing, newline: str = "\n", codepage: str | None = None) -> bytes:
    """Return a document as the bytes of a file, with comments and a preview picture, which ezdxf drops."""
    if codepage:
        doc.encoding = codepage
    stream = io.StringIO()
    doc.write(stream)
    text = "999\nan office's own note\n" + stream.getvalue()
    text = text.replace("  0\nSECTION\n  2\nENTITIES\n", "  0\nSECTION\n  2\nENTITIES\n999\nelevation 1\n")
    text = text.replace(
        "  0\nEOF\n", "  0\nSECTION\n  2\nTHUMBNAILIMAGE\n 90\n2\n310\nCAFE\n  0\nENDSEC\n  0\nEOF\n"
    )
    return text.replace("\n", newline).encode(doc.output_encoding)


def draw_plate(doc: Drawing) -> int:
    """Draw joints with their tags, and dimensions with blocks of their own; return how many joints."""
    dashed = ensure_linetype(doc, "PERPEND-JOINT", pattern=[12.0, -3.0, 2.0, -3.0], description="joint")
    joints = ensure_layer(
        doc, "A-ELEV-JNTC", color=1, linetype=dashed, lineweight=50, description="control joints"
    )
    letters = ensure_style(doc, "PERPEND", font="simplex.shx", width=0.8)
    look = ensure_dimstyle(
        doc, "PERPEND", variables={"dimtxt": 9.0, "dimtxsty": letters, "dimblk": "OBLIQUE"}
    )
    modelspace = doc.modelspace()
    for number in range(JOINTS):
        line = modelspace.add_lwpolyline([(80 * number, 0), (80 * number, 144)], dxfattribs={"layer": joints})
        line.set_xdata("PERPEND", [(1000, "kind=joint"), (1000, f"number={number}")])
        modelspace.add_text(
            f"CJ{number} Ø Fläche Ж", height=9, dxfattribs={"layer": joints, "style": letters}
        )
    for number in range(DIMENSIONS):
        modelspace.add_linear_dim(
            base=(0, -20),
            p1=(80 * number, 0),
            p2=(80 * number + 80, 0),
            dimstyle=look,
            dxfattribs={"layer": joints},
        ).render()
    return JOINTS


def inventory(doc: Drawing, *, handles: bool = True) -> dict[str, Counter[tuple[str, ...]]]:
    """Count what is not ours, by layout or block: type, handle, layer and text of each entity."""
    found = {}
    for layout in (*doc.layouts, *doc.blocks):
        if layout.block_record.has_xdata("PERPEND") or layout.block_record.block.has_xdata("PERPEND"):
            continue
        found[layout.name.lower()] = Counter(
            (
                entity.dxftype(),
                entity.dxf.handle if handles else "",
                entity.dxf.get("layer", "0"),
                str(entity.dxf.text) if entity.dxftype() == "TEXT" else "",
                str(len(getattr(entity, "attribs", ()))),
            )
            for entity in layout
            if not entity.has_xdata("PERPEND")
        )
    return found


def ours_in(doc: Drawing) -> Counter[str]:
    """Count our entities in modelspace by type."""
    return Counter(entity.dxftype() for entity in doc.modelspace() if entity.has_xdata("PERPEND"))


def faults(doc: Drawing) -> int:
    """Return how many faults an audit finds; it changes the document."""
    auditor = doc.audit()
    return len(auditor.errors) + len(auditor.fixes)


def fields_that_may_change(text: bytes) -> dict[int, str]:
    """Find the value lines of ``$HANDSEED`` and of the tables' counts by reading the lines in pairs.

    Returns:
        What each of these lines is, by its index.
    """
    lines = text.splitlines()
    pairs = [(lines[i].strip(), lines[i + 1].strip()) for i in range(0, len(lines) - 1, 2)]
    found: dict[int, str] = {}
    table, in_head = "", False
    for index, (code, value) in enumerate(pairs):
        if (code, value) == (b"9", b"$HANDSEED"):
            found[2 * index + 3] = "$HANDSEED"
        if code == b"0":
            in_head = value == b"TABLE"
        elif in_head and code == b"2":
            table = value.decode()
        elif in_head and code == b"70":
            found[2 * index + 1] = f"count of {table}"
    return found


def changed_fields(before: bytes, after: bytes) -> set[str]:
    """Name the lines of a text that another has changed; every other line must be in it, in order.

    Raises:
        AssertionError: a line is missing that is none of the fields that may change.
    """
    fields = fields_that_may_change(before)
    changed: set[str] = set()
    lines, position = after.splitlines(keepends=True), 0
    for index, line in enumerate(before.splitlines(keepends=True)):
        if index in fields and lines[position] != line:
            changed.add(fields[index])
            position += 1
            continue
        while position < len(lines) and lines[position] != line:
            position += 1
        assert position < len(lines), f"line {index + 1} of the original is gone: {line!r}"
        position += 1
    return changed


def write_file(folder: Path, data: bytes, name: str = "elevation.dxf") -> Path:
    """Write bytes to a file and return its path."""
    path = folder / name
    path.write_bytes(data)
    return path
