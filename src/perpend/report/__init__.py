"""The results document and its renderings."""

from perpend.report.build import SettingsUsed, WallOutcome, build_results
from perpend.report.document import SCHEMA_VERSION, Results, WrittenEntry, results_schema
from perpend.report.limits import LimitsResults, build_limits, limits_text
from perpend.report.text import Line, summary

__all__ = [
    "SCHEMA_VERSION",
    "LimitsResults",
    "Line",
    "Results",
    "SettingsUsed",
    "WallOutcome",
    "WrittenEntry",
    "build_limits",
    "build_results",
    "limits_text",
    "results_schema",
    "summary",
]
