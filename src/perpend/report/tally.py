"""Count what was tested on a wall, so that "nothing found" differs from "nothing tested".

Glossary:
    family: checks that ask the same question; one check is one question about one thing (one panel,
        one corner, one opening, one place).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from perpend.findings import CODES, Finding
from perpend.model import EndCondition, HeightBasis, WallPlan
from perpend.report.document import NotTestedEntry
from perpend.rulebook.basis import WallBasis

_FAMILIES: dict[str, tuple[str, ...]] = {
    "panel length": ("panel-too-long",),
    "corner distance": ("corner-too-far", "corner-too-near"),
    "jamb joints": ("opening-without-joint", "opening-needs-both-jambs"),
    "clear of openings": ("joint-in-keep-out",),
    "near large openings": ("no-joint-near-opening",),
    "required places": (
        *(code for code in CODES if code.startswith("no-joint-at-")),
        "joint-through-opening",
    ),
}
"""The codes that answer each family's question with no."""


@dataclass(frozen=True, slots=True)
class Tally:
    """How many checks ran on one wall, how many passed, and which could not run."""

    ran: int
    passed: int
    could_not_run: tuple[NotTestedEntry, ...]


def tally_of(basis: WallBasis, plan: WallPlan, findings: Iterable[Finding]) -> Tally:
    """Count the checks that the layout of a wall answers.

    A finding of no known family counts as a check of its own that did not pass.
    """
    asked = _asked(basis, plan)
    failed = Counter(_family(f.code) for f in findings)
    ran = sum(max(asked[family], failed[family]) for family in asked | failed)
    return Tally(ran, ran - failed.total(), tuple(_could_not_run(basis, plan)))


def _asked(basis: WallBasis, plan: WallPlan) -> Counter[str]:
    corners = (basis.left_end, basis.right_end).count(EndCondition.CORNER)
    return Counter(
        {
            "panel length": sum(panel.limit_in is not None for panel in plan.panels),
            "corner distance": corners if plan.limits.corner_distance_in is not None else 0,
            "jamb joints": sum(rule.jambs_required > 0 for rule in plan.openings),
            "clear of openings": len(plan.openings),
            "near large openings": sum(rule.near_within_in is not None for rule in plan.openings),
            "required places": _required_places(basis),
        }
    )


def _required_places(basis: WallBasis) -> int:
    wall = basis.wall
    steps = {x for edge in (wall.top, wall.bottom) for x, _, _ in edge.steps()}
    return len(wall.places) + len(steps)


def _family(code: str) -> str:
    return next((family for family, codes in _FAMILIES.items() if code in codes), code)


def _could_not_run(basis: WallBasis, plan: WallPlan) -> Iterator[NotTestedEntry]:
    tag = basis.wall.tag
    if plan.limits.max_spacing_in is None:
        why = "the method needs no joints, so there is no spacing to compare with"
        yield NotTestedEntry(check="panel length", wall=tag, why=why)
    if basis.height_basis is HeightBasis.STOREY and not basis.wall.supports:
        why = "no lateral supports are drawn, so the whole height was used"
        yield NotTestedEntry(check="storey height", wall=tag, why=why)
    if basis.transfers_shear is None and any(rule.wide and rule.step_in > 0 for rule in plan.openings):
        why = "it is not known whether the joint type transfers out-of-plane shear"
        yield NotTestedEntry(check="shear transfer at wide openings", wall=tag, why=why)
