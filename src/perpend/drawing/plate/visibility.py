"""What of a plan is seen on an elevation: nothing is drawn through the face of a wall in front."""

from __future__ import annotations

from dataclasses import replace

from perpend.model import Joint, Wall, WallPlan


def as_seen(plan: WallPlan) -> WallPlan:
    """Return a plan whose joints and steel are cut where a wall in front hides them."""
    wall = plan.wall
    if not wall.fronts:
        return plan
    return replace(
        plan,
        joints=tuple(_joint_seen(joint, wall) for joint in plan.joints),
        bars=tuple(replace(bar, path=part) for bar in plan.bars for part in wall.seen(bar.path)),
    )


def _joint_seen(joint: Joint, wall: Wall) -> Joint:
    """Cut a joint where it comes up from behind a wall; one that is hidden in another way stays whole.

    What is left begins at the wall in front, so that it is read as going down behind that.
    """
    parts = wall.seen(joint.path)
    if len(parts) != 1 or parts[0][0][0] != parts[0][1][0]:
        return joint
    planes = (p for p in joint.slip_planes if wall.seen(((p.x0_in, p.y_in), (p.x1_in, p.y_in))))
    return replace(joint, path=parts[0], slip_planes=tuple(planes))
