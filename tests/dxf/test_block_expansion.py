"""Block references under one budget: cells stand where ezdxf explodes them to, and what is too much."""

from __future__ import annotations

import pytest
from ezdxf.document import Drawing
from ezdxf.entities.insert import Insert
from ezdxf.filemanagement import new
from ezdxf.math import Vec3

from perpend.dxf.block_expansion import Expansion
from perpend.dxf.block_index import BlockIndex
from perpend.dxf.entity_points import Origin
from perpend.dxf.expansion_budget import Budget
from perpend.errors import InputError

ARRAY = {"row_count": 2, "column_count": 3, "row_spacing": 40, "column_spacing": 50}


def nested(**array: object) -> tuple[Drawing, Insert]:
    """A line in a block in an arrayed, turned and scaled reference in a block."""
    doc = new()
    inner, outer = doc.blocks.new("INNER", base_point=(1, 2)), doc.blocks.new("OUTER")
    inner.add_line((0, 0), (10, 4), dxfattribs={"layer": "0"})
    placed = {"rotation": 30, "xscale": 2, "yscale": -3, "layer": "A", **array}
    outer.add_blockref("INNER", (5, 7), dxfattribs=placed)
    reference = doc.modelspace().add_blockref("OUTER", (100, 200), dxfattribs={"rotation": 90, "layer": "B"})
    return doc, reference


def expansion(doc: Drawing, **limits: int) -> Expansion:
    return Expansion(BlockIndex(doc), Budget(**limits), "drawing.dxf")


@pytest.mark.parametrize("extrusion", [(0, 0, 1), (0, 0, -1)])
def test_every_cell_stands_where_ezdxf_explodes_it_to(extrusion: tuple[int, int, int]) -> None:
    array = {
        "row_count": 2,
        "column_count": 3,
        "row_spacing": 40,
        "column_spacing": 50,
        "extrusion": extrusion,
    }
    doc, reference = nested(**array)
    found = expansion(doc).inside(reference, Origin("1", "B"), one_layer=False)
    strokes = [s for entity, origin in found for s in expansion(doc).strokes(entity, origin)]
    exploded = [
        line
        for part in reference.virtual_entities()
        for cell in part.multi_insert()
        for line in cell.virtual_entities()
    ]
    ends = sorted((*line.dxf.start.vec2, *line.dxf.end.vec2) for line in exploded)
    ours = sorted((*stroke.points[0], *stroke.points[1]) for stroke in strokes)
    assert len(ours) == 6
    for mine, theirs in zip(ours, ends, strict=True):
        assert mine == pytest.approx(theirs, abs=1e-9)
    assert {stroke.layer for stroke in strokes} == {"A"}
    assert len({stroke.instance for stroke in strokes}) == 6


def test_what_was_opened_is_counted_and_the_next_reference_refused() -> None:
    doc, reference = nested(**ARRAY)
    opener = expansion(doc, entities=14)
    opener.demand(reference, "B")
    assert opener.opened == 7  # the reference in it, and six lines
    opener.demand(reference, "B")
    with pytest.raises(InputError, match=r"drawing\.dxf: block OUTER .* expand to 21 entities"):
        opener.demand(reference, "B")


def test_what_nobody_asked_for_is_left_alone_when_it_is_too_much() -> None:
    doc, reference = nested(**ARRAY)
    origin = Origin("1", "B")
    assert len(expansion(doc).all_strokes(reference, origin)) == 6
    assert expansion(doc, aside=6).all_strokes(reference, origin) == []
    assert expansion(doc, depth=1).all_strokes(reference, origin) == []
    opener = expansion(doc, looked_at=13)
    assert [len(opener.all_strokes(reference, origin)) for _ in range(2)] == [6, 0]


def test_a_reference_without_a_direction_is_refused_by_its_handle() -> None:
    doc, _ = nested()
    broken = doc.modelspace().add_blockref("INNER", (0, 0))
    vars(broken.dxf)["extrusion"] = Vec3(1e-300, 0, 0)  # as loaded; ezdxf mends it when it is set
    with pytest.raises(InputError, match=rf"reference {broken.dxf.handle} of block INNER is damaged"):
        list(expansion(doc).places(broken, None))
    assert expansion(doc).spare_places(broken) == []
