"""A check on a plate of our own: no number twice, and it says where the plate no longer fits the joints."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import ezdxf
import pytest

from check_command.bench import SETTINGS, check, our_joints
from cli.drawings import add_box, add_text, new_drawing
from cli.harness import perpend
from drawing.seen import entities, said
from outside.annotated import NAMES, annotated


@pytest.fixture
def plate(tmp_path: Path) -> Path:
    """The plate of a wall with a joint 8 in. beside a door that can't stay there: V1 of the plate."""
    doc = new_drawing()
    add_box(doc, (0, 0, 480, 160), "A-ELEV-WALL")
    add_text(doc, "W1", (20, 140))
    doc.layers.add("A-ELEV-JNTC")
    add_box(doc, (200, 0, 240, 88), "A-ELEV-OPNG")
    doc.modelspace().add_line((248, 0), (248, 160), dxfattribs={"layer": "A-ELEV-JNTC"})
    doc.saveas(tmp_path / "w.dxf")
    perpend("annotate", tmp_path / "w.dxf", "-o", tmp_path / "plate.dxf")
    return tmp_path / "plate.dxf"


def numbers_in(drawing: Path, app: str) -> list[str]:
    """Numbers of findings that stand in a mark, by who drew them."""
    texts = [e for e in entities(ezdxf.readfile(drawing)) if e.dxftype() == "TEXT"]
    marked = [t for t in texts if t.has_xdata(app) and t.get_xdata(app)[0].value in MARKS]
    return [t.dxf.text for t in marked if t.dxf.text[0] in "VA" and t.dxf.text[1:].isdigit()]


MARKS = {"kind=violation", "kind=advice"}


def test_a_check_numbers_on_from_the_plate(plate: Path) -> None:
    checked = check(plate)
    before, after = numbers_in(plate, "PERPEND"), numbers_in(checked.output, "PERPEND-CHECK")
    assert before == ["V1"]
    assert after[0] == "V2"
    assert numbers_in(checked.output, "PERPEND") == before
    assert max(Counter([*before, *after]).values()) == 1
    assert checked.results.numbered_after == (1, 0)
    assert "VIOLATION V2" in checked.ending.out
    assert "VIOLATION V1 " not in checked.ending.out


def test_a_second_check_numbers_as_the_first(plate: Path) -> None:
    first = check(plate)
    second = check(first.output)
    assert numbers_in(second.output, "PERPEND-CHECK") == numbers_in(first.output, "PERPEND-CHECK")


@pytest.mark.parametrize("name", NAMES)
def test_a_plate_as_it_was_drawn_fits(name: str) -> None:
    checked = check(annotated(name).output, settings=SETTINGS)
    assert not any("was drawn for other joints" in remark for remark in checked.results.remarks)


@pytest.mark.parametrize("change", ["moved", "deleted", "added"])
def test_a_plate_whose_joints_changed_no_longer_fits(tmp_path: Path, change: str) -> None:
    doc = ezdxf.readfile(annotated("warehouse-north.dxf").output)
    joint = our_joints(doc)[2]
    if change == "moved":
        joint.translate(-1, 0, 0)
    elif change == "deleted":
        doc.modelspace().delete_entity(joint)
    else:
        doc.modelspace().add_entity(joint.copy())
        joint.translate(-40, 0, 0)
    doc.saveas(tmp_path / "m.dxf")
    checked = check(tmp_path / "m.dxf", settings=SETTINGS)
    told = [remark for remark in checked.results.remarks if "was drawn for other joints" in remark]
    assert [remark.partition(":")[0] for remark in told] == ["W1"]
    notes = " ".join(said(ezdxf.readfile(checked.output), "violation-list", "PERPEND-CHECK"))
    assert "W1: THE PLATE ON THE SHEET WAS DRAWN FOR OTHER JOINTS" in " ".join(notes.split())
