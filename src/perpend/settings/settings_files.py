"""Finding and reading settings files.

Glossary:
    project file: ``perpend.toml`` beside the drawing, or in the nearest folder above it.
    sidecar: ``NAME.perpend.toml`` beside the drawing ``NAME.dxf``; it overrides the project file. A drawing
        that perpend made of ``NAME.dxf`` goes by it too, unless it has one of its own.
"""

from __future__ import annotations

import hashlib
import json
import re
import tomllib
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from perpend.errors import InputError
from perpend.rulebook.validation_words import explain, nearest, read_toml_text
from perpend.settings.settings_schema import Settings

PROJECT_FILE = "perpend.toml"
SIDECAR_SUFFIX = ".perpend.toml"
_MADE_OF = re.compile(r"(.+)-(?:annotated|checked|cleaned)(?:-\d+)?", re.IGNORECASE)
"""The name of a drawing that perpend made of another one, where nobody named it otherwise."""


def load_settings(path: Path | None = None, drawing: Path | None = None) -> Settings:
    """Load the settings that count for a drawing.

    Args:
        path: a settings file named by the user: used alone.
        drawing: the drawing; without `path` its sidecar and its project file are looked for.

    Returns:
        The settings, with the files used and a hash of what is in force.

    Raises:
        InputError: a file cannot be read, is not TOML, or has an unknown key or a wrong value.
    """
    files = (path,) if path is not None else settings_files(drawing)
    merged: dict[str, Any] = {}
    for file in files:
        merged = _merge(merged, _read(file))
    settings = Settings.model_validate(merged)
    return _stamped(settings, tuple(str(file) for file in files))


def settings_files(drawing: Path | None) -> tuple[Path, ...]:
    """Return the settings files of a drawing: the project's, then the sidecar."""
    if drawing is None:
        return ()
    folder = drawing.absolute().parent
    project = next((f for f in (d / PROJECT_FILE for d in (folder, *folder.parents)) if f.is_file()), None)
    return tuple(f for f in (project, sidecar_of(drawing.absolute(), SIDECAR_SUFFIX)) if f is not None)


def sidecar_of(drawing: Path, suffix: str) -> Path | None:
    """Return the file beside a drawing that is its own, or else that of the drawing it was made of.

    Args:
        drawing: the drawing, such as ``north-annotated.dxf``.
        suffix: what such files are called after the drawing's name, such as ``.waivers.toml``.

    Returns:
        ``north-annotated.waivers.toml``, or else ``north.waivers.toml``, or None where neither is there.
    """
    stem: str | None = drawing.stem
    while stem:
        file = drawing.with_name(f"{stem}{suffix}")
        if file.is_file():
            return file
        made = _MADE_OF.fullmatch(stem)
        stem = made[1] if made else None
    return None


def parse_settings(text: str, where: str = "settings") -> Settings:
    """Read settings from a text.

    Raises:
        InputError: not TOML, an unknown key or a wrong value.
    """
    return _stamped(Settings.model_validate(_checked(text, where)), (where,))


def _read(file: Path) -> dict[str, Any]:
    try:
        text = read_toml_text(file.read_bytes(), file)
    except OSError as error:
        reason = error.strerror or "cannot be read"
        raise InputError(f"{file}: the settings file cannot be read ({reason}).") from error
    except ValueError as error:
        raise InputError(f"{error}.") from error
    return _checked(text, str(file))


def _checked(text: str, where: str) -> dict[str, Any]:
    """Parse and validate one file by itself, so that a fault is named with its own file."""
    try:
        content = tomllib.loads(text)
        settings = Settings.model_validate(content)
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"{where} is not valid TOML: {error}; correct that line.") from error
    except ValidationError as error:
        raise InputError(explain(error, Settings, where, text)) from error
    _check_selectors(settings, where)
    _check_severities(settings, where)
    return content


def _check_selectors(settings: Settings, where: str) -> None:
    for number, entry in enumerate(settings.openings, start=1):
        selectors = (entry.tag, entry.layer, entry.wall, entry.width_from, entry.width_to)
        if all(selector is None for selector in selectors):
            raise InputError(
                f"{where}: openings {number} does not say which openings: give it a tag, a layer, a wall, "
                "width_from or width_to."
            )


def _check_severities(settings: Settings, where: str) -> None:
    from perpend.checks.registry import CODES

    for code in settings.severities:
        if code not in CODES:
            raise InputError(f"{where}: severities: unknown finding {code!r}; {nearest(code, CODES)}.")


def _merge(under: dict[str, Any], over: dict[str, Any]) -> dict[str, Any]:
    """Lay one file's tables over another's: key by key, ``[[entries]]`` one after the other."""
    merged = dict(under)
    for key, given in over.items():
        if isinstance(given, dict) and isinstance(merged.get(key), dict):
            merged[key] = _merge(merged[key], given)
        elif _is_entries(given) and _is_entries(merged.get(key)):
            merged[key] = [*merged[key], *given]
        else:
            merged[key] = given
    return merged


def _is_entries(given: object) -> bool:
    return isinstance(given, list) and all(isinstance(entry, dict) for entry in given)


def _stamped(settings: Settings, files: tuple[str, ...]) -> Settings:
    in_force = json.dumps(settings.model_dump(mode="json"), sort_keys=True)
    settings._files = files
    settings._sha256 = hashlib.sha256(in_force.encode()).hexdigest()
    return settings
