"""The collector of notices, and what the results document makes of them."""

from __future__ import annotations

from dataclasses import replace

from perpend.notices import ENTITY_IGNORED, NoticePlace, Notices, NoticeSeverity
from perpend.report.notice_entries import ignored_entries, notice_entries
from report.sample_results import elevation_of, plain_wall


def filled() -> Notices:
    notices = Notices()
    notices.note("gap-closed", "A gap was closed.", NoticePlace("1A"))
    notices.within("W1").ignore("2B", "LINE", "A-JNT", "it runs level", (3.0, 4.0), 48.0)
    notices.doubt("hidden-layer", "Layer X is hidden.", NoticePlace(layer="X"))
    notices.doubt("unassigned-joint", "A line looks like a joint.", NoticePlace(wall="W1"))
    notices.doubt("nested-left-out", "An outline was left out.", NoticePlace(wall="W2"), grave=False)
    notices.note("gap-closed", "A gap was closed.", NoticePlace("1A"))
    return notices


def test_a_doubt_with_a_wall_is_about_that_wall_alone() -> None:
    notices = filled()
    (first,) = notices.about_wall("W1")
    (second,) = notices.about_wall("W2")
    assert (first.code, first.is_doubt, first.is_grave) == ("unassigned-joint", True, True)
    assert (second.code, second.severity, second.is_grave) == ("nested-left-out", NoticeSeverity.DOUBT, False)
    assert notices.about_wall("W3") == ()


def test_of_the_drawing_doubts_come_first_and_everything_once() -> None:
    codes = [notice.code for notice in filled().about_drawing()]
    assert codes == ["hidden-layer", "gap-closed", ENTITY_IGNORED]


def test_a_collector_for_one_wall_writes_into_the_whole_one() -> None:
    (ignored,) = [notice for notice in filled() if notice.code == ENTITY_IGNORED]
    assert ignored.place == NoticePlace("2B", "LINE", "A-JNT", (3.0, 4.0), "W1", 48.0)


def test_the_results_document_has_every_notice_with_its_code_and_place() -> None:
    notices = filled()
    walls = [replace(plain_wall(480.0, 120.0, tag=t), doubts=notices.about_wall(t)) for t in ("W1", "W2")]
    elevation = replace(elevation_of(*walls), notices=notices.about_drawing())
    remarks = Notices()
    remarks.note("tag-not-found", "W9 is not here.")
    assert [(n.code, n.severity, n.wall, n.layer, n.handle) for n in notice_entries(elevation, remarks)] == [
        ("unassigned-joint", "grave-doubt", "W1", "", ""),
        ("nested-left-out", "doubt", "W2", "", ""),
        ("hidden-layer", "grave-doubt", "", "X", ""),
        ("gap-closed", "note", "", "", "1A"),
        ("tag-not-found", "note", "", "", ""),
    ]
    (entry,) = ignored_entries(elevation)
    assert (entry.handle, entry.why, entry.wall, entry.x_in) == ("2B", "it runs level", "W1", 48.0)
    assert elevation.repaired == ("Layer X is hidden.", "A gap was closed.")
