"""A results document of a wall made by hand, through the real rule book, settings and layout."""

from __future__ import annotations

from perpend.jobs.judge_plan import judged_plan
from perpend.layout import plan_wall
from perpend.model import Box, Elevation, Frame, Ignored, Opening, Profile, Wall
from perpend.report import Results, SettingsUsed, WallOutcome, WrittenEntry, build_results
from perpend.rulebook import load_rulebook
from perpend.settings import parse_settings, resolve_wall

SETTINGS = """
[[openings]]
tag = "W1"
treatment = "unreinforced"
[[openings]]
tag = "D2"
treatment = "reinforced"
"""


def opening(tag: str, x0: float, y0: float, x1: float, y1: float) -> Opening:
    return Opening(tag, f"H{tag}", Box(x0, y0, x1, y1), layer="A-ELEV-OPNG")


def plain_wall(length_in: float, height_in: float, *openings: Opening, tag: str = "NORTH") -> Wall:
    return Wall(
        tag=tag,
        handle="1A",
        length_in=length_in,
        top=Profile.level(height_in, 0.0, length_in),
        bottom=Profile.level(0.0, 0.0, length_in),
        frame=Frame(origin=(100.0, 1200.0)),
        openings=openings,
        layer="A-ELEV-WALL",
    )


def elevation_of(*walls: Wall, metric: bool = False) -> Elevation:
    return Elevation(
        path="drawings/north.dxf",
        sha256="0" * 64,
        dxf_version="R2010",
        units="mm" if metric else "in",
        walls=walls,
        metric=metric,
        ignored=(Ignored("2B", "HATCH", "A-ELEV-WALL", "a HATCH is not read as an outline or a line"),) * 3,
        repaired=("A gap of 0'-0 1/2\" in the outline 1A was closed.",),
    )


def results_of(elevation: Elevation, settings_text: str = SETTINGS) -> Results:
    settings = parse_settings(settings_text)
    book = load_rulebook(settings.rulebook)
    outcomes = []
    for wall in elevation.walls:
        basis = resolve_wall(settings, book, wall, metric=elevation.metric)
        plan = plan_wall(basis)
        judged = judged_plan(basis, plan, settings.severities)
        outcomes.append(WallOutcome(basis, plan, judged.findings, judged.runs))
    written = WrittenEntry(path="drawings/north-annotated.dxf", method="inserted", changes=[])
    return build_results(
        elevation,
        outcomes,
        book,
        settings=SettingsUsed(("drawings/perpend.toml",), settings.sha256),
        remarks=["The settings name W9, which is not in this drawing."],
        written=written,
    )


def window_wall() -> Wall:
    """60'-0" × 16'-8", a 4'-0" window W1 (unreinforced) and a 8'-0" door D2 (reinforced)."""
    return plain_wall(720.0, 200.0, opening("W1", 240, 40, 288, 104), opening("D2", 480, 0, 576, 120))
