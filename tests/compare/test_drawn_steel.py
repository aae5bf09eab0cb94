"""Horizontal steel as it stands in the new drawing, read back with ezdxf alone."""

from __future__ import annotations

import itertools
from pathlib import Path

import ezdxf
import pytest
from ezdxf.document import Drawing

from cli.drawings import add_box, add_text, new_drawing
from cli.harness import perpend

Span = tuple[float, float]
PREFIX = "A-ELEV-JNTC"
GAP = 4.5
"""Steel ends half a letter height of 3/32 in. at 1/8" = 1'-0" short of a joint, so that the gap shows, in."""
DOOR = (300.0, 0.0, 340.0, 88.0)


def annotated(
    folder: Path, text: str, *, beams: tuple[tuple[str, float], ...] = (), door: bool = True
) -> Drawing:
    """Annotate a wall of 960 × 240 in. with settings, and return the new drawing."""
    doc = new_drawing()
    add_box(doc, (0, 0, 960, 240), "A-ELEV-WALL")
    add_text(doc, "W1", (400, 150))
    if door:
        add_box(doc, DOOR, "A-ELEV-OPNG")
        add_text(doc, "D1", (310, 30))
    for layer, y in beams:
        if layer not in doc.layers:
            doc.layers.add(layer)
        add_box(doc, (0, y, 960, y + 8), layer)
    doc.saveas(folder / "a.dxf")
    (folder / "perpend.toml").write_text(text, encoding="utf-8")
    ending = perpend("annotate", folder / "a.dxf", "-o", folder / "b.dxf")
    assert ending.code == 0, ending.out + ending.err
    return ezdxf.readfile(folder / "b.dxf")


def lines(doc: Drawing, layer: str) -> list[tuple[float, float, float, float]]:
    """Straight pieces on one of our layers: x, y to x, y."""
    found = []
    for entity in doc.modelspace().query(f'LINE LWPOLYLINE[layer=="{layer}"]'):
        if entity.dxftype() == "LINE":
            points = [entity.dxf.start, entity.dxf.end]
        else:
            points = list(entity.vertices_in_wcs())
        found += [(a.x, a.y, b.x, b.y) for a, b in itertools.pairwise(points)]
    return found


def levels(doc: Drawing) -> dict[float, list[Span]]:
    """Level lines of steel in the wall by height (the legend has one beside it)."""
    found: dict[float, list[Span]] = {}
    for x0, y0, x1, y1 in lines(doc, f"{PREFIX}-STEL"):
        if abs(y0 - y1) < 1e-6 and 0 < y0 < 240:
            found.setdefault(round(y0, 6), []).append((min(x0, x1), max(x0, x1)))
    return {y: sorted(spans) for y, spans in sorted(found.items())}


def words(doc: Drawing) -> str:
    """All that is lettered, in one line; callouts and lists are blocks."""
    ours = (block for block in doc.blocks if block.name.startswith("PERPEND-"))
    texts = [text for space in (doc.modelspace(), *ours) for text in space.query("TEXT MTEXT")]
    return " ".join(" ".join(e.dxf.text if e.dxftype() == "TEXT" else e.plain_text() for e in texts).split())


def joints_at(doc: Drawing, y: float) -> list[float]:
    return sorted(x0 for x0, y0, x1, y1 in lines(doc, PREFIX) if x0 == x1 and min(y0, y1) <= y < max(y0, y1))


@pytest.mark.parametrize("treatment", ["reinforced", "unreinforced"])
def test_joint_reinforcement_fills_the_wall_and_stops_at_joints_openings_and_lintels(
    treatment: str, tmp_path: Path
) -> None:
    text = f"[defaults]\nhorizontal_reinforcement = 'W1.7'\nopenings = '{treatment}'\n"
    doc = annotated(tmp_path, text)
    drawn = levels(doc)
    for y in (16.0 * k for k in range(1, 15)):
        joints = joints_at(doc, y)
        assert len(joints) >= 3
        edges = {0.0, 960.0, *joints}
        hole = DOOR[0::2] if y <= 88.0 else None
        if hole:
            edges |= set(hole)
        wanted = [s for s in itertools.pairwise(sorted(edges)) if s != hole and s[1] - s[0] > 0.1]
        if hole:
            wanted = [s for s in wanted if not (hole[0] <= s[0] and s[1] <= hole[1])]
        short = [(a + GAP * (a in joints), b - GAP * (b in joints)) for a, b in wanted]
        assert [s for s in drawn[y] if s in short] == short, y


def test_no_line_of_steel_runs_through_a_joint(tmp_path: Path) -> None:
    text = "[defaults]\nhorizontal_reinforcement = 'No. 3'\nopenings = 'unreinforced'\n"
    doc = annotated(tmp_path, text)
    drawn = levels(doc)
    assert len([y for y in drawn if y % 8 == 4]) >= 5
    for y, spans in drawn.items():
        for x0, x1 in spans:
            assert not [x for x in joints_at(doc, y) if x0 - GAP + 0.02 < x < x1 + GAP - 0.02], (y, x0, x1)


def test_bond_beams_of_a_wall_without_joints_lie_on_its_courses(tmp_path: Path) -> None:
    doc = annotated(tmp_path, "[defaults]\nmethod = 'no-joints'\nbond_beam_bar = 'No. 5'\n", door=False)
    drawn = levels(doc)
    assert lines(doc, PREFIX) == []
    assert all(y % 8 == 4 and spans == [(0.0, 960.0)] for y, spans in drawn.items())
    assert max(b - a for a, b in itertools.pairwise([0.0, *drawn, 240.0])) <= 48.0
    texts = words(doc)
    assert "BOND BEAM, TYP." in texts
    assert "NO CJ REQUIRED FOR SHRINKAGE." in texts
    assert f"HORIZ. REINF.: #5 IN EACH OF {len(drawn)} BOND BEAMS." in texts
    assert "CJ = CONTROL JOINT" not in texts


def test_structural_bond_beams_run_through_and_are_marked_where_they_do(tmp_path: Path) -> None:
    beams = (("A-ELEV-BBEM-STRC", 232.0), ("A-ELEV-BBEM", 144.0), ("A-ELEV-BBEM", 64.0))
    doc = annotated(tmp_path, "[defaults]\nhorizontal_reinforcement = 'No. 4'\n", beams=beams)
    texts = words(doc)
    assert "BOND BEAM REINF. CONT. THRU CJ; SEE STRUCT." in texts
    assert 'HORIZ. REINF.: #4 @ 96" O.C. VERT.; DISCONTINUE AT CJ, TYP.' in texts
    assert levels(doc) == {}


def test_bond_beams_that_perpend_draws_count_beside_structural_ones_of_the_drawing(tmp_path: Path) -> None:
    """A roof beam alone would leave 19 ft without steel, where one No. 4 may stand 8 ft apart."""
    text = "[defaults]\nhorizontal_reinforcement = 'No. 4'\n"
    doc = annotated(tmp_path, text, beams=(("A-ELEV-BBEM-STRC", 232.0),))
    assert max(b - a for a, b in itertools.pairwise([0.0, *levels(doc), 240.0])) <= 96.0
