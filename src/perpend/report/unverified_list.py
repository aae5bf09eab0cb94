"""What an office has to look up in its own copies of the documents, as data and as text."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from perpend.report.document_parts import SCHEMA_VERSION, Document, Part, described
from perpend.report.results_document import RuleBookEntry
from perpend.report.summary import labelled, wrapped
from perpend.report.text_lines import Line
from perpend.rulebook import RuleBook
from perpend.rulebook.verified import questions
from perpend.version import __version__


@dataclass(frozen=True, slots=True, kw_only=True)
class QuestionEntry(Part):
    """One number to look up."""

    key: Annotated[str, described("Key for [verified] in the settings.")]
    document: str
    clause: str
    asks: str
    printed: Annotated[str, described("The value in use, as the rule book has it.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class UnverifiedList(Document):
    """What is still typed from memory in one rule book."""

    schema_version: Literal["1"] = SCHEMA_VERSION
    perpend_version: str
    command: Literal["limits --unverified"] = "limits --unverified"
    rulebook: RuleBookEntry
    questions: list[QuestionEntry]


def build_unverified(book: RuleBook) -> UnverifiedList:
    """Gather what is still to be looked up."""
    return UnverifiedList(
        perpend_version=__version__,
        rulebook=RuleBookEntry.of(book),
        questions=[QuestionEntry.of(question) for question in questions(book)],
    )


def unverified_text(found: UnverifiedList) -> list[Line]:
    """Print the list for a person, with the lines that go into the settings."""
    book = f"{found.rulebook.key} {found.rulebook.version}"
    if not found.questions:
        return [Line(f"Rule book {book}: nothing is left to look up.", "title")]
    lines = [Line(f"Rule book {book}: {len(found.questions)} to look up in your own copies", "title")]
    for question in found.questions:
        place = ", ".join(part for part in (question.document, question.clause) if part)
        lines += [Line(""), *labelled("Look in", place), *labelled("Question", question.asks)]
        lines += labelled("Settings", f'"{question.key}" = "{question.document}, page, checked by, date"')
    lines.append(Line(""))
    how = (
        "Put the lines of what you found under [verified] in perpend.toml. Where the page has another value, "
        'write { source = "...", value = "..." }; add corrects = true where it is looser.'
    )
    return [*lines, *wrapped(how)]
