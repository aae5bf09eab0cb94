"""The wall schedule and the legend, both from lines and texts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from perpend.drawing.page.drafting_style import (
    BEAM,
    JOINT,
    LINTEL,
    NOTE,
    SCHEDULE,
    SLIP,
    STEEL,
    WIRE,
    Content,
    DraftingStyle,
)
from perpend.drawing.page.leader_labels import ring
from perpend.drawing.page.sheet_page import Identity, Letters, Mark, Stroke
from perpend.drawing.page.text_blocks import Block, table_block, title_height, title_marks
from perpend.drawing.plate.office_words import AS_SHOWN, steel_of
from perpend.dxf.text_metrics import plain, text_width
from perpend.model import Path, WallPlan
from perpend.units import DisplaySystem, format_length, same

LEGEND_TITLE = "LEGEND"

_COLUMNS: tuple[tuple[str, float], ...] = (
    ("WALL", 14),
    ("METHOD", 14),
    ("UNITS", 14),
    ("HEIGHT H", 12),
    ("MAX. {} SPACING", 20),
    ("GOVERNED BY", 10),
    ("LONGEST PANEL", 10),
    ("MAX. CORNER TO {}", 12),
    ("{}S", 8),
    ("HORIZ. REINF.", 30),
)
"""Heads, and the greatest width of each column in letters; a column that is empty throughout is left out."""

_DASH = "-"


def wall_schedule_blocks(plans: Sequence[WallPlan], style: DraftingStyle) -> list[Block]:
    """Make the schedule, one row for each wall: in its usual width, and in a narrower one."""
    h, content = style.text_in, style.content
    rows = [[plain(cell) for cell in _cells(plan, style)] for plan in plans]
    said = [i for i in range(len(_COLUMNS)) if any(row[i] != _DASH for row in rows)]
    rows = [[row[i] for i in said] for row in rows]
    heads = [_COLUMNS[i][0].format(content.label) for i in said]
    title = f"{content.material} WALL SCHEDULE".strip()
    return [
        table_block(title, heads, rows, widths, h, SCHEDULE, Identity("schedule"))
        for widths in ([_COLUMNS[i][1] * share * h for i in said] for share in (0.85, 0.5))
    ]


def _cells(plan: WallPlan, style: DraftingStyle) -> Iterator[str]:
    limits, system = plan.limits, style.display
    longest = max(plan.panels, key=lambda panel: panel.length_in, default=None)
    varies = limit_range(plan)

    def length(value: float | None) -> str:
        return _DASH if value is None else format_length(value, system)

    yield plan.wall.tag
    content = style.content
    method = content.methods_called.get(limits.method, limits.method.replace("-", " "))
    yield method if content.several_methods else _DASH
    units = limits.units if content.several_units else _DASH
    yield limits.material.replace("-", " ") or units
    if varies:
        heights = [panel.height_in for panel in plan.panels]
        yield f"{length(min(heights))} to {length(max(heights))}"
        yield f"{length(varies[0])} to {length(varies[1])} by panel"
    else:
        yield length(limits.height_in)
        yield length(limits.max_spacing_in)
    yield _governing(plan, content.cap_called, varies=varies is not None)
    yield length(longest.length_in if longest else None)
    yield ", ".join(corner_words(plan, system, "{limit}", "{limit} {side}")) or _DASH
    yield str(len(plan.joints))
    yield steel_of(plan, system).removesuffix(f" {AS_SHOWN}") or _DASH


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
    """Say how far from a corner the first joint may be: once, or for each end where they differ.

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


def _governing(plan: WallPlan, cap: str, *, varies: bool) -> str:
    """Name the terms that govern a wall's panels, in the rule book's words."""
    limits = plan.limits
    ratio = f"{limits.ratio:g} H" if limits.ratio is not None else ""
    known = [panel.limit_in for panel in plan.panels if panel.limit_in is not None] if varies else []
    at_cap = [limits.cap_in is not None and same(limit, limits.cap_in) for limit in known]
    by_ratio = not all(at_cap) if known else limits.governing == "ratio"
    by_cap = any(at_cap) if known else limits.governing == "cap"
    return ", ".join(([ratio] if ratio and by_ratio else []) + ([cap] if by_cap and cap else [])) or "-"


def legend_block(marks: Sequence[Mark], style: DraftingStyle) -> Block:
    """Make the legend: one line for each of our kinds that the drawing shows; empty where it shows none."""
    h = style.text_in
    kinds = {_kind(mark) for mark in marks if isinstance(mark, Stroke)}
    identity = Identity("legend")
    made: list[Stroke | Letters] = list(title_marks(LEGEND_TITLE, SCHEDULE, h, identity))
    y = -title_height(h) - 1.4 * h
    width = text_width(LEGEND_TITLE, h * 1.25)
    for kind, layer, path, closed, words in _samples(h, style.content):
        if kind not in kinds:
            continue
        linetype = kind.partition(" ")[2]
        made.append(Stroke(layer, tuple((x, py + y) for x, py in path), identity, closed, linetype=linetype))
        made.append(Letters(SCHEDULE, words, (9.5 * h, y - 0.5 * h), h, identity))
        width = max(width, 9.5 * h + text_width(words, h))
        y -= 2.1 * h
    if len(made) == len(title_marks(LEGEND_TITLE, SCHEDULE, h, identity)):
        return Block((), 0.0, 0.0)
    return Block(tuple(made), width, -y - 0.4 * h)


def _kind(mark: Stroke) -> str:
    """Return the kind of a mark, with its line type where it has one of its own."""
    return f"{mark.identity.kind} {mark.linetype}".rstrip()


def _samples(h: float, content: Content) -> tuple[tuple[str, str, Path, bool, str], ...]:
    level: Path = ((0.0, 0.0), (8.0 * h, 0.0))
    bar: Path = ((0.0, 0.5 * h), (8.0 * h, 0.5 * h), (8.0 * h, -0.5 * h), (0.0, -0.5 * h))
    cross: Path = tuple(
        (x * h, y * h) for x, y in ((3.2, -0.8), (4.8, 0.8), (4.0, 0.0), (3.2, 0.8), (4.8, -0.8))
    )
    point: Path = ((4.0 * h, -0.4 * h), (4.4 * h, 0.4 * h), (3.6 * h, 0.4 * h))
    return (
        ("joint", JOINT, level, False, f"{content.joint} ({content.label})"),
        ("mark", NOTE, point, True, f"{content.label} MARK"),
        ("superseded", NOTE, cross, False, f"{content.label} SUPERSEDED"),
        ("slip-plane", SLIP, level, False, "SLIP PLANE"),
        ("lintel", LINTEL, bar, True, "LINTEL"),
        ("bar", STEEL, level, False, "REINFORCING BAR"),
        (f"bar {WIRE}", STEEL, level, False, "HORIZ. JOINT REINF."),
        (f"bar {BEAM}", STEEL, level, False, "BOND BEAM"),
        ("detail", NOTE, ring((4.0 * h, 0.0), 0.9 * h), True, "DETAIL REFERENCE"),
    )
