"""What the settings say of each opening, in the words that the rule book knows."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from typing import Any

from perpend.errors import InputError
from perpend.model import Opening, OpeningRule, Treatment, TreatmentOf, Wall
from perpend.rulebook import OpeningChoices, RuleBook, keeps_joints_clear, opening_rules
from perpend.rulebook.rule_book import value
from perpend.settings.settings_schema import Defaults, OpeningEntry, OpeningOptions, Settings, matches
from perpend.units import exceeds, falls_short, format_length

_OPENING_KEYS = tuple(OpeningOptions.model_fields)
_TAG, _LAYER, _WIDTH = 2, 1, 0


def opening_choices(
    settings: Settings, options: Defaults, own: dict[str, Any], book: RuleBook, wall: Wall, *, metric: bool
) -> tuple[OpeningChoices, ...]:
    """Return what the settings say of each opening of a wall.

    Args:
        settings: the project's settings.
        options: the options of the wall.
        own: those that were given for it by its tag.
        book: the rule book.
        wall: the wall.
        metric: True when the drawing is in metric units.

    Raises:
        InputError: a treatment that the book does not know.
    """
    said = tuple(
        dataclasses.replace(_opening_choices(settings, options, own, wall, opening), metric=metric)
        for opening in wall.openings
    )
    return _as_the_book_knows(book, wall, said)


def _as_the_book_knows(
    book: RuleBook, wall: Wall, choices: tuple[OpeningChoices, ...]
) -> tuple[OpeningChoices, ...]:
    """Return the choices with the one treatment of a book that knows only one.

    Raises:
        InputError: the drawing or the settings ask for the other one.
    """
    only = _only_treatment(book)
    if only is None:
        return choices
    for choice, opening in zip(choices, wall.openings, strict=True):
        if choice.treatment is not only and choice.treatment_of != "none":
            raise InputError(
                f"The rule book {book.key} has no {choice.treatment} openings, which {opening.tag} in "
                f"{wall.tag} is said to be: leave the treatment out, or take its layer out of "
                f"{choice.treatment}_openings."
            )
    return tuple(dataclasses.replace(choice, treatment=only) for choice in choices)


def _opening_choices(
    settings: Settings, options: Defaults, own: dict[str, Any], wall: Wall, opening: Opening
) -> OpeningChoices:
    ranked = _entries(settings, wall, opening)
    said: dict[str, Any] = {key: getattr(options, key) for key in _OPENING_KEYS}
    for _, entry in ranked:
        said |= {key: getattr(entry, key) for key in _OPENING_KEYS if key in entry.model_fields_set}
    treatment, said_of = _treatment(settings, ranked, options, own, opening)
    return OpeningChoices(
        treatment=treatment,
        treatment_of=said_of,
        method=options.method,
        wide_from_in=said["wide_opening_from"],
        bearing=said["lintel_bearing"],
        lintel_depth_in=said["lintel_depth"],
        clear_in=said["joint_clear_of_opening"],
        clear_why=(said["joint_clear_reason"] or "").strip(),
        lintel_support=said["lintel_support"],
        away=options.joints_at_openings == "away",
    )


def refuse_looser_clearance_without_reason(
    book: RuleBook, wall: Wall, choices: Sequence[OpeningChoices]
) -> None:
    """Refuse joints nearer to a reinforced opening than the rule book says, where no reason is given.

    Raises:
        InputError: a ``joint_clear_of_opening`` is less than the book's, without ``joint_clear_reason``.
    """
    row = book.first("opening-clear", treatment="reinforced")
    for opening, chosen in zip(wall.openings, choices, strict=True):
        clear = chosen.clear_in
        if row is None or clear is None or chosen.clear_why:
            continue
        least = value(row, "clear")
        kept = keeps_joints_clear(book, opening, chosen.treatment, chosen.method)
        if kept and falls_short(clear, least):
            raise InputError(
                f"The setting joint_clear_of_opening = {format_length(clear)} is looser than "
                f"{format_length(least)} by {book.source(row, 'clear').cite()}, for {opening.tag} in "
                f'{wall.tag}: say why in joint_clear_reason = "...", or use {format_length(least)} or more.'
            )


def _entries(settings: Settings, wall: Wall, opening: Opening) -> list[tuple[int, OpeningEntry]]:
    """Return the entries that fit an opening, the strongest last."""
    found = []
    for entry in settings.openings:
        if _fits(entry, wall, opening):
            rank = _TAG if entry.tag is not None else _LAYER if entry.layer is not None else _WIDTH
            found.append((rank, entry))
    return sorted(found, key=lambda pair: pair[0])


def _fits(entry: OpeningEntry, wall: Wall, opening: Opening) -> bool:
    return (
        (entry.tag is None or any_matches(opening.names, entry.tag))
        and (entry.layer is None or matches(opening.layer, (entry.layer,)))
        and (entry.wall is None or any_matches(wall.names, entry.wall))
        and (entry.width_from is None or not falls_short(opening.width_in, entry.width_from))
        and (entry.width_to is None or not exceeds(opening.width_in, entry.width_to))
    )


def any_matches(names: Sequence[str], pattern: str) -> bool:
    """Say whether a pattern fits one of the names of a wall or an opening."""
    return any(matches(name, (pattern,)) for name in names)


def _treatment(
    settings: Settings,
    ranked: list[tuple[int, OpeningEntry]],
    options: Defaults,
    own: dict[str, Any],
    opening: Opening,
) -> tuple[Treatment, TreatmentOf]:
    """Return how an opening is treated, and of what that was said: of it, of every opening, or of none."""
    said = {rank: entry.treatment for rank, entry in ranked if entry.treatment is not None}
    blanket: TreatmentOf = "every" if "openings" in settings.defaults.model_fields_set else "none"
    walls, usual = (
        Treatment.REINFORCED if said_of_all == "fewest-changes" else said_of_all
        for said_of_all in (own.get("openings"), options.openings)
    )
    nearest_first: tuple[tuple[str | None, TreatmentOf], ...] = (
        (said.get(_TAG), "opening"),
        (said.get(_LAYER), "opening"),
        (opening.treatment, "opening"),
        (walls, "every"),
        (said.get(_WIDTH), "every"),
        (usual, blanket),
    )
    return next((Treatment(t), said_of) for t, said_of in nearest_first if t is not None)


def _only_treatment(book: RuleBook) -> Treatment | None:
    """Return the one treatment of openings that the book knows, or None where it knows both."""
    row = book.first("opening-treatment")
    return Treatment(row.says["treatment"]) if row else None


def other_treatments(
    book: RuleBook, wall: Wall, choices: Sequence[OpeningChoices]
) -> tuple[OpeningRule | None, ...]:
    """Return what each opening would be asked under its other treatment; None where the book has none."""
    if _only_treatment(book) is not None:
        return tuple(None for _ in choices)
    return opening_rules(book, wall, tuple(_turned(choice) for choice in choices))


def _turned(choices: OpeningChoices) -> OpeningChoices:
    """Return the same choices with the other treatment."""
    reinforced = choices.treatment is Treatment.REINFORCED
    return dataclasses.replace(
        choices, treatment=Treatment.UNREINFORCED if reinforced else Treatment.REINFORCED
    )
