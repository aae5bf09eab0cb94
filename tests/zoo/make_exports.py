"""Makes ``exports/``: sheets of the zoo as other programs write them to DXF.

Run once, by hand (``python -m zoo.make_exports``); it needs GDAL's ``ogr2ogr``, ``pstoedit`` with
Ghostscript and ``openscad`` of Debian, and the packages dxfwrite and trimesh of PyPI. What they wrote is kept
beside this file, so that the tests need none of them.
"""

from __future__ import annotations

import json
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from zoo.manners import national, one_layer
from zoo.sheets import SHEETS, Point, Sheet

HERE = Path(__file__).parent / "exports"
EXPORTED = ("shop", "gable", "stepped", "pair")


def _run(*command: str) -> None:
    subprocess.run(command, check=True, capture_output=True)


def gdal_drawing(sheet: Sheet, out: Path) -> None:
    """A drawing that went through GDAL: layers and texts kept, blocks gone, closed polylines."""
    with tempfile.TemporaryDirectory() as folder:
        path = national(sheet).save(Path(folder) / "in.dxf")
        _run("ogr2ogr", "-f", "DXF", str(out), str(path), "entities")


def gdal_map(sheet: Sheet, out: Path) -> None:
    """Polygons of a map in meters: a wall with its openings cut out, which GDAL writes as hatches."""
    features = []
    for wall in sheet.walls:
        rings = [_metric(wall.placed())]
        for opening in wall.openings:
            x0, y0, x1, y1 = wall.placed_box(opening)
            if opening.is_door:
                continue
            rings.append(_metric(((x0, y0), (x0, y1), (x1, y1), (x1, y0))))
        geometry = {"type": "Polygon", "coordinates": rings}
        features.append({"type": "Feature", "properties": {"Layer": "MASONRY"}, "geometry": geometry})
        for opening in wall.openings:
            if opening.is_door:
                x0, y0, x1, y1 = wall.placed_box(opening)
                door = [_metric(((x0, y0), (x0, y1), (x1, y1), (x1, y0)))]
                shape = {"type": "Polygon", "coordinates": door}
                features.append({"type": "Feature", "properties": {"Layer": "DOORS"}, "geometry": shape})
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "in.geojson"
        path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
        _run(
            "ogr2ogr",
            "-f",
            "DXF",
            "-a_srs",
            "EPSG:32632",
            "-lco",
            "COORDINATE_PRECISION=9",
            str(out),
            str(path),
        )


def _metric(points: tuple[Point, ...]) -> list[list[float]]:
    return [[x * 0.0254, y * 0.0254] for x, y in (*points, points[0])]


def pstoedit_page(sheet: Sheet, out: Path) -> None:
    """A printed page turned into DXF: everything on one layer, with the border of the page."""
    program = ["%!PS-Adobe-3.0", "1 setlinewidth"]
    for kind, points, words in _drawn(sheet):
        (x, y), *rest = [(72 * a + 20000, 72 * b + 20000) for a, b in points]
        if kind == "text":
            program.append(f"/Helvetica findfont 400 scalefont setfont {x:.3f} {y:.3f} moveto ({words}) show")
            continue
        program.append(f"newpath {x:.3f} {y:.3f} moveto")
        program += [f"{a:.3f} {b:.3f} lineto" for a, b in rest]
        program.append("closepath stroke" if kind == "loop" else "stroke")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "in.ps"
        path.write_text("\n".join([*program, "showpage"]))
        _run("pstoedit", "-f", "dxf", str(path), str(out))


def _drawn(sheet: Sheet) -> Iterator[tuple[str, list[Point], str]]:
    for entity in one_layer(sheet).space:
        if entity.dxftype() == "LWPOLYLINE":
            yield "loop", [(x, y) for x, y, *_ in entity.get_points()], ""
        elif entity.dxftype() == "LINE":
            yield "line", [(p.x, p.y) for p in (entity.dxf.start, entity.dxf.end)], ""
        else:
            x, y, _ = entity.dxf.insert
            yield "text", [(x, y)], entity.dxf.text.replace("(", "").replace(")", "")


def openscad_outline(sheet: Sheet, out: Path) -> None:
    """A flat model: walls less openings, lines alone, no texts, millimeters without a unit."""
    parts = []
    for wall in sheet.walls:
        holes = "".join(
            f"translate([{25.4 * x0}, {25.4 * (y0 - (1 if o.is_door else 0))}]) "
            f"square([{25.4 * (x1 - x0)}, {25.4 * (y1 - y0 + (1 if o.is_door else 0))}]);"
            for o in wall.openings
            for x0, y0, x1, y1 in (wall.placed_box(o),)
        )
        points = json.dumps([[25.4 * x, 25.4 * y] for x, y in wall.placed()])
        parts.append(f"difference() {{ polygon({points}); {holes} }}")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "in.scad"
        path.write_text("\n".join(parts))
        _run("openscad", "-o", str(out), str(path))


def dxfwrite_r12(sheet: Sheet, out: Path) -> None:
    """A script of an office, R12, lines and texts on four layers without a unit."""
    from dxfwrite import DXFEngine as dxf  # noqa: N813

    drawing = dxf.drawing(str(out))
    for wall in sheet.walls:
        _r12_loop(dxf, drawing, wall.placed(), "WALL LINES")
        for opening in wall.openings:
            x0, y0, x1, y1 = wall.placed_box(opening)
            _r12_loop(dxf, drawing, ((x0, y0), (x1, y0), (x1, y1), (x0, y1)), "OPENING LINES")
            drawing.add(dxf.text(opening.tag, ((x0 + x1) / 2, (y0 + y1) / 2), height=5, layer="MARKS"))
        if wall.tag:
            drawing.add(dxf.text(wall.tag, (wall.at[0] + 20, wall.at[1] + 106), height=9, layer="MARKS"))
    drawing.save()


def _r12_loop(dxf: Any, drawing: Any, points: tuple[Point, ...], layer: str) -> None:  # noqa: ANN401
    for a, b in zip(points, (*points[1:], points[0]), strict=True):
        drawing.add(dxf.line(a, b, layer=layer))


def trimesh_path(sheet: Sheet, out: Path) -> None:
    """A section through a model, as a mesh library writes paths: no texts, no unit."""
    import numpy as np
    import trimesh

    entities, vertices = [], []
    for wall in sheet.walls:
        boxes = [wall.placed_box(o) for o in wall.openings]
        loops = [wall.placed(), *(((a, b), (c, b), (c, d), (a, d)) for a, b, c, d in boxes)]
        for loop in loops:
            first = len(vertices)
            vertices += [list(p) for p in loop]
            entities.append(trimesh.path.entities.Line([*range(first, len(vertices)), first]))
    trimesh.path.Path2D(entities, np.array(vertices, float)).export(str(out))


PROGRAMS = (gdal_drawing, gdal_map, pstoedit_page, openscad_outline, dxfwrite_r12, trimesh_path)


def main() -> None:
    """Write every export."""
    HERE.mkdir(exist_ok=True)
    for sheet in SHEETS:
        for program in PROGRAMS if sheet.name in EXPORTED else ():
            program(sheet, HERE / f"{program.__name__}-{sheet.name}.dxf")


if __name__ == "__main__":
    main()
