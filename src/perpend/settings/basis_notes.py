"""What the note block of a drawing has to say of a wall, each sentence with its source."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from perpend.model import OpeningRule, Treatment
from perpend.rulebook import NoJointSteel, RuleBook, SpacingRule, keeps_joints_clear
from perpend.rulebook.rule_book import value
from perpend.rulebook.strip_pieces import StripPiece
from perpend.settings.settings_schema import Defaults
from perpend.units import falls_short, format_length
from perpend.wording import listed


def notes_of(
    book: RuleBook,
    options: Defaults,
    spacing: SpacingRule,
    rules: Sequence[OpeningRule],
    steel: NoJointSteel | None,
) -> tuple[str, ...]:
    """Return the remarks on one wall, one sentence each, with the rows they rest on in brackets.

    Args:
        book: the rule book.
        options: the options of the wall.
        spacing: how far apart its joints may stand.
        rules: what is asked of its openings.
        steel: its steel when it goes without joints.
    """
    return (
        *_on_method(book, options, spacing, rules, steel),
        *(
            note
            for rule, tag in zip(rules, _told_apart(rules), strict=True)
            for note in _on_opening(book, rule, tag, options.method)
        ),
        *(
            f"One lintel spans {listed(tags)} and what is between them, by the settings: lintel, bearings "
            f"and piers, see structural drawings{_by(book, 'judgment.narrow-pier')}."
            for tags in options.one_lintel_over
            if any(set(tags) <= set(rule.opening.parts) for rule in rules)
        ),
    )


def _told_apart(rules: Sequence[OpeningRule]) -> Iterator[str]:
    """Yield the tag of each opening; the station too where others of the wall have the same."""
    counts = Counter(rule.opening.tag for rule in rules)
    for rule in rules:
        tag = rule.opening.tag
        yield tag if counts[tag] == 1 else f"{tag} at {format_length(rule.opening.box.x0)}"


def _on_method(
    book: RuleBook,
    options: Defaults,
    spacing: SpacingRule,
    rules: Sequence[OpeningRule],
    steel: NoJointSteel | None,
) -> Iterator[str]:
    if spacing.loosened:
        by = _by(book, "spacing.local-experience")
        yield f"The project loosens the spacing by local experience: {spacing.loosened}{by}."
    if spacing.tightened:
        yield f"The settings tighten the spacing: {spacing.tightened}{_by(book, 'spacing.local-experience')}."
    if spacing.ccc is not None:
        yield _on_coefficient(book, spacing.ccc, given=options.ccc is not None)
    if options.method == "veneer" and any(rule.treatment is Treatment.REINFORCED for rule in rules):
        said = "Jamb bars are drawn in a veneer: verify that its units hold them"
        yield f"{said}{_by(book, 'opening.veneer-bars')}."
    if steel is not None:
        wall = f"{steel.section.nominal} in. {steel.section.core} masonry"
        said = f"No control joints: {wall} with {steel.bars}"
        counted = f" and {steel.wire} joint reinforcement" if steel.wire else ""
        yield f"{said}{counted} [{steel.sources[0].cite()}]."


def _on_coefficient(book: RuleBook, ccc: float, *, given: bool) -> str:
    """Say which crack control coefficient the spacing was taken at, and how."""
    if not given:
        said = f"No crack control coefficient was given: the most severe one of the rule book, {ccc:.4f}, was"
        return f"{said} used{_by(book, 'spacing.engineered-unsaid')}."
    printed = [row.applies.ccc for row in book.find("spacing", method="engineered")]
    if ccc in printed:
        exact = next(row for row in book.find("spacing", method="engineered") if row.applies.ccc == ccc)
        return f"The crack control coefficient is {ccc:.4f} [{book.source(exact).cite()}]."
    between = " and ".join(f"{c:.4f}" for c in sorted(c for c in printed if c is not None))
    said = f"The crack control coefficient is {ccc:.4g}: ratio and cap interpolated between {between}"
    return f"{said}{_by(book, 'spacing.engineered-between')}."


def _on_opening(book: RuleBook, rule: OpeningRule, tag: str, method: str) -> Iterator[str]:
    if keeps_joints_clear(book, rule.opening, rule.treatment, method):
        row = book.need("opening-clear", treatment="reinforced")
        if falls_short(rule.clear_in, value(row, "clear")):
            near, usual = format_length(rule.clear_in), format_length(value(row, "clear"))
            yield (
                f"By the settings joints may be {near} from the jambs of {tag}, which the licensed "
                f"professional of record decides: it is nearer than the {usual} of the rule book "
                f"[{book.source(row, 'clear').cite()}]. The reason given: {rule.clear_why.rstrip('.')}."
            )
    if rule.wide and rule.treatment is Treatment.UNREINFORCED and book.has("judgment.jamb-cells"):
        said = _by(book, "judgment.jamb-cells")
        yield f"Grouted cells at the jambs of {tag}: see structural drawings{said}."
    if rule.opening.arched:
        yield (f"{tag} is arched: no lintel is drawn; verify arch thrust{_by(book, 'opening.arched')}.")
    if rule.lintel is not None and "cut by" in rule.lintel.note:
        room = f"The lintel of {tag} extends less than required: {rule.lintel.note}"
        bars = book.first("opening-bars") if rule.treatment is Treatment.REINFORCED else None
        source = book.source(bars) if bars else book.source(book.need("lintel-bearing"), "usual")
        yield f"{room} [{source.cite()}]."


def strip_notes(book: RuleBook, pieces: Sequence[StripPiece]) -> Iterator[str]:
    """Yield what the masonry below and above strip windows has in place of joints."""
    for piece in pieces:
        if piece.beams_in:
            part = "below the sill" if piece.where == "below" else "above the head"
            height = format_length(piece.box.height)
            yield (
                f"The masonry {part} of {piece.opening}, {height} high, has no joints: "
                f"{piece.steel} from joint to joint in their place; verify with the structural drawings"
                f"{_by(book, 'judgment.strip-opening')}."
            )


def strip_sheet_notes(label: str, pieces: Sequence[StripPiece]) -> tuple[str, ...]:
    """Return what the sheet says of the same, as one sentence."""
    low = [piece.opening for piece in pieces if piece.beams_in and piece.where == "below"]
    high = [piece.opening for piece in pieces if piece.beams_in and piece.where == "above"]
    places = (("below sill of", low), ("above head of", high))
    told = " and ".join(f"{where} {', '.join(tags)}" for where, tags in places if tags)
    bar = next((piece.bar for piece in pieces if piece.beams_in), "")
    return (f"Bond beams with one {bar} each in place of {label} {told}: see structural.",) if told else ()


def _by(book: RuleBook, row: str) -> str:
    """Return a row's source in brackets, or nothing where the book has no such row."""
    return f" [{book.source(book.row(row)).cite()}]" if book.has(row) else ""
