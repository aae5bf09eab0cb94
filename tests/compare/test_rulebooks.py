"""``perpend compare --rulebooks``: one wall by several rule books, with the published spacings.

The farm shop's south side is 120'-0" × 16'-0" with eight openings. Expected spacings, typed from the
publications: 1.5 × 16 ft and 25 ft (TEK 10-2B), 20 ft with several openings (BIA Technical Note 18A),
3/8 in. · 50 % / 0.0009 (a consultant's page), lm of EN 1996-2.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from cli.harness import perpend

DRAWING = Path(__file__).parents[2] / "sample_drawings" / "shopfront-south.dxf"
SPACINGS_IN = {
    ("us-cmu", "empirical", ""): 24 * 12,
    ("us-cmu", "engineered", ""): 20 * 12,
    ("us-cmu", "no-joints", ""): None,
    ("us-clay", "empirical", ""): 20 * 12,
    ("us-clay", "engineered", ""): 0.375 * 0.5 / 0.0009,
    ("en-uk", "empirical", "clay"): 12_000 / 25.4,
    ("en-uk", "empirical", "calcium-silicate"): 8_000 / 25.4,
    ("en-uk", "empirical", "aggregate-concrete"): 6_000 / 25.4,
    ("en-uk", "empirical", "manufactured-stone"): 6_000 / 25.4,
    ("en-uk", "empirical", "aircrete"): 6_000 / 25.4,
    ("en-uk", "empirical", "natural-stone"): 12_000 / 25.4,
}
"""By rule book, method and material; of the engineered range of concrete masonry the coefficient 0.0015."""


@pytest.fixture(scope="module")
def options() -> dict[tuple[str, str, str], dict[str, Any]]:
    ending = perpend("compare", DRAWING, "--rulebooks", "us-cmu,us-clay,en-uk", "--json")
    assert ending.code in (0, 1), ending.err
    (wall,) = json.loads(ending.out)["walls"]
    return {(o["rulebook"] or "us-cmu", o["method"], o["material"] or ""): o for o in wall["options"]}


def test_every_book_gives_its_published_spacing(
    options: dict[tuple[str, str, str], dict[str, Any]],
) -> None:
    spacings = {key: option["layout"]["max_spacing_in"] for key, option in options.items()}
    assert {key for key, spacing in SPACINGS_IN.items() if spacing is None} == {
        key for key, spacing in spacings.items() if spacing is None
    }
    kept = {key: spacing for key, spacing in spacings.items() if spacing is not None}
    assert kept == pytest.approx({k: v for k, v in SPACINGS_IN.items() if v is not None}, abs=0.01)


def test_no_panel_is_longer_than_its_book_permits_and_the_joints_are_enough_for_that(
    options: dict[tuple[str, str, str], dict[str, Any]],
) -> None:
    for key, option in options.items():
        layout, spacing = option["layout"], SPACINGS_IN[key]
        if spacing is not None:
            assert layout["longest_panel_in"] <= spacing + 1 / 64, key
            assert (layout["joints"] + 1) * layout["longest_panel_in"] >= 120 * 12 - 1 / 64, key


@pytest.mark.parametrize(
    ("book", "method", "material", "lines"),
    [
        ("us-clay", "engineered", "", "method = 'engineered'\njoint_type = 'sealed'\n"),
        ("en-uk", "empirical", "clay", "material = 'clay'\njoint_type = 'sealed'\n"),
    ],
)
def test_an_option_of_another_book_is_what_annotate_draws_with_it(
    options: dict[tuple[str, str, str], dict[str, Any]],
    tmp_path: Path,
    book: str,
    method: str,
    material: str,
    lines: str,
) -> None:
    settings = tmp_path / "other.toml"
    settings.write_text(f"rulebook = '{book}'\n[defaults]\n{lines}", encoding="utf-8")
    ending = perpend("annotate", DRAWING, "-o", tmp_path / "o.dxf", "--settings", settings, "--json")
    (wall,) = json.loads(ending.out)["walls"]
    layout = options[book, method, material]["layout"]
    assert layout["joints"] == len(wall["joints"])
    assert layout["slip_planes"] == sum(len(j["slip_planes"]) for j in wall["joints"])
    assert layout["longest_panel_in"] == max(p["length_in"] for p in wall["panels"])


def test_a_book_that_is_not_there_is_named() -> None:
    ending = perpend("compare", DRAWING, "--rulebooks", "us-cmu,us-clai")
    assert ending.code == 2
    assert "'us-clai'" in ending.err
    assert "'us-clay'" in ending.err
