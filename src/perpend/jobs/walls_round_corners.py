"""The walls of one elevation as they bear on each other: what each knows of the masonry round its corners."""

from __future__ import annotations

from collections.abc import Callable, Sequence
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

Place = Callable[[int, WallBasis], tuple[WallBasis, WallPlan]]


def basis_round_corners(
    settings: Settings, book: RuleBook, walls: Sequence[Wall], number: int, *, metric: bool
) -> WallBasis:
    """Return what binds one wall, with what it knows of the masonry round its corners, as placement does.

    Args:
        settings: the settings under which it is built.
        book: the rule book.
        walls: all walls as read.
        number: index of the wall.
        metric: True for a drawing in metric units.

    Raises:
        InputError: what the settings ask for is not possible.
    """
    own = resolve_wall(settings, book, walls[number], metric=metric)
    corners = [c for c in shared_corners(settings, walls) if any(n == number for n, _ in c.ends)]
    beside = {n for corner in corners for n, _ in corner.ends} - {number}
    bases = [
        resolve_wall(settings, book, w, metric=metric) if n in beside else own for n, w in enumerate(walls)
    ]
    return round_corners(corners, bases, [drawn_paths(wall) for wall in walls])[number]


def plan_walls(
    elevation: Elevation, settings: Settings, book: RuleBook, place: Place | None = None
) -> tuple[list[WallBasis], list[WallPlan]]:
    """Place the joints of every wall.

    Args:
        elevation: what was read.
        settings: the project's settings.
        book: the rule book.
        place: places the joints of a wall by its index and what binds it; None as if nothing was decided.

    Returns:
        What binds each wall by itself, with the treatment of its openings as placement chose it; the plans.

    Raises:
        InputError: a setting is looser than the rule book, or asks for something it does not have.
    """
    walls = elevation.walls
    alone = [resolve_wall(settings, book, wall, metric=elevation.metric) for wall in walls]
    bases = round_corners(shared_corners(settings, walls), alone, [drawn_paths(wall) for wall in walls])
    placed = [(place or _placed)(n, basis) for n, basis in enumerate(bases)]
    by_themselves = [
        replace(basis, returns_in=before.returns_in) for (basis, _), before in zip(placed, alone, strict=True)
    ]
    return by_themselves, [plan for _, plan in placed]


def _placed(_: int, basis: WallBasis) -> tuple[WallBasis, WallPlan]:
    basis = with_fewest_changes(basis) if basis.fewest_changes else basis
    return basis, plan_wall(basis)


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
