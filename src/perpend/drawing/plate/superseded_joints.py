"""Joints of the drafter's that another joint takes the place of: they stay, crossed out, with a label."""

from __future__ import annotations

from perpend.drawing.page.drafting_style import NOTE
from perpend.drawing.page.leader_labels import Flag, stand_for, write_flag
from perpend.drawing.page.occupancy_raster import Raster
from perpend.drawing.page.scene import Scene
from perpend.drawing.page.sheet_page import Identity, Stroke
from perpend.model import Point
from perpend.model.geometry import part_way

_CROSS = 0.8
_CROSSED_AT, _LABELED_AT = (0.2, 0.5, 0.8), (0.5, 0.65, 0.35)
_CELL = 0.5


def draw_superseded(scene: Scene) -> None:
    """Cross out every superseded joint of a page, and label it where there is room."""
    lines = [
        (placed.plan.wall.tag, placed.spot.path(path))
        for placed in scene.plans
        for path in placed.plan.superseded
    ]
    if not lines:
        return
    raster = Raster(scene.reach, _CELL * scene.h)
    for tag, path in lines:
        identity = Identity("superseded", tag)
        foot, head = path[0], path[-1]
        for part in _CROSSED_AT:
            _cross(scene, part_way(foot, head, part), identity)
        anchors = tuple(part_way(foot, head, part) for part in _LABELED_AT)
        found = stand_for(scene, raster, Flag("", ("SUPERSEDED",), anchors, identity))
        if found is None:
            scene.report.remarks.append(f"No room was found for the label of a superseded joint of {tag}.")
        else:
            write_flag(scene, NOTE, *found)


def _cross(scene: Scene, center: Point, identity: Identity) -> None:
    (x, y), size = center, _CROSS * scene.h
    for way in (1, -1):
        path = ((x - size, y - way * size), (x + size, y + way * size))
        scene.board.add(Stroke(NOTE, path, identity, solid=True))
        scene.field.add_path(path)
