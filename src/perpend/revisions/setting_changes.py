"""Which settings differ between two issues of a drawing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from perpend.revisions.change_model import Change, Difference


def setting_changes(old: Mapping[str, object], new: Mapping[str, object]) -> list[Change]:
    """Return the settings that differ, each by its key with dots."""
    before, after = dict(_flat(old)), dict(_flat(new))
    keys = [key for key in dict.fromkeys((*before, *after)) if before.get(key) != after.get(key)]
    found = tuple(Difference(key, before.get(key, "not set"), after.get(key, "not set")) for key in keys)
    return [Change("settings", "changed", "", "settings", differences=found)] if found else []


def _flat(values: object, name: str = "") -> Iterator[tuple[str, str]]:
    if isinstance(values, Mapping):
        for key, value in values.items():
            yield from _flat(value, f"{name}.{key}" if name else str(key))
    elif isinstance(values, list | tuple) and any(isinstance(v, Mapping) for v in values):
        for number, value in enumerate(values, start=1):
            tag = value.get("tag") if isinstance(value, Mapping) else None
            yield from _flat(value, f"{name}[{tag or number}]")
    else:
        yield name, ", ".join(map(str, values)) if isinstance(values, list | tuple) else str(values)
