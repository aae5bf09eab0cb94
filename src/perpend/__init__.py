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
    from perpend.report import Line, Results
    from perpend.report.changes_document import ChangesResults, FolderChanges
    from perpend.report.comparison import CompareResults
    from perpend.report.layer_table import LayersResults
    from perpend.report.limit_table import LimitsResults
    from perpend.report.results_document import FindingEntry as Finding
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

_HOMES = {
    "perpend.api_folders": ("batch", "folder_changes", "watch"),
    "perpend.folders": ("BatchOutcome", "BatchReport"),
    "perpend.jobs.clean": ("CleanOutcome", "clean"),
    "perpend.jobs.compare": ("compare",),
    "perpend.jobs.layers": ("layers",),
    "perpend.jobs.limits": ("limits", "unverified"),
    "perpend.jobs.request": ("DrawingOutcome",),
    "perpend.jobs.write_details": ("details",),
    "perpend.jobs.write_spec": ("spec",),
    "perpend.report": ("Line", "Results"),
    "perpend.report.changes_document": ("ChangesResults", "FolderChanges"),
    "perpend.report.comparison": ("CompareResults",),
    "perpend.report.layer_table": ("LayersResults",),
    "perpend.report.limit_table": ("LimitsResults",),
    "perpend.report.results_document": ("Finding",),
    "perpend.report.unverified_list": ("UnverifiedList",),
}
"""Which names are at home in which module; any other is a function of `perpend.api`."""

_CALLED_THERE = {"BatchOutcome": "Outcome", "Finding": "FindingEntry"}


def __getattr__(name: str) -> object:
    """Load what is asked for (PEP 562)."""
    if name not in __all__:
        raise AttributeError(f"module 'perpend' has no attribute {name!r}")
    from importlib import import_module

    home = next((module for module, names in _HOMES.items() if name in names), "perpend.api")
    module = import_module(home)
    value: object = getattr(module, _CALLED_THERE.get(name, name))
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(__all__)
