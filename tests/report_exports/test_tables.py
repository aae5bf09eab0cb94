"""The CSV tables, read back with the standard library's reader."""

from __future__ import annotations

import csv
import io

import pytest

from perpend.report.csv_tables import csv_text, findings_csv
from sheet.sample_sheets import clean, review


def rows_of(text: str) -> list[dict[str, str]]:
    assert text.endswith("\r\n")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_findings_one_line_each_with_place_and_numbers() -> None:
    rows = rows_of(findings_csv(review()[0]))
    assert [(r["number"], r["wall"], r["code"], r["state"]) for r in rows] == [
        ("V1", "W1", "panel-too-long", "open"),
        ("V2", "W1", "slip-plane-too-short", "open"),
        ("V3", "W2", "corner-too-far", "waived"),
        ("A1", "W1", "joint-off-module", "open"),
        ("A2", "", "waiver-unused", "open"),
    ]
    first = rows[0]
    assert (first["measured_in"], first["limit_in"], first["difference_in"]) == ("332", "300", "32")
    assert (first["measured"], first["limit"]) == ("27'-8\"", "25'-0\"")
    assert first["at_in"] == "240 100; 572 100"
    assert first["source"] == "TEK 10-2C (2010), Table 1 (published)"
    assert first["drawing"] == "drawings/shop front.dxf"
    assert rows[1]["unverified"] == "yes"
    assert rows[3]["limit_in"] == rows[3]["difference_in"] == ""
    waived = rows[2]
    assert waived["waived_by"] == "J. Doe"
    assert waived["waived_until"] == "2027-06-30"
    assert waived["waiver_reason"] == "The engineer of record accepted it."


def test_metric_drawings_print_millimetres_beside_the_inches() -> None:
    first = rows_of(findings_csv(review(metric=True)[0]))[0]
    assert (first["measured_in"], first["measured"]) == ("332", "8433 mm")
    assert first["limit"] == "7620 mm (25'-0\")"


def test_nothing_found_is_a_header_alone() -> None:
    text = findings_csv(clean()[0])
    assert rows_of(text) == []
    assert text.startswith("drawing,number,wall,")


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20"])
def test_a_text_is_never_a_formula_and_shows_its_line_ends(sign: str) -> None:
    text = csv_text(["tag"], [[f'{sign}HYPERLINK("x"),\n\u202e1']])
    assert rows_of(text) == [{"tag": f'\'{sign}HYPERLINK("x"),\\u000a\\u202e1'}]
