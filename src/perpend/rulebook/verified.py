"""Rows of a rule book that an office has looked up in its own copy of a document.

Glossary:
    key: ``ROW`` for everything that is unverified in a row, ``ROW#NUMBER`` for one of its numbers.
    question: what there is to look up for a number that was typed from memory.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from perpend.errors import InputError
from perpend.model import Standing
from perpend.rulebook.book_schema import Citation, Document, Number, Row, Verified
from perpend.rulebook.rule_book import RuleBook, book_keys, load_rulebook
from perpend.rulebook.validation_words import nearest

_LESS = {
    "ratio",
    "cap",
    "at_most",
    "fraction",
    "around",
    "within",
    "spacing",
    "factor",
    "corner_at_most",
    "wide_over",
}
"""Numbers that ask for more the smaller they are."""
_MORE = {
    "at_least",
    "clear",
    "bar_diameters",
    "past",
    "beds",
    "area_per_foot",
    "usual",
    "width",
    "steel_ratio",
}
"""Numbers that ask for more the larger they are."""
_GRAIN = 1e-9


@dataclass(frozen=True, slots=True)
class Question:
    """One thing that an office has to look up.

    Attributes:
        key: as ``[verified]`` has it.
        document: where to look.
        clause: and at what place.
        asks: the question.
        printed: the value in use.
    """

    key: str
    document: str
    clause: str
    asks: str
    printed: str


def questions(book: RuleBook) -> Iterator[Question]:
    """Yield what is still to be looked up, in the order of the rule book."""
    for row in book.rows:
        names = [name for name in row.numbers if book.source(row, name).unverified]
        for name in names:
            source, number = book.source(row, name), row.numbers[name]
            shown = number.printed if number.unit in ("in", "1") else f"{number.printed} {number.unit}"
            asks = number.ask or f"{row.title}: is {name.replace('_', ' ')} {shown}?"
            yield Question(f"{row.id}#{name}", source.document, source.clause, asks, shown)
        if not names and row.standing is Standing.MEMORY:
            source = book.source(row)
            yield Question(row.id, source.document, source.clause, f"{row.title}: {row.text}", "")


def with_answers(book: RuleBook, answers: Mapping[str, Verified], where: str = "settings") -> RuleBook:
    """Return the rule book with what an office verified, cited as theirs.

    Args:
        book: the rule book.
        answers: by key; keys of the package's other rule books are left alone.
        where: the settings' name, for error sentences.

    Raises:
        InputError: a key that no rule book has, a value of the wrong kind, or one looser than the rule book's
            that does not say that it corrects.
    """
    rows = {row.id: row for row in book.rows}
    documents = list(book.documents)
    for number, (key, answer) in enumerate(answers.items()):
        row_id, _, name = key.partition("#")
        row = rows.get(row_id)
        if row is None or (name and name not in row.numbers):
            if not _elsewhere(key, book):
                known = [q.key for q in questions(book)] + [r.id for r in book.rows]
                raise InputError(f"{where}: verified: unknown row {key!r}; {nearest(key, known)}.")
            continue
        document = f"office-{number}"
        documents.append(
            Document(key=document, title=answer.source, about="as the office read it", seen="by the office")
        )
        rows[row_id] = _answered(row, name, answer, document, f"{where}: verified: {key!r}")
    if len(documents) == len(book.documents):
        return book
    found = tuple(rows.values())
    by_kind = {kind: tuple(row for row in found if row.kind == kind) for kind in book.by_kind}
    return replace(book, rows=found, documents=tuple(documents), by_kind=by_kind)


def _elsewhere(key: str, book: RuleBook) -> bool:
    row_id, _, name = key.partition("#")
    others = (load_rulebook(other) for other in book_keys() if other != book.key)
    return any(o.has(row_id) and (not name or name in o.row(row_id).numbers) for o in others)


def _answered(row: Row, name: str, answer: Verified, document: str, where: str) -> Row:
    """Return a row whose one number, or all that came from memory, stand on an office's word."""
    memory = [n for n, number in row.numbers.items() if (number.standing or row.standing) is Standing.MEMORY]
    names = [name] if name else memory or list(row.numbers)
    if answer.value is not None and len(names) != 1:
        raise InputError(
            f"{where} has several numbers: name one, such as {row.id}#{(names or ['number'])[0]}."
        )
    own = {"standing": Standing.VERIFIED, "document": document, "clause": ""}
    numbers = {
        n: number.model_copy(update=own) if n in names else number for n, number in row.numbers.items()
    }
    if answer.value is not None:
        numbers[names[0]] = _corrected(row.numbers[names[0]], names[0], answer, where).model_copy(update=own)
    whole = row.standing is Standing.MEMORY and set(names) >= set(memory)
    changed: dict[str, object] = {"numbers": numbers}
    if whole or not row.numbers:
        changed |= {"standing": Standing.VERIFIED, "source": Citation(document=document)}
    return row.model_copy(update=changed)


def _corrected(number: Number, name: str, answer: Verified, where: str) -> Number:
    given: dict[str, object] = {"value": answer.value}
    if not isinstance(answer.value, str):
        given["unit"] = number.unit
    try:
        read = Number.model_validate(given)
    except ValueError as error:
        raise InputError(
            f"{where}: {answer.value!r} is no value for {name}: write it as {number.printed}."
        ) from error
    if read.unit != number.unit:
        raise InputError(f"{where}: {answer.value!r} is no value for {name}: write it as {number.printed}.")
    change = read.value - number.value
    looser = (name in _LESS and change > _GRAIN) or (name in _MORE and change < -_GRAIN)
    if looser and not answer.corrects:
        raise InputError(
            f"{where}: {read.printed} is looser than {number.printed}: add corrects = true where the office "
            "answers for that, or leave the value out."
        )
    return read
