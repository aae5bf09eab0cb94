"""The gallery shows what perpend lays out today: text, pictures, one for every method and treatment."""

from __future__ import annotations

import pytest
from PIL import Image

from perpend.rulebook import book_keys, load_rulebook
from rules_docs.gallery import (
    FINGERPRINT,
    IMAGES,
    LARGEST_BYTES,
    PAGE,
    Plate,
    fingerprint,
    image,
    laid_out,
    page,
    plates,
)

PLATES = tuple(plates())


def test_every_method_stands_there_with_every_treatment() -> None:
    """Which methods there are is asked of the rule books; what a plate shows, of its layout."""
    shown = {
        (laid_out(plate)["method"], opening["treatment"])
        for plate in PLATES
        for opening in laid_out(plate)["openings"]
    }
    methods = {method for key in book_keys() for method in load_rulebook(key).methods}
    assert shown == {
        (method, treatment) for method in methods for treatment in ("reinforced", "unreinforced")
    }
    assert {laid_out(plate)["units"] for plate in PLATES} == {"full-height", "half-high"}
    assert len({image(plate) for plate in PLATES}) == len(PLATES)


def test_the_page_is_what_the_layouts_give() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), "run: python -m tests.rules_docs.gallery"


@pytest.mark.parametrize("plate", PLATES, ids=[plate.key for plate in PLATES])
def test_each_picture_shows_the_layout_of_today_and_is_small(plate: Plate) -> None:
    with Image.open(image(plate)) as shown:
        assert shown.info[FINGERPRINT] == fingerprint(plate), "run: python -m tests.rules_docs.gallery"
        assert shown.width > 1200
        assert len(shown.convert("RGB").getcolors(1 << 24)) > 10
    assert image(plate).stat().st_size < LARGEST_BYTES


def test_each_plate_states_what_it_got_beside_what_is_allowed() -> None:
    text = PAGE.read_text(encoding="utf-8")
    for plate in PLATES:
        part = text.split(f"## {plate.title}\n")[1].split("\n## ")[0]
        wall = laid_out(plate)
        longest = max(panel["length_in"] for panel in wall["panels"])
        if wall["limits"]["max_spacing_in"] is None:
            assert "none drawn" in part
            assert wall["joints"] == []
        else:
            assert longest <= wall["limits"]["max_spacing_in"] + 1 / 64
            assert "**Allowed" in part
            assert "; got" in part


def test_no_picture_is_left_over() -> None:
    assert set(IMAGES.glob("gallery-*")) == {image(plate) for plate in PLATES}


GUIDE = PAGE.with_name("guide.md")


def test_the_guide_s_example_is_what_the_layouts_give() -> None:
    text = " ".join(GUIDE.read_text(encoding="utf-8").split())
    by_key = {plate.key: laid_out(plate) for plate in PLATES}
    reinforced, bare = by_key["empirical-full-reinforced"], by_key["empirical-full-unreinforced"]
    slips = sum(len(joint["slip_planes"]) for joint in bare["joints"])
    assert f"reinforced it takes {len(reinforced['joints'])} joints and no slip plane" in text
    assert not any(joint["slip_planes"] for joint in reinforced["joints"])
    assert f"unreinforced {len(bare['joints'])} joints and {slips} slip planes" in text


def test_the_guide_marks_every_rule_that_is_not_verified() -> None:
    lines = GUIDE.read_text(encoding="utf-8").splitlines()
    for key in book_keys():
        for row in load_rulebook(key).rows:
            for line in lines:
                if f"](rules/{key}/{row.id}.md)" in line and row.unverified:
                    assert "†" in line, row.id
