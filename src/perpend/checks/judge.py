"""Judge one wall by every rule."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from perpend.checks.measure.judged_wall import judged_wall
from perpend.checks.measure.snapping import measured_tracks
from perpend.checks.registry import CODES, FAMILIES
from perpend.checks.verdicts import CheckReport, gathered
from perpend.model import Joint
from perpend.rulebook.strip_pieces import partial_piece
from perpend.rulebook.wall_basis import WallBasis


def check_wall(basis: WallBasis, joints: Sequence[Joint]) -> CheckReport:
    """Judge the joints of one wall.

    Only the joints' paths, handles and types are looked at: what a joint is for is found from where it is.

    Args:
        basis: everything that binds the joints of the wall.
        joints: placed, or from `joints_from_drawn`.

    Returns:
        The findings, and how much every rule tested.

    Raises:
        InputError: a joint is no line that runs up the wall.
    """
    partial = [joint for joint in joints if partial_piece(basis.strip_pieces, joint.path)]
    wall = judged_wall(basis, measured_tracks(basis, joints), partial)
    verdicts = [verdict for family in FAMILIES for verdict in family.check(wall)]
    report = gathered(basis.wall.tag, verdicts, CODES)
    return replace(
        report,
        panels=tuple(span.panel for span in wall.panels),
        parts=(*(track.numbers for track in wall.every), *((joint.number,) for joint in partial)),
    )
