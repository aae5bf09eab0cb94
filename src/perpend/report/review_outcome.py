"""The outcome of a review in a few sentences, for the notes on the drawing."""

from __future__ import annotations

from collections import Counter

from perpend.report.finding_numbers import advice_counted, unverified_words
from perpend.report.results_document import Results
from perpend.report.summary import untested_sentences
from perpend.wording import counted


def outcome_sentences(results: Results) -> list[str]:
    """Say what was found, how much was tested, what could not be, and by which rule book."""
    states = Counter("waived" if f.waived else f.severity for f in results.all_findings)
    parts = [
        counted(states["required"], "violation", none="no"),
        advice_counted(states["advisory"]),
    ]
    waived = f", {states['waived']} waived" if states["waived"] else ""
    found = f"{', '.join(parts)}{waived}."
    joints = sum(len(wall.joints) for wall in results.walls)
    checks = results.checks
    tested = (
        f"{counted(joints, 'joint', none='no')} judged; {checks.passed} of {checks.ran} checks passed."
        if checks.ran
        else "Nothing was tested."
    )
    book = results.rulebook
    sentences = [found, tested, *untested_sentences(results), f"Rule book: {book.title} {book.version}."]
    if results.unverified:
        sentences.append(f"Not verified against the source: {unverified_words(results.unverified)}.")
    return [text[0].upper() + text[1:] for text in sentences]
