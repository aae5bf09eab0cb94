"""Settings that mean something in other rule books only are named, and no others."""

from __future__ import annotations

import pytest

from perpend.jobs.unused_settings import note_unread_by_the_book
from perpend.model import Profile, Wall
from perpend.notices import Notices
from perpend.settings import parse_settings

WALL = Wall("W1", "", 480.0, Profile.level(120.0, 0, 480), Profile.level(0.0, 0, 480))
KEYS = "left_return = 48\nshelf_angles = [100]\nsealant_movement = 25\ntemperature_change = 80\n"


def unread_by_the_book(text: str) -> list[str]:
    notices = Notices()
    note_unread_by_the_book(parse_settings(text), [WALL], notices)
    return [notice.words for notice in notices]


@pytest.mark.parametrize(
    ("book", "site", "unread"),
    [
        ("us-cmu", "", {"shelf_angles", "sealant_movement", "temperature_change"}),
        ("us-clay", "", set()),
        ("en-uk", "", {"sealant_movement", "temperature_change"}),
        (
            "au-ncc",
            "[site]\nclass = 'M'\n",
            {"left_return", "shelf_angles", "sealant_movement", "temperature_change"},
        ),
        ("us-clay", "[site]\nclass = 'M'\n", {"site, class"}),
    ],
)
def test_a_setting_that_a_book_does_not_read_is_named(book: str, site: str, unread: set[str]) -> None:
    said = unread_by_the_book(f"rulebook = '{book}'\n{site}[defaults]\n{KEYS}")
    listed = said[0].partition(": ")[2].rstrip(".") if said else ""
    assert {part for part in listed.replace("site, class", "site_class").split(", ") if part} == {
        key.replace("site, class", "site_class") for key in unread
    }
    assert unread_by_the_book(f"rulebook = '{book}'\n") == []
