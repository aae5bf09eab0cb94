"""The numbers of findings, and the list that says what they mean.

The list has the sentence and the cure; a finding without a place stands there only.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from perpend.cures.words import sentence_of
from perpend.drawing.page.drafting_style import VIOLATION
from perpend.drawing.page.sheet_page import Identity
from perpend.drawing.page.text_blocks import Block, sentences_block
from perpend.dxf.text_metrics import plain
from perpend.findings import Finding, Severity

LIST_TITLE = "FINDINGS"


def numbered(findings: Sequence[Finding], after: tuple[int, int] = (0, 0)) -> list[tuple[str, Finding]]:
    """Number the findings: V for what a rule requires, A for advice; the former come first.

    Args:
        findings: in the order of their walls.
        after: greatest V and A numbers that stand on the sheet already.
    """
    violations, advice = after
    counters = {
        Severity.REQUIRED: itertools.count(violations + 1),
        Severity.ADVISORY: itertools.count(advice + 1),
    }
    ranked = sorted(findings, key=lambda f: f.severity is not Severity.REQUIRED)
    letters = {Severity.REQUIRED: "V", Severity.ADVISORY: "A"}
    return [(f"{letters[f.severity]}{next(counters[f.severity])}", f) for f in ranked]


def findings_block(sentences: Sequence[tuple[str, str]], width_in: float, h: float) -> Block:
    """Set the list of findings to a width; the sentences are those of `numbered_sentences`."""
    return sentences_block(LIST_TITLE, sentences, width_in, h, VIOLATION, Identity("violation-list"))


def numbered_sentences(
    findings: Sequence[tuple[str, Finding]], *, metric: bool = False
) -> list[tuple[str, str]]:
    """Return what the list of findings says, with numbers."""
    sentences = []
    for number, finding in findings:
        where = f"{finding.wall}: " if finding.wall else ""
        waived = finding.waived
        cure = sentence_of(finding.cure, metric=metric)
        then = f"Waived by {waived.who}: {waived.reason}" if waived else cure
        sentences.append((number, plain(f"{where}{finding.message} {then}".rstrip())))
    return sentences
