"""No text of ours lies over a text, an opening, a joint, a lintel, a bubble, a keynote or a dimension."""

from __future__ import annotations

import io
import statistics

import ezdxf
from ezdxf.document import Drawing

from drawing.elevations import random_elevation
from drawing.referee import overlaps, shown_texts, struck
from drawing.seen import entities
from perpend.drawing import DraftingReport, DraftingStyle, draw_plans

ELEVATIONS = 200
CAUTIONS = ("This layout is an aid, not a design.", "Local codes and the adopted editions govern.")


EVERY = 10
"""One in so many is written and read back; the others are looked at as they would be written."""


def annotated(seed: int) -> tuple[Drawing, DraftingReport]:
    """Draw a random elevation's plate."""
    doc, plans = random_elevation(seed)
    report = draw_plans(doc, plans, (), DraftingStyle(cautions=CAUTIONS))
    if seed % EVERY:
        return doc, report
    stream = io.StringIO()
    doc.write(stream)
    stream.seek(0)
    return ezdxf.read(stream), report


def test_no_label_of_ours_overlaps_on_200_random_elevations(record_property) -> None:  # noqa: ANN001
    found: dict[int, list[str]] = {}
    leaders: list[float] = []
    for seed in range(ELEVATIONS):
        doc, report = annotated(seed)
        leaders += report.leaders_in
        texts = list(shown_texts(doc))
        if hits := [*overlaps(doc, texts=texts), *struck(doc, texts)]:
            found[seed] = hits
        assert not report.remarks, (seed, report.remarks)
    mean = statistics.fmean(leaders)
    record_property("mean_leader_in", mean)
    print(f"mean leader {mean:.1f} in. ({mean / 9:.1f} letter heights) over {len(leaders)} leaders")
    assert found == {}
    assert mean < 6 * 9.0


def test_the_referee_sees_an_overlap_when_there_is_one() -> None:
    doc, plans = random_elevation(5)
    draw_plans(doc, plans, (), DraftingStyle(cautions=CAUTIONS))
    assert overlaps(doc) == []
    tag = next(e for e in entities(doc) if e.dxftype() == "TEXT" and e.dxf.text.startswith("CJ"))
    doc.modelspace().add_text("X", height=9.0, dxfattribs={"insert": tag.dxf.align_point, "layer": "A-ANNO"})
    assert overlaps(doc) == [f"{tag.dxf.text!r} lies over 'X'"]
