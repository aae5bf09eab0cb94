"""A survey of layers after a person has said which of them hold walls and openings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from perpend.errors import InputError
from perpend.reading.reading_options import Role, as_setting, matches
from perpend.reading.survey.layer_survey import LayerRow, LayerSurvey
from perpend.wording import listed

_SAID: Final = "you said so"
_ASKED: Final = (Role.WALLS, Role.OPENINGS)


def answered_survey(
    survey: LayerSurvey, walls: Sequence[str] | None, openings: Sequence[str] | None
) -> LayerSurvey:
    """Return a survey with the layers of walls and openings that a person named.

    Args:
        survey: what the drawing shows.
        walls: names or patterns of the layers of walls; None leaves what was found.
        openings: likewise of openings; an empty one says that there are none.

    Raises:
        InputError: a name fits no layer of the drawing.
    """
    named = {
        role: survey.layers_of(role) if said is None else _fitting(survey, said)
        for role, said in zip(_ASKED, (walls, openings), strict=True)
    }
    if not named[Role.WALLS]:
        raise InputError(f"{survey.path}: no layer of walls is named: name at least one.")
    return replace(survey, rows=tuple(_answered(row, named) for row in survey.rows))


def _fitting(survey: LayerSurvey, said: Sequence[str]) -> tuple[str, ...]:
    for pattern in said:
        if not any(matches(row.name, (pattern,)) for row in survey.rows):
            there = listed((row.name for row in survey.rows), most=8)
            raise InputError(f"{survey.path}: no layer fits {as_setting([pattern])}: it has {there}.")
    return tuple(row.name for row in survey.rows if matches(row.name, tuple(said)))


def _answered(row: LayerRow, named: dict[Role, tuple[str, ...]]) -> LayerRow:
    """Give a layer the role that was named; one that nobody named keeps none of the two."""
    roles = [role for role in _ASKED if row.name in named[role]]
    if [role for role in _ASKED if row.plays(role)] == roles:
        return row
    if roles:
        return replace(row, role=roles[0], why=_SAID, maybe=None, shared=len(roles) > 1, by_name=True)
    return replace(row, role=None, why=_SAID, maybe=None, shared=False)
