"""Print the JSON schema of the results document.

Run it to publish the schema again after a change::

    .venv/bin/python -m perpend.report.schema > docs/results.schema.json
"""

from __future__ import annotations

import json

from perpend.report.document import results_schema


def schema_text() -> str:
    """Return the schema as JSON text that ends with a line end."""
    return json.dumps(results_schema(), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    print(schema_text(), end="")
