"""Findings as CSV, one line each (RFC 4180: commas, CRLF, quotes where needed).

Lengths stand twice: as plain inches, in columns whose names end in ``_in``, and as printed on the drawing.
Several places are written ``x y; x y``, inches in the wall's own axes.

A text that a spreadsheet would take for a formula (it starts with ``=``, ``+``, ``-`` or ``@``, full-width
forms included) gets an apostrophe in front: tags come from drawings, and a drawing may come from anyone.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from typing import Final

from perpend.clean_text import neutral_cell
from perpend.model import Point
from perpend.report.finding_numbers import Numbered, difference, numbered
from perpend.report.lengths import Lengths
from perpend.report.results_document import Results
from perpend.report.summary import cite

FINDING_COLUMNS: Final = (
    "drawing",
    "number",
    "wall",
    "opening",
    "code",
    "severity",
    "state",
    "message",
    "measured_in",
    "limit_in",
    "difference_in",
    "measured",
    "limit",
    "at_in",
    "cure",
    "source",
    "rule_row",
    "unverified",
    "handle",
    "fingerprint",
    "waived_by",
    "waived_until",
    "waiver_reason",
)

Cell = str | float | int | None


def findings_csv(results: Results) -> str:
    """Return every finding of a run as CSV with a header, waived ones included."""
    return csv_text(FINDING_COLUMNS, finding_rows(results, results.drawing.path))


def finding_rows(results: Results, drawing: str) -> list[tuple[Cell, ...]]:
    """Return a row for every finding of a run, waived ones included, cells as in `FINDING_COLUMNS`.

    Args:
        results: the run.
        drawing: what the drawing is called in the table.
    """
    lengths = Lengths.of(results)
    return [_finding(item, drawing, lengths) for item in numbered(results)]


def _finding(item: Numbered, drawing: str, lengths: Lengths) -> tuple[Cell, ...]:
    finding, waived = item.finding, item.finding.waived
    return (
        drawing,
        item.number,
        item.tag,
        finding.opening,
        finding.code,
        finding.severity,
        "waived" if waived else "open",
        finding.message,
        finding.measured_in,
        finding.limit_in,
        difference(finding),
        None if finding.measured_in is None else lengths.plain(finding.measured_in),
        None if finding.limit_in is None else lengths.limit(finding.limit_in),
        _places(finding.at),
        finding.cure,
        cite(finding.source) if finding.source else None,
        finding.source.row if finding.source else None,
        _yes(finding.source.unverified) if finding.source else None,
        finding.handle,
        finding.fingerprint,
        waived.who if waived else None,
        waived.until.isoformat() if waived and waived.until else None,
        waived.reason if waived else None,
    )


def _places(places: Iterable[Point]) -> str:
    return "; ".join(f"{_number(x)} {_number(y)}" for x, y in places)


def _yes(value: bool) -> str:
    return "yes" if value else "no"


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
