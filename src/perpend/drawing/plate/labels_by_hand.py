"""Tags, callouts and dimensions where a person put them: drawn there before all others, if they fit.

A label fits where it lies on no writing and no line of ours, its leader runs through no writing, and it is no
farther from what it shows than we would put it ourselves. One that does not fit is drawn in its usual place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from perpend.decisions.joint_record import one_line
from perpend.decisions.moved_labels import HandLabel, wall_of
from perpend.drawing.page.scene import PlacedPlan, Scene
from perpend.drawing.plate.callout_words import Callout, gathered
from perpend.drawing.plate.callouts import choice_at, draw_choice
from perpend.drawing.plate.dimensions_by_hand import draw_span_at, draw_string_at
from perpend.drawing.plate.joint_tags import Tag, draw_tag, leader_path, tags_of
from perpend.dxf.own_labels import BY_HAND
from perpend.dxf.text_metrics import text_box
from perpend.model import Point
from perpend.units import on_tick

_REACH = 40.0
_TYPICAL = ", TYP."


def draw_by_hand(scene: Scene, labels: Sequence[HandLabel]) -> None:
    """Draw the labels of a page that stay where a person put them; the report says which did and did not.

    Args:
        scene: the page, with everything on it that is bound to its place.
        labels: of the whole drawing.
    """
    scene.by_hand = labels
    dimensions = [label for label in labels if label.own.kind == "dimension"]
    for placed in scene.plans if scene.style.content.dimensions else ():
        _draw_dimensions(scene, placed, [label for label in dimensions if not label.text])
    by_number = {label.number: label for label in labels if label.own.kind == "tag"}
    tags = [tag for placed in scene.plans for tag in tags_of(scene, placed)] if by_number else []
    for tag in tags:
        if label := by_number.get(one_line(tag.identity.number)):
            others = [other.end for other in tags if other is not tag]
            _note(scene, label, tag.text, fits=_draw_tag(scene, label, tag, others))
    callouts = {
        label.own.words.removesuffix(_TYPICAL): label for label in labels if label.own.kind == "callout"
    }
    for callout in gathered(scene) if callouts else ():
        if label := callouts.get(callout.lines[0].removesuffix(_TYPICAL)):
            _note(scene, label, callout.lines[0], fits=_draw_callout(scene, label, callout))


def _note(scene: Scene, label: HandLabel, words: str, *, fits: bool) -> None:
    scene.report.by_hand.append((label, words, fits))
    if fits:
        scene.settled.add((label.own.kind, words))


def _on_page(scene: Scene, label: HandLabel) -> Point:
    """Return where the point of a text lies on the page: its baseline; that of a dimension: its line."""
    x, y = scene.page.from_drawing(label.own.at)
    if scene.page.upside_down and label.own.kind != "dimension":
        y -= scene.h
    return (on_tick(x), on_tick(y))


def _draw_tag(scene: Scene, label: HandLabel, tag: Tag, others: Sequence[Point]) -> bool:
    """Draw a tag; one over the head of another joint would seem to be that one's."""
    h = scene.h
    centre, baseline = _on_page(scene, label)
    if any(abs(x - centre) < tag.width_in / 2 and abs(y - baseline) < _REACH * h for x, y in others):
        return False
    cover = scene.field.cover(text_box(tag.text, (centre, baseline), h, "center").grown(0.1 * h))
    path = leader_path(tag, centre, baseline, h)
    struck = any(scene.field.crossed(a, b).writing for a, b in pairwise(path))
    if cover.writing or cover.solid or struck or math.dist(tag.end, (centre, baseline)) > _REACH * h:
        return False
    draw_tag(scene, tag, centre, baseline, said=(BY_HAND,))
    return True


def _draw_callout(scene: Scene, label: HandLabel, callout: Callout) -> bool:
    x, y = _on_page(scene, label)
    align = label.own.align
    if scene.page.upside_down:
        align = "right" if align == "left" else "left"
    choice = choice_at(scene, callout, (x, y), at_left=align == "left")
    if choice is None:
        return False
    draw_choice(scene, callout, choice, said=(BY_HAND,))
    return True


def _draw_dimensions(scene: Scene, placed: PlacedPlan, labels: Sequence[HandLabel]) -> None:
    """Draw a wall's dimensions that were moved: the whole string where all were moved to one height."""
    tag = one_line(placed.plan.wall.tag)
    mine = [label for label in labels if wall_of(label.number) == tag]
    heights = {_on_page(scene, label)[1] for label in mine}
    if len(heights) == 1 and all(label.whole for label in mine):
        fits = draw_string_at(scene, placed, heights.pop(), (BY_HAND,))
        for label in mine:
            _note(scene, label, label.number, fits=fits)
        if fits:
            scene.settled.add(("dimension", tag))
        return
    for label in mine:
        ends = sorted(scene.page.from_drawing(point)[0] for point in label.own.points[:2])
        found = draw_span_at(scene, placed, (ends[0], ends[-1]), _on_page(scene, label)[1], (BY_HAND,))
        _note(scene, label, found or label.number, fits=bool(found))
