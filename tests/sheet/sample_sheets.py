"""Runs made by hand for the sheet and the exports: a clean layout, and a review with faults of every weight.

The walls go through the real rule book, settings and layout; the faults are written here, so that every
number the tests look for stands on this page.
"""

from __future__ import annotations

import functools
from dataclasses import replace
from datetime import date

from perpend.checks import check_wall
from perpend.checks.registry import CODES
from perpend.findings import Finding, Waived
from perpend.jobs.judge_plan import judged_plan
from perpend.layout import plan_wall
from perpend.layout.nearest_layout import nearest_layout
from perpend.model import (
    Advice,
    Box,
    Cure,
    Elevation,
    Joint,
    JointChange,
    JointKind,
    Opening,
    Profile,
    Source,
    Standing,
    Wall,
    WallPlan,
)
from perpend.report import Results, SettingsUsed, WallOutcome, build_results
from perpend.report.change_entries import proposed_entries
from perpend.rulebook import load_rulebook
from perpend.settings import parse_settings, resolve_wall

SETTINGS = """
[[openings]]
tag = "N1"
treatment = "unreinforced"
[[openings]]
tag = "OH1"
treatment = "unreinforced"
"""
TABLE = Source("spacing.empirical-full", "TEK 10-2C (2010)", "Table 1", Standing.PUBLISHED, "1.5 x H, 25 ft")
RECALLED = Source(
    "opening.slip-plane", "TEK 10-2C (2010)", "Figure 1", Standing.MEMORY, "as long as the bearing"
)
HOSTILE = "</script><img src=x onerror=alert(1)> & 'W3'"
"""A tag that a drafter could type; it must come out as text."""


def shop() -> Wall:
    """60'-0" × 16'-8" with a window N1, a wide door OH1 and an arched door D1."""
    arch = tuple(
        (576 + 24 - 24 * x, 64 + 24 * y) for x, y in ((1, 0), (0.7, 0.7), (0, 1), (-0.7, 0.7), (-1, 0))
    )
    return Wall(
        tag="W1",
        handle="1A",
        length_in=720.0,
        top=Profile.level(200.0, 0.0, 720.0),
        bottom=Profile.level(0.0, 0.0, 720.0),
        openings=(
            Opening("N1", "2A", Box(96, 40, 160, 104)),
            Opening("OH1", "2B", Box(288, 0, 408, 120)),
            Opening("D1", "2C", Box(576, 0, 624, 88), outline=((576, 0), *arch, (624, 0)), arched=True),
        ),
    )


def wing(tag: str = "W2") -> Wall:
    """46'-8" long, 12'-0" high with a wing of 8'-0" and a fall in its bottom edge."""
    return Wall(
        tag=tag,
        handle="1B",
        length_in=560.0,
        top=Profile(((0.0, 144.0), (320.0, 144.0), (320.0, 96.0), (560.0, 112.0))),
        bottom=Profile(((0.0, 0.0), (448.0, 0.0), (448.0, 16.0), (560.0, 16.0))),
    )


def faults() -> dict[str, list[Finding]]:
    """Findings by wall; the empty tag is the whole drawing."""
    accepted = Waived("The engineer of record accepted it.", "J. Doe", date(2027, 6, 30))
    return {
        "W1": [
            CODES["panel-too-long"].finding(
                "The panel from 20'-0\" to 47'-8\" is longer than the spacing allows.",
                wall="W1",
                measured_in=332.0,
                limit_in=300.0,
                source=TABLE,
                at=((240.0, 100.0), (572.0, 100.0)),
                cure=Cure((JointChange("add", ((396.0, 0.0), (396.0, 200.0))),), complies=True),
                handle="3F",
            ),
            CODES["slip-plane-too-short"].finding(
                "The slip plane at the left jamb of OH1 is shorter than the bearing.",
                wall="W1",
                measured_in=4.0,
                limit_in=8.0,
                source=RECALLED,
                at=((288.0, 120.0),),
                cure=Cure((Advice("confirm"),)),
                opening="OH1",
            ),
            CODES["joint-off-module"].finding(
                "Joint 2 stands 0'-3\" off the module.",
                wall="W1",
                measured_in=3.0,
                source=TABLE,
                at=((240.0, 0.0),),
                cure=Cure((Advice("cut-units"),)),
            ),
        ],
        "W2": [
            replace(
                CODES["corner-too-far"].finding(
                    "The first joint is 13'-0\" from the left corner.",
                    wall="W2",
                    measured_in=156.0,
                    limit_in=72.0,
                    source=TABLE,
                    at=((156.0, 72.0),),
                    cure=Cure((Advice("other-methods"),)),
                ),
                waived=accepted,
            ),
        ],
        "": [CODES["waiver-unused"].finding("The waiver 0123456789abcdef fits no finding.")],
    }


def run_of(
    *walls: Wall, found: dict[str, list[Finding]] | None = None, command: str = "check", metric: bool = False
) -> tuple[Results, list[WallPlan]]:
    """Lay the walls out and say that the findings were found."""
    settings = parse_settings(SETTINGS)
    book = load_rulebook(settings.rulebook)
    outcomes = []
    for wall in walls:
        basis = resolve_wall(settings, book, wall, metric=metric)
        plan = plan_wall(basis)
        findings = tuple(found.get(wall.tag, []) if found else judged_plan(basis, plan, {}).findings)
        outcomes.append(WallOutcome(basis, plan, findings, check_wall(basis, plan.joints).runs))
    elevation = Elevation(
        path="drawings/shop front.dxf",
        sha256="ab" * 32,
        dxf_version="R2010",
        units="mm" if metric else "in",
        walls=walls,
        metric=metric,
    )
    results = build_results(
        elevation,
        outcomes,
        book,
        findings=(found or {}).get("", []),
        settings=SettingsUsed(("drawings/perpend.toml",), settings.sha256),
    )
    return replace(results, command=command), [outcome.plan for outcome in outcomes]


@functools.cache
def review(metric: bool = False) -> tuple[Results, list[WallPlan]]:
    """A review of two walls with five findings: V1, V2, A1 on W1; V3, waived, on W2; A2 on the drawing."""
    return run_of(shop(), wing(), found=faults(), metric=metric)


@functools.cache
def clean() -> tuple[Results, list[WallPlan]]:
    """A layout of one wall without findings."""
    return run_of(shop(), command="annotate")


def spoiled() -> tuple[Results, list[WallPlan]]:
    """A review of the shop with its cure: one joint runs through N1 at 12'-0", one at 53'-3" is near D1."""
    results, (plan,) = clean()
    basis = resolve_wall(parse_settings(SETTINGS), load_rulebook(), plan.wall)
    first, *middle, last = plan.joints
    drawn = [first, upright(first, 144.0), *middle, upright(last, 639.0)]
    drawn = [replace(joint, number=number, existing=True) for number, joint in enumerate(drawn, start=1)]
    report = check_wall(basis, drawn)
    nearest = nearest_layout(basis, drawn, report.misplaced)
    elevation = Elevation("drawings/shop front.dxf", "ab" * 32, "R2010", "in", (plan.wall,))
    changed = replace(plan, joints=tuple(drawn))
    outcome = WallOutcome(basis, changed, report.findings, report.runs)
    results = build_results(elevation, [outcome], load_rulebook())
    wall = replace(results.walls[0], proposed=proposed_entries(nearest))
    return replace(results, command="check", walls=[wall]), [changed]


def upright(joint: Joint, x_in: float) -> Joint:
    """Return the joint as a plumb line at a station."""
    path = ((x_in, 0.0), (x_in, 200.0))
    return replace(joint, x_in=x_in, path=path, slip_planes=(), serves=(), kind=JointKind.STRAIGHT)
