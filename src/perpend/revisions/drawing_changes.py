"""Walls, openings, joints and limits of two issues compared, once it is known which is which."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from perpend.model import DrawnJoint, Opening, Path, Point, Wall
from perpend.revisions.change_model import Change, Difference, Issue, Kind, Value, WallPair
from perpend.revisions.joint_alignment import Lie, align, lie_of
from perpend.revisions.shape_matching import best_shift, is_mark, match_openings, match_walls, moved_box
from perpend.revisions.shared_joints_once import each_joint_once
from perpend.units import SAME_IN, same


def compare_issues(old: Sequence[Issue], new: Sequence[Issue]) -> list[WallPair]:
    """Compare the walls of two issues of a drawing.

    Returns:
        Every wall of the new drawing in its order, then those that are gone, each with its changes.
    """
    pairs = []
    for i, j in match_walls([issue.wall for issue in old], [issue.wall for issue in new]):
        a, b = (None if i is None else old[i]), (None if j is None else new[j])
        shift = best_shift(a.wall, b.wall) if a and b else (0.0, 0.0)
        pairs.append(WallPair(_tag(a, b, {issue.wall.tag for issue in new}), a, b, shift))
    places = _places(pairs)
    return each_joint_once(
        [replace(pair, changes=tuple(_changes(pair, places.get(n)))) for n, pair in enumerate(pairs)]
    )


def _tag(old: Issue | None, new: Issue | None, taken: set[str]) -> str:
    """Return what a wall is called; one that is gone may have the tag of another one that is there."""
    if new is not None:
        return new.wall.tag
    tag = old.wall.tag if old else ""
    return f"{tag} (old)" if tag in taken else tag


def _changes(pair: WallPair, place: Difference | None) -> Iterator[Change]:
    old, new = pair.old, pair.new
    if old is None and new is not None:
        yield Change("wall", "added", new.wall.tag, new.wall.tag, at=_ring(new.wall))
    elif new is None and old is not None:
        yield Change("wall", "removed", pair.tag, pair.tag, old_at=_ring(old.wall))
    elif old is not None and new is not None:
        yield from _of_wall(old, new, pair.shift, place)
        yield from _of_openings(old, new, pair.shift)
        yield from _of_joints(old, new, pair.shift)
        yield from _of_limits(old, new)


def _differing(*pairs: tuple[str, Value, Value]) -> tuple[Difference, ...]:
    return tuple(Difference(what, was, now) for what, was, now in pairs if not _equal(was, now))


def _equal(a: Value, b: Value) -> bool:
    return same(a, b) if isinstance(a, float) and isinstance(b, float) else a == b


def _marks(was: str, now: str) -> Iterator[tuple[str, Value, Value]]:
    """Yield the marks to be compared; ``opening 3`` becomes ``opening 4`` by itself."""
    if is_mark(was) or is_mark(now):
        yield "mark", was if is_mark(was) else "none", now if is_mark(now) else "none"


def _of_wall(old: Issue, new: Issue, shift: Point, place: Difference | None) -> Iterator[Change]:
    was, now = old.wall, new.wall
    differences = _differing(
        *_marks(was.tag, now.tag),
        ("length", was.length_in, now.length_in),
        ("least height", was.height_in, now.height_in),
        ("greatest height", was.greatest_height_in, now.greatest_height_in),
        ("left end", old.basis.left_end.value, new.basis.left_end.value),
        ("right end", old.basis.right_end.value, new.basis.right_end.value),
    )
    if place is not None:
        differences = (*differences, place)
    before, after = _moved(_ring(was), shift), _ring(now)
    shapes = {"length", "least height", "greatest height"}
    if not shapes & {d.what for d in differences} and not _same_ring(before, after):
        differences = (*differences, Difference("outline", "as it was", "another line of top or bottom"))
    if differences:
        only_place = all(d is place for d in differences)
        kind: Kind = "moved" if only_place else "changed"
        yield Change("wall", kind, now.tag, now.tag, _other(was.tag, now.tag), differences, after, before)


def _of_openings(old: Issue, new: Issue, shift: Point) -> Iterator[Change]:
    tag = new.wall.tag
    for i, j in match_openings(old.wall.openings, new.wall.openings, shift):
        was = None if i is None else old.wall.openings[i]
        now = None if j is None else new.wall.openings[j]
        if was is None and now is not None:
            yield Change("opening", "added", tag, now.tag, at=_outline(now))
        elif now is None and was is not None:
            yield Change("opening", "removed", tag, was.tag, old_at=_moved(_outline(was), shift))
        elif i is not None and j is not None and was is not None and now is not None:
            treated = (old.basis.openings[i].treatment.value, new.basis.openings[j].treatment.value)
            yield from _of_opening(tag, was, now, shift, treated)


def _of_opening(
    wall: str, was: Opening, now: Opening, shift: Point, treated: tuple[str, str]
) -> Iterator[Change]:
    there, here = moved_box(was.box, shift), now.box
    place = _differing(("left jamb", there.x0, here.x0), ("sill", there.y0, here.y0))
    others = _differing(
        *_marks(was.tag, now.tag),
        ("width", there.width, here.width),
        ("height", there.height, here.height),
        ("treatment", *treated),
        ("head", "arched" if was.arched else "level", "arched" if now.arched else "level"),
    )
    if place or others:
        kind: Kind = "changed" if others else "moved"
        yield Change(
            "opening",
            kind,
            wall,
            now.tag,
            _other(was.tag, now.tag),
            (*others, *place),
            _outline(now),
            _moved(_outline(was), shift),
        )


def _of_joints(old: Issue, new: Issue, shift: Point) -> Iterator[Change]:
    before = _in_order(old.wall.drawn_joints)
    after = _in_order(new.wall.drawn_joints)
    lies = [lie_of(j, old.wall, old.number(j), shift) for j in before]
    lies_now = [lie_of(j, new.wall, new.number(j)) for j in after]
    tag = new.wall.tag
    for i, j in align(lies, lies_now):
        if i is None and j is not None:
            yield Change(
                "joint", "added", tag, new.name(after[j]), at=after[j].path, handles=after[j].handles
            )
        elif j is None and i is not None:
            gone, there = before[i], _moved(before[i].path, shift)
            yield Change("joint", "removed", tag, old.name(gone), old_at=there, handles=gone.handles)
        elif i is not None and j is not None:
            a, b = lies[i], lies_now[j]
            types = (old.joint_type(before[i]), new.joint_type(after[j]))
            place = _differing(
                ("station", a.foot_in, b.foot_in),
                ("station of its head", a.head_in, b.head_in),
                ("height of its step", _step(a), _step(b)),
                ("foot", _edge(a.low_in, "bottom"), _edge(b.low_in, "bottom")),
                ("head", _edge(a.high_in, "top"), _edge(b.high_in, "top")),
            )
            place = _upright(place)
            if not place and not a.bends_like(b):
                place = (Difference("line between foot and head", "as it was", "another one"),)
            others = _differing(("type", *types), ("layer", before[i].layer, after[j].layer))
            if place or others:
                kind: Kind = "retyped" if not place else "moved" if _is_move(place) else "changed"
                names = old.name(before[i]), new.name(after[j])
                yield Change(
                    "joint",
                    kind,
                    tag,
                    names[1],
                    _other(*names),
                    (*place, *others),
                    after[j].path,
                    _moved(before[i].path, shift),
                    after[j].handles,
                )


def _in_order(joints: Sequence[DrawnJoint]) -> list[DrawnJoint]:
    return sorted(joints, key=lambda j: (j.path[0], j.path[-1]))


def _step(lie: Lie) -> Value:
    return lie.bends[0][1] if lie.bends else "none"


def _edge(height_in: float | None, edge: str) -> Value:
    return f"at the {edge} of the wall" if height_in is None else height_in


def _upright(place: Sequence[Difference]) -> tuple[Difference, ...]:
    """Leave the station of the head out where it is that of the foot, before and after."""
    foot = next((d for d in place if d.what == "station"), None)
    return tuple(
        d
        for d in place
        if d.what != "station of its head" or foot is None or (d.was, d.now) != (foot.was, foot.now)
    )


def _is_move(place: Sequence[Difference]) -> bool:
    return any(d.what.startswith("station") for d in place)


def _of_limits(old: Issue, new: Issue) -> Iterator[Change]:
    was, now = (issue.basis.limits(0.0, issue.wall.length_in) for issue in (old, new))
    differences = _differing(
        ("method", was.method, now.method),
        ("units", was.units, now.units),
        ("greatest joint spacing", was.max_spacing_in, now.max_spacing_in),
        ("greatest distance from a corner", was.corner_distance_in, now.corner_distance_in),
        ("least distance from a corner", was.corner_min_in, now.corner_min_in),
        ("module", old.basis.module_in, new.basis.module_in),
    )
    if differences:
        yield Change("limits", "changed", new.wall.tag, "limits", differences=differences)


def _places(pairs: Sequence[WallPair]) -> dict[int, Difference]:
    """Return where on the sheet walls moved that the others did not go with, by index of the pair."""
    moved: dict[int, Point] = {}
    for number, pair in enumerate(pairs):
        if pair.old is not None and pair.new is not None:
            before, after = pair.old.wall.frame, pair.new.wall.frame
            x, y = after.to_drawing(pair.shift)
            here = (x * after.inches_per_unit, y * after.inches_per_unit)
            there = tuple(c * before.inches_per_unit for c in before.to_drawing((0.0, 0.0)))
            moved[number] = (here[0] - there[0], here[1] - there[1])
    grains = Counter((round(x / SAME_IN), round(y / SAME_IN)) for x, y in moved.values())
    if not grains:
        return {}
    common = max(grains, key=lambda grain: (grains[grain], grain == (0, 0)))
    base = (common[0] * SAME_IN, common[1] * SAME_IN)
    found = {}
    for number, (x, y) in moved.items():
        by = max(abs(x - base[0]), abs(y - base[1]))
        if by > 2 * SAME_IN:
            found[number] = Difference("place on the sheet, beside the other walls", 0.0, by)
    return found


def _ring(wall: Wall) -> Path:
    return (*wall.bottom.points, *reversed(wall.top.points))


def _outline(opening: Opening) -> Path:
    return opening.outline or opening.box.corners


def _moved(path: Path, by: Point) -> Path:
    return tuple((x + by[0], y + by[1]) for x, y in path)


def _other(was: str, now: str) -> str:
    return was if was != now else ""


def _same_ring(a: Path, b: Path) -> bool:
    """Say whether two outlines run along one line, whatever points they have between."""
    from shapely import LinearRing

    return bool(LinearRing(a).hausdorff_distance(LinearRing(b)) <= SAME_IN)
