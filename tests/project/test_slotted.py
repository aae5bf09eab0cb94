"""Our quick dataclasses are what the standard library would have made."""

from __future__ import annotations

import copy
import dataclasses
import inspect
import pickle
from collections.abc import Callable
from dataclasses import FrozenInstanceError, field
from typing import Any

import pytest

from perpend.slotted import slotted


class Plain:
    """One of everything that a field can be."""

    a: int
    b: str = "b"
    c: tuple[int, ...] = ()
    d: list[int] = field(default_factory=list)
    e: float = field(default=1.5, repr=False, compare=False)
    f: int = field(init=False, default=7)
    g: dict[str, int] = field(default_factory=dict, init=False, repr=False, compare=False)
    h: str = field(default="h", hash=False)
    i: int = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "i", self.a + 1)

    def twice(self) -> int:
        """Return a method's value, to show that methods stay."""
        return 2 * self.a


class Hashable:
    """All of it can be hashed; some methods are its own."""

    x: float
    y: float = 0.0

    def __repr__(self) -> str:
        return f"<{self.x}>"

    def __hash__(self) -> int:
        return 42


class Empty:
    """Nothing at all."""


class Pair:
    """Two numbers."""

    x: float
    y: float = 0.0


def both(cls: type, *, frozen: bool) -> tuple[Any, Any]:
    """Return what the standard library and we make of a class, whose names are then the same."""
    own = {name: value for name, value in vars(cls).items() if name not in ("__dict__", "__weakref__")}
    makers = dataclasses.dataclass(frozen=frozen, slots=True), slotted(frozen=frozen)
    standard, ours = (make(type(cls.__name__, (), dict(own))) for make in makers)
    return standard, ours


either = pytest.mark.parametrize("frozen", [True, False], ids=["frozen", "not frozen"])
CALLS: dict[str, Callable[[Any], object]] = {
    "few": lambda cls: cls(1),
    "by place": lambda cls: cls(1, "x", (2,), [3], 2.5, "k"),
    "by name": lambda cls: cls(a=1, d=[4], h="z"),
}


@either
@pytest.mark.parametrize("call", CALLS.values(), ids=CALLS)
def test_made_represented_and_compared_alike(call: Callable[[Any], Any], frozen: bool) -> None:
    standard, ours = (call(cls) for cls in both(Plain, frozen=frozen))
    assert repr(ours) == repr(standard)
    assert dataclasses.asdict(ours) == dataclasses.asdict(standard)
    assert ours == call(type(ours))
    assert ours != dataclasses.replace(ours, a=9)
    assert ours == dataclasses.replace(ours, e=9.0), "e is not compared"
    assert ours != standard, "another class"
    assert ours.twice() == 2


@either
def test_class_alike(frozen: bool) -> None:
    standard, ours = both(Plain, frozen=frozen)
    assert ours.__slots__ == standard.__slots__
    assert ours.__match_args__ == standard.__match_args__
    assert [f.name for f in dataclasses.fields(ours)] == [f.name for f in dataclasses.fields(standard)]
    assert not hasattr(ours(1), "__dict__")
    assert ours.__doc__ == standard.__doc__
    assert ours(1).d is not ours(1).d, "each has a list of its own"


@pytest.mark.parametrize("cls", [Empty, Pair], ids=lambda cls: cls.__name__)
def test_hashed_alike(cls: type) -> None:
    values = () if cls is Empty else (1.0, 2.0)
    standard, ours = (made(*values) for made in both(cls, frozen=True))
    assert hash(ours) == hash(standard)
    assert {ours} == {type(ours)(*values)}
    assert repr(ours) == repr(standard)


@either
def test_what_a_class_defines_itself_stays(frozen: bool) -> None:
    standard, ours = (made(1.0) for made in both(Hashable, frozen=frozen))
    assert (repr(ours), hash(ours)) == (repr(standard), hash(standard)) == ("<1.0>", 42)
    assert ours == type(ours)(1.0)


def test_hash_of_what_cannot_be_hashed() -> None:
    for made in both(Plain, frozen=True):
        with pytest.raises(TypeError, match="unhashable type: 'list'"):
            hash(made(1))


@pytest.mark.parametrize(
    "wrong", [lambda p: setattr(p, "x", 2), lambda p: delattr(p, "x")], ids=["set", "del"]
)
def test_frozen_alike(wrong: Callable[[Any], None]) -> None:
    said = []
    for made in both(Pair, frozen=True):
        with pytest.raises(FrozenInstanceError) as refused:
            wrong(made(1.0))
        said.append(str(refused.value))
    assert said[0] == said[1]


@either
def test_a_class_without_a_value_is_refused_alike(frozen: bool) -> None:
    said = []
    for made in both(Pair, frozen=frozen):
        with pytest.raises(TypeError) as refused:
            made()
        said.append(str(refused.value))
    assert "missing 1 required positional argument: 'x'" in said[1]
    assert said[1].endswith(said[0].removeprefix("Pair."))


class ByName:
    """A class whose values are given by name, so that one that must be given may follow others."""

    x: float = 0.0
    y: float


def test_values_by_name_alike() -> None:
    own = {name: value for name, value in vars(ByName).items() if name not in ("__dict__", "__weakref__")}
    makers = dataclasses.dataclass(frozen=True, slots=True, kw_only=True), slotted(frozen=True, kw_only=True)
    standard, ours = (make(type("ByName", (), dict(own))) for make in makers)
    assert repr(ours(y=2.0)) == repr(standard(y=2.0)) == "ByName(x=0.0, y=2.0)"
    assert dataclasses.replace(ours(y=2.0), x=1.0) == ours(x=1.0, y=2.0)
    for made in (standard, ours):
        with pytest.raises(TypeError, match="takes 1 positional argument but 3 were given"):
            made(1.0, 2.0)


def test_the_init_is_compiled_for_the_first_instance() -> None:
    made = slotted(frozen=True)(type("Pair", (), dict(vars(Pair))))
    assert not inspect.isfunction(vars(made)["__init__"])
    assert (made(1.0), made(y=2.0, x=1.0)) == (made(1.0, 0.0), made(1.0, 2.0))
    assert inspect.isfunction(vars(made)["__init__"])
    assert list(inspect.signature(made).parameters) == ["x", "y"]


@slotted(frozen=True)
class Sent:
    """A class that a worker of a batch sends."""

    x: float
    names: tuple[str, ...] = ()
    seen: list[int] = field(default_factory=list, compare=False)


@slotted(frozen=False)
class Changing:
    """The same, not frozen."""

    x: float
    names: tuple[str, ...] = ()
    seen: list[int] = field(default_factory=list, compare=False)


@pytest.mark.parametrize("cls", [Sent, Changing])
@pytest.mark.parametrize("way", [lambda s: pickle.loads(pickle.dumps(s)), copy.copy, copy.deepcopy])
def test_pickled_and_copied(way: Callable[[Sent], Sent], cls: type[Sent]) -> None:
    sent = cls(1.5, ("a",), [3])
    back = way(sent)
    assert back is not sent
    assert (back, back.seen) == (sent, [3])


@pytest.mark.parametrize("cls", [Sent, Changing])
def test_matched_by_place(cls: type[Sent]) -> None:
    match cls(1.5, ("a",)):
        case Sent(x, (name,)) | Changing(x, (name,)):
            assert (x, name) == (1.5, "a")
        case _:
            pytest.fail("it does not match")
