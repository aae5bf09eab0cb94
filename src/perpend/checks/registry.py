"""Every rule: what each module of `checks.rules` declares, and the two on waivers.

Marks on drawings, SARIF, settings of severities and proposals read this, and nothing beside it.
"""

from __future__ import annotations

from typing import Final

from perpend.checks.rules import (
    corners,
    footing_steps,
    horizontal_joints,
    horizontal_steel,
    joint_line,
    joint_off_place,
    joint_type,
    joints_too_close,
    keep_out,
    kept_free,
    lintels,
    method_scope,
    module_lines,
    narrow_panels,
    opening_jambs,
    panels,
    required_places,
    slip_planes,
    strip_panels,
)
from perpend.findings import WAIVER_EXPIRED, WAIVER_UNUSED, Rule, Severity

FAMILIES: Final = (
    panels,
    narrow_panels,
    strip_panels,
    corners,
    required_places,
    opening_jambs,
    joint_off_place,
    keep_out,
    kept_free,
    slip_planes,
    lintels,
    joint_line,
    joint_type,
    horizontal_steel,
    joints_too_close,
    module_lines,
    footing_steps,
    horizontal_joints,
    method_scope,
)
"""The modules of rules, in the order in which a report lists them."""

_DECLARED: Final = (*(rule for family in FAMILIES for rule in family.RULES), WAIVER_UNUSED, WAIVER_EXPIRED)

CODES: Final[dict[str, Rule]] = {
    rule.code: rule for rule in sorted(_DECLARED, key=lambda rule: rule.severity is Severity.ADVISORY)
}
"""The rules by their code: those that are required first."""
