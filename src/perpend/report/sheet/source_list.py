"""The sources of a sheet, numbered."""

from __future__ import annotations

from collections.abc import Iterable

from perpend.report.results_document import SourceEntry
from perpend.report.sheet.sheet_view import SourceRow


class SourceList:
    """The sources of a sheet, each once, numbered in the order in which they are first used."""

    def __init__(self) -> None:
        self._rows: dict[tuple[str, str, str], SourceRow] = {}

    def row(self, source: SourceEntry) -> SourceRow:
        """Return the row of a source, made at its first use."""
        identity = (source.row, source.document, source.clause)
        if identity not in self._rows:
            self._rows[identity] = SourceRow(
                len(self._rows) + 1,
                source.document,
                source.clause,
                source.standing,
                source.unverified,
                source.row,
                source.text,
            )
        return self._rows[identity]

    def of(self, sources: Iterable[SourceEntry]) -> tuple[SourceRow, ...]:
        """Return the rows of some sources."""
        return tuple(dict.fromkeys(self.row(source) for source in sources))

    def all(self) -> tuple[SourceRow, ...]:
        """Return every row, in order."""
        return tuple(self._rows.values())
