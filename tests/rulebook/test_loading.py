"""The loader refuses what a rule book must not hold, each time with one sentence."""

from __future__ import annotations

from pathlib import Path

import pytest

from perpend.errors import InputError
from perpend.model import Standing
from perpend.rulebook import book_keys, load_rulebook, parse_rulebook, read_rulebook

GOOD = """
[book]
key = "tiny"
title = "A book of one rule"
version = "1"
basis = ["d"]

[[documents]]
key = "d"
title = "A document"
edition = "2001"
about = "Everything"
seen = "read"

[[rows]]
id = "spacing.one"
kind = "spacing"
title = "One"
text = "No farther than 20 ft."
applies = { methods = ["empirical"] }
standing = "published"
source = { document = "d", clause = "1" }
numbers = { ratio = 1.5, cap = "20 ft" }

[[ledger]]
document = "d"
clause = "1"
state = "implemented"
rows = ["spacing.one"]
"""


def refused(old: str, new: str) -> str:
    assert old in GOOD
    with pytest.raises(InputError) as caught:
        parse_rulebook(GOOD.replace(old, new, 1).encode(), "tiny.toml")
    sentence = str(caught.value)
    assert "tiny.toml" in sentence
    assert "\n" not in sentence
    return sentence


def test_the_smallest_book_loads() -> None:
    book = parse_rulebook(GOOD.encode(), "tiny.toml")
    row = book.row("spacing.one")
    assert row.numbers["cap"].value == 240.0
    assert book.source(row).cite() == "A document (2001), 1 (published)"
    assert len(book.sha256) == 64


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (
            'title = "One"',
            'titel = "One"\ntitle = "One"',
            "line 18: unknown key 'rows 1, titel'; the nearest known one is 'title'",
        ),
        ("ratio = 1.5", "ration = 1.5", "unknown number 'ration'; the nearest known one is 'ratio'"),
        ('kind = "spacing"', 'kind = "spacign"', "the nearest known one is 'spacing'"),
        ('methods = ["empirical"]', 'methods = ["empiric"]', "the nearest known one is 'empirical'"),
        ('standing = "published"', 'standing = "rumour"', "'rumour' is not known"),
        ('source = { document = "d", clause = "1" }', "", "the key 'rows 1, source' is missing"),
        (
            'document = "d", clause',
            'document = "e", clause',
            "row 'spacing.one' is uncited: its document 'e'",
        ),
        ('cap = "20 ft"', 'cap = "20 pieces"', "'20 pieces' is not a length"),
        ('cap = "20 ft"', 'cap = { value = "20 ft", unit = "in" }', "leave its unit out"),
        ('cap = "20 ft"', 'cap = { value = "20 ft", standing = "memory" }', "names its document too"),
        ('cap = "20 ft"', 'cap = { value = "20 ft", standing = "memory", document = "x" }', "is uncited"),
        ('rows = ["spacing.one"]', 'rows = ["spacing.two"]', "'spacing.two', which does not exist"),
        ('rows = ["spacing.one"]', "", "name its rows"),
        ('state = "implemented"', 'state = "partial"', "is partial: say why"),
        ('basis = ["d"]', 'basis = ["e"]', "'e' is not listed under [[documents]]"),
        ("[book]", "[book", "not valid TOML"),
    ],
)
def test_what_a_book_must_not_hold_is_refused(old: str, new: str, said: str) -> None:
    assert said in refused(old, new)


def test_a_row_that_stands_twice_is_refused() -> None:
    row = GOOD[GOOD.index("[[rows]]") : GOOD.index("[[ledger]]")]
    with pytest.raises(InputError, match=r"'spacing\.one' stands in the book twice"):
        parse_rulebook((GOOD + row).encode(), "tiny.toml")


def test_bytes_that_are_not_text_and_files_that_are_not_there(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="not UTF-8"):
        parse_rulebook(b"\xff\xfe[\x00", "tiny.toml")
    with pytest.raises(InputError, match="cannot be read"):
        read_rulebook(tmp_path / "none.toml")
    (tmp_path / "tiny.toml").write_text(GOOD, encoding="utf-8")
    assert read_rulebook(tmp_path / "tiny.toml").key == "tiny"


def test_an_unknown_book_names_the_nearest() -> None:
    with pytest.raises(InputError, match="'us-cmu'"):
        load_rulebook("us-cmuu")


@pytest.mark.parametrize("key", book_keys())
def test_the_ledger_names_only_rows_that_cite_its_document(key: str) -> None:
    book = load_rulebook(key)
    assert book.key == key
    assert book.cautions
    ledger = {(entry.document, row) for entry in book.ledger for row in entry.rows}
    for document, row_id in ledger:
        row = book.row(row_id)
        cited = {row.source.document, *(n.document for n in row.numbers.values())}
        text = row.source.clause.lower()
        title = book.document(document).title.lower()
        assert document in cited or title in text, f"{row_id} does not cite {document}"


def test_from_memory_means_unverified() -> None:
    book = load_rulebook("us-cmu")
    row = book.row("opening.reinforced")
    assert row.unverified
    assert [s.row for s in book.sources(row) if s.standing is Standing.MEMORY] == [
        "opening.reinforced#clear",
        "opening.reinforced#bar_diameters",
    ]
    assert not book.row("spacing.empirical-full").unverified
