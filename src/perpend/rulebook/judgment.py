"""What an engineer judges beyond the tables: least panels, piers, places where joints go, and where none may.

Glossary:
    least panel: the least width of a piece of masonry between two joints, on any course.
    narrow pier: masonry between two openings that is too narrow for a joint at both its jambs.
    keep-out: stations that no joint may enter, whatever its height.
    restraint: what holds the masonry on both sides of it, such as a bonded wall; the next joints are near it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Literal

from perpend.model import Opening, Place, PlaceKind, Source, Wall, ZoneKind
from perpend.rulebook.book_schema import Row
from perpend.rulebook.rule_book import RuleBook, maybe, value
from perpend.units import exceeds

Intersections = Literal["joint", "unbonded", "bonded"]
Pilasters = Literal["bonded", "unbonded"]


@dataclass(frozen=True, slots=True)
class JudgmentChoices:
    """What the settings say; None means the rule book's own number.

    Attributes:
        least_panel_in: least width of masonry between two joints.
        narrow_pier_in: a pier narrower than this has a joint at one jamb at most.
        height_change_in: a change of the top up to this needs no joint.
        strip_in: an opening wider than this that is long and low has panels of its own below and above.
        strip_steel_under_in: such a panel whose joints would be nearer to each other takes steel instead.
        bearing_clear_in: how far joints keep from a bearing.
        intersections: what an intersecting wall asks of the wall that it meets.
        pilasters: whether they are bonded to the wall: at one face of them is a joint then, else at both.
    """

    least_panel_in: float | None = None
    narrow_pier_in: float | None = None
    height_change_in: float | None = None
    strip_in: float | None = None
    strip_steel_under_in: float | None = None
    bearing_clear_in: float | None = None
    intersections: Intersections | None = None
    pilasters: Pilasters | None = None


@dataclass(frozen=True, slots=True)
class Judgment:
    """Numbers that bind the joints of one wall beyond spacing and openings; 0 or None asks nothing.

    Attributes:
        least_panel_in: as in `JudgmentChoices`.
        narrow_panel_in: a piece of masonry between two joints that is narrower is worth a remark.
        narrow_taller_than: part of its width above which the height of such a piece is worth that remark.
        narrow_pier_in: as in `JudgmentChoices`.
        height_change_in: likewise.
        footing_step_over: part of the lower height above which a step of the footing is worth a remark.
        strip_in: as in `JudgmentChoices`; None where the book knows no strips.
        strip_times: width over height from which an opening is long and low.
        strip_steel_under_in: as in `JudgmentChoices`; it moves no whole joint.
    """

    least_panel_in: float = 0.0
    narrow_panel_in: float = 0.0
    narrow_pier_in: float = 0.0
    height_change_in: float = 0.0
    footing_step_over: float | None = None
    strip_in: float | None = None
    strip_times: float = 1.0
    strip_steel_under_in: float = field(default=0.0, repr=False)
    narrow_taller_than: float = field(default=0.0, repr=False)

    def is_strip(self, wall: Wall, opening: Opening) -> bool:
        """Say whether the masonry below and above an opening are panels with their own heights.

        There is a wall below it: a door is no strip, however wide, nor is a transom over one.
        """
        if self.strip_in is None or opening.arched or not exceeds(opening.width_in, self.strip_in):
            return False
        box = opening.box
        if exceeds(self.strip_times * box.height, opening.width_in):
            return False
        beneath = (
            other.box.y1
            for other in wall.openings
            if not exceeds(other.box.y1, box.y0)
            and min(box.x1, other.box.x1) - max(box.x0, other.box.x0) >= box.width / 2
        )
        floor = max(*beneath, *(y for _, y in wall.bottom.between(box.x0, box.x1)))
        return box.y0 - floor > self.height_change_in


@dataclass(frozen=True, slots=True)
class PlaceRule:
    """What a place asks for: a joint at one of some stations.

    Attributes:
        place: the place.
        stations_in: a joint must stand at one of them; left to right.
        width_in: how wide that joint is drawn; 0 for a line.
        own_piece_in: from joint to joint, what stands by itself there and is no panel: a pilaster that is
            not bonded to the wall; None elsewhere.
    """

    place: Place
    stations_in: tuple[float, ...]
    width_in: float = 0.0
    own_piece_in: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class KeepOut:
    """Stations between which no joint may stand.

    Attributes:
        x0_in: left end; a joint may stand there.
        x1_in: right end; likewise.
        code: of the finding when one does, or empty where only the designer keeps out.
        what: what is there, in words.
        handle: of its entity.
        source: the row.
    """

    x0_in: float
    x1_in: float
    code: str
    what: str
    handle: str = ""
    source: Source | None = None


@dataclass(frozen=True, slots=True)
class Restraint:
    """What holds the masonry where no joint is, so that the next one on either side has to be near.

    Attributes:
        x0_in: its left face.
        x1_in: its right face.
        within_in: how far the next joint may be; None: as far as from a corner, by the spacing of the panel.
        what: what is there, in words.
        handle: of its entity.
    """

    x0_in: float
    x1_in: float
    within_in: float | None = None
    what: str = "bonded wall"
    handle: str = ""

    @property
    def middle_in(self) -> float:
        """Station of its middle."""
        return (self.x0_in + self.x1_in) / 2


def judgment(book: RuleBook, choices: JudgmentChoices) -> Judgment:
    """Return the numbers that bind a wall, the settings over the book's own."""
    panel, pier = book.first("least-panel"), book.first("narrow-pier")
    step, strip = book.first("footing-step"), book.first("strip-opening")
    heights = book.find("place", place="height-change")
    rise = maybe(heights[0], "rise_over") if heights else None
    return Judgment(
        least_panel_in=_chosen(choices.least_panel_in, panel, "least"),
        narrow_panel_in=value(panel, "advisory_under") if panel else 0.0,
        narrow_taller_than=value(panel, "advisory_taller_than") if panel else 0.0,
        narrow_pier_in=_chosen(choices.narrow_pier_in, pier, "under"),
        height_change_in=(rise or 0.0) if choices.height_change_in is None else choices.height_change_in,
        footing_step_over=value(step, "part_over") if step else None,
        strip_in=choices.strip_in
        if choices.strip_in is not None
        else value(strip, "over")
        if strip
        else None,
        strip_times=value(strip, "times_height") if strip else 1.0,
        strip_steel_under_in=_chosen(choices.strip_steel_under_in, strip, "steel_under"),
    )


def _chosen(chosen: float | None, row: Row | None, number: str) -> float:
    return chosen if chosen is not None else value(row, number) if row else 0.0


def place_rules(book: RuleBook, wall: Wall, choices: JudgmentChoices) -> tuple[PlaceRule, ...]:
    """Return what the places of a wall ask for, but changes of height, which its edges show."""
    found = (rule for place in wall.places for rule in _asked_by(book, place, choices))
    return tuple(found)


def _asked_by(book: RuleBook, place: Place, choices: JudgmentChoices) -> Iterator[PlaceRule]:
    faces = place.faces_in
    if place.kind is PlaceKind.INTERSECTION and intersections_of(book, choices) != "joint":
        return
    if place.kind is PlaceKind.PILASTER and faces and pilasters_of(book, choices) == "unbonded":
        yield from (PlaceRule(replace(place, x_in=x), (x,), own_piece_in=faces) for x in faces)
    elif place.kind is PlaceKind.PILASTER and faces:
        yield PlaceRule(place, faces)
    elif place.kind is PlaceKind.THICKNESS_CHANGE and faces:
        row = book.first("recess")
        if row is not None and not exceeds(faces[1] - faces[0], value(row, "up_to")):
            yield PlaceRule(place, faces)
        else:
            yield from (PlaceRule(place, (x,)) for x in faces)
    elif place.kind is PlaceKind.EXPANSION_JOINT and faces:
        yield PlaceRule(place, (place.x_in,), faces[1] - faces[0])
    else:
        yield PlaceRule(place, (place.x_in,))


def pilasters_of(book: RuleBook, choices: JudgmentChoices) -> Pilasters:
    """Say whether pilasters are bonded to the wall."""
    if choices.pilasters is not None:
        return choices.pilasters
    row = book.first("pilasters")
    return "unbonded" if row and row.says["usual"] == "unbonded" else "bonded"


def intersections_of(book: RuleBook, choices: JudgmentChoices) -> Intersections:
    """Return what an intersecting wall asks of the wall that it meets."""
    if choices.intersections is not None:
        return choices.intersections
    row = book.first("intersections")
    usual: dict[str, Intersections] = {"unbonded": "unbonded", "bonded": "bonded"}
    return usual.get(row.says["usual"], "joint") if row else "joint"


def keep_outs_of(
    book: RuleBook, wall: Wall, choices: JudgmentChoices, rules: tuple[PlaceRule, ...]
) -> tuple[KeepOut, ...]:
    """Return the stations that no joint may enter, openings left aside, left to right."""
    found = [_inside_place(book, rule, *_sides(rule)) for rule in rules if len(_sides(rule)) > 1]
    found += [_bonded(book, held) for held in restraints_of(book, wall, choices)]
    bearing = book.first("bearing")
    for zone in wall.zones:
        source = book.source(row) if (row := _row_of(book, zone.kind)) else None
        named = f"{_WHAT[zone.kind]}{f' ({zone.text})' if zone.text else ''}"
        clear = _chosen(choices.bearing_clear_in, bearing, "clear") if zone.kind is ZoneKind.BEARING else 0.0
        found.append(
            KeepOut(zone.box.x0 - clear, zone.box.x1 + clear, _CODES[zone.kind], named, zone.handle, source)
        )
    return tuple(sorted(found, key=lambda k: (k.x0_in, k.x1_in)))


_WHAT = {ZoneKind.BEARING: "a bearing", ZoneKind.NO_JOINTS: "a part of the wall that is kept free of joints"}
_CODES = {ZoneKind.BEARING: "joint-under-bearing", ZoneKind.NO_JOINTS: "joint-in-no-joint-zone"}


def _row_of(book: RuleBook, kind: ZoneKind) -> Row | None:
    return book.first("bearing" if kind is ZoneKind.BEARING else "no-joint-zone")


def _sides(rule: PlaceRule) -> tuple[float, ...]:
    """Return the two sides of what a place is; where both have a joint, with the left one alone."""
    if rule.own_piece_in is not None and rule.stations_in[0] == rule.own_piece_in[0]:
        return rule.own_piece_in
    return (rule.stations_in[0], rule.stations_in[-1]) if len(rule.stations_in) > 1 else ()


def _inside_place(book: RuleBook, rule: PlaceRule, x0_in: float, x1_in: float) -> KeepOut:
    pilaster = rule.place.kind is PlaceKind.PILASTER
    row = next(iter(book.find("place", place=rule.place.kind.value)), None)
    return KeepOut(
        x0_in,
        x1_in,
        "joint-through-pilaster" if pilaster else "",
        "a pilaster" if pilaster else "a recess",
        rule.place.handle,
        book.source(row) if row else None,
    )


def restraints_of(book: RuleBook, wall: Wall, choices: JudgmentChoices) -> tuple[Restraint, ...]:
    """Return the bonded intersecting walls, left to right."""
    if intersections_of(book, choices) != "bonded":
        return ()
    places = (place for place in wall.places if place.kind is PlaceKind.INTERSECTION)
    found = (Restraint(*(p.faces_in or (p.x_in, p.x_in)), handle=p.handle) for p in places)
    return tuple(sorted(found, key=lambda r: r.middle_in))


def _bonded(book: RuleBook, held: Restraint) -> KeepOut:
    row = book.first("intersections")
    clear = value(row, "bonded_clear") if row else 0.0
    source = book.source(row) if row else None
    what = "a bonded intersecting wall"
    return KeepOut(held.x0_in - clear, held.x1_in + clear, "joint-at-bonded-wall", what, held.handle, source)
