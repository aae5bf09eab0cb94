"""Which detail a joint refers to, and by which number."""

from __future__ import annotations

from dataclasses import replace

import pytest

from perpend.model import Joint, JointKind, PlaceKind, SlipPlane
from perpend.rulebook import load_rulebook
from perpend.settings import parse_settings
from perpend.settings.detail_references import DETAILS, JOINT_TYPES, detail_for, detail_numbers, details_of

BOOK = load_rulebook("us-cmu")
STRAIGHT = Joint(1, 96.0, ((96.0, 0.0), (96.0, 120.0)), JointKind.STRAIGHT, "", joint_type="raked")
STEPPED = replace(STRAIGHT, kind=JointKind.JAMB, slip_planes=(SlipPlane(96.0, 104.0, 88.0, "D1"),))


def numbers(settings: str = "") -> dict[str, str]:
    return detail_numbers(BOOK, parse_settings(settings).details)


def test_numbers_run_from_one_in_the_order_of_the_sheet() -> None:
    assert list(numbers().values()) == [str(n) for n in range(1, len(DETAILS) + 1)]


@pytest.mark.parametrize(
    ("joint", "method", "key"),
    [
        (STRAIGHT, "empirical", "raked"),
        (replace(STRAIGHT, joint_type="formed-paper"), "engineered", "formed-paper"),
        (STEPPED, "empirical", "slip-plane"),
        (replace(STRAIGHT, kind=JointKind.JAMB), "empirical", "raked"),
        (replace(STRAIGHT, place=PlaceKind.PILASTER), "empirical", "pilaster"),
        (replace(STRAIGHT, place=PlaceKind.INTERSECTION), "empirical", "intersection"),
        (replace(STRAIGHT, place=PlaceKind.HEIGHT_CHANGE), "empirical", "raked"),
        (STEPPED, "veneer", "veneer"),
    ],
)
def test_a_joint_refers_to_the_detail_that_shows_it(joint: Joint, method: str, key: str) -> None:
    assert detail_for(joint, method, numbers()) == numbers()[key]


def test_a_joint_without_a_type_refers_to_none() -> None:
    assert detail_for(replace(STRAIGHT, joint_type=None), "empirical", numbers()) == ""


def test_the_project_s_own_numbers_come_first_and_its_sheet_goes_with_ours() -> None:
    own = numbers('[details]\nsheet = "A-501"\njoint = "5/A-510"\n')
    assert {own[key] for key in JOINT_TYPES} == {"5/A-510"}
    assert own["slip-plane"] == "6/A-501"
    assert detail_for(STRAIGHT, "empirical", own) == "5/A-510"


def test_details_of_joint_types_that_a_book_does_not_know_are_left_out() -> None:
    only = replace(BOOK, by_kind={**BOOK.by_kind, "joint-type": BOOK.by_kind["joint-type"][:1]})
    keys = [kind.key for kind in details_of(only)]
    assert keys[:2] == ["formed-paper", "sealant"]
    assert detail_numbers(only, parse_settings("").details)["sealant"] == "2"
