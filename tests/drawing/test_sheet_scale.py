"""What the sheet itself says: the scale of its letters, and the grid lines that joints are measured from."""

from __future__ import annotations

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment

from drawing import plans as made
from drawing.seen import said
from perpend.drawing import Content, DraftingStyle, draw_plans
from perpend.drawing.page.sheet_scale import sheet_scale
from perpend.model import Box
from perpend.reading.contents.title_scales import scale_of
from perpend.units import format_length

WALL = Box(0.0, 0.0, 720.0, 144.0)


@pytest.mark.parametrize(
    ("text", "scale"),
    [
        ('SCALE: 1/8" = 1\'-0"', 96.0),
        ('1 1/2" = 1\'-0"', 8.0),
        ("SCALE 1:50", 50.0),
        ("1:100", 100.0),
        ("MIX 1:3", None),
        ("12:30", None),
        ("EL. 100'-0\"", None),
    ],
)
def test_a_scale_is_read_from_a_title(text: str, scale: float | None) -> None:
    assert scale_of(text) == scale


def test_the_title_nearest_to_the_walls_counts_and_a_viewport_more() -> None:
    doc = ezdxf.new("R2010")
    doc.modelspace().add_text('SCALE: 1/4" = 1\'-0"', height=9, dxfattribs={"insert": (0, -60)})
    doc.modelspace().add_text('SCALE: 1/2" = 1\'-0"', height=9, dxfattribs={"insert": (3000, -60)})
    found = sheet_scale(doc, [WALL], 1.0, doc.modelspace())
    assert found is not None
    assert (found.plot_scale, found.source) == (48.0, "the title")
    sheet = doc.layout("Layout1")
    sheet.add_viewport(center=(8, 5), size=(12, 4), view_center_point=(360, 72), view_height=4 * 64.0)
    found = sheet_scale(doc, [WALL], 1.0, doc.modelspace())
    assert found is not None
    assert (found.plot_scale, found.source) == (64.0, "the viewport on Layout1")


def gridded() -> Drawing:
    doc = ezdxf.new("R2010")
    for name, x in (("A", 0.0), ("B", 384.0), ("C", 720.0)):
        doc.modelspace().add_line((x, -20), (x, 240))
        doc.modelspace().add_circle((x, 256), 16)
        text = doc.modelspace().add_text(name, height=10)
        text.set_placement((x, 256), align=TextEntityAlignment.MIDDLE_CENTER)
    return doc


def test_joints_are_located_from_the_nearest_grid_line() -> None:
    doc = gridded()
    report = draw_plans(doc, [made.shopfront()], (), DraftingStyle())
    cells = said(doc, "joint-schedule")
    assert "11'-4\" RIGHT OF GRID A" in cells
    assert any(cell.endswith("OF GRID C") for cell in cells)
    assert report.schedule.splitlines()[1].split(",")[2:5] == ["136.0", "A", "136.0"]


def test_dimensions_may_run_from_grid_lines() -> None:
    doc = gridded()
    draw_plans(doc, [made.shopfront()], (), DraftingStyle(content=Content(from_grid=True)))
    ours = [d for d in doc.modelspace().query("DIMENSION") if d.has_xdata("PERPEND")]
    ends = {d.dxf.defpoint2.x for d in ours} | {d.dxf.defpoint3.x for d in ours}
    assert {0.0, 136.0, 384.0, 720.0} <= ends


def test_lists_go_where_the_settings_say() -> None:
    doc = ezdxf.new("R2010")
    draw_plans(doc, [made.shopfront()], (), DraftingStyle(content=Content(lists_at=(2000.0, 500.0))))
    lists = [e for e in doc.modelspace().query("INSERT") if "CALLOUT" not in e.dxf.name]
    corners = [e.dxf.insert for e in (*lists, *doc.modelspace().query("MTEXT"))]
    assert min(c.x for c in corners) == pytest.approx(2000.0)
    assert max(c.y for c in corners) == pytest.approx(500.0)


def test_a_drawing_in_metres_is_lettered_in_metres() -> None:
    assert format_length(144.0, "metres") == "3.658"
    assert DraftingStyle(metric=True, inches_per_unit=1000 / 25.4).display == "metres"
    assert DraftingStyle(metric=True, inches_per_unit=1 / 25.4).display == "metric"


def test_what_is_damaged_is_left_out_of_the_scale_and_the_grid_lines() -> None:
    """A viewport, a paragraph, a circle and a reference that do not say where they are."""
    doc = ezdxf.new("R2010")
    space = doc.modelspace()
    space.add_text('SCALE: 1/4" = 1\'-0"', height=9, dxfattribs={"insert": (0, -60)})
    damaged = [doc.layout("Layout1").add_viewport((9, 9), (9, 9), (0, 0), 100)]
    damaged[0].dxf.discard("view_center_point")
    damaged += [space.add_mtext("A"), space.add_circle((0, 0), 9), space.add_blockref("GONE", (0, 0))]
    for entity in damaged[1:]:
        entity.dxf.discard("insert")
        entity.dxf.discard("center")
    found = sheet_scale(doc, [WALL], 1.0, doc.modelspace())
    assert found is not None
    assert found.plot_scale == 48.0
    draw_plans(doc, [made.shopfront()], (), DraftingStyle(cautions=made.CAUTION))
