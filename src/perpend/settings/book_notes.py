"""Notes that a rule book itself asks for: its scope, its joints' width, what it has to say of every wall."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from perpend.errors import InputError
from perpend.model import JointSizes, Wall
from perpend.rulebook import JointChoices, RuleBook, SpacingRule, joint_width
from perpend.rulebook.book_schema import Row
from perpend.rulebook.rule_book import value
from perpend.settings.settings_schema import Defaults
from perpend.units import exceeds, format_both, system_of


def book_notes(
    book: RuleBook,
    options: Defaults,
    spacing: SpacingRule,
    wall: Wall,
    joint: JointChoices,
    sizes: JointSizes,
    *,
    ends: Mapping[str, str],
    site: Mapping[str, str],
) -> tuple[str, ...]:
    """Return the notes, one sentence each, with the rows they rest on in brackets.

    Args:
        book: the rule book.
        options: the options of the wall.
        spacing: how far apart its joints may stand.
        wall: the wall.
        joint: what the settings say of the joint itself.
        sizes: what follows from that for the wall.
        ends: condition of the wall's left and right end.
        site: what the settings say of it, by name, for books that hold for some sites only.

    Raises:
        InputError: the book does not hold for the site.
    """
    return (
        *_scope(book, site),
        *_parapet(book, options, wall),
        *_round_corners(book, spacing, options, ends),
        *_width(book, spacing, joint, metric=book.metric),
        *_horizontal(book, spacing, sizes, metric=book.metric),
        *_bed_reinforcement(book, spacing, wall),
        *(_said(book, row) for row in book.rows if row.note and _applies(row, spacing)),
    )


def _show(inches: float, *, metric: bool) -> str:
    """Print a length of the book in the book's own system, alone."""
    return format_both(inches, system_of(metric=metric), feet=False)


def _said(book: RuleBook, row: Row, words: str = "") -> str:
    return f"{(words or row.text).rstrip('.')} [{book.source(row).cite()}]."


def _applies(row: Row, spacing: SpacingRule) -> bool:
    applies = row.applies
    return (not applies.methods or spacing.method in applies.methods) and (
        not applies.materials or spacing.material in applies.materials
    )


def _scope(book: RuleBook, site: Mapping[str, str]) -> Iterator[str]:
    """Ask whether the book holds for the site, or refuse where the settings say that it does not."""
    for row in book.find("scope"):
        name, allowed = row.says["setting"], [word.strip() for word in row.says["allowed"].split(",")]
        given = site.get(name)
        if given is None:
            yield _said(book, row, f"{row.text.rstrip('.')}: confirm it under [site], {name}")
        elif given.upper() not in allowed:
            raise InputError(
                f"The setting site, {name} = {given!r} is outside the rule book {book.key}, which holds for "
                f"{', '.join(allowed)} ({book.source(row).cite()}): choose another rule book."
            )


def _parapet(book: RuleBook, options: Defaults, wall: Wall) -> Iterator[str]:
    row = book.first("parapet", method=options.method)
    if options.parapet:
        yield (
            _said(book, row)
            if row
            else (
                f"The rule book {book.key} has no rule of its own for parapets: they were laid out as a wall."
            )
        )
    elif row is not None and wall.supports:
        highest = max(support.y_in for support in wall.supports)
        if any(exceeds(y, highest) for _, y in wall.top.points):
            yield _said(book, row, f"Above the highest line of support the wall is a parapet: {row.text}")


def _round_corners(
    book: RuleBook, spacing: SpacingRule, options: Defaults, conditions: Mapping[str, str]
) -> Iterator[str]:
    """Say how far round a corner the next joint may stand, where the settings do not know it."""
    row = book.first("corner", method=spacing.method, material=spacing.material)
    if row is None or "around" not in row.numbers or spacing.corner_around is None or spacing.cap_in is None:
        return
    ends = {
        side: getattr(options, f"{side}_return") for side in ("left", "right") if conditions[side] == "corner"
    }
    for side, distance in ends.items():
        if distance is not None:
            shown = _show(distance, metric=book.metric)
            yield _said(book, row, f"Round the {side} corner the first joint is taken to stand {shown} away")
    if None in ends.values():
        most = _show(spacing.corner_around * spacing.cap_in, metric=book.metric)
        yield _said(book, row, f"Measured round a corner, from joint to joint, at most {most} of masonry")


def _width(book: RuleBook, spacing: SpacingRule, joint: JointChoices, *, metric: bool) -> Iterator[str]:
    width = joint_width(book, spacing.cap_in, joint, material=spacing.material)
    row = book.first("joint-width", material=spacing.material)
    if width is None or row is None or spacing.cap_in is None or not width.needed_in:
        return
    apart, needed, there = (
        _show(x, metric=metric) for x in (spacing.cap_in, width.needed_in, width.width_in)
    )
    said = f"Joints {there} wide: {apart} of masonry needs {needed}"
    if not width.enough:
        said = f"Joints {there} wide take less movement than {apart} of masonry has, which needs {needed}"
    yield _said(book, row, said)


def _horizontal(book: RuleBook, spacing: SpacingRule, sizes: JointSizes, *, metric: bool) -> Iterator[str]:
    row, joints = book.first("horizontal-joint", material=spacing.material), sizes.horizontal
    if row is None or joints is None:
        return
    wide = f" of at least {_show(joints.width_in, metric=metric)}" if joints.width_in is not None else ""
    for level in joints.levels_in:
        at = _show(level, metric=metric)
        yield _said(book, row, f"A horizontal joint{wide} below the {joints.under} at {at}")


def _bed_reinforcement(book: RuleBook, spacing: SpacingRule, wall: Wall) -> Iterator[str]:
    """Name the bed reinforcement of a panel as long as allowed, where that is long for its height."""
    allowed = spacing.at(wall.height_in).max_spacing_in
    if allowed is None or not wall.height_in:  # a gable runs out to nothing at its ends
        return
    ratio = allowed / wall.height_in
    rows = [
        row
        for row in book.find("bed-reinforcement", material=spacing.material)
        if ratio > value(row, "over_ratio")
    ]
    if rows:
        yield _said(book, max(rows, key=lambda row: value(row, "over_ratio")))
