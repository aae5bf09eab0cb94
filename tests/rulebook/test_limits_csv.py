"""The rule book against a second, independent transcription of the same limits (limits.csv)."""

from __future__ import annotations

import csv
from fractions import Fraction
from pathlib import Path

import pytest

from perpend.rulebook import load_rulebook
from perpend.rulebook.schema import Row

ROWS = list(csv.DictReader((Path(__file__).parent / "limits.csv").open(encoding="utf-8")))
INCHES = {"ft": Fraction(12), "in": Fraction(1), "mm": Fraction(10, 254), "m": Fraction(10000, 254)}
NOT_TYPED = {"lintel.depth#depth", "course.full-height#metric_course", "course.half-high#metric_course"}
"""Numbers of the book that follow from common practice or the metric module, in no table."""


@pytest.mark.parametrize("typed", ROWS, ids=[f"{r['row']}#{r['number']}" for r in ROWS])
def test_the_rule_book_holds_the_typed_limit(typed: dict[str, str]) -> None:
    book = load_rulebook("us-cmu")
    row = book.row(typed["row"])
    number = row.numbers[typed["number"]]
    unit = typed["unit"]

    assert number.value == pytest.approx(float(Fraction(typed["value"]) * INCHES.get(unit, 1)), rel=1e-12)
    assert number.unit == ("in" if unit in INCHES else unit or "1")
    source = book.source(row, typed["number"])
    assert source.standing == typed["standing"]
    assert source.document == typed["document"]
    assert source.unverified == (typed["standing"] == "memory")


def test_every_number_of_the_rule_book_was_typed_a_second_time() -> None:
    def names(row: Row) -> set[str]:
        return {f"{row.id}#{number}" for number in row.numbers}

    in_book = set().union(*(names(row) for row in load_rulebook("us-cmu").rows))
    assert in_book - NOT_TYPED == {f"{r['row']}#{r['number']}" for r in ROWS}
