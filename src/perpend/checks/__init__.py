"""The judge: one module per rule family, each from limits and joints to findings.

docs/checking.md says what is measured. Nothing here is shared with `layout` but the limits and the
geometry of `model`.
"""

from perpend.checks.judge import check_wall
from perpend.checks.tracks import joints_from_drawn, whole_joints
from perpend.checks.verdicts import CheckReport, RuleRun
from perpend.checks.waivers import Waiver, load_waivers, parse_waivers, waive, waiver_remarks

__all__ = [
    "CheckReport",
    "RuleRun",
    "Waiver",
    "check_wall",
    "joints_from_drawn",
    "load_waivers",
    "parse_waivers",
    "waive",
    "waiver_remarks",
    "whole_joints",
]
