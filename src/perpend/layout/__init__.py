"""Where the joints go: candidates, exact search, reasons. docs/placement.md is the specification."""

from perpend.layout.place import Placement, place_joints, plan_wall

__all__ = ["Placement", "place_joints", "plan_wall"]
