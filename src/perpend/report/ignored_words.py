"""What was left out of the reading, in sentences: how much, on which layer, why, and where it stands."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from perpend.report.notice_entries import IgnoredEntry
from perpend.report.results_document import Results
from perpend.units import format_length, system_of

_MOST_PLACES: Final = 6


def ignored_sentences(results: Results, most: int | None = None) -> list[str]:
    """Say what was left out, like things together, most of them first.

    Args:
        results: the results document.
        most: kinds that are told; the rest is counted in a last sentence. None tells all.
    """
    groups: dict[tuple[str, str, str], list[IgnoredEntry]] = {}
    for entry in results.ignored:
        groups.setdefault((entry.kind, entry.layer, entry.why), []).append(entry)
    ranked = sorted(groups.items(), key=lambda item: -len(item[1]))
    told = ranked if most is None else ranked[:most]
    metric = results.drawing.metric
    sentences = [_sentence(*group, entries, metric) for group, entries in told]
    rest = len(results.ignored) - sum(len(entries) for _, entries in told)
    return [*sentences, f"Ignored: {rest} more, in the results document"] if rest else sentences


def _sentence(kind: str, layer: str, why: str, entries: Sequence[IgnoredEntry], metric: bool) -> str:
    times = f"{len(entries)} × " if len(entries) > 1 else ""
    places = [_place(entry, metric) for entry in entries if entry.at is not None]
    more = [f"{len(places) - _MOST_PLACES} more"] if len(places) > _MOST_PLACES else []
    where = f" ({'; '.join([*places[:_MOST_PLACES], *more])})" if places else ""
    return f"Ignored: {times}{kind} on {layer}: {why}{where}"


def _place(entry: IgnoredEntry, metric: bool) -> str:
    """Name one thing: by its handle and its station in a wall, or else by its point in the drawing."""
    name = f"entity {entry.handle} " if entry.handle else ""
    if entry.wall and entry.x_in is not None:
        shown = format_length(entry.x_in, system_of(metric=metric))
        return f"{name}at {shown}{' mm' if metric else ''} of {entry.wall}"
    x, y = entry.at or (0.0, 0.0)
    return f"{name}at {x:.6g}, {y:.6g} in the drawing"
