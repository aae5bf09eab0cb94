"""The joint schedule: number, location from a datum, type, what a joint serves, and its detail."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from perpend.clean_text import neutral_cell
from perpend.drawing.page.drafting_style import SCHEDULE, DraftingStyle
from perpend.drawing.page.grid_lines import Datum, nearest_datum
from perpend.drawing.page.sheet_page import Identity
from perpend.drawing.page.text_blocks import Block, beside, table_block
from perpend.drawing.plate.office_words import BUILDING_JOINT, tag_range, type_words
from perpend.dxf.text_metrics import plain
from perpend.model import Joint, JointKind, PlaceKind, WallPlan
from perpend.settings.detail_references import detail_for
from perpend.units import DisplaySystem, format_length, same

Grids = Callable[[WallPlan], Sequence[Datum]]
"""Returns the grid lines that cross a wall, stations in its own axes."""

BY_ARCHITECT = "as shown by architect"
_SERVES = {
    PlaceKind.HEIGHT_CHANGE: "change in height",
    PlaceKind.THICKNESS_CHANGE: "change in thickness",
    PlaceKind.PILASTER: "pilaster",
    PlaceKind.INTERSECTION: "intersecting wall",
    PlaceKind.FOUNDATION_JOINT: "foundation joint",
    PlaceKind.ADJOINING_WALL: "adjoining wall",
    PlaceKind.EXPANSION_JOINT: "building",
}
_HEADS = ("NO.", "LOCATION", "TYPE", "SERVES", "DETAIL", "REMARKS")
_LETTERS = (12, 26, 22, 22, 10, 24)
_ROWS = 24
"""Rows of one column; more go on in the next."""


@dataclass(frozen=True, slots=True)
class ScheduleRow:
    """One joint.

    Attributes:
        wall: tag of its wall.
        number: as on its tag.
        station_in: distance from the wall's left end.
        datum: what it is measured from: a grid line, or empty for the wall's left end.
        offset_in: distance from there, negative to the left.
        type: the joint's type, in words.
        serves: openings, a place, or the spacing.
        detail: number of its detail, or empty.
        remarks: how it differs from the others.
    """

    wall: str
    number: str
    station_in: float
    datum: str
    offset_in: float
    type: str
    serves: str
    detail: str
    remarks: str

    def location(self, system: DisplaySystem) -> str:
        """Say where it is: ``3'-4" RIGHT OF GRID B`` or ``12'-0" FROM LEFT END``."""
        length = format_length(abs(self.offset_in), system)
        if not self.datum:
            return f"{length} from left end"
        if same(self.offset_in, 0.0):
            return f"at grid {self.datum}"
        return f"{length} {'right' if self.offset_in > 0 else 'left'} of grid {self.datum}"


def schedule_rows(plans: Sequence[WallPlan], style: DraftingStyle, grids: Grids) -> Iterator[ScheduleRow]:
    """Yield a row for every joint, wall by wall, from left to right."""
    content = style.content
    for plan in plans:
        lines = grids(plan)
        for joint in plan.joints:
            datum = nearest_datum(lines, joint.x_in)
            yield ScheduleRow(
                wall=plan.wall.tag,
                number=joint_number(plan, joint, content.label, several=len(plans) > 1),
                station_in=joint.x_in,
                datum=datum.name if datum else "",
                offset_in=joint.x_in - (datum.x_in if datum else 0.0),
                type=type_words(plan, joint, style.display),
                serves=_serves(joint),
                detail=detail_for(joint, plan.limits.method, dict(content.details)),
                remarks=BY_ARCHITECT if joint.existing and not joint.found else "",
            )


def joint_number(plan: WallPlan, joint: Joint, label: str, *, several: bool) -> str:
    """Return what a joint's tag says: ``CJ-3``, or ``CJ W1-3`` on a sheet of several walls; ``BEJ-3``."""
    label = BUILDING_JOINT if joint.place is PlaceKind.EXPANSION_JOINT else label
    return f"{label} {plan.wall.tag}-{joint.mark}" if several else f"{label}-{joint.mark}"


def _serves(joint: Joint) -> str:
    if joint.serves:
        return tag_range(joint.serves)
    if joint.place in _SERVES:
        return _SERVES[joint.place]
    return "adjoining wall" if joint.kind is JointKind.END else "spacing"


def joint_schedule_blocks(rows: Sequence[ScheduleRow], style: DraftingStyle) -> list[Block]:
    """Make the schedule, in one column and in more; empty columns are left out."""
    if not rows:
        return []
    cells = [[plain(cell) for cell in _cells(row, style)] for row in rows]
    kept = [i for i in range(len(_HEADS)) if any(row[i] for row in cells)]
    heads = [_HEADS[i] for i in kept]
    widths = [_LETTERS[i] * style.text_in * 0.85 for i in kept]
    title = f"{style.content.joint} SCHEDULE"

    def table(part: Sequence[list[str]], title: str) -> Block:
        shown = [[row[i] for i in kept] for row in part]
        return table_block(title, heads, shown, widths, style.text_in, SCHEDULE, Identity("joint-schedule"))

    shapes = []
    for size in dict.fromkeys((min(len(cells), 2 * _ROWS), _ROWS, 10)):
        parts = [cells[i : i + size] for i in range(0, len(cells), size)]
        columns = [table(part, title if not i else f"{title} (CONT.)") for i, part in enumerate(parts)]
        shapes.append(columns[0] if len(columns) == 1 else beside(columns, 2.5 * style.text_in))
    return shapes


def _cells(row: ScheduleRow, style: DraftingStyle) -> Iterator[str]:
    yield row.number
    yield row.location(style.display)
    yield row.type
    yield row.serves
    yield row.detail
    yield row.remarks


def schedule_csv(rows: Sequence[ScheduleRow], display: DisplaySystem) -> str:
    """Return the schedule as CSV with a header; lengths as inches and as lettered."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(CSV_COLUMNS)
    for row in rows:
        texts = (row.type, row.serves, row.detail, row.remarks)
        cells = (row.wall, row.number, row.station_in, row.datum or "left end", row.offset_in)
        written = (*cells, row.location(display), *texts)
        writer.writerow([neutral_cell(cell) if isinstance(cell, str) else round(cell, 6) for cell in written])
    return out.getvalue()


CSV_COLUMNS = (
    "schedule_wall",
    "joint",
    "station_in",
    "datum",
    "offset_in",
    "location",
    "type",
    "serves",
    "detail",
    "remarks",
)
