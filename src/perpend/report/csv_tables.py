"""Findings as CSV, one line each (RFC 4180: commas, CRLF, quotes where needed).

Lengths stand twice: as plain inches, in columns whose names end in ``_in``, and as printed on the drawing.
Several places are written ``x y; x y``, inches in the wall's own axes.

A text that a spreadsheet would take for a formula (it starts with ``=``, ``+``, ``-`` or ``@``, full-width
forms included) gets an apostrophe in front: tags come from drawings, and a drawing may come from anyone.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from typing import Final

from perpend.clean_text import neutral_cell
from perpend.model import Point
from perpend.report.finding_numbers import Numbered, difference, numbered
from perpend.report.lengths import Lengths
from perpend.report.results_document import Results
from perpend.report.summary import cite

Cell = str | float | int | None

_OF_A_FINDING: Final[dict[str, Callable[[Numbered, Lengths], Cell]]] = {
    "number": lambda n, _: n.number,
    "wall": lambda n, _: n.tag,
    "opening": lambda n, _: n.finding.opening,
    "code": lambda n, _: n.finding.code,
    "severity": lambda n, _: n.finding.severity,
    "state": lambda n, _: "waived" if n.finding.waived else "open",
    "message": lambda n, _: n.finding.message,
    "measured_in": lambda n, _: n.finding.measured_in,
    "limit_in": lambda n, _: n.finding.limit_in,
    "difference_in": lambda n, _: difference(n.finding),
    "measured": lambda n, show: None if n.finding.measured_in is None else show.plain(n.finding.measured_in),
    "limit": lambda n, show: None if n.finding.limit_in is None else show.limit(n.finding.limit_in),
    "at_in": lambda n, _: _places(n.finding.at),
    "cure": lambda n, _: n.finding.cure,
    "source": lambda n, _: cite(n.finding.source) if n.finding.source else None,
    "rule_row": lambda n, _: n.finding.source.row if n.finding.source else None,
    "unverified": lambda n, _: _yes(n.finding.source.unverified) if n.finding.source else None,
    "handle": lambda n, _: n.finding.handle,
    "fingerprint": lambda n, _: n.finding.fingerprint,
    "waived_by": lambda n, _: n.finding.waived.who if n.finding.waived else None,
    "waived_until": lambda n, _: _day(n.finding.waived.until) if n.finding.waived else None,
    "waiver_reason": lambda n, _: n.finding.waived.reason if n.finding.waived else None,
}
"""What each column says of a finding."""

FINDING_COLUMNS: Final = ("drawing", *_OF_A_FINDING)


def findings_csv(results: Results) -> str:
    """Return every finding of a run as CSV with a header, waived ones included."""
    return csv_text(FINDING_COLUMNS, finding_rows(results, results.drawing.path))


def finding_rows(results: Results, drawing: str) -> list[tuple[Cell, ...]]:
    """Return a row for every finding of a run, waived ones included, cells as in `FINDING_COLUMNS`.

    Args:
        results: the run.
        drawing: what the drawing is called in the table.
    """
    show, cells = Lengths.of(results), _OF_A_FINDING.values()
    return [(drawing, *(cell(item, show) for cell in cells)) for item in numbered(results)]


def _places(places: Iterable[Point]) -> str:
    return "; ".join(f"{_number(x)} {_number(y)}" for x, y in places)


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def _day(value: date | None) -> str | None:
    return value.isoformat() if value else None


def _number(value: float) -> str:
    """Print inches to a millionth, without trailing zeros."""
    return f"{round(value, 6) + 0.0:.6f}".rstrip("0").rstrip(".")


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """Return a table as CSV with a header; None is an empty cell."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(columns)
    writer.writerows([_cell(value) for value in row] for row in rows)
    return out.getvalue()


def raw_table(columns: Sequence[str], rows: Iterable[Iterable[object]]) -> str:
    """Return a table with a head line and line feeds alone, its numbers as they are in the results."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([neutral_cell(cell) if isinstance(cell, str) else cell for cell in row] for row in rows)
    return out.getvalue()


def _cell(value: Cell) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return neutral_cell(value)
    return _number(value)
