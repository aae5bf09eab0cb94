"""What each opening asks for: joints at its jambs, room around it, and its lintel.

Glossary:
    bearing: length of the lintel that rests on masonry beside the opening.
    extension: how far the lintel of a reinforced opening runs past the jamb (past the jamb bar and on).
    reach: bearing or extension that is really there, cut by the wall's end, a step or another opening.
    pier: the masonry between two openings.
"""

from __future__ import annotations

import itertools
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from perpend.errors import InputError
from perpend.model import Box, Lintel, Opening, OpeningRule, Side, Source, Treatment, TreatmentOf, Wall
from perpend.rulebook.book_schema import Row
from perpend.rulebook.requirements import metric_share
from perpend.rulebook.rule_book import RuleBook, maybe, value
from perpend.units import SAME_IN, exceeds, falls_short, format_length, same

_INCHES_PER_FOOT = 12.0


@dataclass(frozen=True, slots=True)
class OpeningChoices:
    """What the settings say of one opening; None means the rule book's own number.

    Attributes:
        treatment: reinforced or unreinforced.
        treatment_of: of what that was said.
        method: the wall's method.
        wide_from_in: width from which an opening needs joints at both jambs.
        bearing: length in inches, ``by-span``, or None.
        lintel_depth_in: depth of the lintel drawn.
        clear_in: least distance of a joint from a reinforced opening.
        clear_why: why that may be less than the rule book's, in the project's words.
        lintel_support: ``loose`` or ``anchored``; read where the rule book tells them apart.
        metric: True in metric units, where sizes bound to the module are metric ones.
        away: True where joints are kept away from openings instead of at their jambs.
    """

    treatment: Treatment = Treatment.REINFORCED
    treatment_of: TreatmentOf = "opening"
    method: str = "empirical"
    wide_from_in: float | None = None
    bearing: float | Literal["by-span"] | None = None
    lintel_depth_in: float | None = None
    clear_in: float | None = None
    clear_why: str = ""
    lintel_support: str = "loose"
    metric: bool = False
    away: bool = False


def opening_rules(book: RuleBook, wall: Wall, choices: Sequence[OpeningChoices]) -> tuple[OpeningRule, ...]:
    """Return what is asked of every opening of a wall.

    Args:
        book: the rule book.
        wall: the wall.
        choices: what the settings say, in the order of ``wall.openings``.

    Raises:
        InputError: a setting is looser than the rule book.
    """
    wanted = [_Wanted.of(book, o, c) for o, c in zip(wall.openings, choices, strict=True)]
    room = max((maybe(row, "clear") or 0.0 for row in book.find("opening-jambs")), default=0.0)
    near_by = _neighbours(wanted, room)
    return tuple(_rule(book, wall, this, near) for this, near in zip(wanted, near_by, strict=True))


def refuse_joints_over_lintels(book: RuleBook, wall: Wall, choices: Sequence[OpeningChoices]) -> None:
    """Refuse a distance of joints from a reinforced opening that ends above its lintel.

    Raises:
        InputError: a ``joint_clear_of_opening`` is less than the lintel runs past the jamb.
    """
    for opening, chosen in zip(wall.openings, choices, strict=True):
        clear = chosen.clear_in
        if clear is None or not keeps_joints_clear(book, opening, chosen.treatment, chosen.method):
            continue
        lintel = _Wanted.of(book, opening, chosen)
        if falls_short(clear, lintel.reach_in):
            shown, end = format_length(clear), format_length(lintel.reach_in)
            raise InputError(
                f"The setting joint_clear_of_opening = {shown} would put a joint through the lintel of "
                f"{opening.tag} in {wall.tag}, which runs {end} past the jamb by "
                f"{lintel.sources[0].cite()}: use {end} or more."
            )


def bears(book: RuleBook, choices: OpeningChoices) -> bool:
    """Return False for a lintel that is anchored back to the backup, in methods that know of such."""
    return choices.lintel_support != "anchored" or book.first("veneer-lintel", method=choices.method) is None


def keeps_joints_clear(book: RuleBook, opening: Opening, treatment: Treatment, method: str) -> bool:
    """Say whether the book keeps joints a distance away that a setting may change."""
    arched = opening.arched and book.first("opening-arched") is not None
    reinforced = treatment is Treatment.REINFORCED and method != "no-joints"
    return reinforced and not arched and book.first("opening-clear", treatment="reinforced") is not None


@dataclass(frozen=True, slots=True)
class _Wanted:
    """The lintel an opening would have in endless masonry."""

    opening: Opening
    choices: OpeningChoices
    depth_in: float
    reach_in: float
    wanted_in: float
    least_in: float
    sources: tuple[Source, ...]
    bears: bool = True

    @classmethod
    def of(cls, book: RuleBook, opening: Opening, choices: OpeningChoices) -> _Wanted:
        depth, depth_source = _depth(book, choices)
        bearing, least, sources = _bearing(book, opening, choices)
        if not bears(book, choices):
            return cls(opening, choices, depth, 0.0, 0.0, 0.0, (depth_source,), bears=False)
        if choices.treatment is Treatment.REINFORCED:
            bars = book.first("opening-bars", treatment="reinforced")
            if bars is not None:
                share = metric_share(book, metric=choices.metric)
                extension = (value(bars, "bar_offset") + value(bars, "lintel_past_bar")) * share
                reach, wish = max(extension, bearing), least if choices.bearing is None else bearing
                return cls(opening, choices, depth, reach, wish, least, (*book.sources(bars), *sources))
        return cls(opening, choices, depth, bearing, bearing, least, (*sources, depth_source))

    @property
    def band(self) -> tuple[float, float]:
        """Heights of the lintel's underside and top."""
        return (self.opening.box.y1, self.opening.box.y1 + self.depth_in)


def _neighbours(wanted: Sequence[_Wanted], room_in: float) -> Iterator[list[_Wanted]]:
    """Yield for each opening the others so near that their lintels, or the room beside them, could meet.

    Two lintels cannot meet over a pier twice as wide as the longer reach; the widest opening bounds how
    far back a left jamb can stand, so that a long wall is looked through in windows, not in pairs.
    """
    order = sorted(range(len(wanted)), key=lambda i: wanted[i].opening.box.x0)
    jambs = [wanted[i].opening.box.x0 for i in order]
    pier = 2 * max((w.reach_in for w in wanted), default=0.0)
    pier = max(pier, 2 * room_in)
    widest = max((w.opening.width_in for w in wanted), default=0.0)
    for i, this in enumerate(wanted):
        first = bisect_left(jambs, this.opening.box.x0 - widest - pier)
        last = bisect_right(jambs, this.opening.box.x1 + pier)
        yield [wanted[j] for j in order[first:last] if j != i]


def _depth(book: RuleBook, choices: OpeningChoices) -> tuple[float, Source]:
    row = book.need("lintel-depth")
    usual = value(row, "depth") * metric_share(book, metric=choices.metric)
    depth = usual if choices.lintel_depth_in is None else choices.lintel_depth_in
    if depth <= 0:
        raise InputError(
            f"The setting lintel_depth = {format_length(depth)} is not above zero: give a depth."
        )
    return depth, book.source(row)


def _bearing(
    book: RuleBook, opening: Opening, choices: OpeningChoices
) -> tuple[float, float, tuple[Source, ...]]:
    """Return the bearing wanted, the least that is required, and their sources."""
    row = book.need("lintel-bearing")
    least = value(row, "at_least")
    if choices.bearing is None:
        return value(row, "usual") * metric_share(book, metric=choices.metric), least, book.sources(row)
    if isinstance(choices.bearing, str):
        span = book.need("lintel-bearing-by-span")
        by_span = value(span, "per_foot") * opening.width_in / _INCHES_PER_FOOT
        wanted = max(by_span, value(span, "at_least"), least)
        return wanted, least, (*book.sources(span), *book.sources(row))
    if falls_short(choices.bearing, least):
        shown, floor = format_length(choices.bearing), format_length(least)
        raise InputError(
            f"The setting lintel_bearing = {shown} is looser than the least bearing of {floor} by "
            f"{book.source(row, 'at_least').cite()}: use {floor} or more."
        )
    return choices.bearing, least, book.sources(row)


def _rule(book: RuleBook, wall: Wall, this: _Wanted, near_by: Sequence[_Wanted]) -> OpeningRule:
    lintel = _lintel(wall, this, near_by)
    row = _jamb_row(book, this)
    jambs, boundary, jamb_sources = _jambs(book, this, row)
    optional = row is not None and not jambs and bool(maybe(row, "may"))
    clear, clear_sources = _clear(book, this, lintel, near_by, row)
    near, near_sources = _near(book, this.opening)
    return OpeningRule(
        opening=this.opening,
        treatment=this.choices.treatment,
        jambs_required=jambs,
        clear_in=clear,
        step_in=this.reach_in if lintel and (jambs or optional) else 0.0,
        jambs_optional=optional,
        lintel=lintel,
        boundary_case=boundary,
        wide=jambs == 2,
        near_within_in=near,
        away=this.choices.away,
        clear_why=this.choices.clear_why,
        clear_asked=bool(clear_sources) and not this.opening.arched,
        bearing_in=this.wanted_in if lintel else 0.0,
        bearing_least_in=this.least_in if lintel else 0.0,
        treatment_of=this.choices.treatment_of,
        sources=tuple(dict.fromkeys((*jamb_sources, *clear_sources, *this.sources, *near_sources))),
    )


def _jambs(
    book: RuleBook, this: _Wanted, row: Row | None
) -> tuple[Literal[0, 1, 2], bool, tuple[Source, ...]]:
    """Return the joints needed at the jambs, whether the width is on the boundary, and the sources."""
    if row is None:
        return 0, False, ()
    if this.choices.away:
        return 0, False, ()
    needed, over, width = value(row, "jambs"), maybe(row, "wide_over"), this.opening.width_in
    if over is None:
        return _count(needed), False, book.sources(row)
    wide_from = this.choices.wide_from_in
    if wide_from is not None and exceeds(wide_from, over):
        most = format_length(over)
        raise InputError(
            f"The setting wide_opening_from = {format_length(wide_from)} is looser than {most} by "
            f"{book.source(row, 'wide_over').cite()}: use {most} or less."
        )
    wide = exceeds(width, over) or (wide_from is not None and not falls_short(width, wide_from))
    needed = value(row, "jambs_wide") if wide else needed
    return _count(needed), same(width, over), book.sources(row)


def _jamb_row(book: RuleBook, this: _Wanted) -> Row | None:
    """Return the row that says which jambs of an opening have joints, or None where none does."""
    choices = this.choices
    if this.opening.arched and book.first("opening-arched"):
        return None
    if choices.treatment is Treatment.REINFORCED or choices.method == "no-joints":
        return None
    return book.first("opening-jambs", treatment="unreinforced", support=choices.lintel_support)


def _count(jambs: float) -> Literal[0, 1, 2]:
    return 2 if jambs >= 2 else 1 if jambs >= 1 else 0


def _in_narrow_pier(this: _Wanted, near_by: Sequence[_Wanted], width_in: float) -> bool:
    """Say whether the masonry to a neighbor is narrower than a width, on either side."""
    sides: tuple[Side, Side] = ("left", "right")
    piers = (_pier(this.opening.box, other.opening.box, side) for other in near_by for side in sides)
    return any(pier is not None and falls_short(pier, width_in) for pier in piers)


def _clear(
    book: RuleBook, this: _Wanted, lintel: Lintel | None, near_by: Sequence[_Wanted], jambs: Row | None
) -> tuple[float, tuple[Source, ...]]:
    """Return how far other joints keep from the opening: past the end of its lintel at least."""
    arched = book.first("opening-arched")
    if this.opening.arched and arched is not None:
        return value(arched, "clear"), (book.source(arched), *book.sources(arched))
    if this.choices.treatment is Treatment.UNREINFORCED:
        away = book.first("joints-away") if this.choices.away else None
        if away is not None:
            return max(value(away, "clear"), this.reach_in), book.sources(away)
        reach = this.reach_in if lintel else 0.0
        clear = maybe(jambs, "clear") if jambs else None
        if jambs is None or clear is None or _in_narrow_pier(this, near_by, 2 * clear):
            return reach, ()
        return max(clear, reach), book.sources(jambs)
    row = book.first("opening-clear", treatment="reinforced")
    if this.choices.method == "no-joints" or row is None:
        return this.reach_in, ()
    clear = value(row, "clear") if this.choices.clear_in is None else this.choices.clear_in
    return max(clear, this.reach_in), book.sources(row)


def _near(book: RuleBook, opening: Opening) -> tuple[float | None, tuple[Source, ...]]:
    """Return the distance within which a joint must stand, in books that ask for it."""
    row = book.first("opening-near")
    if row is None or opening.arched or not is_large(book, opening):
        return None, ()
    return value(row, "within"), book.sources(row)


def is_large(book: RuleBook, opening: Opening) -> bool:
    """Say whether the book counts an opening as large (books without such a row: never)."""
    row = book.first("opening-near")
    return row is not None and (
        exceeds(opening.width_in, value(row, "over_width"))
        and exceeds(opening.box.height, value(row, "over_height"))
    )


def _lintel(wall: Wall, this: _Wanted, near_by: Sequence[_Wanted]) -> Lintel | None:
    """Return the lintel that fits into the masonry; None without masonry above, or over an arch."""
    box, head = this.opening.box, this.opening.box.y1
    above = _masonry_above(wall, near_by, box.x0, box.x1, head)
    if this.opening.arched or not exceeds(above, 0.0):
        return None
    left, left_note = _reach(wall, this, near_by, "left")
    right, right_note = _reach(wall, this, near_by, "right")
    depth = min(this.depth_in, _masonry_above(wall, near_by, box.x0 - left, box.x1 + right, head))
    notes = [note for note in (left_note, right_note) if note]
    if not this.bears:
        notes.append("anchored to the backup, no bearing on the veneer")
    if falls_short(depth, this.depth_in):
        notes.append(f"only {format_length(depth)} of masonry above")
    return Lintel(Box(box.x0 - left, head, box.x1 + right, head + depth), left, right, "; ".join(notes))


def _masonry_above(wall: Wall, near_by: Sequence[_Wanted], x0: float, x1: float, head: float) -> float:
    """Return the height of the masonry over a head, up to the wall's top or the lowest sill above."""
    sills = (
        other.opening.box.y0
        for other in near_by
        if not falls_short(other.opening.box.y0, head)
        and min(other.opening.box.x1, x1) - max(other.opening.box.x0, x0) > SAME_IN
    )
    return min(*(y for _, y in wall.top.between(x0, x1)), *sills) - head


def _reach(wall: Wall, this: _Wanted, near_by: Sequence[_Wanted], side: Side) -> tuple[float, str]:
    """Return how far the lintel reaches past a jamb, and what cuts it short, in words."""
    jamb = this.opening.box.x0 if side == "left" else this.opening.box.x1
    room, why = _masonry_beside(wall, this, jamb, side)
    for other in near_by:
        pier = _pier(this.opening.box, other.opening.box, side)
        if pier is None or not _in_the_way(this, other):
            continue
        shares = _overlap(this.band, other.band) and not other.opening.arched
        fair = max(pier / 2, pier - other.reach_in) if shares else pier
        if fair < room:
            room, why = fair, other.opening.called
    if not falls_short(room, this.reach_in):
        return this.reach_in, ""
    return room, f"{format_length(room)} on the {side}, cut by {why}"


def _masonry_beside(wall: Wall, this: _Wanted, jamb: float, side: Side) -> tuple[float, str]:
    """Return how much masonry stands beside a jamb at the height of the head."""
    head = this.opening.box.y1
    edge_room = jamb if side == "left" else wall.length_in - jamb
    if this.reach_in <= 0.0 or edge_room <= 0.0:
        return max(edge_room, 0.0), "the end of the wall"
    end = max(jamb - this.reach_in, 0.0) if side == "left" else min(jamb + this.reach_in, wall.length_in)
    line = wall.top.between(min(jamb, end), max(jamb, end))
    outward = line[::-1] if side == "left" else line
    for (xa, ya), (xb, yb) in itertools.pairwise(outward):
        if yb <= head:
            share = 1.0 if ya == yb else min(1.0, max(0.0, (ya - head) / (ya - yb)))
            return abs(xa + (xb - xa) * share - jamb), "the wall's top"
    return edge_room, "the end of the wall"


def _pier(this: Box, other: Box, side: Side) -> float | None:
    """Return the width of the pier to another opening on this side, or None when it is not there."""
    width = this.x0 - other.x1 if side == "left" else other.x0 - this.x1
    return max(width, 0.0) if width > -min(this.width, other.width) / 2 else None


def _in_the_way(this: _Wanted, other: _Wanted) -> bool:
    """Say whether another opening or its lintel stands beside this lintel or right under its end."""
    low, high = this.band
    box = other.opening.box
    beside = box.y0 < high and box.y1 > low - this.depth_in
    return beside or _overlap(this.band, other.band)


def _overlap(a: tuple[float, float], b: tuple[float, float]) -> bool:
    return min(a[1], b[1]) > max(a[0], b[0])
