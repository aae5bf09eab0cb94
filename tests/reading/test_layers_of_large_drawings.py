"""Of a large drawing `layers` loads what it looks at, and says the same as of the whole."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest

from perpend.dxf import load
from perpend.reading import ReadingOptions
from perpend.reading.survey import layer_shapes, layer_survey
from perpend.reading.survey.layer_survey import LayerSurvey, survey_layers
from reading.clutter import add_clutter
from reading.zoo import WAYS

pytestmark = pytest.mark.usefixtures("small_ones_too")


def surveys(path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[LayerSurvey, LayerSurvey, list[bool]]:
    """Return what is said of a drawing in parts and as a whole, and whether parts were left out each time."""
    is_selected, whole = [], load.load_bytes

    def noted(*args: object) -> load.LoadedDrawing:
        loaded = whole(*args)  # type: ignore[arg-type]
        is_selected.append(len(args[1]) < path.stat().st_size)  # type: ignore[arg-type]
        return loaded

    monkeypatch.setattr(load, "load_bytes", noted)
    part = survey_layers(path)
    loads = list(is_selected)
    monkeypatch.setattr(load, "SMALL_BYTES", 1 << 40)
    return part, survey_layers(path), loads


@pytest.mark.parametrize("strokes", [1, 25])
@pytest.mark.parametrize("way", ["lines", "one block", "turned 30", "feet", "R2000"])
def test_the_same_of_a_part(way: str, strokes: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for module in (layer_shapes, layer_survey):
        monkeypatch.setattr(module, "MOST_STROKES", strokes)
    monkeypatch.setattr(layer_survey, "_MOST_TEXTS", 3)
    path = WAYS[way](tmp_path / "way.dxf")
    doc = ezdxf.readfile(path)
    add_clutter(doc)
    doc.saveas(path)
    part, whole, loads = surveys(path, monkeypatch)
    assert part == whole
    assert loads == [True], "with what is looked at, and not again"
    assert sum(row.total for row in part.rows) > 150


def test_lines_that_show_nothing_are_no_reason_to_look_at_fewer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first lines of a layer are points: what is loaded has too few to look at, and all is loaded."""
    for module in (layer_shapes, layer_survey):
        monkeypatch.setattr(module, "MOST_STROKES", 8)
    path = WAYS["lines"](tmp_path / "way.dxf")
    doc = ezdxf.readfile(path)
    for i in range(40):
        end = (i, 900) if i < 8 else (i + 5, 900 + i)
        doc.modelspace().add_line((i, 900), end, dxfattribs={"layer": "A-DETL"})
    doc.saveas(path)
    part, whole, loads = surveys(path, monkeypatch)
    assert part == whole
    assert loads == [True, False]


def test_another_layout_is_loaded_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = WAYS["lines"](tmp_path / "way.dxf")
    doc = ezdxf.readfile(path)
    doc.layout("Layout1").add_line((0, 0), (9, 9))
    doc.saveas(path)
    monkeypatch.setattr(layer_survey, "_MOST_TEXTS", 0)
    options = replace(ReadingOptions(), layout="Layout1")
    assert [row.total for row in survey_layers(path, options).rows] == [1]
