"""perpend: control joints for masonry wall elevations in DXF.

    import perpend

    outcome = perpend.annotate("north.dxf", results="north.json")
    for finding in outcome.results.all_findings:
        print(finding.code, finding.message)

Importing it is quick: what does the work is loaded when it is first asked for. docs/api.md has the rest.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from perpend.errors import InputError, InternalError, PerpendError
from perpend.version import __version__

if TYPE_CHECKING:
    from perpend.api import annotate, changes, check, text_of
    from perpend.api_folders import batch, folder_changes, watch
    from perpend.folders import BatchReport
    from perpend.folders import Outcome as BatchOutcome
    from perpend.jobs.clean import CleanOutcome, clean
    from perpend.jobs.compare import compare
    from perpend.jobs.layers import layers
    from perpend.jobs.limits import limits, unverified
    from perpend.jobs.request import DrawingOutcome
    from perpend.jobs.write_details import details
    from perpend.jobs.write_spec import spec
    from perpend.report import Results
    from perpend.report.changes_document import ChangesResults, FolderChanges
    from perpend.report.comparison import CompareResults
    from perpend.report.layer_table import LayersResults
    from perpend.report.limit_table import LimitsResults
    from perpend.report.results_document import FindingEntry as Finding
    from perpend.report.text_lines import Line
    from perpend.report.unverified_list import UnverifiedList

__all__ = [
    "BatchOutcome",
    "BatchReport",
    "ChangesResults",
    "CleanOutcome",
    "CompareResults",
    "DrawingOutcome",
    "Finding",
    "FolderChanges",
    "InputError",
    "InternalError",
    "LayersResults",
    "LimitsResults",
    "Line",
    "PerpendError",
    "Results",
    "UnverifiedList",
    "__version__",
    "annotate",
    "batch",
    "changes",
    "check",
    "clean",
    "compare",
    "details",
    "folder_changes",
    "layers",
    "limits",
    "spec",
    "text_of",
    "unverified",
    "watch",
]

_HOME = {
    "BatchOutcome": "perpend.folders",
    "BatchReport": "perpend.folders",
    "ChangesResults": "perpend.report.changes_document",
    "CleanOutcome": "perpend.jobs.clean",
    "CompareResults": "perpend.report.comparison",
    "DrawingOutcome": "perpend.jobs.request",
    "Finding": "perpend.report.results_document",
    "FolderChanges": "perpend.report.changes_document",
    "LayersResults": "perpend.report.layer_table",
    "LimitsResults": "perpend.report.limit_table",
    "UnverifiedList": "perpend.report.unverified_list",
    "Line": "perpend.report.text_lines",
    "Results": "perpend.report",
    "batch": "perpend.api_folders",
    "clean": "perpend.jobs.clean",
    "compare": "perpend.jobs.compare",
    "details": "perpend.jobs.write_details",
    "folder_changes": "perpend.api_folders",
    "layers": "perpend.jobs.layers",
    "limits": "perpend.jobs.limits",
    "spec": "perpend.jobs.write_spec",
    "unverified": "perpend.jobs.limits",
    "watch": "perpend.api_folders",
}
"""Where a name is at home that is not a function of `perpend.api`."""

_CALLED_THERE = {"BatchOutcome": "Outcome", "Finding": "FindingEntry"}


def __getattr__(name: str) -> object:
    """Load what is asked for (PEP 562)."""
    if name not in __all__:
        raise AttributeError(f"module 'perpend' has no attribute {name!r}")
    from importlib import import_module

    module = import_module(_HOME.get(name, "perpend.api"))
    value: object = getattr(module, _CALLED_THERE.get(name, name))
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(__all__)
