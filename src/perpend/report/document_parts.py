"""What every document of ours is made of: parts, and how a whole is written, read and described.

Parts are dataclasses, made from values that are known to be right; pydantic is used at the border. It writes
a document as JSON, checks one that comes back, and makes the published schema, but only when needed: a plain
run, which prints text, needs none of that.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from enum import Enum
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Final, Self, TypeVar

from pydantic import Field

from perpend.clean_text import visible

if TYPE_CHECKING:
    from pydantic import TypeAdapter
    from pydantic.fields import FieldInfo

SCHEMA_VERSION: Final = "1"
"""Changes when a reader of an older document would misread a newer one."""

Number = Annotated[float, Field(allow_inf_nan=False)]
Spot = tuple[Number, Number]

_D = TypeVar("_D", bound="Document")
_P = TypeVar("_P", bound="Part")
_PARTS: Final[dict[type, type[Part]]] = {}
_ADAPTERS: Final[dict[type, TypeAdapter[Any]]] = {}


def described(description: str) -> FieldInfo:
    """Describe a value, for the schema."""
    return Field(description=description)  # type: ignore[no-any-return]


class Part:
    """Base of every part: nothing unknown gets in, and its numbers are settled to a millionth.

    So the same elevation drawn in another unit or at another origin gives the same numbers. What comes from a
    drawing or a file name is made visible here, before any rendering of the document.

    Raises:
        ValueError: a number is not finite.
    """

    __slots__: ClassVar[tuple[str, ...]] = ()
    __pydantic_config__: ClassVar = {"extra": "forbid"}

    @classmethod
    def of(cls, *values: object, **given: object) -> Self:
        """Return the part that says what values of ours say under the same names, the first of them that do.

        A choice becomes its word, a tuple a list, and a value that has a part of its own becomes that part.

        Args:
            values: where the fields are looked up.
            given: fields that have another name or another form there.
        """
        found = given
        for name in cls.__slots__:
            holder = next((v for v in values if name not in given and hasattr(v, name)), None)
            if holder is not None:
                found[name] = _carried(getattr(holder, name))
        return cls(**found)

    def __post_init__(self) -> None:
        for name in self.__slots__:
            value = getattr(self, name)
            if isinstance(value, float):
                object.__setattr__(self, name, _settled(value))
            elif isinstance(value, str):
                if not value.isprintable():
                    object.__setattr__(self, name, visible(value))
            elif isinstance(value, list) and value and isinstance(value[0], tuple):
                object.__setattr__(self, name, [(_settled(x), _settled(y)) for x, y in value])
            elif isinstance(value, list) and value and isinstance(value[0], str):
                object.__setattr__(self, name, [visible(text) for text in value])


class Document(Part):
    """Base of what is written as a whole."""

    __slots__ = ()

    def to_json(self) -> str:
        """Return the document as JSON text that ends with a line end."""
        return _adapter(type(self)).dump_json(self, indent=2).decode("utf-8") + "\n"

    @classmethod
    def from_json(cls: type[_D], text: str) -> _D:
        """Read a document back.

        Raises:
            pydantic.ValidationError: the text is no such document of this schema version.
        """
        return _adapter(cls).validate_json(text)  # type: ignore[no-any-return]

    @classmethod
    def schema(cls) -> dict[str, object]:
        """Return the JSON schema (draft 2020-12) of the document as it is written."""
        schema = _adapter(cls).json_schema(mode="serialization")
        return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def _adapter(document: type[Document]) -> TypeAdapter[Any]:
    if document not in _ADAPTERS:
        from pydantic import TypeAdapter

        _ADAPTERS[document] = TypeAdapter(document)
    return _ADAPTERS[document]


def part_of(kind: type) -> Callable[[type[_P]], type[_P]]:
    """Declare which values of ours a part stands for, so that `Part.of` makes it of every one it meets."""

    def declare(part: type[_P]) -> type[_P]:
        _PARTS[kind] = part
        return part

    return declare


def _carried(value: Any) -> Any:  # noqa: ANN401 - whatever a value of ours may hold
    part = _PARTS.get(type(value))
    if part is not None:
        return part.of(value)
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, tuple):
        is_place = len(value) == 2 and isinstance(value[0], int | float)
        return value if is_place else [_carried(each) for each in value]
    return value


def _settled(value: float) -> float:
    """Round to a millionth, and make a negative zero a plain one."""
    if not math.isfinite(value):
        raise ValueError(f"{value} is no number to report")
    return round(float(value), 6) + 0.0
