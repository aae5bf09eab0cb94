"""What the note block of a drawing has to say of a wall, each sentence with its source."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from perpend.model import OpeningRule, Treatment
from perpend.rulebook import NoJointSteel, RuleBook, SpacingRule
from perpend.settings.schema import Defaults
from perpend.units import format_length


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
        *(n for rule in rules for n in _on_opening(book, rule)),
    )


def _on_method(
    book: RuleBook,
    options: Defaults,
    spacing: SpacingRule,
    rules: Sequence[OpeningRule],
    steel: NoJointSteel | None,
) -> Iterator[str]:
    if spacing.tightened:
        yield f"The settings tighten the spacing: {spacing.tightened}{_by(book, 'spacing.local-experience')}."
    if options.method == "engineered" and options.ccc is None:
        yield (
            "No crack control coefficient was given: the most severe one of the rule book was used"
            f"{_by(book, 'spacing.engineered-unsaid')}."
        )
    if options.method == "veneer" and any(rule.treatment is Treatment.REINFORCED for rule in rules):
        said = "Jamb bars are drawn in a veneer: verify that its units hold them"
        yield f"{said}{_by(book, 'opening.veneer-bars')}."
    if steel is not None:
        wall = f"{steel.section.nominal} in. {steel.section.core} masonry"
        said = f"No control joints: {wall} with one {steel.bar} in each of {len(steel.courses)} bond beams"
        counted = f" and {steel.wire} joint reinforcement" if steel.wire else ""
        yield f"{said}{counted} [{steel.sources[0].cite()}]."


def _on_opening(book: RuleBook, rule: OpeningRule) -> Iterator[str]:
    tag = rule.opening.tag
    if rule.boundary_case:
        width = format_length(rule.opening.width_in)
        both = "both jambs" if rule.wide else "one jamb"
        branch = f"{tag} is {width} wide, which falls in neither printed branch"
        yield f"{branch}: {both} used{_by(book, 'opening.boundary')}."
    if rule.opening.arched:
        yield (
            f"{tag} is arched: no lintel is drawn, and its thrust needs the designer's look"
            f"{_by(book, 'opening.arched')}."
        )
    if rule.lintel is not None and "cut by" in rule.lintel.note:
        room = f"The lintel of {tag} has less room than it wants: {rule.lintel.note}"
        yield f"{room}{_by(book, 'lintel.bearing')}."


def _by(book: RuleBook, row: str) -> str:
    """Return a row's source in brackets, or nothing where the book has no such row."""
    return f" [{book.source(book.row(row)).cite()}]" if book.has(row) else ""
