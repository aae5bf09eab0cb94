"""One clear sentence from a failed validation: file, place, what is wrong, what to write instead."""

from __future__ import annotations

import difflib
import re
import tomllib
import types
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, Final, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

from perpend.clean_text import quoted, visible
from perpend.errors import InputError
from perpend.units import parse_length

_MOST_BYTES: Final = 1_000_000
_UNSEEN: Final = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")
"""Control characters, line ends and halves of letters that nobody types: no name is meant to hold one."""

Location = tuple[int | str, ...]


def explain(error: ValidationError, model: type[BaseModel], where: str, text: str = "") -> str:
    """Turn the first fault of a validation into one sentence.

    Args:
        error: what pydantic raised.
        model: the model that was validated.
        where: the file, as the user knows it.
        text: the file's text; used to name the line of an unknown key.

    Returns:
        The sentence; it names the nearest known key where the key is unknown.
    """
    faults = error.errors()
    fault = next((f for f in faults if f["type"] == "extra_forbidden"), faults[0])
    location: Location = fault["loc"]
    place = _spell(location)
    if fault["type"] == "extra_forbidden":
        key = str(location[-1])
        known = keys_at(model, location[:-1])
        return f"{where}{_line_of(key, text)}: unknown key {place!r}; {nearest(key, known)}."
    if fault["type"] == "missing":
        return f"{where}: the key {place!r} is missing; add it."
    message = str(fault["msg"]).removeprefix("Value error, ").rstrip(".")
    given = fault.get("input")
    if fault["type"] in ("literal_error", "enum"):
        expected = [part.strip() for part in re.split(r",| or ", fault["ctx"]["expected"])]
        return f"{where}: {place} = {_not_known(given, expected)}."
    if fault["type"] == "value_error":
        return f"{where}: {place}: {_quoting_shortly(message, given)}."
    return f"{where}: {place} = {_short(given)}: {message[0].lower()}{message[1:]}."


def _not_known(given: object, expected: Iterable[str]) -> str:
    """Say of a value, as TOML has it, that it is none of those known; of one that only lacks quotes, so."""
    toml = str(given).lower() if isinstance(given, bool) else _short(given)
    bare = toml.strip("'\"")
    texts = {word.strip("'"): word.startswith("'") for word in expected}
    if texts.get(bare) is True and not isinstance(given, str):
        return f"{toml} is no text: put it in quotes, '{bare}'"
    if texts.get(bare) is False and isinstance(given, str):
        return f"{toml} is no number: leave the quotes out, {bare}"
    return f"{toml} is not known; {nearest(bare, texts)}"


def nearest(word: str, known: Iterable[str]) -> str:
    """Name the known word nearest to a wrong one, or all of them where none is near.

    Returns:
        Such as ``did you mean 'method'?`` without its mark, or ``known are: a, b``.
    """
    names = sorted(known)
    lowered = {name.lower(): name for name in names}
    close = difflib.get_close_matches(word.lower(), list(lowered), n=1, cutoff=0.6)
    if close:
        return f"the nearest known one is {lowered[close[0]]!r}"
    return f"known are {', '.join(names)}"


def keys_at(model: type[BaseModel], location: Location) -> tuple[str, ...]:
    """List the keys that a model allows at a place."""
    current: Any = model
    for step in location:
        current = _inner(current, step)
        if current is None:
            return ()
    return tuple(current.model_fields) if _is_model(current) else ()


def _inner(kind: Any, step: int | str) -> Any:  # noqa: ANN401  (any annotation can stand here)
    if isinstance(step, str) and _is_model(kind):
        field = kind.model_fields.get(step)
        return None if field is None else _model_in(field.annotation)
    return kind


def _model_in(annotation: Any) -> Any:  # noqa: ANN401
    """Return the model inside an annotation such as ``tuple[Row, ...]`` or ``Row | None``."""
    if _is_model(annotation):
        return annotation
    origin = get_origin(annotation)
    if origin in (tuple, list, dict, Mapping, Union, types.UnionType):
        return next((m for m in map(_model_in, get_args(annotation)) if m is not None), None)
    return None


def _is_model(kind: Any) -> bool:  # noqa: ANN401
    return isinstance(kind, type) and issubclass(kind, BaseModel)


def _spell(location: Location) -> str:
    """Write a location as it is read in TOML: ``walls 2, method`` (entries are counted from 1)."""
    parts: list[str] = []
    for step in location:
        if isinstance(step, int):
            parts[-1] = f"{parts[-1]} {step + 1}" if parts else str(step + 1)
        else:
            parts.append(quoted(step))
    return ", ".join(parts)


def _line_of(key: str, text: str) -> str:
    found = re.search(rf"^[^#\n]*?(?<![\w-]){re.escape(key)}(?![\w-])", text, re.MULTILINE)
    return f", line {text.count(chr(10), 0, found.start()) + 1}" if found else ""


def _quoting_shortly(message: str, given: object) -> str:
    """Return a validator's message with what was given cut to the length of a quotation."""
    message = message.replace(_repr(given), _short(given))
    return message.replace(given, quoted(given)) if isinstance(given, str) and given else message


def _short(value: object) -> str:
    return quoted(_repr(value))


def _repr(value: object) -> str:
    try:
        return repr(value)
    except ValueError:  # a number of more digits than Python prints
        return "a number of thousands of digits"


def read_length(given: str | float) -> float:
    """Read a length inside a validation, where a fault has to be a ValueError.

    Raises:
        ValueError: the text is not a length; the message is `parse_length`'s sentence.
    """
    try:
        return parse_length(given)
    except InputError as error:
        raise ValueError(str(error)) from error


def read_toml_text(data: bytes, where: str | Path) -> str:
    """Decode a TOML file's bytes.

    Raises:
        ValueError: the bytes are not UTF-8, or too many; the message is a clause for the caller's sentence.
    """
    if len(data) > _MOST_BYTES:
        raise ValueError(f"{where} has {len(data):,} bytes, more than the {_MOST_BYTES:,} of any such file")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ValueError(f"{where} is not UTF-8 text (byte {error.start}): save it as UTF-8") from error


def read_toml_file(path: Path, what: str) -> str:
    """Read a TOML file that somebody wrote by hand.

    Args:
        path: the file.
        what: what it is, in a sentence.

    Raises:
        InputError: it can't be read, is a pipe or a device, too large, or no UTF-8 text.
    """
    try:
        if path.exists() and not path.is_file():
            raise InputError(f"{quoted(path)}: {what} cannot be read (it is no plain file).")
        return read_toml_text(path.read_bytes(), path)
    except OSError as error:
        reason = error.strerror or "cannot be read"
        raise InputError(f"{quoted(path)}: {what} cannot be read ({reason}).") from error
    except ValueError as error:
        raise InputError(f"{error}.") from error


def parse_toml(text: str, where: str, keep: str = "") -> dict[str, Any]:
    r"""Read TOML that somebody wrote by hand.

    Args:
        text: the file's text.
        where: the file, as the user knows it.
        keep: line ends and tabs that its texts may hold.

    Raises:
        InputError: it is not TOML, is nested too deeply, or a text in it holds a control character.
    """
    try:
        content = tomllib.loads(text)
    except RecursionError:
        raise InputError(f"{where} is nested too deeply to be settings: look at its brackets.") from None
    except ValueError as error:  # among others a number of more digits than Python reads
        raise InputError(f"{where} is not valid TOML: {quoted(str(error))}; correct that line.") from None
    for place, found in _unseen(content, keep):
        raise InputError(
            f"{where}: {quoted(place) or 'a key'} holds the control character {visible(found)}: take it out."
        )
    return content


def _unseen(content: dict[str, Any], keep: str) -> Iterator[tuple[str, str]]:
    """Yield every control character in the keys and texts, with the key where it is."""
    left: list[tuple[str, object]] = [("", content)]
    while left:
        place, value = left.pop()
        if isinstance(value, dict):
            left += [(key, part) for key, part in value.items()] + [(place, key) for key in value]
        elif isinstance(value, list):
            left += [(place, part) for part in value]
        elif isinstance(value, str):
            yield from ((place, found) for found in _UNSEEN.findall(value) if found not in keep)
