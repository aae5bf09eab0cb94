"""What the drafter drew, as obstacles: never smaller than it shows, and never without end."""

from __future__ import annotations

import math

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.entities import factory
from ezdxf.enums import TextEntityAlignment
from ezdxf.lldxf.extendedtags import ExtendedTags
from shapely.geometry import Polygon

from drawing.referee import shown_texts
from perpend.drawing.page.obstacles import Survey, survey

ALIGNMENTS = [a for a in TextEntityAlignment if a.name not in {"ALIGNED", "FIT"}]


def quads(found: Survey) -> list[Polygon]:
    return [Polygon(corners) for corners in found.quads]


@pytest.mark.parametrize("rotation", [0.0, 30.0, 90.0])
@pytest.mark.parametrize("alignment", ALIGNMENTS, ids=lambda a: a.name)
def test_a_text_lies_within_its_obstacle(alignment: TextEntityAlignment, rotation: float) -> None:
    """The text's own outline by Helvetica's widths, as PyMuPDF measures them."""
    doc = ezdxf.new()
    text = doc.modelspace().add_text("MASONRY, TYP. (16'-8\")", height=9.0, rotation=rotation)
    text.set_placement((50.0, 20.0), align=alignment)
    (shown,) = shown_texts(doc)
    (quad,) = quads(survey(doc))
    assert quad.buffer(1e-6).contains(shown.outline)
    assert quad.area < 3 * shown.outline.area


@pytest.mark.parametrize("point", range(1, 10))
def test_a_paragraph_lies_within_its_obstacle(point: int) -> None:
    doc = ezdxf.new()
    attributes = {"char_height": 9.0, "attachment_point": point, "insert": (10.0, 10.0), "rotation": 15.0}
    doc.modelspace().add_mtext("PREFINISHED COPING\\PTYPICAL AT ROOF", dxfattribs=attributes)
    (quad,) = quads(survey(doc))
    for shown in shown_texts(doc):
        assert quad.buffer(0.5).contains(shown.outline)


def test_texts_and_lines_in_blocks_count_at_their_place() -> None:
    doc = ezdxf.new()
    block = doc.blocks.new("MARK")
    block.add_line((0, 0), (10, 0))
    block.add_text("A", height=2.0)
    block.add_attdef("TAG", (0, 5), height=2.0)
    insert = doc.modelspace().add_blockref("MARK", (100, 50), dxfattribs={"xscale": 2.0, "yscale": 2.0})
    insert.add_auto_attribs({"TAG": "N1"})
    found = survey(doc)
    assert found.lines.tolist() == [[[100, 50], [120, 50]]]
    assert sorted(round(q.bounds[0]) for q in quads(found)) == [100, 100]


def test_dimensions_and_areas_are_told_from_lines() -> None:
    doc = ezdxf.new()
    msp = doc.modelspace()
    msp.add_linear_dim((0, -20), (0, 0), (100, 0)).render()
    hatch = msp.add_hatch()
    hatch.paths.add_polyline_path([(0, 0), (100, 0), (100, 40), (0, 40)])
    found = survey(doc)
    assert len(found.lines) == 0
    assert len(found.dimension_lines) >= 3
    assert len(found.quads) == 1
    assert found.areas[-1].tolist() == [[0, 0], [100, 0], [100, 40], [0, 40]]


def test_arcs_bulges_and_mirrored_circles_lie_where_they_show() -> None:
    doc = ezdxf.new()
    msp = doc.modelspace()
    msp.add_circle((10, 10), 5, dxfattribs={"extrusion": (0, 0, -1)})
    msp.add_lwpolyline([(100, 0, 1), (110, 0, 0)], format="xyb")
    found = survey(doc)
    xs, ys = found.lines[..., 0], found.lines[..., 1]
    circle = xs < 50
    assert (xs[circle].min(), xs[circle].max()) == pytest.approx((-15, -5))
    assert (ys[~circle].min(), ys[~circle].max()) == pytest.approx((-5, 0))


def test_ours_is_no_obstacle() -> None:
    doc = ezdxf.new()
    doc.appids.add("PERPEND")
    line = doc.modelspace().add_line((0, 0), (1, 0))
    line.set_xdata("PERPEND", [(1000, "kind=joint")])
    assert len(survey(doc).lines) == 0


def test_what_is_not_finite_is_left_out() -> None:
    doc = ezdxf.new()
    doc.modelspace().add_line((0, 0), (math.nan, 5))
    doc.modelspace().add_line((0, 0), (math.inf, 5))
    doc.modelspace().add_text("A", height=5.0, dxfattribs={"insert": (math.nan, 0)})
    found = survey(doc)
    assert len(found.lines) == 0
    assert len(found.quads) == 0


def bomb() -> Drawing:
    """Blocks within blocks, ten of each: ten million lines when opened."""
    doc = ezdxf.new()
    doc.blocks.new("B0").add_line((0, 0), (1, 0))
    for level in range(1, 8):
        block = doc.blocks.new(f"B{level}")
        for k in range(10):
            block.add_blockref(f"B{level - 1}", (k, 0))
    doc.modelspace().add_blockref("B7", (0, 0))
    doc.modelspace().add_blockref("B0", (0, 0), dxfattribs={"row_count": 30000, "column_count": 30000})
    return doc


def test_nested_blocks_do_not_hang_the_survey() -> None:
    assert len(survey(bomb()).lines) < 60_000


def test_a_block_that_holds_itself_is_read_once() -> None:
    doc = ezdxf.new()
    block = doc.blocks.new("LOOP")
    block.add_line((0, 0), (1, 0))
    block.add_blockref("LOOP", (5, 0))
    doc.modelspace().add_blockref("LOOP", (0, 0))
    assert 1 <= len(survey(doc).lines) <= 5


def test_hidden_layers_count_by_their_texts_only() -> None:
    doc = ezdxf.new()
    for name in ("OFF", "FROZEN"):
        doc.layers.add(name)
        doc.modelspace().add_line((0, 0), (1, 0), dxfattribs={"layer": name})
        doc.modelspace().add_text("A", height=1.0, dxfattribs={"layer": name})
    doc.layers.get("OFF").off()
    doc.layers.get("FROZEN").freeze()
    found = survey(doc)
    assert len(found.lines) == 0
    assert len(found.quads) == 2


def test_a_reference_shows_its_block_where_ezdxf_explodes_it() -> None:
    """Turned, scaled, mirrored, out of its base point, nested: as ezdxf's own explosion places the lines."""
    doc = ezdxf.new()
    inner = doc.blocks.new("INNER", base_point=(1, 2))
    inner.add_line((1, 2), (5, 3))
    outer = doc.blocks.new("OUTER", base_point=(-3, 4))
    outer.add_line((0, 0), (7, 1))
    outer.add_blockref("Inner", (2, 2), dxfattribs={"rotation": 30, "xscale": 2})
    looks = [
        {"rotation": 40, "xscale": 2.0, "yscale": 2.0},
        {"rotation": -90, "xscale": -1.0},
        {"extrusion": (0, 0, -1), "rotation": 20},
    ]
    references = [
        doc.modelspace().add_blockref("outer", (10 * i, 5), dxfattribs=look) for i, look in enumerate(looks)
    ]
    look = {"rotation": 40, "xscale": 2.0, "yscale": 3.0}
    references.append(doc.modelspace().add_blockref("INNER", (40, 5), dxfattribs=look))
    expected = []
    for reference in references:
        for part in reference.virtual_entities():
            for line in part.virtual_entities() if part.dxftype() == "INSERT" else [part]:
                expected.append((*line.dxf.start.vec2, *line.dxf.end.vec2))
    found = sorted(map(tuple, survey(doc).lines.reshape(-1, 4).tolist()))
    assert len(found) == 7
    assert found == [pytest.approx(line) for line in sorted(expected)]


def test_more_than_can_be_shown_is_framed() -> None:
    doc = ezdxf.new()
    small, large = doc.blocks.new("SMALL"), doc.blocks.new("LARGE")
    small.add_line((0, 0), (1, 1))
    for k in range(1200):
        large.add_line((k, 0), (k, 9))
    for k in range(600):
        doc.modelspace().add_blockref("LARGE", (0, 20 * k))
        doc.modelspace().add_blockref("SMALL", (0, 20 * k))
    lines = survey(doc).lines
    assert len(lines) == 600 * (1 + 4)
    assert lines.max(axis=(0, 1)).tolist() == [1199, 20 * 599 + 9]


def test_a_dimension_whose_block_holds_it_ends() -> None:
    doc = ezdxf.new()
    dimension = doc.modelspace().add_linear_dim((0, -20), (0, 0), (100, 0)).render().dimension
    dimension.get_geometry_block().add_entity(dimension.copy())
    assert 3 <= len(survey(doc).dimension_lines) < 60


def test_a_record_of_no_known_kind_is_no_obstacle() -> None:
    """It has not even a layer; beside a hidden layer it once ended the survey."""
    doc = ezdxf.new()
    doc.layers.add("OFF").off()
    unknown = factory.load(ExtendedTags.from_text("  0\n1.5\n  5\nABBA\n"), doc)
    doc.modelspace().add_line((0, 0), (1, 0))
    doc.modelspace().entity_space.add(unknown)
    assert len(survey(doc).lines) == 1
