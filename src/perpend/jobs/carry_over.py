"""Decisions of an older drawing carried onto a new base without ours: ``annotate NEW --from OLD``.

The walls of both are matched by their marks, then by shape and place. Every joint, label and record of the
old plate is moved with its wall; from then on all is as if the new base had carried that plate.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from perpend.clean_text import quoted
from perpend.decisions.decision import Decision
from perpend.decisions.joint_record import JointRecord, WallRecord, lines_of, one_line, record_of
from perpend.decisions.moved_joints import path_in
from perpend.decisions.moved_labels import wall_of
from perpend.dxf.own_labels import OwnLabel
from perpend.dxf.own_plate import OwnJoint, OwnPlate
from perpend.errors import InputError
from perpend.model import Elevation, Point, Wall
from perpend.model import Path as Line
from perpend.report.changes_document import sentence_of
from perpend.revisions.change_model import Issue
from perpend.revisions.drawing_changes import compare_issues
from perpend.revisions.shape_matching import best_shift, match_walls
from perpend.rulebook import RuleBook
from perpend.settings import Settings, resolve_wall


@dataclass(frozen=True, slots=True)
class _Carried:
    """One wall in both drawings, and what carries places of the old one over."""

    old: Wall
    new: Wall
    shift: Point

    def over(self, point: Point) -> Point:
        """Carry a point from the axes of the old drawing to those of the new one."""
        x, y = self.old.frame.to_wall(point)
        return self.new.frame.to_drawing((x + self.shift[0], y + self.shift[1]))

    def line(self, path: Line) -> Line:
        """Carry a line from the axes of the old wall to those of the new one."""
        return tuple((x + self.shift[0], y + self.shift[1]) for x, y in path)


def carried_over(plate: OwnPlate, old: Elevation, new: Elevation, file: Path) -> OwnPlate:
    """Return the plate of an older drawing as it would be on a new base.

    Args:
        plate: what is of ours in the older drawing.
        old: the older drawing without it.
        new: the new base.
        file: the older drawing, for sentences.

    Raises:
        InputError: there is nothing to be carried over.
    """
    record = record_of(plate.record or ())
    if record is None:
        raise InputError(f"{quoted(file)} has no joints of perpend: name an annotated drawing with --from.")
    pairs = [
        _Carried(old.walls[i], new.walls[j], best_shift(old.walls[i], new.walls[j]))
        for i, j in match_walls(old.walls, new.walls)
        if i is not None and j is not None
    ]
    homes = {one_line(pair.old.tag): pair for pair in pairs}
    tags = [wall.tag for wall in old.walls]
    return replace(
        plate,
        joints=tuple(_joints(plate, pairs, homes)),
        proposed=(),
        labels=tuple(_labels(plate, homes, pairs)),
        record=tuple(lines_of(_record(record, pairs, tags))),
    )


def _joints(plate: OwnPlate, pairs: Sequence[_Carried], homes: dict[str, _Carried]) -> Iterator[OwnJoint]:
    """Yield the joints, each moved with the wall in which it is; one in no wall stays with its own."""
    for own in plate.joints:
        home = homes.get(one_line(own.number.rpartition("-")[0]))
        there = [home] if home else []
        there += [pair for pair in pairs if pair is not home]
        pair = next((pair for pair in there if path_in(pair.old, own.points) is not None), home)
        if pair is not None:
            label = own.number.rpartition("-")[2]
            tag = home.new.tag if home else own.number.rpartition("-")[0]
            yield replace(
                own,
                number=f"{one_line(tag)}-{label}",
                points=tuple(map(pair.over, own.points)),
                drawn=tuple(map((home or pair).over, own.drawn)),
            )


def _labels(plate: OwnPlate, homes: dict[str, _Carried], pairs: Sequence[_Carried]) -> Iterator[OwnLabel]:
    for label in plate.labels:
        named = wall_of(label.number) if label.kind == "dimension" else label.number.rpartition("-")[0]
        pair = homes.get(one_line(named)) or next(iter(pairs), None)
        if pair is not None:
            number = label.number
            if one_line(named) in homes:
                number = f"{one_line(pair.new.tag)}{number[len(named) :]}"
            points, was, text_at = (
                tuple(map(pair.over, p)) for p in (label.points, label.was, label.text_at)
            )
            yield replace(label, number=number, points=points, was=was, text_at=text_at)


def _record(record: JointRecord, pairs: Sequence[_Carried], tags: Sequence[str]) -> JointRecord:
    """Return the record with every wall under the tag and handle, and in the axes, that it has now.

    Handles of the older drawing name other things in the new one.
    """
    walls = {id(known): replace(known, handle="-") for known in record.walls}
    for pair in pairs:
        known = record.of_wall(pair.old.tag, pair.old.handle, tags)
        if known is not None:
            walls[id(known)] = _wall_record(known, pair)
    return replace(record, walls=tuple(walls.values()))


def _wall_record(known: WallRecord, pair: _Carried) -> WallRecord:
    return replace(
        known,
        tag=one_line(pair.new.tag),
        handle=pair.new.handle,
        joints=tuple(replace(joint, path=pair.line(joint.path)) for joint in known.joints),
        no_joint=tuple(replace(none, x_in=none.x_in + pair.shift[0]) for none in known.no_joint),
        superseded=tuple(replace(old, path=pair.line(old.path)) for old in known.superseded),
    )


def base_changes(
    old: Elevation, new: Elevation, settings: Settings, book: RuleBook, file: Path
) -> Iterator[Decision]:
    """Yield what changed in the base: walls, openings, and joints of the drafter's.

    Args:
        old: the older drawing without ours.
        new: the new base.
        settings: the project's settings.
        book: the rule book.
        file: the older drawing.
    """

    def issues(elevation: Elevation) -> list[Issue]:
        walls = elevation.walls
        return [Issue(wall, resolve_wall(settings, book, wall, metric=elevation.metric)) for wall in walls]

    yield Decision("carried", "", note=file.name)
    for pair in compare_issues(issues(old), issues(new)):
        for change in pair.changes:
            if change.thing != "limits":
                says = sentence_of(change, metric=new.metric, feet=not book.metric).rstrip(".")
                if change.thing == "joint":  # its place in the drafter's row is no number of ours
                    says = f"the drafter's own {says[0].lower()}{says[1:]}"
                yield Decision("base-changed", pair.tag, note=says)
