"""The kinds of values that a setting may have: lengths, weights, patterns, names of layers."""

from __future__ import annotations

from typing import Annotated, Any, Final, Literal

from pydantic import (
    AfterValidator,
    BeforeValidator,
    Field,
)

from perpend.rulebook.book_schema import WEIGHT_CLASSES
from perpend.rulebook.validation_words import read_length

_LONGEST_IN: Final = 120_000.0
_PLOTTED: Final = (1 / 32, 1.0)
_TOO_LONG: Final = (
    "a length of more than 10,000 feet is not possible: a bare number is one of inches, others need their "
    'unit, such as "610 mm"'
)


def _length(given: Any) -> Any:  # noqa: ANN401  (whatever the file holds)
    if isinstance(given, bool) or not isinstance(given, int | float | str):
        raise ValueError('a length is required, such as 24, "2\'-0\\"" or "610 mm"')
    if isinstance(given, int) and abs(given) > _LONGEST_IN:  # too many digits to become a length, perhaps
        raise ValueError(_TOO_LONG)
    length_in = read_length(given)
    if not abs(length_in) <= _LONGEST_IN:
        raise ValueError(_TOO_LONG)
    return length_in


def as_tuple(given: Any) -> Any:  # noqa: ANN401
    """Let a single value stand for a list of one."""
    if isinstance(given, str):
        return (given,)
    return tuple(given) if isinstance(given, list) else given


def as_groups(given: Any) -> Any:  # noqa: ANN401
    """Let one list of names stand for a list of one."""
    if isinstance(given, list) and given and all(isinstance(name, str) for name in given):
        return (tuple(given),)
    return as_tuple(given)


def _prefix(given: str) -> str:
    """Refuse names that no layers of ours can have.

    Raises:
        ValueError: a layer that is the drawing's own everywhere, or a letter that layer names can't have.
    """
    if given.strip().lower() in ("", "0", "defpoints"):
        raise ValueError(f'"{given}" is a layer of every drawing: name one of its own, such as "A-ELEV-JNTC"')
    wrong = sorted(set(given) & set('<>/\\":;?*|=`'))
    if wrong:
        raise ValueError(f'"{given}" is no name for a layer: leave out {" ".join(wrong)}')
    return given


def _plotted(given: float) -> float:
    """Refuse text heights that nobody plots, such as the height in the model.

    Raises:
        ValueError: the letters would be illegible, or an inch high and more.
    """
    if not _PLOTTED[0] <= given <= _PLOTTED[1]:
        raise ValueError(
            f"letters {given:g} in. high on paper can't be meant: give the height as plotted, such as "
            '"3/32 in" or "2.5 mm"; the scale is [text] plot_scale'
        )
    return given


def _bearing(given: Any) -> Any:  # noqa: ANN401
    return given if given == "by-span" else _length(given)


def _weight(given: Any) -> Any:  # noqa: ANN401
    """Read a weight of masonry: lb/ft³, or the class of its units.

    Raises:
        ValueError: neither.
    """
    if isinstance(given, str) and given in WEIGHT_CLASSES:
        return given
    if isinstance(given, bool) or not isinstance(given, int | float) or given <= 0:
        raise ValueError(f"{given!r} is no weight: write lb/ft³, such as 125, or {', '.join(WEIGHT_CLASSES)}")
    return float(given)


Length = Annotated[float, BeforeValidator(_length)]
Weight = Annotated[float | str, BeforeValidator(_weight)]
ReturnLength = Annotated[float, BeforeValidator(_length), Field(ge=0)]
PositiveLength = Annotated[float, BeforeValidator(_length), Field(gt=0)]
Spacing = Annotated[float, BeforeValidator(_length), Field(ge=1)]
"""A length that things repeat at: less than an inch is a slip, and draws a drawing full of them."""
Bearing = Annotated[float | Literal["by-span"], BeforeValidator(_bearing)]
Groups = Annotated[
    tuple[Annotated[tuple[str, ...], Field(min_length=2), BeforeValidator(as_tuple)], ...],
    BeforeValidator(as_groups),
]
Patterns = Annotated[tuple[str, ...], BeforeValidator(as_tuple)]
DrawingUnits = Literal["in", "ft", "mm", "cm", "m"]
FewestChanges = Literal["fewest-changes"]
LayerPrefix = Annotated[str, AfterValidator(_prefix)]
PlottedHeight = Annotated[float, BeforeValidator(_length), AfterValidator(_plotted)]
End = Literal["corner", "free", "continues", "joint"]
