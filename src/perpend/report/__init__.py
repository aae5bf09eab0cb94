"""The results document and its renderings.

What `limits`, `compare` and `layers` print is in modules of their names, the review sheet in
`perpend.report.sheet`; only who needs them loads them.
"""

from perpend.report.document_parts import SCHEMA_VERSION
from perpend.report.results_builder import SettingsUsed, WallOutcome, build_results
from perpend.report.results_document import Results, WrittenEntry
from perpend.report.summary import summary
from perpend.report.text_lines import Line
