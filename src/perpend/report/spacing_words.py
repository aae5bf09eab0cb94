"""How far apart the joints of a wall may stand, in words."""

from __future__ import annotations

from collections.abc import Callable

from perpend.report.results_document import LimitsEntry, WallEntry
from perpend.units import same


def governing_words(limits: LimitsEntry) -> str:
    """Say which term governs: ``1.5 × H governs`` or ``the cap governs``."""
    if limits.governing == "ratio" and limits.ratio is not None:
        return f"{limits.ratio:g} × H governs"
    return "the cap governs"


def range_words(wall: WallEntry, show: Callable[[float], str]) -> str:
    """Say between what the limits of the panels lie, or nothing where all have the same.

    Args:
        wall: the wall.
        show: prints a limit.
    """
    allowed = [panel.limit_in for panel in wall.panels if panel.limit_in is not None]
    if not allowed or same(min(allowed), max(allowed)):
        return ""
    return f"at most {show(min(allowed))} to {show(max(allowed))}, by the height of each panel"


def corner_words(wall: WallEntry, show: Callable[[float], str]) -> str:
    """Say how far from a corner the first joint may be, or nothing where no corner requires one.

    The distance is that of the panel at the corner, so that the two ends of a wall may differ.

    Args:
        wall: the wall.
        show: prints a limit.
    """
    ends = (("left", wall.left_end, wall.panels[:1]), ("right", wall.right_end, wall.panels[-1:]))
    near = {
        side: panel.corner_limit_in
        for side, end, panels in ends
        for panel in panels
        if end == "corner" and panel.corner_limit_in is not None
    }
    if not near:
        return ""
    if same(min(near.values()), max(near.values())):
        words = f"not more than {show(min(near.values()))} from a corner"
    else:
        words = " and ".join(
            f"not more than {show(limit)} from the {side} corner" for side, limit in near.items()
        )
    least = wall.limits.corner_min_in
    return f"{words}, and no nearer than {show(least)}" if least > 0 else words
