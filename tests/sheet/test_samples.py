"""The sample drawings, read and laid out by the real thing, as sheets in the browser."""

from __future__ import annotations

from pathlib import Path

import pytest

from perpend.jobs.annotate import lay_out
from perpend.jobs.read_revision import read_with_decisions
from perpend.jobs.settings_to_options import reading_options
from perpend.model import WallPlan
from perpend.report import Results, SettingsUsed, build_results
from perpend.rulebook import load_rulebook
from perpend.settings import load_settings
from sheet.conftest import Opener

SAMPLES = Path(__file__).parents[2] / "sample_drawings"


def run_of_sample(path: Path) -> tuple[Results, list[WallPlan]]:
    settings = load_settings(None, path)
    book = load_rulebook(settings.rulebook)
    elevation = read_with_decisions(path, reading_options(settings), settings)
    outcomes = lay_out(elevation, settings, book)
    used = SettingsUsed(settings.files, settings.sha256)
    results = build_results(elevation, outcomes, book, settings=used)
    return results, [outcome.plan for outcome in outcomes]


@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.dxf")), ids=lambda path: path.stem)
def test_a_sample_opens_and_holds_every_wall_joint_and_opening(open_sheet: Opener, path: Path) -> None:
    run = run_of_sample(path)
    page = open_sheet(run).page
    walls = run[0].walls
    assert page.title() == f"Joint layout: {path.name}"
    titles = page.locator("figcaption h3").all_inner_texts()
    assert titles == [f"Wall {wall.tag}" for wall in walls]
    for number, wall in enumerate(walls, start=1):
        assert page.locator(f"#w{number} .joint").count() == len(wall.joints)
        assert page.locator(f"#w{number} .slip").count() == sum(len(j.slip_planes) for j in wall.joints)
        assert page.locator(f"#w{number} .tag").all_text_contents() == [o.tag for o in wall.openings]
