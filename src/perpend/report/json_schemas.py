"""The JSON schemas of the documents that ``--json`` prints, as they are published in docs/.

Run it to publish them again after a change::

    .venv/bin/python -m perpend.report.json_schemas docs

Without a folder it prints the schema of the results document.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from perpend.report.changes_document import ChangesResults, FolderChanges
from perpend.report.comparison import CompareResults
from perpend.report.document_parts import Document
from perpend.report.layer_table import LayersResults
from perpend.report.limit_table import LimitsResults
from perpend.report.results_document import Results
from perpend.report.unverified_list import UnverifiedList

DOCUMENTS: Final[dict[str, type[Document]]] = {
    "results": Results,
    "compare": CompareResults,
    "limits": LimitsResults,
    "unverified": UnverifiedList,
    "layers": LayersResults,
    "changes": ChangesResults,
    "folder-changes": FolderChanges,
}
"""Every published document, by the name of its schema: ``results`` is docs/results.schema.json."""


def schema_text(document: str = "results") -> str:
    """Return a document's schema as JSON text that ends with a line end.

    Args:
        document: a key of `DOCUMENTS`.
    """
    return json.dumps(DOCUMENTS[document].schema(), indent=2, ensure_ascii=False) + "\n"


def publish(folder: Path) -> None:
    """Write the schema of every document into a folder, as ``NAME.schema.json``."""
    for document in DOCUMENTS:
        place = folder / f"{document}.schema.json"
        place.write_text(schema_text(document), encoding="utf-8", newline="\n")


def _main(arguments: Sequence[str]) -> None:
    if arguments:
        publish(Path(arguments[0]))
    else:
        print(schema_text(), end="")


if __name__ == "__main__":
    _main(sys.argv[1:])
