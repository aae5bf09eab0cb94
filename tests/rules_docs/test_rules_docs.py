"""The pages made from the rule books are what the books say today, and ours is what was published."""

from __future__ import annotations

from pathlib import Path

import pytest

from perpend.rulebook import book_keys, load_rulebook
from rules_docs.build import DOCS, strays, wanted
from rules_docs.validation import Value, values

ALL = [value for found in values().values() for value in found]


@pytest.mark.parametrize("value", ALL, ids=[value.what for value in ALL])
def test_ours_is_the_published_value(value: Value) -> None:
    assert value.ours() == value.published


def test_the_pages_are_those_that_the_rule_books_give() -> None:
    stale = [str(path.relative_to(DOCS)) for path, text in wanted().items() if _read(path) != text]
    stale += [f"{path.relative_to(DOCS)} (no such rule)" for path in strays()]
    assert stale == [], "run: python -m tests.rules_docs.build"


def _read(page: Path) -> str | None:
    return page.read_text(encoding="utf-8") if page.exists() else None


def test_every_rule_has_a_page_with_its_text_numbers_standing_and_source() -> None:
    """Looked up in the pages as committed, by other means than the generator's."""
    for key in book_keys():
        book = load_rulebook(key)
        for row in book.rows:
            page = (DOCS / "rules" / key / f"{row.id}.md").read_text(encoding="utf-8")
            assert row.text in page
            assert book.document(row.source.document).name in page
            assert ("unverified" in page) == row.unverified, row.id
            for number in row.numbers.values():
                assert number.printed in page


def test_the_list_of_rules_marks_what_is_unverified() -> None:
    index = (DOCS / "rules" / "README.md").read_text(encoding="utf-8").splitlines()
    for key in book_keys():
        for row in load_rulebook(key).rows:
            (line,) = [text for text in index if text.startswith(f"| [`{row.id}`]({key}/")]
            assert ("**unverified**" in line) == row.unverified
