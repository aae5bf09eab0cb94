"""A wall as it was under the same wall as it is: the old one in thin dashes, the new one in solid lines.

The two differ without color: by dashes and by weight. Every change has a square flag with its number
over the wall, on a stem that leads down to it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from perpend.model import Point
from perpend.report.changes_document import ChangeEntry, WallIssueEntry, WallPairEntry
from perpend.report.document_parts import Spot
from perpend.report.sheet import svg_elements
from perpend.report.sheet.wall_placement import Stage, bubble_rows
from perpend.revisions.shape_matching import is_mark

_WIDTH, _HEIGHT = 1240.0, 360.0
_MARGIN, _BELOW = 40.0, 24.0
_FLAG = 10.0
"""Half the side of a flag, units."""
_ROW = 2 * _FLAG + 4
_FOOT = 10.0


def overlay_of(pair: WallPairEntry, key: str, changes: Sequence[ChangeEntry]) -> str:
    """Draw both issues of a wall over each other.

    Args:
        pair: the wall.
        key: its key in the page.
        changes: what changed in it; what has no place gets no flag.

    Returns:
        An ``svg`` element, every text escaped.
    """
    marked = [c for c in changes if c.at or c.old_at]
    stage = _stage(pair, [_middle(c)[0] for c in marked])
    pieces = [
        *(_issue(stage, pair.new, (0.0, 0.0), "ground") if pair.new else ()),
        *(_issue(stage, pair.old, _shift_of_old(pair), "old") if pair.old else ()),
        *(_issue(stage, pair.new, (0.0, 0.0), "new") if pair.new else ()),
        *(_tags(stage, pair.new) if pair.new else ()),
    ]
    flags = [_flag(stage, c, row) for c, row in zip(marked, stage.rows, strict=True)]
    return svg_elements.element(
        "svg",
        svg_elements.group(pieces, aria_hidden="true"),
        svg_elements.group(flags, aria_label="Changes"),
        class_="elevation overlay",
        viewBox=f"0 0 {svg_elements.number(stage.width)} {svg_elements.number(stage.height)}",
        width=stage.width,
        height=stage.height,
        role="group",
        aria_labelledby=f"{key}-title",
    )


def _shift_of_old(pair: WallPairEntry) -> Spot:
    return pair.shift_in if pair.new else (0.0, 0.0)


def _stage(pair: WallPairEntry, stations: Sequence[float]) -> Stage:
    """Choose the scale so that both issues fit."""
    dx, dy = _shift_of_old(pair)
    points = [*pair.new.top, *pair.new.bottom] if pair.new else []
    points += [(x + dx, y + dy) for x, y in (*pair.old.top, *pair.old.bottom)] if pair.old else []
    x0, x1 = min(x for x, _ in points), max(x for x, _ in points)
    low, high = min(y for _, y in points), max(y for _, y in points)
    scale = min(_WIDTH / (x1 - x0), _HEIGHT / (high - low))
    order = sorted(range(len(stations)), key=stations.__getitem__)
    stacked = bubble_rows([stations[i] for i in order], scale)
    rows = [row for _, row in sorted(zip(order, stacked, strict=True))]
    top = (max(rows, default=-1) + 1) * _ROW + _MARGIN / 2
    return Stage(
        scale=scale,
        left=_MARGIN - x0 * scale,
        top=top,
        low_in=low,
        high_in=high,
        width=2 * _MARGIN + (x1 - x0) * scale,
        height=top + (high - low) * scale + _BELOW,
        turned=(),
        string_depth=0.0,
        rows=tuple(rows),
    )


def _issue(stage: Stage, wall: WallIssueEntry, shift: Spot, issue: str) -> Iterator[str]:
    """Draw one issue; as ``ground`` its masonry and its openings without any line, for what lies on them."""

    def points(path: Sequence[Spot]) -> list[Point]:
        return [stage.point((x + shift[0], y + shift[1])) for x, y in path]

    yield svg_elements.polygon(points([*wall.bottom, *reversed(wall.top)]), class_=f"{issue} outline")
    for opening in wall.openings:
        yield svg_elements.polygon(points(opening.path), class_=f"{issue} opening")
    for joint in wall.joints if issue != "ground" else ():
        yield svg_elements.polyline(points(joint.path), class_=f"{issue} line")


def _tags(stage: Stage, wall: WallIssueEntry) -> Iterator[str]:
    """Write the marks of the openings that have one."""
    for opening in (o for o in wall.openings if is_mark(o.name)):
        xs, ys = [x for x, _ in opening.path], [y for _, y in opening.path]
        x, y = stage.point(((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2))
        yield svg_elements.letters(opening.name, (x, y + 4), class_="tag")


def _middle(change: ChangeEntry) -> Point:
    """Return the point that a flag's stem leads to: the head of a joint, the middle of the top of a shape."""
    path = change.at or change.old_at
    if change.thing == "joint":
        return path[-1]
    xs, ys = [x for x, _ in path], [y for _, y in path]
    return ((min(xs) + max(xs)) / 2, max(ys))


def _flag(stage: Stage, change: ChangeEntry, row: int) -> str:
    x, y = stage.point(_middle(change))
    top = stage.top - _FOOT - row * _ROW - 2 * _FLAG
    pieces = [
        svg_elements.line((x, y), (x, top + 2 * _FLAG), class_="stem"),
        *_bracket(stage, change),
        svg_elements.rectangle((x - _FLAG, top), (x + _FLAG, top + 2 * _FLAG), class_="square"),
        svg_elements.letters(str(change.number), (x, top + _FLAG + 4), class_="flag-number"),
    ]
    return svg_elements.group(
        pieces, class_=f"change {change.change}", role="img", aria_label=f"C{change.number}: {change.says}"
    )


def _bracket(stage: Stage, change: ChangeEntry) -> Iterator[str]:
    """Draw from where a joint was to where it is."""
    if change.thing != "joint" or not (change.at and change.old_at):
        return
    level = (change.at[0][1] + change.at[-1][1]) / 2
    (x0, y), (x1, _) = (stage.point((path[0][0], level)) for path in (change.old_at, change.at))
    yield svg_elements.polyline([(x0, y + 6), (x0, y), (x1, y), (x1, y + 6)], class_="bracket")
