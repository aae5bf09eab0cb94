"""The walls of one elevation as they bear on each other: what each knows of the masonry round its corners."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from perpend.layout import plan_wall
from perpend.layout.treatment_mix import with_fewest_changes
from perpend.model import Elevation, Joint, MeasuredCorner, Wall, WallPlan
from perpend.report import WallOutcome
from perpend.rulebook import RuleBook, WallBasis
from perpend.settings import Settings, resolve_wall
from perpend.settings.shared_corners import (
    drawn_paths,
    measured_corners,
    round_corners,
    shared_corners,
    whole_paths,
)


def plan_walls(
    elevation: Elevation, settings: Settings, book: RuleBook
) -> tuple[list[WallBasis], list[WallPlan]]:
    """Place the joints of every wall.

    Args:
        elevation: what was read.
        settings: the project's settings.
        book: the rule book.

    Returns:
        What binds each wall by itself, with the treatment of its openings as placement chose it; the plans.

    Raises:
        InputError: a setting is looser than the rule book, or asks for something it does not have.
    """
    walls = elevation.walls
    alone = [resolve_wall(settings, book, wall, metric=elevation.metric) for wall in walls]
    bases = round_corners(shared_corners(settings, walls), alone, [drawn_paths(wall) for wall in walls])
    bases = [with_fewest_changes(basis) if basis.fewest_changes else basis for basis in bases]
    plans = [plan_wall(basis) for basis in bases]
    by_themselves = [
        replace(basis, returns_in=before.returns_in) for basis, before in zip(bases, alone, strict=True)
    ]
    return by_themselves, plans


def bases_to_judge(
    settings: Settings, walls: Sequence[Wall], bases: Sequence[WallBasis], joints: Sequence[Sequence[Joint]]
) -> list[WallBasis]:
    """Return what binds every wall once the joints of all of them are known.

    Args:
        settings: the project's settings.
        walls: the walls as read.
        bases: what binds each by itself.
        joints: of each.
    """
    paths = [whole_paths(each) for each in joints]
    return round_corners(shared_corners(settings, walls), bases, paths)


def corners_of(
    settings: Settings, walls: Sequence[Wall], outcomes: Sequence[WallOutcome]
) -> list[MeasuredCorner]:
    """Measure the corners at which two drawn walls meet."""
    paths = [whole_paths(outcome.plan.joints) for outcome in outcomes]
    return measured_corners(shared_corners(settings, walls), [o.basis for o in outcomes], paths)
