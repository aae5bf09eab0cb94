"""The schedule of walls and the legend, both from lines and texts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from perpend.drawing.page.drafting_style import (
    BEAM,
    JOINT,
    LINTEL,
    NOTE,
    SCHEDULE,
    SLIP,
    STEEL,
    VIOLATION,
    WIRE,
    DraftingStyle,
)
from perpend.drawing.page.sheet_page import Identity, Letters, Mark, Measure, Stroke
from perpend.drawing.page.text_blocks import Block, table_block, title_height, title_marks
from perpend.drawing.plate.callouts import short_length
from perpend.drawing.review.mark_shapes import circle, hexagon
from perpend.dxf.text_metrics import plain, text_width
from perpend.model import Path, WallPlan
from perpend.units import DisplaySystem, format_length, same

SCHEDULE_TITLE = "SCHEDULE OF WALLS"
LEGEND_TITLE = "LEGEND"

_COLUMNS: tuple[tuple[str, float], ...] = (
    ("WALL", 14),
    ("METHOD", 14),
    ("UNITS", 14),
    ("HEIGHT H", 12),
    ("MAX. SPACING", 20),
    ("GOVERNED BY", 10),
    ("LONGEST PANEL", 10),
    ("MAX. FROM CORNER", 12),
    ("JOINTS", 8),
    ("JOINT TYPE", 26),
    ("HORIZ. REINF.", 26),
)
"""Heads, and the greatest width of each column in letters."""


def schedule_block(plans: Sequence[WallPlan], style: DraftingStyle) -> Block:
    """Make the schedule: one row for each wall."""
    h = style.text_in
    rows = [[plain(cell) for cell in _cells(plan, style)] for plan in plans]
    widths = [letters * h * 0.85 for _, letters in _COLUMNS]
    heads = [head for head, _ in _COLUMNS]
    return table_block(SCHEDULE_TITLE, heads, rows, widths, h, SCHEDULE, Identity("schedule"))


def _cells(plan: WallPlan, style: DraftingStyle) -> Iterable[str]:
    limits, system = plan.limits, style.display
    dash = "-"
    longest = max(plan.panels, key=lambda panel: panel.length_in, default=None)
    varies = limit_range(plan)

    def length(value: float | None) -> str:
        return dash if value is None else format_length(value, system)

    governed = {"ratio": f"{limits.ratio:g} x H" if limits.ratio is not None else dash, "cap": "cap"}
    choices = plan.reinforcement.choices
    chosen = [c for c in choices if c.name == plan.reinforcement.chosen] or list(choices[:1])
    more = " or equal" if len(chosen) < len(choices) and plan.reinforcement.chosen is None else ""
    yield plan.wall.tag
    yield limits.method.replace("-", " ")
    yield limits.units
    if varies:
        heights = [panel.height_in for panel in plan.panels]
        yield f"{length(min(heights))} to {length(max(heights))}"
        yield f"{length(varies[0])} to {length(varies[1])} (by panel height)"
    else:
        yield length(limits.height_in)
        yield length(limits.max_spacing_in)
    yield _governing(plan) if varies else governed.get(limits.governing, dash)
    of = f" of {length(longest.limit_in)}" if longest and varies else ""
    yield f"{length(longest.length_in)}{of}" if longest else dash
    yield ", ".join(corner_words(plan, style.display, "{limit}", "{limit} {side}")) or dash
    yield str(len(plan.joints))
    yield dash if without_joints(plan) else plan.joint_type_name or "not named"
    yield (
        f"{chosen[0].name} at {short_length(chosen[0].max_spacing_in, system)} o.c.{more}"
        if chosen
        else plan.reinforcement.chosen or dash
    )


def without_joints(plan: WallPlan) -> bool:
    """Say whether a wall needs no joints and has none: there is no type to name then."""
    return plan.limits.max_spacing_in is None and not plan.joints


def limit_range(plan: WallPlan) -> tuple[float, float] | None:
    """Return the least and the greatest panel limit, inches; None where all panels have the same."""
    limits = [panel.limit_in for panel in plan.panels if panel.limit_in is not None]
    if not limits or same(min(limits), max(limits)):
        return None
    return min(limits), max(limits)


def corner_words(plan: WallPlan, system: DisplaySystem, both: str, each: str) -> list[str]:
    """Say within what distance of a corner the first joint is: once, or for each end where they differ.

    Args:
        plan: the wall.
        system: how lengths are printed.
        both: how one ``{limit}`` is said.
        each: how the ``{limit}`` of a ``{side}`` is said.
    """
    limits = plan.corner_limits_in
    if limits and same(min(limits.values()), max(limits.values())):
        return [both.format(limit=format_length(min(limits.values()), system))]
    return [each.format(limit=format_length(x, system), side=side) for side, x in limits.items()]


def _governing(plan: WallPlan) -> str:
    """Name the terms that govern the panels of a wall whose limits differ."""
    limits = plan.limits
    known = [panel.limit_in for panel in plan.panels if panel.limit_in is not None]
    at_cap = [limits.cap_in is not None and same(limit, limits.cap_in) for limit in known]
    ratio = [f"{limits.ratio:g} x H"] if limits.ratio is not None and not all(at_cap) else []
    return ", ".join([*ratio, *(["cap"] if any(at_cap) else [])]) or "-"


def legend_block(marks: Sequence[Mark], plans: Sequence[WallPlan], style: DraftingStyle) -> Block:
    """Make the legend: one line for each of our kinds that the drawing shows, and for joints it had."""
    h = style.text_in
    kinds = {_kind(mark) for mark in marks if not isinstance(mark, Measure)}
    if any(joint.existing for plan in plans for joint in plan.joints):
        kinds.add("existing")
    identity = Identity("legend")
    made: list[Stroke | Letters] = list(title_marks(LEGEND_TITLE, SCHEDULE, h, identity))
    y = -title_height(h) - 1.4 * h
    width = text_width(LEGEND_TITLE, h * 1.25)
    for kind, layer, path, closed, words in _samples(h):
        if kind not in kinds:
            continue
        linetype = kind.partition(" ")[2]
        made.append(Stroke(layer, tuple((x, py + y) for x, py in path), identity, closed, linetype=linetype))
        made.append(Letters(SCHEDULE, words, (9.5 * h, y - 0.5 * h), h, identity))
        width = max(width, 9.5 * h + text_width(words, h))
        y -= 2.1 * h
    return Block(tuple(made), width, -y - 0.4 * h)


def _kind(mark: Stroke | Letters) -> str:
    """Return the kind of a mark, with its line type where it has one of its own."""
    kind = mark.identity.kind
    return f"{kind} {mark.linetype}".rstrip() if isinstance(mark, Stroke) else kind


def _samples(h: float) -> tuple[tuple[str, str, Path, bool, str], ...]:
    level: Path = ((0.0, 0.0), (8.0 * h, 0.0))
    bar: Path = ((0.0, 0.5 * h), (8.0 * h, 0.5 * h), (8.0 * h, -0.5 * h), (0.0, -0.5 * h))
    point: Path = ((4.0 * h, -0.4 * h), (4.4 * h, 0.4 * h), (3.6 * h, 0.4 * h))
    center = (4.0 * h, 0.0)
    return (
        ("joint", JOINT, level, False, "CONTROL JOINT (CJ)"),
        ("existing", SCHEDULE, level, False, "CONTROL JOINT DRAWN BEFORE, KEPT"),
        ("slip-plane", SLIP, level, False, "SLIP PLANE"),
        ("lintel", LINTEL, bar, True, "LINTEL"),
        ("bar", STEEL, level, False, "REINFORCING BAR"),
        (f"bar {WIRE}", STEEL, level, False, "JOINT REINFORCEMENT"),
        (f"bar {BEAM}", STEEL, level, False, "BOND BEAM"),
        ("mark", NOTE, point, True, "HEAD OF A CONTROL JOINT"),
        ("violation", VIOLATION, hexagon(center, 0.8 * h), True, "VIOLATION, SEE LIST"),
        ("advice", VIOLATION, circle(center, 0.8 * h), True, "ADVICE, SEE LIST"),
    )
