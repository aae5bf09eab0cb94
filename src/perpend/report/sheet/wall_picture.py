"""The elevation of one wall as inline SVG.

The picture is drawn in this order: the wall, what is in it, dimensions, joints, marks. Everything
that can be pointed at is a group of the class ``thing`` whose ``data-row`` names its row in a table;
the sheet's script finds the two by that.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from perpend.model import Box, Path, Point, Profile, WallPlan
from perpend.report.change_entries import ProposedEntry
from perpend.report.lengths import Lengths
from perpend.report.results_document import JointEntry, OpeningEntry, PanelEntry, WallEntry
from perpend.report.sheet import svg_elements
from perpend.report.sheet.sheet_marks import draw_mark, place_marks
from perpend.report.sheet.sheet_view import (
    FindingRow,
    JointRow,
    OpeningRow,
    PanelRow,
    ProposalRow,
    wall_named,
)
from perpend.report.sheet.wall_placement import (
    BUBBLE,
    LETTER,
    OVERALL_DROP,
    STRING_DROP,
    Stage,
    bubble_center,
    stage_for,
)
from perpend.units import same
from perpend.wording import counted

_TICK = 4.0
_LINE = 15.0
_HIT = 14.0
SIGN = 8.0
"""Half the side of the square that carries the sign of a proposed change, units."""


def picture_of(
    wall: WallEntry,
    key: str,
    findings: Sequence[FindingRow],
    joints: Sequence[JointRow],
    panels: Sequence[PanelRow],
    openings: Sequence[OpeningRow],
    proposals: Sequence[ProposalRow],
    lengths: Lengths,
    plan: WallPlan | None = None,
) -> str:
    """Draw a wall.

    Args:
        wall: the wall.
        key: its key in the sheet.
        findings: rows of its findings.
        joints: rows of its joints, in the order of ``wall.joints``; panels and openings likewise.
        panels: rows of its panels.
        openings: rows of its openings.
        proposals: rows of what the cure changes, in the order of ``wall.proposed``.
        lengths: how lengths are printed.
        plan: its plan, for steel, arched heads, bond beams and supports; None leaves them out.

    Returns:
        An ``svg`` element, every text escaped.
    """
    stage = stage_for(wall, [panel.dimension for panel in panels])
    labels = [
        _label_lines(row, _opening_box(stage, entry))
        for row, entry in zip(openings, wall.openings, strict=True)
    ]
    taken = [_label_box(stage, entry, lines) for entry, lines in zip(wall.openings, labels, strict=True)]
    taken += [_bubble_box(stage, entry, row) for entry, row in zip(wall.joints, stage.rows, strict=True)]
    field = Box(14.0, 14.0, stage.width - 14.0, stage.base + STRING_DROP - 14.0)
    marks = place_marks(stage, findings, taken, field)
    changed = [entry for entry in wall.proposed if entry.change != "kept"]
    still = [
        _wall_shape(stage, wall),
        *(_drawn_places(stage, plan) if plan else ()),
        *(_steel(stage, plan) if plan else ()),
    ]
    things = [
        *(
            _panel(stage, wall, entry, row, turned)
            for entry, row, turned in zip(wall.panels, panels, stage.turned, strict=True)
        ),
        *(
            _opening(stage, entry, row, lines, _outline(plan, n))
            for n, (entry, row, lines) in enumerate(zip(wall.openings, openings, labels, strict=True))
        ),
        *(
            _joint(stage, entry, row, bubble_row)
            for entry, row, bubble_row in zip(wall.joints, joints, stage.rows, strict=True)
        ),
        *(_proposal(stage, entry, row) for entry, row in zip(changed, proposals, strict=True)),
        *(draw_mark(mark, stage) for mark in marks if mark.flags),
    ]
    return svg_elements.element(
        "svg",
        svg_elements.element("desc", _description(wall, findings), id=f"{key}-desc"),
        svg_elements.group(still, class_="still", aria_hidden="true"),
        svg_elements.group(_dimensions(stage, wall, lengths), class_="dims", aria_hidden="true"),
        svg_elements.group(things, class_="things", aria_label=f"What is on {wall_named(wall.tag)}"),
        class_="elevation",
        viewBox=f"0 0 {svg_elements.number(stage.width)} {svg_elements.number(stage.height)}",
        width=stage.width,
        height=stage.height,
        role="group",
        aria_labelledby=f"{key}-title",
        aria_describedby=f"{key}-desc",
    )


def _description(wall: WallEntry, findings: Sequence[FindingRow]) -> str:
    counts = ((len(wall.joints), "joint"), (len(wall.openings), "opening"), (len(findings), "finding"))
    return ", ".join(counted(n, what, none="no") for n, what in counts) + "."


def _wall_shape(stage: Stage, wall: WallEntry) -> str:
    ring = [*wall.top, *reversed(wall.bottom)]
    return svg_elements.polygon((stage.point(p) for p in ring), class_="wall")


def _drawn_places(stage: Stage, plan: WallPlan) -> Iterator[str]:
    """Draw bond beams and lateral supports, which the results do not carry."""
    for beam in plan.wall.bond_beams:
        box = beam.box
        yield svg_elements.rectangle(
            stage.point((box.x0, box.y0)), stage.point((box.x1, box.y1)), class_="beam"
        )
    for support in plan.wall.supports:
        ends = stage.point((support.x0_in, support.y_in)), stage.point((support.x1_in, support.y_in))
        yield svg_elements.line(*ends, class_="support")


def _steel(stage: Stage, plan: WallPlan) -> Iterator[str]:
    for bar in plan.bars:
        yield svg_elements.polyline((stage.point(p) for p in bar.path), class_="steel")


def _outline(plan: WallPlan | None, index: int) -> Path:
    return plan.wall.openings[index].outline if plan and plan.wall.openings[index].arched else ()


def _opening_box(stage: Stage, entry: OpeningEntry) -> Box:
    return Box.around((stage.point((entry.x0_in, entry.y0_in)), stage.point((entry.x1_in, entry.y1_in))))


def _opening(stage: Stage, entry: OpeningEntry, row: OpeningRow, lines: Sequence[str], outline: Path) -> str:
    box = _opening_box(stage, entry)
    shape = (
        svg_elements.polygon((stage.point(p) for p in outline), class_="hole")
        if outline
        else svg_elements.rectangle((box.x0, box.y0), (box.x1, box.y1), class_="hole")
    )
    pieces = [shape]
    if entry.lintel is not None:
        ends = (entry.lintel.x0_in, entry.lintel.y0_in), (entry.lintel.x1_in, entry.lintel.y1_in)
        pieces.append(svg_elements.rectangle(*(stage.point(p) for p in ends), class_="lintel"))
    pieces += [
        svg_elements.letters(text, at, class_="tag" if n == 0 else "size")
        for n, (text, at) in enumerate(zip(lines, _label_spots(box, lines), strict=True))
    ]
    name = f"Opening {row.tag}, {row.size}, {row.treatment}, joints {row.joints}"
    return _thing("opening", row.key, name, pieces)


def _label_lines(row: OpeningRow, box: Box) -> list[str]:
    """Return the texts that fit into an opening; its tag is always shown."""
    wanted = [row.size, row.treatment]
    fitting = [text for text in wanted if len(text) * LETTER * 0.9 <= box.width - 4]
    return [row.tag, *fitting][: max(1, int((box.height - 4) // _LINE))]


def _label_spots(box: Box, lines: Sequence[str]) -> list[Point]:
    x, y = box.center
    first = y - (len(lines) - 1) * _LINE / 2 + 4
    return [(x, first + n * _LINE) for n in range(len(lines))]


def _label_box(stage: Stage, entry: OpeningEntry, lines: Sequence[str]) -> Box:
    x, y = _opening_box(stage, entry).center
    half = max(len(text) for text in lines) * LETTER / 2
    return Box(x - half, y - len(lines) * _LINE / 2, x + half, y + len(lines) * _LINE / 2)


def _panel(stage: Stage, wall: WallEntry, entry: PanelEntry, row: PanelRow, turned: bool) -> str:
    """Draw a panel: its masonry, which can be pointed at, and its dimension on the string."""
    left, right = (_edge(wall, x) for x in (entry.x0_in, entry.x1_in))
    top, bottom = Profile(tuple(wall.top)), Profile(tuple(wall.bottom))
    ring = [
        *left,
        *top.between(left[-1][0], right[-1][0]),
        *reversed(right),
        *reversed(bottom.between(left[0][0], right[0][0])),
    ]
    x0, x1, y = stage.x(entry.x0_in), stage.x(entry.x1_in), stage.base + STRING_DROP
    middle = (x0 + x1) / 2
    texts = (
        [svg_elements.letters(row.dimension, (middle + 4, y + 8), turned=True, class_="dim hung")]
        if turned
        else [svg_elements.letters(row.dimension, (middle, y - 4), class_="dim")]
    )
    if row.percent:
        below = y + (stage.string_depth - 4 if any(stage.turned) else 13)
        texts.append(svg_elements.letters(row.percent, (middle, below), class_="share"))
    pieces = [
        svg_elements.polygon((stage.point(p) for p in ring), class_="body"),
        svg_elements.rectangle((x0, y - 16), (x1, y + stage.string_depth), class_="hit"),
        *texts,
    ]
    name = f"Panel {row.number}, {row.span}, {row.length} long" + (
        f", limit {row.limit}" if row.limit else ""
    )
    return _thing(f"panel{' over' if row.too_long else ''}", row.key, name, pieces)


def _edge(wall: WallEntry, x_in: float) -> Path:
    """Return the path of the joint whose foot is at a station, else a plumb line there."""
    joint = next((j for j in wall.joints if same(j.path[0][0], x_in)), None)
    return tuple(joint.path) if joint else ((x_in, wall.bottom[0][1]), (x_in, wall.bottom[0][1]))


def _bubble_box(stage: Stage, entry: JointEntry, row: int) -> Box:
    x, y = bubble_center(stage, entry.path[-1][0], row)
    return Box(x, y, x, y).grown(BUBBLE)


def _pointer(center: Point) -> tuple[Point, ...]:
    """Return the outline around a joint's number, pointed at the joint: a circle would be a grid line's."""
    (x, y), r = center, BUBBLE
    side, top, shoulder = 0.95 * r, y - 0.85 * r, y + 0.55 * r
    return ((x - side, top), (x + side, top), (x + side, shoulder), (x, y + r), (x - side, shoulder))


def _joint(stage: Stage, entry: JointEntry, row: JointRow, bubble_row: int) -> str:
    path = [stage.point(p) for p in entry.path]
    center = bubble_center(stage, entry.path[-1][0], bubble_row)
    pieces = [
        svg_elements.polyline(path, class_="hit", stroke_width=_HIT),
        svg_elements.line(path[-1], (center[0], center[1] + BUBBLE), class_="leader"),
        svg_elements.polyline(path, class_="line"),
        *(
            svg_elements.line(stage.point((s.x0_in, s.y_in)), stage.point((s.x1_in, s.y_in)), class_="slip")
            for s in entry.slip_planes
        ),
        svg_elements.polygon(_pointer(center), class_="bubble"),
        svg_elements.letters(str(row.number), (center[0], center[1] + 4), class_="bubble-number"),
    ]
    name = f"Joint {row.number} at {row.station}, {row.state}, {row.runs}"
    return _thing(f"joint {row.state}", row.key, name, pieces)


def _proposal(stage: Stage, entry: ProposedEntry, row: ProposalRow) -> str:
    """Draw a change of the cure in a lighter line, with its sign at the foot of the wall."""
    path = [stage.point(p) for p in entry.path]
    x, y = path[0][0], path[0][1] - SIGN - 3
    pieces = [
        svg_elements.polyline(path, class_="hit", stroke_width=_HIT),
        *([] if entry.change == "removed" else [svg_elements.polyline(path, class_="line")]),
        svg_elements.rectangle((x - SIGN, y - SIGN), (x + SIGN, y + SIGN), class_="sign"),
        svg_elements.letters(row.sign, (x, y + 4.5), class_="sign-letter"),
    ]
    name = f"Proposed: {row.name}" + (f" to {row.station}" if row.station else "")
    return _thing(f"proposal {entry.change}", row.key, name, pieces)


def _thing(kind: str, key: str, name: str, pieces: Sequence[str]) -> str:
    return svg_elements.group(
        pieces, class_=f"thing {kind}", id=f"at-{key}", role="img", aria_label=name, data_row=key
    )


def _dimensions(stage: Stage, wall: WallEntry, lengths: Lengths) -> Iterator[str]:
    """Draw the dimension lines: panels, the whole length, the height at each end."""
    y = stage.base + STRING_DROP
    stations = sorted({0.0, wall.length_in, *(x for p in wall.panels for x in (p.x0_in, p.x1_in))})
    for x in stations:
        yield svg_elements.line((stage.x(x), stage.base + 4), (stage.x(x), y + _TICK), class_="witness")
    for a, b in itertools.pairwise(stations):
        yield from _dimension((stage.x(a), y), (stage.x(b), y))
    if len(wall.panels) > 1:
        below = y + stage.string_depth + OVERALL_DROP - 8
        yield from _dimension((stage.x(0.0), below), (stage.x(wall.length_in), below))
        middle = (stage.x(wall.length_in / 2), below - 4)
        yield svg_elements.letters(lengths.bare(wall.length_in), middle, class_="dim")
    for end, x in ((0, stage.left - 26), (-1, stage.width - stage.left + 32)):
        low, high = wall.bottom[end][1], wall.top[end][1]
        if end and same(high - low, wall.top[0][1] - wall.bottom[0][1]):
            continue
        yield from _dimension((x, stage.y(low)), (x, stage.y(high)))
        yield svg_elements.letters(
            lengths.bare(high - low), (x - 4, (stage.y(low) + stage.y(high)) / 2), turned=True, class_="dim"
        )


def _dimension(a: Point, b: Point) -> Iterator[str]:
    """Draw a dimension line with a stroke at each end."""
    yield svg_elements.line(a, b, class_="dimension")
    for x, y in (a, b):
        yield svg_elements.line((x - _TICK, y + _TICK), (x + _TICK, y - _TICK), class_="tick")
