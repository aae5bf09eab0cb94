"""The elevation without a browser: marks keep apart, many panels stay readable, plans must fit the walls."""

from __future__ import annotations

import itertools
import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from perpend.checks.registry import CODES
from perpend.model import Box, Profile, Wall
from perpend.report.results_builder import finding_entry
from perpend.report.sheet import render_sheet
from perpend.report.sheet.assemble import assemble
from perpend.report.sheet.sheet_marks import FLAG, place_marks
from perpend.report.sheet.wall_placement import BUBBLE, bubble_rows, stage_for
from sheet.conftest import Opener
from sheet.sample_sheets import clean, review, run_of, spoiled, wing

if TYPE_CHECKING:
    from playwright.sync_api import Page


@pytest.mark.parametrize(
    ("tag", "title", "name"),
    [("W1", "Wall W1", "wall W1"), ("wall 2", "Wall 2", "wall 2"), ("WALL C", "WALL C", "WALL C")],
)
def test_a_wall_is_not_called_a_wall_twice(tag: str, title: str, name: str) -> None:
    results, _ = clean()
    sheet = render_sheet(replace(results, walls=[replace(results.walls[0], tag=tag)]))
    assert f'-tables">{title}</h2>' in sheet
    assert f'data-name="Joints of {name}"' in sheet
    assert f'aria-label="What is on {name}"' in sheet


place = st.tuples(st.floats(0, 720), st.floats(0, 200))


@settings(max_examples=40, deadline=None)
@given(st.lists(place, min_size=1, max_size=16))
def test_flags_never_cover_each_other(places: list[tuple[float, float]]) -> None:
    results, _ = clean()
    found = [finding_entry(CODES["joint-off-module"].finding("off", wall="W1", at=(at,))) for at in places]
    wall = replace(results.walls[0], findings=found)
    view = assemble(replace(results, walls=[wall]))
    stage = stage_for(wall, [panel.dimension for panel in view.walls[0].panels])
    field = Box(0, 0, stage.width, stage.height)
    marks = place_marks(stage, view.walls[0].findings, (), field)
    flags = [flag for mark in marks for flag in mark.flags]
    assert len(flags) == len(places)
    assert all(math.dist(a, b) >= 2 * FLAG for a, b in itertools.combinations(flags, 2))


@pytest.mark.parametrize("count", [4, 30])
def test_flags_cover_no_bubble_and_not_even_in_a_crowd_each_other(count: int) -> None:
    """All at the head of a joint, read from the picture as it is drawn."""
    results, plans = clean()
    at = results.walls[0].joints[0].path[-1]
    found = [
        finding_entry(CODES["joint-off-module"].finding("off", wall="W1", at=(at,))) for _ in range(count)
    ]
    wall = replace(results.walls[0], findings=found)
    sheet = render_sheet(replace(results, walls=[wall]), plans)
    number = r"([\d.]+)"
    numbers = re.findall(rf'<text x="{number}" y="{number}" class="bubble-number"', sheet)
    squares = re.findall(rf'<rect x="{number}" y="{number}" width="{number}" [^>]*class="flag"', sheet)
    flags = [(float(x) + float(side) / 2, float(y) + float(side) / 2) for x, y, side in squares]
    bubbles = [(float(x), float(y) - 4) for x, y in numbers]  # a number is lettered about its middle
    assert len(flags) == count
    assert len(bubbles) == len(wall.joints)
    assert all(math.dist(a, b) >= 2 * FLAG for a, b in itertools.combinations(flags, 2))
    assert all(math.dist(a, b) >= FLAG + BUBBLE - 1 for a in flags for b in bubbles)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(0, 2400), max_size=40), st.floats(0.1, 3))
def test_bubbles_in_one_row_never_touch(heads: list[float], scale: float) -> None:
    heads.sort()
    rows = bubble_rows(heads, scale)
    for row in set(rows):
        own = [h * scale for h, r in zip(heads, rows, strict=True) if r == row]
        assert all(b - a >= 20 for a, b in itertools.pairwise(own))


def long_wall(length_ft: int) -> Wall:
    length = 12.0 * length_ft
    return Wall("L", "9", length, Profile.level(96, 0, length), Profile.level(0, 0, length))


def overlaps(page: Page, selector: str) -> int:
    """Count pairs of texts whose boxes, as the browser lays them out, cover each other by over a unit."""
    boxes = page.eval_on_selector_all(
        selector,
        "all => all.map(e => e.getBoundingClientRect())"
        ".map(b => ({x: b.x, y: b.y, width: b.width, height: b.height}))",
    )
    return sum(
        min(a["x"] + a["width"], b["x"] + b["width"]) - max(a["x"], b["x"]) > 1
        and min(a["y"] + a["height"], b["y"] + b["height"]) - max(a["y"], b["y"]) > 1
        for a, b in itertools.combinations(boxes, 2)
    )


@pytest.mark.parametrize("length_ft", [40, 300, 700])
def test_dimensions_of_many_panels_stay_apart(open_sheet: Opener, length_ft: int) -> None:
    page = open_sheet(run_of(long_wall(length_ft))).page
    panels = page.locator(".panel").count()
    assert panels >= length_ft / 12
    assert page.locator(".panel .dim").count() == panels
    assert overlaps(page, ".elevation .dim, .elevation .share, .elevation .bubble-number") == 0


def test_texts_in_openings_stay_inside_them(open_sheet: Opener) -> None:
    page = open_sheet(clean()).page
    for number in (1, 2, 3):
        hole = page.locator(f"#at-w1-o{number} .hole").bounding_box()
        for text in page.locator(f"#at-w1-o{number} text").all():
            box = text.bounding_box()
            assert hole["x"] - 3 <= box["x"]
            assert box["x"] + box["width"] <= hole["x"] + hole["width"] + 3


def test_the_picture_is_well_formed_and_shows_what_the_plan_adds() -> None:
    results, plans = clean()
    with_plans, without = (assemble(results, p).walls[0].svg for p in (plans, ()))
    steel, bare = (len(ET.fromstring(svg).findall(".//*[@class='steel']")) for svg in (with_plans, without))
    assert steel == len(plans[0].bars) > 0
    assert bare == 0
    # The arched head of D1: seven corners with the plan, a rectangle without it.
    arched = ET.fromstring(with_plans).find(".//*[@id='at-w1-o3']/*[@class='hole']")
    assert arched is not None
    assert len(arched.get("points", "").split()) == 7


def test_a_falling_bottom_and_a_stepped_top_are_drawn_as_they_are() -> None:
    results, plans = run_of(wing())
    shape = ET.fromstring(assemble(results, plans).walls[0].svg).find(".//*[@class='wall']")
    assert shape is not None
    points = [tuple(float(v) for v in p.split(",")) for p in shape.get("points", "").split()]
    scale = (points[3][0] - points[0][0]) / 560
    left, base = points[0][0], points[0][1] + 144 * scale
    back = [(round((x - left) / scale), round((base - y) / scale)) for x, y in points]
    assert back == [(0, 144), (320, 144), (320, 96), (560, 112), (560, 16), (448, 16), (448, 0), (0, 0)]


def test_plans_must_be_one_for_each_wall() -> None:
    results, plans = review()
    with pytest.raises(ValueError, match="1 plans for 2 walls"):
        render_sheet(results, plans[:1])


def test_the_same_run_gives_the_same_bytes() -> None:
    assert render_sheet(*review()) == render_sheet(*review.__wrapped__())


def test_the_cure_is_drawn_beside_what_is_there(open_sheet: Opener) -> None:
    # Drawn: N1's joint at 8'-0", one through N1 at 12'-0", OH1's two, and one at 53'-3", 1'-3" from D1.
    run = spoiled()
    page = open_sheet(run).page
    proposed = [p for p in run[0].walls[0].proposed if p.change != "kept"]
    assert [(p.change, p.x_in) for p in proposed] == [("removed", 144.0), ("moved", 648.0)]
    table = page.get_by_role("table", name="Proposed: the fewest changes that satisfy the rules")
    assert table.locator("tbody tr").count() == 2
    assert table.locator("tbody tr").nth(0).locator("td").all_inner_texts() == [
        "",
        "joint 2 at 12'-0\"",
        "not needed",
    ]
    assert table.locator("tbody tr").nth(1).locator("td").all_inner_texts()[:2] == [
        "54'-0\"",
        "joint 5 at 53'-3\"",
    ]
    page.locator('.choose[data-key="w1-c2"]').press("Enter")
    assert page.locator("#at-w1-c2.lit .line").count() == 1
    stations = page.eval_on_selector_all(
        ".proposal .sign", "all => all.map(e => e.getBBox().x + e.getBBox().width / 2)"
    )
    wall = page.eval_on_selector("#w1 .wall", "e => [e.getBBox().x, e.getBBox().width]")
    back = [(x - wall[0]) / wall[1] * 720 for x in stations]
    assert back == pytest.approx([144.0, 648.0], abs=0.05)


def test_the_template_is_made_ready_once_for_all_drawings_of_a_process(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """It takes longer than to fill it, and longer than to read a small drawing."""
    first = render_sheet(*clean())
    monkeypatch.delattr("jinja2.Environment.from_string")
    assert render_sheet(*clean()) == first
