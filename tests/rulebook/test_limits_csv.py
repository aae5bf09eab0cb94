"""The rule books against a second, independent transcription of the same limits (the CSV files)."""

from __future__ import annotations

import csv
from fractions import Fraction
from pathlib import Path

import pytest
from tests.rules_docs.validation import second_reading

from perpend.rulebook import book_keys, load_rulebook

FILES = {
    "us-cmu": "limits.csv",
    "us-clay": "limits_us_clay.csv",
    "en-uk": "limits_en_uk.csv",
    "au-ncc": "limits_au_ncc.csv",
}
TYPED = [
    {"book": book, **row}
    for book, name in FILES.items()
    for row in csv.DictReader((Path(__file__).parent / name).open(encoding="utf-8"))
]
INCHES = {"ft": Fraction(12), "in": Fraction(1), "mm": Fraction(10, 254), "m": Fraction(10000, 254)}
_MODULE = ("module", "unit_length", "metric_module")
NOT_IN_ANY_TABLE = {
    "us-cmu": {
        "lintel.depth#depth",
        "course.full-height#metric_course",
        "course.half-high#metric_course",
        "data.weight#masonry",
        "steel.assumed#thickness",
    },
    "us-clay": {
        "opening.loose-lintel#clear",
        "opening.arched#clear",
        "lintel.bearing#at_least",
        "lintel.bearing#usual",
        "lintel.depth#depth",
        "module.half-unit#module",
        "module.half-unit#unit_length",
        "module.half-unit#metric_module",
        "course.modular#course",
        "course.modular#metric_course",
    },
    "en-uk": {
        "opening.arched#clear",
        "lintel.bearing#at_least",
        "lintel.bearing#usual",
        "lintel.depth#depth",
        *(f"module.{unit}#{size}" for unit in ("brick", "block") for size in _MODULE),
        *(f"course.{unit}#{size}" for unit in ("brick", "block") for size in ("course", "metric_course")),
    },
    "au-ncc": {
        "opening.arched#clear",
        "lintel.bearing#at_least",
        "lintel.bearing#usual",
        "lintel.depth#depth",
        "module.half-unit#module",
        "module.half-unit#unit_length",
        "module.half-unit#metric_module",
        "course.full-height#course",
        "course.full-height#metric_course",
        "course.half-high#course",
        "course.half-high#metric_course",
    },
}
"""Numbers that are this project's own choice or follow from the module: in no published table."""


@pytest.mark.parametrize("typed", TYPED, ids=[f"{r['book']}:{r['row']}#{r['number']}" for r in TYPED])
def test_the_rule_book_holds_the_typed_limit(typed: dict[str, str]) -> None:
    book = load_rulebook(typed["book"])
    row = book.row(typed["row"])
    number = row.numbers[typed["number"]]
    unit = typed["unit"]

    assert number.value == pytest.approx(float(Fraction(typed["value"]) * INCHES.get(unit, 1)), rel=1e-12)
    assert number.unit == ("in" if unit in INCHES else unit or "1")
    source = book.source(row, typed["number"])
    assert source.standing == typed["standing"]
    assert source.document == typed["document"]
    assert source.unverified == (typed["standing"] == "memory")


@pytest.mark.parametrize("key", book_keys())
def test_every_number_of_the_rule_book_was_typed_a_second_time(key: str) -> None:
    in_book = {f"{row.id}#{number}" for row in load_rulebook(key).rows for number in row.numbers}
    assert in_book - NOT_IN_ANY_TABLE[key] == {f"{r['row']}#{r['number']}" for r in TYPED if r["book"] == key}


def test_what_stands_in_no_table_is_marked_as_choice_practice_or_memory() -> None:
    for key, names in NOT_IN_ANY_TABLE.items():
        book = load_rulebook(key)
        for name in names - {"course.full-height#metric_course", "course.half-high#metric_course"}:
            row_id, number = name.split("#")
            assert book.source(book.row(row_id), number).standing in ("decision", "common practice", "memory")


READ_AGAIN = second_reading()
"""Every published number once more, typed without sight of the first: the head of the file says by whom."""

SETTLED_HERE = {
    "us-cmu": {
        "judgment.strip-opening#over",
        "judgment.strip-opening#times_height",
        "judgment.strip-opening#steel_under",
        "judgment.least-panel#advisory_taller_than",
        "judgment.recess#up_to",
        "judgment.intersections#bonded_clear",
        "judgment.away-from-openings#clear",
        "corner.shared#around",
    }
}
"""Numbers of the CSV files that are decisions of this project: no other text has their words."""


def _reading(text: str) -> Fraction:
    value, _, unit = text.partition(" ")
    return Fraction(value) * INCHES.get(unit, Fraction(1))


@pytest.mark.parametrize("key", book_keys())
def test_the_second_reading_agrees_with_the_first_and_with_the_rule_book(key: str) -> None:
    first = {
        f"{r['row']}#{r['number']}": Fraction(r["value"]) * INCHES.get(r["unit"], Fraction(1))
        for r in TYPED
        if r["book"] == key
    }
    second = {f"{r['row']}#{r['number']}": _reading(r["reading"]) for r in READ_AGAIN if r["book"] == key}
    book = load_rulebook(key)
    assert {name: first[name] for name in second} == second
    for name, found in second.items():
        row, number = name.split("#")
        assert book.row(row).numbers[number].value == pytest.approx(float(found), rel=1e-12), name
    assert set(first) - set(second) == SETTLED_HERE.get(key, set())


def test_the_second_reading_says_of_each_number_where_it_was_read() -> None:
    assert all(r["source"].strip() and r["words"].strip() for r in READ_AGAIN)
    assert [r["row"] for r in READ_AGAIN if r["source"] == "memory"] == ["support.joint"]


def test_what_was_settled_here_is_no_publication() -> None:
    for key, names in SETTLED_HERE.items():
        book = load_rulebook(key)
        for name in names:
            row, number = name.split("#")
            assert book.source(book.row(row), number).standing == "decision", name
