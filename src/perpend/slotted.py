"""Dataclasses with slots, made quickly: ``@dataclass(slots=True)``, frozen or not, as everyone knows it.

perpend has some two hundred such classes. Up to Python 3.12 the standard library compiles up to six methods
of each one by one, which is a tenth of the time that a small drawing takes; from 3.13 on it compiles them
together. Here only ``__init__`` is compiled, when the first instance is made; the other methods are shared.
A class made here does what the standard one does: fields, defaults, equality, hash, representation, pattern
matching, `dataclasses.replace`, pickling and `FrozenInstanceError`. Type checkers see the standard decorator.

Once 3.13 is the oldest release supported, this module goes and its imports name `dataclasses` again.
"""

from __future__ import annotations

import dataclasses
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import MISSING, Field, FrozenInstanceError
from operator import attrgetter
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

_T = TypeVar("_T")


def slotted(*, frozen: bool, kw_only: bool = False) -> Callable[[type[_T]], type[_T]]:
    """Return what makes a dataclass with slots of a class with annotated fields and no dataclass above it.

    Args:
        frozen: instances can't be changed, and have a hash.
        kw_only: values are given by name only; then those that must be given may follow others.
    """

    def make(cls: type[_T]) -> type[_T]:
        own = frozenset(vars(cls))
        cls.__doc__ = cls.__doc__ or cls.__name__  # else the standard library works out a signature for it
        made: Any = dataclasses.dataclass(init=False, repr=False, eq=False, slots=True, kw_only=kw_only)(cls)
        fields = dataclasses.fields(made)
        methods = {
            "__init__": _CompiledWhenCalled(fields, frozen),
            "__eq__": _eq([f.name for f in fields if f.compare]),
            "__hash__": _hash(fields) if frozen else None,
            "__repr__": _repr,
            **(_FREEZING if frozen else {}),
        }
        for name in methods.keys() - own:
            setattr(made, name, methods[name])
        return made  # type: ignore[no-any-return]

    return make


class _CompiledWhenCalled:
    """An ``__init__`` that is compiled, and put in its own place, when it is first asked for."""

    def __init__(self, fields: Sequence[Field[Any]], frozen: bool) -> None:
        self._fields, self._frozen = fields, frozen

    def __get__(self, instance: object, owner: type) -> Callable[..., None]:
        made = next(cls for cls in owner.__mro__ if vars(cls).get("__init__") is self)
        init: Any = _init(self._fields, hasattr(made, "__post_init__"), self._frozen)
        made.__init__ = init  # type: ignore[misc]
        return init if instance is None else init.__get__(instance)  # type: ignore[no-any-return]


def _init(fields: Sequence[Field[Any]], has_post_init: bool, frozen: bool) -> Callable[..., None]:
    """Compile the one method that has to be: its parameters are the class's own."""
    names: dict[str, Any] = {"_set": object.__setattr__, "MISSING": MISSING}
    for field in fields:
        names[f"_default_{field.name}"] = field.default
        names[f"_factory_{field.name}"] = field.default_factory
    given = [field for field in fields if field.init]
    by_name = ["*"] if given and given[0].kw_only else []
    parameters = ", ".join(["self", *by_name, *map(_parameter, given)])
    form = "_set(self, {0!r}, {1})" if frozen else "self.{0} = {1}"
    body = [form.format(name, value) for name, value in _values(fields)]
    body.append("self.__post_init__()" if has_post_init else "pass")
    exec(f"def __init__({parameters}):\n  " + "\n  ".join(body), names)
    return names["__init__"]  # type: ignore[no-any-return]


def _parameter(field: Field[Any]) -> str:
    if field.default_factory is not MISSING:
        return f"{field.name}=MISSING"
    return field.name if field.default is MISSING else f"{field.name}=_default_{field.name}"


def _values(fields: Sequence[Field[Any]]) -> Iterator[tuple[str, str]]:
    """Yield every field that gets a value on making, with the expression that gives it."""
    for field in fields:
        name = field.name
        if field.default_factory is not MISSING:
            made = f"_factory_{name}()"
            yield name, f"{made} if {name} is MISSING else {name}" if field.init else made
        elif field.init:
            yield name, name
        elif field.default is not MISSING:
            yield name, f"_default_{name}"


def _getter(names: Sequence[str]) -> Callable[[object], tuple[Any, ...]]:
    """Return what gives some attributes as a tuple."""
    if len(names) > 1:
        return attrgetter(*names)
    return lambda record: tuple(getattr(record, name) for name in names)


def _eq(names: Sequence[str]) -> Callable[[object, object], bool]:
    values = _getter(names)

    def is_equal(self: object, other: object) -> bool:
        return values(self) == values(other) if other.__class__ is self.__class__ else NotImplemented

    return is_equal


def _hash(fields: Sequence[Field[Any]]) -> Callable[[object], int]:
    values = _getter([f.name for f in fields if (f.compare if f.hash is None else f.hash)])
    return lambda self: hash(values(self))


def _repr(self: DataclassInstance) -> str:
    shown = (f"{f.name}={getattr(self, f.name)!r}" for f in dataclasses.fields(self) if f.repr)
    return f"{type(self).__qualname__}({', '.join(shown)})"


def _refuse_setting(_: object, name: str, __: object) -> None:
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _refuse_deleting(_: object, name: str) -> None:
    raise FrozenInstanceError(f"cannot delete field {name!r}")


def _state(self: DataclassInstance) -> list[Any]:
    return [getattr(self, field.name) for field in dataclasses.fields(self)]


def _take_state(self: DataclassInstance, state: list[Any]) -> None:
    for field, value in zip(dataclasses.fields(self), state, strict=True):
        object.__setattr__(self, field.name, value)


_FREEZING: dict[str, Any] = {
    "__setattr__": _refuse_setting,
    "__delattr__": _refuse_deleting,
    "__getstate__": _state,
    "__setstate__": _take_state,
}

if TYPE_CHECKING or sys.version_info >= (3, 13):
    from dataclasses import dataclass
else:

    def dataclass(
        *, slots: bool, frozen: bool = False, kw_only: bool = False
    ) -> Callable[[type[_T]], type[_T]]:
        """Stand for `dataclasses.dataclass`; slots are all that there is."""
        assert slots
        return slotted(frozen=frozen, kw_only=kw_only)


__all__ = ["dataclass", "slotted"]
