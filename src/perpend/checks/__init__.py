"""The judge: one module per rule family, each from limits and joints to findings.

docs/checking.md says what is measured. Nothing here is shared with `layout` but the limits and the
geometry of `model`. Findings that somebody accepted are in `perpend.decisions.waivers`.
"""

from perpend.checks.judge import check_wall
from perpend.checks.measure.shared_joints import with_joints_between
from perpend.checks.measure.snapping import whole_joints
from perpend.checks.measure.tracks import joints_from_drawn
from perpend.checks.verdicts import CheckReport, RuleRun

__all__ = [
    "CheckReport",
    "RuleRun",
    "check_wall",
    "joints_from_drawn",
    "whole_joints",
    "with_joints_between",
]
