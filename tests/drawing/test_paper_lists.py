"""Lists on a layout of paper space: at its scale, within its border, off what is seen."""

from __future__ import annotations

import hashlib
from pathlib import Path

import ezdxf
import ezdxf.bbox
import pytest
from ezdxf.document import Drawing
from ezdxf.entities import MText
from ezdxf.layouts.layout import Paperspace

from perpend import annotate, clean
from perpend.drawing.page.obstacles import survey
from perpend.model import Box

SAMPLE = Path(__file__).parents[2] / "sample_drawings" / "shopfront-south.dxf"
BORDER = Box(0.5, 0.5, 35.5, 23.5)
TITLE_BLOCK = Box(31.0, 0.5, 35.5, 23.5)
VIEW = Box(2.0, 12.0, 29.0, 22.0)
SCALE = 64.0
CENTER = (48720.0, 1300.0)


def sheet(doc: Drawing, name: str, view: Box = VIEW, border: Box | None = BORDER) -> Paperspace:
    """Make an ARCH D layout with a border, a title block, and a viewport that shows the walls."""
    layout = doc.layouts.get(name) if name in doc.layouts else doc.layouts.new(name)
    assert isinstance(layout, Paperspace)
    layout.page_setup(size=(36, 24), margins=(0, 0, 0, 0), units="inch")
    for viewport in layout.query("VIEWPORT"):
        layout.delete_entity(viewport)
    for box in (border, TITLE_BLOCK) if border else ():
        layout.add_lwpolyline(box.corners, close=True)
    layout.add_text("A-201", height=0.5, dxfattribs={"insert": (32, 1)})
    layout.add_viewport(
        center=view.center,
        size=(view.width, view.height),
        view_center_point=CENTER,
        view_height=view.height * SCALE,
    )
    return layout


def drawing(path: Path, *names: str, **more: Box | None) -> Path:
    doc = ezdxf.readfile(SAMPLE)
    for name in names:
        sheet(doc, name, **more)
    doc.saveas(path)
    return path


def lists_of(layout: Paperspace) -> list[Box]:
    """Return the boxes of what is ours on a layout."""
    doc = layout.doc
    assert doc is not None
    found = []
    for entity in layout:
        if entity.has_xdata("PERPEND"):
            if isinstance(entity, MText):
                (x, y, _), h, lines = entity.dxf.insert, entity.dxf.char_height, entity.plain_text(split=True)
                found.append(Box(x, y - 5 / 3 * h * len(lines), x + 0.8 * h * max(map(len, lines)), y))
                continue
            alone = ezdxf.bbox.extents([entity])
            found.append(Box(alone.extmin.x, alone.extmin.y, alone.extmax.x, alone.extmax.y))
    return found


def run(source: Path, settings: str = "") -> tuple[Drawing, list[str], Path]:
    target = source.with_name("out.dxf")
    file = source.with_name("own.toml")
    file.write_text(f"[text]\n{settings}")
    results = annotate(source, output=target, settings=file, overwrite=True).results
    assert results.written is not None
    return ezdxf.readfile(target), results.written.remarks, target


@pytest.mark.parametrize("names", [("Layout1",), ("A-201",)], ids=["active", "another layout"])
def test_lists_go_to_the_layout_that_shows_the_walls(tmp_path: Path, names: tuple[str, ...]) -> None:
    source = drawing(tmp_path / "in.dxf", *names)
    doc, said, target = run(source)
    layout = doc.layout(names[0])
    assert isinstance(layout, Paperspace)
    boxes = lists_of(layout)
    assert len(boxes) >= 3
    free = Box(BORDER.x0, BORDER.y0, TITLE_BLOCK.x0, BORDER.y1)
    assert all(free.contains(box) for box in boxes)
    assert any(f"on layout {names[0]}" in words for words in said)
    heights = {e.dxf.char_height for e in layout.query("MTEXT")}
    assert list(heights) == [pytest.approx(3 / 32)]
    model = [e for e in doc.modelspace() if e.has_xdata("PERPEND")]
    blocks = [e.dxf.name for e in model if e.dxftype() == "INSERT"]
    assert blocks
    assert all(name.startswith("PERPEND-CALLOUT") for name in blocks)
    dashes = next(
        e for b in doc.blocks for e in b if b.name == "PERPEND-LEGEND" and e.dxf.layer == "A-ELEV-JNTC"
    )
    pattern = doc.linetypes.get(doc.layers.get("A-ELEV-JNTC").dxf.linetype).pattern_tags.tags
    longest = max(t.value for t in pattern if t.code == 49) * doc.header["$LTSCALE"]
    assert longest * dashes.dxf.ltscale == pytest.approx(0.1875)
    assert not doc.audit().errors
    back = tmp_path / "back.dxf"
    clean(target, output=back)
    assert hashlib.sha256(back.read_bytes()).digest() == hashlib.sha256(source.read_bytes()).digest()


def test_lists_keep_off_the_walls_and_off_the_frame_of_the_viewport(tmp_path: Path) -> None:
    whole = Box(1.0, 1.0, 30.5, 23.0)
    source = drawing(tmp_path / "in.dxf", "Layout1", view=whole)
    doc, _, _ = run(source)
    layout = doc.layout("Layout1")
    assert isinstance(layout, Paperspace)
    boxes = lists_of(layout)
    assert len(boxes) >= 3
    assert all(whole.contains(box) for box in boxes)
    seen = survey(doc, "none of ours")
    x, y = whole.center
    for shape in (*seen.lines, *seen.dimension_lines, *seen.quads):
        on_sheet = [((px - CENTER[0]) / SCALE + x, (py - CENTER[1]) / SCALE + y) for px, py in shape.tolist()]
        assert not any(box.overlaps(Box.around(on_sheet)) for box in boxes)


def test_lists_stay_in_modelspace_where_the_settings_say_or_no_layout_is_the_one(tmp_path: Path) -> None:
    source = drawing(tmp_path / "in.dxf", "Layout1", "A-202")
    doc, said, _ = run(source)
    assert any("both show the walls" in words for words in said)
    assert not any(lists_of(layout) for layout in doc.layouts if isinstance(layout, Paperspace))
    doc, said, _ = run(source, 'lists_in = "a-202"')
    assert [bool(lists_of(doc.layout(name))) for name in ("Layout1", "A-202")] == [False, True]
    doc, said, _ = run(source, 'lists_in = "Model"')
    assert not any(lists_of(doc.layout(name)) for name in ("Layout1", "A-202"))
    doc, said, _ = run(source, 'lists_in = "A-999"')
    assert any("no layout A-999" in words for words in said)


def test_a_setting_names_the_corner_on_the_layout(tmp_path: Path) -> None:
    source = drawing(tmp_path / "in.dxf", "Layout1")
    doc, _, _ = run(source, "lists_at = [3.0, 9.0]")
    places = [e.dxf.insert for e in doc.layout("Layout1").query("INSERT MTEXT")]
    assert min(p.x for p in places) == pytest.approx(3.0)
    assert max(p.y for p in places) == pytest.approx(9.0)


def test_a_sheet_without_room_leaves_the_lists_in_modelspace(tmp_path: Path) -> None:
    small = Box(1.0, 11.5, 30.0, 23.0)
    source = drawing(tmp_path / "in.dxf", "Layout1", view=small, border=Box(0.5, 11.0, 30.5, 23.5))
    doc, said, _ = run(source)
    inside = lists_of(doc.layout("Layout1"))
    assert inside or any("has no room" in words for words in said)


def test_lists_stay_where_a_person_put_them_on_the_layout(tmp_path: Path) -> None:
    doc, _, target = run(drawing(tmp_path / "in.dxf", "Layout1"))
    ours = [e for e in doc.layout("Layout1") if e.has_xdata("PERPEND")]
    table = next(e for e in ours if e.dxftype() == "INSERT")
    table.dxf.insert += (1.5, -2.0, 0)
    at = table.dxf.insert
    doc.saveas(tmp_path / "in.dxf")
    doc, _, target = run(tmp_path / "in.dxf")
    assert any(e.dxf.insert.isclose(at) for e in doc.layout("Layout1").query("INSERT"))
    assert len([e for e in doc.layout("Layout1") if e.has_xdata("PERPEND")]) == len(ours)
    there, *others = lists_of(doc.layout("Layout1"))  # type: ignore[arg-type]
    assert not any(there.overlaps(box) for box in others), "the others are around it"
    again = annotate(target, output=tmp_path / "again.dxf", settings=tmp_path / "own.toml").output
    assert again.read_bytes() == target.read_bytes()
