"""Entities that were ignored: the first few of a kind one by one, the rest counted."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Final

from perpend.notices import ENTITY_IGNORED, Notice, NoticePlace

_LISTED: Final = 40
"""Things of one kind that are listed one by one as ignored; beyond that, they are counted."""


def counted_ignored(notices: Sequence[Notice]) -> tuple[Notice, ...]:
    """Keep the first few entities that were ignored of each kind and for each reason, and count the rest."""
    groups: dict[tuple[str, str, str], list[Notice]] = defaultdict(list)
    for notice in notices:
        if notice.code == ENTITY_IGNORED:
            groups[notice.place.kind, notice.place.layer, notice.words].append(notice)
    found = [notice for notice in notices if notice.code != ENTITY_IGNORED]
    for (kind, layer, why), ignored in groups.items():
        found += ignored[:_LISTED]
        if len(ignored) > _LISTED:
            place = NoticePlace(kind=f"{len(ignored) - _LISTED} more {kind}", layer=layer)
            found.append(Notice(ENTITY_IGNORED, why, place=place))
    return tuple(found)
