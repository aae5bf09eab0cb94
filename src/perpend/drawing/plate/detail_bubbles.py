"""Detail bubbles: one for each typical detail, with a leader to a joint that it shows."""

from __future__ import annotations

from dataclasses import replace

from perpend.decisions.joint_record import one_line
from perpend.drawing.page.drafting_style import NOTE
from perpend.drawing.page.leader_labels import Flag, mark_radius, ring, stand_at, stand_for, write_flag
from perpend.drawing.page.occupancy import Level
from perpend.drawing.page.occupancy_raster import Raster
from perpend.drawing.page.scene import Scene
from perpend.drawing.page.sheet_page import Identity, Stroke
from perpend.drawing.review.proposed_joints import points_along
from perpend.dxf.own_labels import BY_HAND
from perpend.dxf.text_metrics import plain
from perpend.model import Point
from perpend.settings.detail_references import detail_for

_CELL = 0.5
_ALONG = (0.95, 0.8, 0.06, 0.5)


def draw_bubbles(scene: Scene) -> None:
    """Draw a bubble for each detail to which the plate, or the project at a joint, refers."""
    numbers = dict(scene.style.content.details)
    anchors: dict[str, list[Point]] = {}
    for placed in scene.plans:
        for joint in placed.plan.joints:
            if number := detail_for(joint, placed.plan.limits.method, numbers):
                anchors.setdefault(number, []).extend(points_along(placed.spot.path(joint.path), _ALONG))
    if not anchors:
        return
    raster = Raster(scene.reach, _CELL * scene.h)
    for number, points in anchors.items():
        identity = Identity("detail", number)
        flag = Flag(plain(number), (scene.style.content.label,), tuple(points[:20]), identity, is_round=True)
        what = ("detail", one_line(number))
        by_hand = next((hand for hand in scene.by_hand if (hand.own.kind, hand.own.number) == what), None)
        there = stand_at(scene, flag, scene.page.from_drawing(by_hand.own.at)) if by_hand else None
        found = (flag, there) if there else stand_for(scene, raster, flag)
        if by_hand:
            scene.report.by_hand.append((by_hand, "", there is not None))
        if found is None:
            scene.report.remarks.append(f"No room was found for the bubble of detail {number}.")
            continue
        flag, stand = found
        begin = len(scene.board.marks)
        write_flag(scene, NOTE, flag, stand)
        edge = ring(stand.center, mark_radius(flag.number, scene.h))
        scene.field.add_path((*edge, edge[0]), Level.SOLID)
        scene.board.add(Stroke(NOTE, edge, identity, closed=True))
        scene.board.join(begin, stand.center, replace(identity, said=(BY_HAND,)) if there else identity)
