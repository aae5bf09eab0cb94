"""The list that says what the numbers of findings mean.

The list has the sentence and the cure; a finding without a place stands there only.
"""

from __future__ import annotations

from collections.abc import Sequence

from perpend.cures.words import sentence_of
from perpend.drawing.page.drafting_style import VIOLATION
from perpend.drawing.page.sheet_page import Identity
from perpend.drawing.page.text_blocks import Block, sentences_block
from perpend.dxf.text_metrics import plain
from perpend.findings import Finding

LIST_TITLE = "FINDINGS"


def findings_block(sentences: Sequence[tuple[str, str]], width_in: float, h: float) -> Block:
    """Set the list of findings to a width; the sentences are those of `numbered_sentences`."""
    return sentences_block(LIST_TITLE, sentences, width_in, h, VIOLATION, Identity("violation-list"))


def numbered_sentences(
    findings: Sequence[tuple[str, Finding]], *, metric: bool = False, label: str = "CJ", feet: bool = True
) -> list[tuple[str, str]]:
    """Return what the list of findings says, with numbers."""
    sentences = []
    for number, finding in findings:
        where = f"{finding.wall}: " if finding.wall else ""
        waived = finding.waived
        cure = sentence_of(finding.cure, metric=metric, label=label, feet=feet)
        then = f"Waived by {waived.who}: {waived.reason}" if waived else cure
        sentences.append((number, plain(f"{where}{finding.message} {then}".rstrip())))
    return sentences
