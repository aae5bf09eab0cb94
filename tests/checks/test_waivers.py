"""Waivers at the border: what a file may hold, and what is said of one that is wrong."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from perpend.checks.registry import CODES
from perpend.decisions.waivers import load_waivers, parse_waivers, waive, waiver_remarks
from perpend.errors import InputError

TODAY = date(2027, 3, 1)
SHORT = CODES["joint-stops-short"].finding("It stops.", wall="W1", at=((240.0, 192.0),))
ENTRY = f'[[waivers]]\nfingerprint = "{SHORT.fingerprint}"\nreason = "Prøvet på stedet."\nwho = "R. Oduya"\n'


def test_a_file_of_waivers_is_read_with_its_accents_and_marks_its_finding(tmp_path: Path) -> None:
    path = tmp_path / "north.waivers.toml"
    path.write_bytes(("\ufeff" + ENTRY + "until = 2027-03-01\n").encode())
    waivers = load_waivers(path)
    (waived,) = waive([SHORT], waivers, TODAY)
    assert waived.waived is not None
    assert (waived.waived.reason, waived.waived.until) == ("Prøvet på stedet.", TODAY)
    assert waived.fingerprint == SHORT.fingerprint
    assert waiver_remarks([SHORT], waivers, TODAY) == ()


def test_a_fingerprint_in_capitals_is_the_same_fingerprint() -> None:
    (waived,) = waive(
        [SHORT], parse_waivers(ENTRY.replace(SHORT.fingerprint, SHORT.fingerprint.upper())), TODAY
    )
    assert waived.waived is not None


def test_the_same_fault_in_another_wall_is_not_waived() -> None:
    other = CODES["joint-stops-short"].finding("It stops.", wall="W2", at=((240.0, 192.0),))
    found = waive([SHORT, other], parse_waivers(ENTRY), TODAY)
    assert [f.waived is not None for f in found] == [True, False]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (ENTRY + ENTRY, "waivers 2 repeats the fingerprint"),
        (
            ENTRY + "untill = 2027-01-01\n",
            "unknown key 'waivers 1, untill'; the nearest known one is 'until'",
        ),
        (ENTRY.replace("R. Oduya", " "), "waivers 1, who"),
        (
            '[[waivers]]\nfingerprint = "0123456789abcdef"\nwho = "R. Oduya"\n',
            "'waivers 1, reason' is missing",
        ),
        ("[[waivers]\n", "is not valid TOML"),
        ("waivers = 3\n", "waivers"),
    ],
)
def test_a_wrong_file_is_refused_in_one_sentence(text: str, said: str) -> None:
    with pytest.raises(InputError) as refused:
        parse_waivers(text, "north.waivers.toml")
    sentence = str(refused.value)
    assert said in sentence
    assert sentence.startswith("north.waivers.toml")
    assert "\n" not in sentence


def test_a_file_that_cannot_be_read_is_refused_in_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="the waivers cannot be read"):
        load_waivers(tmp_path / "none.toml")
    path = tmp_path / "latin.toml"
    path.write_bytes(ENTRY.encode("latin-1"))
    with pytest.raises(InputError, match="not UTF-8 text"):
        load_waivers(path)
