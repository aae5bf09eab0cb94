"""The results document and its renderings.

What `limits`, `compare` and `layers` print is in modules of their names, the review sheet in
`perpend.report.sheet`; only who needs them loads them.
"""

from perpend.report.build import SettingsUsed, WallOutcome, build_results
from perpend.report.document import Results, WrittenEntry
from perpend.report.parts import SCHEMA_VERSION
from perpend.report.text import Line, summary

__all__ = [
    "SCHEMA_VERSION",
    "Line",
    "Results",
    "SettingsUsed",
    "WallOutcome",
    "WrittenEntry",
    "build_results",
    "summary",
]
