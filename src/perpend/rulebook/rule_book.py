"""A rule book in hand: its rows, found by kind and by where they apply, each with its source."""

from __future__ import annotations

import functools
import hashlib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib import resources
from pathlib import Path

from pydantic import ValidationError

from perpend.errors import InputError
from perpend.model import Source
from perpend.rulebook.book_schema import BookFile, Document, LedgerEntry, Number, Row
from perpend.rulebook.validation_words import explain, nearest, read_toml_text

DEFAULT_BOOK = "us-cmu"

_APPLIES = {
    "method": "methods",
    "units": "units",
    "treatment": "treatments",
    "place": "places",
    "material": "materials",
    "support": "supports",
}
"""What a case is asked by, and the list of a row that it has to be in."""


@dataclass(frozen=True, slots=True)
class RuleBook:
    """One rule book.

    Attributes:
        key: such as ``us-cmu``.
        title: in words.
        version: edition of the file, not of the documents.
        sha256: of the file's bytes.
        note: remark that belongs in every report.
        label: what a joint is called on a sheet, such as ``CJ``.
        joint: the same in words, such as ``control joint``.
        masonry: what a sheet calls the walls, such as ``CMU``; empty says nothing.
        engineer: who decides, as a sheet says it.
        engineer_short: the same in a note.
        methods_called: a method and what a schedule calls it; a method that is not here is called by its key.
        cap_called: what a schedule calls the greatest spacing whatever the height; empty leaves it out.
        basis: names of the documents the book stands on.
        documents: every document cited.
        rows: every rule.
        ledger: what of each document is here.
        by_kind: the rows again, by kind, so that a wall of a thousand openings finds them at once.
    """

    key: str
    title: str
    version: str
    sha256: str
    note: str
    basis: tuple[str, ...]
    documents: tuple[Document, ...]
    rows: tuple[Row, ...]
    ledger: tuple[LedgerEntry, ...]
    label: str = "CJ"
    joint: str = "control joint"
    masonry: str = ""
    engineer: str = "Engineer of Record"
    engineer_short: str = "EOR"
    methods_called: Mapping[str, str] = field(default_factory=dict)
    cap_called: str = "cap"
    by_kind: Mapping[str, tuple[Row, ...]] = field(default_factory=dict, repr=False, compare=False)

    def row(self, row_id: str) -> Row:
        """Return the row of this id.

        Raises:
            KeyError: the book has no such row.
        """
        for row in self.rows:
            if row.id == row_id:
                return row
        raise KeyError(row_id)

    def has(self, row_id: str) -> bool:
        """Say whether the book has a row of this id."""
        return any(row.id == row_id for row in self.rows)

    def find(self, kind: str, **asked: str) -> tuple[Row, ...]:
        """Return the rows of a kind that apply.

        Args:
            kind: of row.
            asked: what is known of the case: `method`, `units`, `treatment`, `place`, `material` or
                `support`; what is left out, or empty, does not filter.
        """
        rows = self.by_kind.get(kind, ())
        for name, given in asked.items():
            if given and rows:
                listed = _APPLIES[name]
                rows = tuple(row for row in rows if given in (getattr(row.applies, listed) or (given,)))
        return rows

    def first(self, kind: str, **asked: str) -> Row | None:
        """Return the first row of a kind that applies, or None."""
        return next(iter(self.find(kind, **asked)), None)

    def need(self, kind: str, **asked: str) -> Row:
        """Return the first row of a kind that applies.

        Raises:
            InputError: the book has no such row.
        """
        row = self.first(kind, **asked)
        if row is None:
            known = ", ".join(word for word in asked.values() if word) or "any wall"
            raise InputError(
                f"The rule book {self.key} has no rule of the kind {kind!r} for {known}: "
                "choose another method or another rule book."
            )
        return row

    def document(self, key: str) -> Document:
        """Return the document of this key (the loader made sure that it exists)."""
        return next(d for d in self.documents if d.key == key)

    def source(self, row: Row, number: str = "") -> Source:
        """Return the source of a row, or of one of its numbers.

        Args:
            row: a row of this book.
            number: name of one of its numbers; empty for the row as a whole.

        Returns:
            The source; its row key is ``ROW`` or, where the number has a source of its own, ``ROW#number``.
        """
        value = row.numbers[number] if number else None
        if value is None or value.document is None or value.standing is None:
            return Source(
                row.id,
                self.document(row.source.document).name,
                row.source.clause,
                row.standing,
                row.text,
            )
        return Source(
            f"{row.id}#{number}",
            self.document(value.document).name,
            value.clause or "",
            value.standing,
            f"{row.title}: {number.replace('_', ' ')} {value.printed}",
        )

    def sources(self, row: Row, *numbers: str) -> tuple[Source, ...]:
        """Return the distinct sources of some numbers of a row (all of them when none is named)."""
        names = numbers or tuple(row.numbers) or ("",)
        return tuple(dict.fromkeys(self.source(row, name) for name in names))

    @property
    def cautions(self) -> tuple[str, ...]:
        """The sentences that every output carries."""
        return tuple(row.text for row in self.find("caution"))

    @property
    def methods(self) -> tuple[str, ...]:
        """The methods for which the book has a spacing."""
        found = [method for row in self.find("spacing") for method in row.applies.methods]
        return tuple(dict.fromkeys(found))

    @property
    def coefficients(self) -> list[float]:
        """The crack control coefficients that the engineered method is printed for, least first."""
        rows = self.find("spacing", method="engineered")
        return sorted({row.applies.ccc for row in rows if row.applies.ccc is not None})

    @property
    def metric(self) -> bool:
        """True where the book's sizes are metric."""
        return self.need("module").numbers["module"].printed.endswith("mm")

    @property
    def tells_units_apart(self) -> bool:
        """True where a rule counts for units of one height and not for the other."""
        return any(row.applies.units for row in self.rows)

    @property
    def materials(self) -> tuple[str, ...]:
        """The materials that the book tells apart; none where it is about one alone."""
        return tuple(dict.fromkeys(m for row in self.find("spacing") for m in row.applies.materials))


def value(row: Row, number: str) -> float:
    """Return a number of a row; lengths in inches.

    Raises:
        KeyError: the row has no such number.
    """
    return row.numbers[number].value


def maybe(row: Row, number: str) -> float | None:
    """Return a number of a row, or None where it has no such number."""
    found: Number | None = row.numbers.get(number)
    return None if found is None else found.value


def book_keys() -> tuple[str, ...]:
    """Return the keys of the rule books that come with the package."""
    folder = resources.files("perpend.rulebook") / "books"
    names = (item.name for item in folder.iterdir())
    return tuple(sorted(name.removesuffix(".toml") for name in names if name.endswith(".toml")))


@functools.cache
def load_rulebook(key: str = DEFAULT_BOOK) -> RuleBook:
    """Load a rule book that comes with the package.

    Raises:
        InputError: there is no such book.
    """
    if key not in book_keys():
        raise InputError(f"There is no rule book {key!r}; {nearest(key, book_keys())}.")
    data = (resources.files("perpend.rulebook") / "books" / f"{key}.toml").read_bytes()
    return parse_rulebook(data, f"rule book {key}.toml")


def read_rulebook(path: Path) -> RuleBook:
    """Load a rule book from a file.

    Raises:
        InputError: the file cannot be read, is not TOML, has an unknown key or an uncited row.
    """
    try:
        return parse_rulebook(path.read_bytes(), str(path))
    except OSError as error:
        raise InputError(f"{path}: the rule book cannot be read ({error.strerror}).") from error


def parse_rulebook(data: bytes, where: str) -> RuleBook:
    """Make a rule book from a file's bytes.

    Args:
        data: the TOML text, UTF-8.
        where: the file's name, for error sentences.

    Raises:
        InputError: not TOML, an unknown key, an uncited row, or something missing.
    """
    try:
        text = read_toml_text(data, where)
        content = BookFile.model_validate(tomllib.loads(text))
    except ValidationError as error:
        raise InputError(explain(error, BookFile, where, text)) from error
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"{where} is not valid TOML: {error}.") from error
    except ValueError as error:
        raise InputError(f"{error}.") from error
    names = {d.key: d.name for d in content.documents}
    head = dict(content.book) | {"basis": tuple(names[key] for key in content.book.basis)}
    return RuleBook(
        **head,
        sha256=hashlib.sha256(data).hexdigest(),
        documents=content.documents,
        rows=content.rows,
        ledger=content.ledger,
        by_kind={
            kind: tuple(row for row in content.rows if row.kind == kind)
            for kind in {row.kind for row in content.rows}
        },
    )
