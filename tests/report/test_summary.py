"""The terminal summary: what a person finds in it, and that it stays within 100 columns."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from perpend.report import summary
from perpend.report.finding_numbers import finding_title
from perpend.report.results_document import PanelEntry
from perpend.report.summary import WIDTH
from report.sample_results import elevation_of, opening, plain_wall, results_of, window_wall


def text_of(*walls: object, metric: bool = False) -> str:
    results = results_of(elevation_of(*walls, metric=metric))  # type: ignore[arg-type]
    return "\n".join(line.text for line in summary(results))


def test_a_clean_wall_reads_in_trade_words() -> None:
    text = text_of(window_wall())
    assert "NORTH: 60'-0\" long, 16'-8\" high" in text
    assert "up to 25'-0\", the cap governs; first joint not more than 12'-6\" from a corner" in text
    assert "right jamb of W1, unreinforced: a joint at one jamb" in text
    assert "Findings      none" in text
    # Said above: a gap closed, a tag that is not there, hatches left out.
    assert re.search(r"No violations, no advisories, 3 remarks; (\d+) of \1 checks passed\.", text)
    results = results_of(elevation_of(window_wall()))
    silent = replace(results, repaired=[], remarks=[], ignored=[])
    assert "No violations, no advisories, no remarks; " in "\n".join(line.text for line in summary(silent))


def test_the_head_says_that_there_are_no_openings() -> None:
    assert text_of(plain_wall(400, 120)).splitlines()[0].endswith(": 1 wall, no openings")


def test_openings_with_one_mark_are_counted_and_told_apart_where_their_treatments_differ() -> None:
    wall = plain_wall(800, 160, *(opening("A", x, 40, x + 40, 88) for x in (104, 304, 504)))
    results = results_of(elevation_of(wall))
    entry = results.walls[0]
    same = {opening.treatment for opening in entry.openings}
    assert len(same) == 1
    assert f"{same.pop().capitalize():<14}3 × A\n" in text_of(wall)
    other = {"reinforced": "unreinforced", "unreinforced": "reinforced"}[entry.openings[1].treatment]
    entry.openings[1] = replace(entry.openings[1], treatment=other)
    text = "\n".join(line.text for line in summary(results))
    assert f"{entry.openings[0].treatment.capitalize():<14}A at 8'-8\", A at 42'-0\"" in text
    assert f"{other.capitalize():<14}A at 25'-4\"" in text


def test_the_longest_panel_and_how_much_of_the_limit_it_uses() -> None:
    assert "13'-4\", from 36'-8\" to 50'-0\"; 53 % of the 25'-0\" allowed" in text_of(window_wall())


def test_a_violation_says_place_measured_limit_source_and_cure() -> None:
    text = text_of(plain_wall(800, 56, opening("D1", 104, 0, 704, 48)))
    assert "A panel is longer" in text
    assert "at 6'-8\" and 60'-8\"; measured 54'-0\"; limit 7'-0\"" in text
    assert "Source: TEK 10-2C (2010), Table 1" in text
    assert "Cure: " in text
    assert "1 violation, 2 advisories, 3 remarks" in text


def test_metric_drawings_print_millimetres_and_the_limit_in_both() -> None:
    """25'-0" = 7620 mm (TEK 10-2C Table 1 prints both)."""
    text = text_of(plain_wall(720, 200), metric=True)
    assert "NORTH: 18288 mm long, 5080 mm high" in text
    assert "up to 7620 mm (25'-0\")" in text


def test_what_could_not_be_tested_is_said_once_with_its_reason() -> None:
    text = " ".join(text_of(window_wall(), plain_wall(400, 120, tag="SOUTH")).split())
    assert text.count(f"{finding_title('no-joint-at-pilaster')} (the drawing marks no pilasters)") == 1
    assert "no-joint-at-pilaster" not in text, "people read titles"


def test_ignored_things_are_counted_and_named() -> None:
    assert "Ignored: 3 × HATCH on A-ELEV-WALL: a HATCH is not read as" in text_of(window_wall())


def test_unverified_rows_and_cautions_close_the_summary() -> None:
    text = text_of(window_wall())
    assert "against the source: " in text
    assert "3 numbers of TEK 10-2C (2010), figures" in text
    assert "an aid, not a design" in text


def test_the_file_written_and_how_is_named() -> None:
    text = text_of(window_wall())
    assert "Written: drawings/north-annotated.dxf" in text
    assert "the original's bytes are unchanged" in text


@pytest.mark.parametrize("metric", [False, True])
def test_no_line_is_wider_than_a_hundred_columns(metric: bool) -> None:
    crowded = plain_wall(
        48000, 200, *(opening(f"D{i}", 400 * i + 40, 0, 400 * i + 88, 88) for i in range(100))
    )
    lines = text_of(crowded, window_wall(), metric=metric).splitlines()
    assert max(map(len, lines)) <= WIDTH
    assert sum(line.lstrip().startswith("... and ") for line in lines) == 1


def test_sentences_of_metric_drawings_are_metric_too() -> None:
    """Reasons and findings print millimetres first: 7'-0" (1.5 × 4'-8") is 2134 mm."""
    metric = plain_wall(800, 56, opening("D1", 104, 0, 704, 48))
    text = " ".join(text_of(metric, metric=True).split())
    assert "panels up to 2134 mm (7'-0\")" in text
    assert "2134 mm (7'-0\") is allowed (1.5 × height 1422 mm (4'-8\"))" in text


def with_panels(*panels: PanelEntry) -> str:
    results = results_of(elevation_of(window_wall()))
    wall = replace(results.walls[0], panels=list(panels))
    return "\n".join(line.text for line in summary(replace(results, walls=[wall])))


def panel(x0: float, x1: float, length: float, limit: float) -> PanelEntry:
    return PanelEntry(
        x0_in=x0,
        x1_in=x1,
        length_in=length,
        limit_in=limit,
        height_in=limit / 1.5,
        utilisation=length / limit,
        at_corner=False,
    )


def test_the_longest_panel_is_the_longest_and_the_fullest_stands_beside() -> None:
    """A gable: 22'-0" of 25'-0" is 88 %, 14'-8" of 15'-0" is 98 %."""
    text = with_panels(panel(0, 176, 176, 180), panel(176, 440, 264, 300))
    assert "Longest panel 22'-0\", from 14'-8\" to 36'-8\"; 88 % of the 25'-0\" allowed" in text
    assert "Fullest panel 14'-8\", from 0'-0\" to 14'-8\"; 98 % of the 15'-0\" allowed" in text
    assert "  at most 15'-0\" to 25'-0\", by the height of each panel" in text
    assert "up to 15'-0\" to" not in text


def test_a_joint_at_a_corner_says_how_near_it_has_to_stand() -> None:
    """Half of 25'-0" from a corner, TEK 10-2B item 6."""
    text = " ".join(text_of(plain_wall(720, 200)).split())
    assert "within 12'-6\" of the left corner; panels up to 25'-0\"" in text
    assert "within 12'-6\" of the right corner; panels up to 25'-0\"" in text


def test_one_line_is_enough_where_the_longest_panel_is_the_fullest() -> None:
    assert "Fullest" not in with_panels(panel(0, 176, 176, 300), panel(176, 440, 264, 300))


def test_a_panel_longer_than_its_foot_says_why() -> None:
    text = " ".join(with_panels(panel(0, 176, 184, 300)).split())
    assert "15'-4\", from 0'-0\" to 14'-8\" (14'-8\" at the foot; a joint steps away" in text


def test_the_reason_for_a_save_goes_on_in_the_sentence() -> None:
    results = results_of(elevation_of(window_wall()))
    assert results.written is not None
    reason = "Nothing could be inserted into north.dxf, as it is of release R12."
    written = replace(results.written, method="saved", reason=reason)
    text = "\n".join(line.text for line in summary(replace(results, written=written)))
    assert "  saved anew: nothing could be inserted into north.dxf" in text
