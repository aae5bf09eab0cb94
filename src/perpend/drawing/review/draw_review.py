"""The overlay of a review: marks of the findings, proposed joints, and the lists that explain them.

Nothing but marks: joints, dimensions and notes that are in the drawing stay as they are,
and the marks keep off them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from operator import attrgetter

from ezdxf.document import Drawing

from perpend.checks.registry import CODES
from perpend.cures.words import sentence_of
from perpend.drawing.page.drafting_style import PROPOSED, VIOLATION, DraftingReport, DraftingStyle
from perpend.drawing.page.occupancy_raster import Raster
from perpend.drawing.page.scene import Scene
from perpend.drawing.page.sheet_page import Identity, Stroke
from perpend.drawing.page.text_blocks import Block, beside, sentences_block, stacked
from perpend.drawing.plate.office_words import short_length
from perpend.drawing.review.finding_marks import draw_marks
from perpend.drawing.review.mark_shapes import dashes, frames, square
from perpend.drawing.review.overlay import Sample, bar_joints, draw_overlay, legend_block, list_block
from perpend.drawing.review.proposed_joints import Change, changes_of, draw_changes, label_changes
from perpend.dxf.text_metrics import plain
from perpend.findings import Finding, numbered
from perpend.layout.nearest_layout import NearestLayout
from perpend.model import WallPlan
from perpend.units import format_length

FINDINGS_TITLE, CHANGES_TITLE, NOTES_TITLE, LEGEND_TITLE = (
    "REVIEW FINDINGS",
    "PROPOSED JOINTS",
    "REVIEW NOTES",
    "MARKS",
)
_MORE = ", in the results document"
_HEADS = ("NO.", "WALL", "FINDING", "AT", "MEASURED", "LIMIT", "CURE", "SOURCE")
_SHAPES: tuple[tuple[tuple[int, ...], float], ...] = (
    ((5, 12, 30, 14, 12, 12, 46, 36), 62.0),
    ((5, 10, 26, 12, 10, 10, 30, 20), 46.0),
    ((5, 8, 20, 8, 9, 8, 26), 34.0),
)
"""Letters in each column of the list of findings and in a line of the notes; the narrowest has no sources."""
_CHANGES = (("WALL", 12), ("CHANGE", 10), ("FROM", 12), ("TO", 12), ("BY", 10), ("WHY", 40))


@dataclass(frozen=True, slots=True)
class Review:
    """What a review says of a drawing.

    Attributes:
        findings: in the order in which they are numbered, wall by wall.
        cures: tag and nearest layout of every wall that has one.
        sentences: the outcome in sentences, for the notes.
        after: greatest V and A numbers of a plate that is on the sheet already.
    """

    findings: Sequence[Finding]
    cures: Sequence[tuple[str, NearestLayout]] = ()
    sentences: Sequence[str] = ()
    after: tuple[int, int] = (0, 0)


def draw_review(
    doc: Drawing, plans: Sequence[WallPlan], review: Review, style: DraftingStyle
) -> DraftingReport:
    """Draw the marks and lists of a review into a document's modelspace.

    Args:
        doc: the loaded drawing; only entities and records of ours are added.
        plans: the walls with the joints that were read.
        review: what was found.
        style: scale, text height, layer prefix, application id, cautions.

    Returns:
        What was drawn, and what could not be drawn as required.
    """
    if not plans:
        return DraftingReport()
    marked = numbered(review.findings, attrgetter("severity"), review.after)
    changes = changes_of(review.cures)

    def draw(scene: Scene, raster: Raster) -> None:
        bar_joints(scene, lambda plan: (joint.path for joint in plan.joints))
        flags = draw_changes(scene, changes)
        draw_marks(scene, marked, raster)
        label_changes(scene, raster, flags)

    lists = [_lists(marked, changes, review, style, *shape) for shape in _SHAPES]
    return draw_overlay(doc, plans, style, draw, lists, _arranged)


def _arranged(lists: Sequence[Block], gap: float) -> Iterator[Block]:
    table, *others = lists
    yield stacked([table, beside(others, gap)], gap)
    yield beside(lists, gap)
    yield stacked(lists, gap)


def _lists(
    marked: Sequence[tuple[str, Finding]],
    changes: Sequence[Change],
    review: Review,
    style: DraftingStyle,
    columns: Sequence[int],
    notes: float,
) -> list[Block]:
    """Return the table of findings, the table of changes, the notes and the legend."""
    blocks = [findings_table(marked, style, columns)] if marked else []
    if changes:
        blocks.append(changes_table(changes, style))
    return [*blocks, review_notes(review.sentences, style, notes), legend(marked, changes, style)]


def findings_table(
    marked: Sequence[tuple[str, Finding]], style: DraftingStyle, letters: Sequence[int] = _SHAPES[0][0]
) -> Block:
    """Make the list of findings: one row each.

    Args:
        marked: numbers and findings.
        style: text height and how lengths are printed.
        letters: greatest width of each column; where there is one less, the sources are left out.
    """
    columns, identity = list(zip(_HEADS, letters, strict=False)), Identity("violation-list")
    rows = [list(_finding_cells(number, finding, style)) for number, finding in marked]
    return list_block(FINDINGS_TITLE, columns, rows, style, VIOLATION, identity, (2, _MORE))


def _finding_cells(number: str, finding: Finding, style: DraftingStyle) -> Iterator[str]:
    system = style.display
    title = CODES[finding.code].title if finding.code in CODES else finding.code.replace("-", " ")
    waived = finding.waived
    cure = sentence_of(
        finding.cure, metric=style.metric, label=style.content.label, feet=style.content.feet_beside
    )
    yield number
    yield finding.wall or "-"
    yield f"{finding.opening}: {title}" if finding.opening else title
    yield " and ".join(dict.fromkeys(format_length(x, system) for x, _ in finding.at)) or "-"
    yield "-" if finding.measured_in is None else short_length(finding.measured_in, system)
    yield "-" if not finding.limit_in else short_length(finding.limit_in, system)
    yield f"Waived by {waived.who}: {waived.reason}" if waived else cure or finding.message
    source = finding.source
    mark = " (not verified against the source)" if source and source.unverified else ""
    place = ", ".join(part for part in (source.document, source.clause) if part) if source else "-"
    yield f"{place}{mark}"


def changes_table(changes: Sequence[Change], style: DraftingStyle) -> Block:
    """Make the list of proposed joints: one row for each that does not stay as it is."""
    rows, identity = [list(_change_cells(change, style)) for change in changes], Identity("proposed-list")
    return list_block(CHANGES_TITLE, _CHANGES, rows, style, VIOLATION, identity, (5, _MORE))


def _change_cells(change: Change, style: DraftingStyle) -> Iterator[str]:
    proposed, system = change.proposed, style.display
    was = proposed.was
    yield change.wall
    yield proposed.change
    yield format_length(was.x_in, system) if was else "-"
    yield "-" if proposed.change == "removed" else format_length(proposed.joint.x_in, system)
    yield short_length(proposed.move_in, system) if proposed.move_in else "-"
    yield proposed.joint.reason


def review_notes(sentences: Sequence[str], style: DraftingStyle, letters: float) -> Block:
    """Make the notes: the outcome, the rule book, the caution; lines of so many letters' width."""
    said = [(f"{i}.", plain(text)) for i, text in enumerate(sentences, start=1)]
    if style.cautions:
        lead = "" if style.cautions[0].lower().startswith("caution") else "Caution: "
        said.append(("", plain(f"{lead}{' '.join(style.cautions)}")))
    if style.generation:
        said.append(("", plain(style.generation)))
    h = style.text_in
    return sentences_block(NOTES_TITLE, said, letters * h, h, VIOLATION, Identity("violation-list"))


def legend(marked: Sequence[tuple[str, Finding]], changes: Sequence[Change], style: DraftingStyle) -> Block:
    """Say what the marks mean, those that the drawing shows."""
    identity = Identity("violation-list")
    samples = _samples(marked, changes, style.text_in, identity)
    return legend_block(LEGEND_TITLE, samples, VIOLATION, style.text_in, identity)


def _samples(
    marked: Sequence[tuple[str, Finding]], changes: Sequence[Change], h: float, identity: Identity
) -> Iterator[Sample]:
    center, radius = (2.5 * h, 0.0), 1.2 * h
    numbers = [number for number, _ in marked]
    if not marked or any(n.startswith("V") for n in numbers):
        double = [Stroke(VIOLATION, frame, identity, True) for frame in frames(center, radius, double=True)]
        yield double, "DOES NOT COMPLY" if marked else "FINDING (NONE)"
    if any(n.startswith("A") for n in numbers):
        yield [Stroke(VIOLATION, square(center, radius), identity, True)], "ADVISORY"
    if any(finding.waived for _, finding in marked):
        yield [Stroke(VIOLATION, dash, identity) for dash in dashes(square(center, radius))], "WAIVED"
    if changes:
        yield [Stroke(PROPOSED, ((0.0, 0.0), (5.0 * h, 0.0)), identity)], "PROPOSED JOINT"
