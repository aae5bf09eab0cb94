"""The general notes: at most eight short imperatives by any book, one of each kind, and the line of caution.

A note says a thing once for all walls and openings that share it, openings by ranges of their tags. Sources
and the rule book are no part of a contract drawing: where they are wanted they go on a layer that does not
plot (`basis_block`). What may have been read wrongly is on that layer too, wherever there is something.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from perpend.drawing.page.drafting_style import BASIS, NOTE, DraftingStyle
from perpend.drawing.page.sheet_page import Identity
from perpend.drawing.page.text_blocks import Block, sentences_block
from perpend.drawing.plate.office_words import (
    BUILDING_JOINT,
    bars_lettered,
    see_detail,
    short_length,
    steel_of,
    tag_range,
    type_words,
)
from perpend.drawing.plate.wall_schedule import corner_words, limit_range, without_joints
from perpend.dxf.own_plate import NOTE_TITLE
from perpend.dxf.text_metrics import plain, widest
from perpend.model import OpeningRule, PlaceKind, Source, Treatment, WallPlan
from perpend.units import falls_short, format_length

CAUTION = "Joint layout for review by {engineer}"
_MOST_SPACINGS = 2
"""Where more spacings than these differ, the note refers to the schedule of walls."""

Said = Callable[[WallPlan, DraftingStyle], str]


def note_block(notes: Sequence[tuple[str, str]], style: DraftingStyle, width_in: float) -> Block:
    """Set the note block of a sheet to a width; the notes are those of `numbered_notes`."""
    title = f"{style.content.joint} NOTES"
    return sentences_block(title, notes, width_in, style.text_in, NOTE, Identity("note"))


def numbered_notes(plans: Sequence[WallPlan], style: DraftingStyle) -> list[tuple[str, str]]:
    """Return the notes with their numbers, and the caution."""
    content = style.content
    made = [content.own_notes.get(key, _shared(key, say, plans, style)) for key, say in _NOTES.items()]
    kept = [plain(note) for note in (*made, *content.more_notes) if note.strip()]
    caution = plain(f"{CAUTION.format(engineer=content.engineer)}.")
    return [*((f"{i}.", note) for i, note in enumerate(kept, start=1)), ("", caution)]


def _shared(key: str, say: Said, plans: Sequence[WallPlan], style: DraftingStyle) -> str:
    """Return one note for all walls: what they share once, the rest led by the walls' tags."""
    holders: dict[str, list[str]] = {}
    for plan in plans:
        if words := say(plan, style):
            holders.setdefault(words, []).append(plan.wall.tag)
    if key == "spacing" and len(holders) > _MOST_SPACINGS and style.content.schedule:
        return f"Max. {style.content.label} spacing: see wall schedule. H = least wall height within panel."
    everywhere = [words for words, tags in holders.items() if len(tags) == len(plans)]
    apart = [f"{tag_range(tags)}: {words}" for words, tags in holders.items() if words not in everywhere]
    return " ".join((*everywhere, *apart))


def _see(style: DraftingStyle, key: str) -> str:
    return see_detail(style.content.details.get(key, ""))


def _joints(plan: WallPlan, style: DraftingStyle) -> str:
    label, name = style.content.label, style.content.joint
    if without_joints(plan):
        return f"No {label} required for shrinkage."
    key = "veneer" if plan.limits.method == "veneer" else plan.joint_type or ""
    kind, see = type_words(plan) or "type per spec.", _see(style, key)
    ties = plan.sizes.ties_in
    beside = f" Ties @ {_length(ties, style)} each side." if ties else ""
    building = any(joint.place is PlaceKind.EXPANSION_JOINT for joint in plan.joints)
    wide = f" {BUILDING_JOINT} = building expansion joint: see arch. and struct." if building else ""
    return f"{label} = {name}: {kind}, typ. U.N.O.{f'{see}.' if see else ''}{beside}{wide}"


def _width(plan: WallPlan, style: DraftingStyle) -> str:
    sizes = plan.sizes
    said = sizes.width_in and sizes.width_noted and not without_joints(plan)
    return f"{style.content.label} {_length(sizes.width_in or 0.0, style)} wide." if said else ""


def _horizontal_joints(plan: WallPlan, style: DraftingStyle) -> str:
    joints = plan.sizes.horizontal
    if joints is None or not joints.levels_in:
        return ""
    wide = f"{_length(joints.width_in, style)} min. " if joints.width_in else ""
    levels = ", ".join(format_length(y, style.display) for y in joints.levels_in)
    return f"Provide {wide}horiz. {style.content.label} below {joints.under}, {levels} above foot of wall."


def _spacing(plan: WallPlan, style: DraftingStyle) -> str:
    limits, label = plan.limits, style.content.label
    if limits.max_spacing_in is None:
        return ""
    varies = limit_range(plan)
    lengths = varies or (limits.max_spacing_in,)
    most = " to ".join(format_length(x, style.display) for x in lengths)
    ratio = f"{limits.ratio:g} H" if limits.ratio is not None else ""
    cap = f"{format_length(limits.cap_in, style.display)} max." if limits.cap_in is not None else ""
    terms = ", ".join(term for term in (ratio, cap if ratio or varies else "") if term)
    by = f"CCC = {limits.ccc:.4f} in./in.; " if limits.ccc is not None else ""
    height = "H = least wall height within panel" if varies else ""
    tail = "; ".join(term for term in (f"{by}{terms}", height) if term)
    said = f"Max. {label} spacing {most}{' by panel' if varies else ''}{f' ({tail})' if tail else ''}."
    near = corner_words(plan, style.display, "{limit} from corner", "{limit} from {side} corner")
    return f"{said} First {label} not more than {' and '.join(near)}." if near else said


def _reinforcement(plan: WallPlan, style: DraftingStyle) -> str:
    steel = steel_of(plan, style.display)
    if without_joints(plan):
        return f"Horiz. reinf.: {steel.rstrip('.')}." if steel else ""
    return f"Horiz. reinf.: {steel}; discontinue at {style.content.label}, typ." if steel else ""


def _slip_planes(plan: WallPlan, style: DraftingStyle) -> str:
    if not any(joint.slip_planes for joint in plan.joints):
        return ""
    said = (
        f"Provide bond breaker at slip plane under lintel bearing where {style.content.label} steps at jamb"
    )
    return f"{said}{_see(style, 'slip-plane')}."


def _places(plan: WallPlan, style: DraftingStyle) -> str:
    return bars_lettered(" ".join(plan.sheet_notes))


def _boundary(plan: WallPlan, style: DraftingStyle) -> str:
    widths: dict[float, list[str]] = {}
    for rule in plan.openings:
        if rule.boundary_case:
            widths.setdefault(round(rule.opening.width_in, 2), []).append(rule.opening.tag)
    label, who = style.content.label, style.content.engineer_short
    return " ".join(
        f"{tag_range(tags)} ({_length(width, style)} wide): {label} at one jamb; {who} to confirm."
        for width, tags in widths.items()
    )


def _clearance(plan: WallPlan, style: DraftingStyle) -> str:
    clear: dict[float, list[str]] = {}
    for rule in plan.openings:
        if rule.treatment is Treatment.REINFORCED and rule.clear_in > 0.0 and plan.joints:
            clear.setdefault(rule.clear_in, []).append(rule.opening.tag)
    label = style.content.label
    return " ".join(
        f"{label} {_length(width, style)} min. clear of jambs at reinf. opening{'s' * (len(tags) > 1)} "
        f"{tag_range(tags)}."
        for width, tags in clear.items()
    )


def _lintels(plan: WallPlan, style: DraftingStyle) -> str:
    arched = [rule.opening.tag for rule in plan.openings if rule.opening.arched]
    said = [f"{tag_range(arched)}: verify arch thrust W/ {style.content.engineer_short}."] if arched else []
    short: dict[str, list[str]] = {}
    for rule in plan.openings if style.content.lintels else ():
        if words := _short_bearing(rule, plan.openings, style):
            short.setdefault(words, []).append(rule.opening.tag)
    return " ".join((*said, *(f"{tag_range(tags)}: {words}" for words, tags in short.items())))


def _short_bearing(rule: OpeningRule, others: Sequence[OpeningRule], style: DraftingStyle) -> str:
    """Say how far a lintel reaches past its jamb where that is less than required."""
    if rule.lintel is None:
        return ""
    there = min(rule.lintel.bearing_left_in, rule.lintel.bearing_right_in)
    if not falls_short(there, rule.bearing_in):
        return ""
    room = rule.lintel.box.grown(rule.bearing_in)
    shared = any(other is not rule and other.opening.box.overlaps(room) for other in others)
    lengths = (_length(there, style), _length(rule.bearing_in, style))
    if shared:
        said = "lintel extends {} at shared piers ({} req'd); make continuous per {}."
    else:
        said = "lintel extends {} ({} req'd); verify W/ {}."
    return said.format(*lengths, style.content.engineer_short)


def _structure(plan: WallPlan, style: DraftingStyle) -> str:
    content = style.content
    shown = [
        *(["lintels"] if content.lintels and any(rule.lintel for rule in plan.openings) else []),
        *(["reinf. at openings"] if content.steel and any(bar.openings for bar in plan.bars) else []),
    ]
    veneer = plan.limits.method == "veneer" and any(bar.kind == "jamb" for bar in plan.bars)
    receive = " Verify that veneer units receive jamb bars." if veneer and content.steel else ""
    return f"{' and '.join(shown).capitalize()}: see struct.{receive}" if shown else ""


def _length(inches: float, style: DraftingStyle) -> str:
    return short_length(inches, style.display)


_NOTES: dict[str, Said] = {
    "joints": _joints,
    "width": _width,
    "spacing": _spacing,
    "horizontal_joints": _horizontal_joints,
    "reinforcement": _reinforcement,
    "slip_planes": _slip_planes,
    "places": _places,
    "openings": _boundary,
    "clearance": _clearance,
    "lintels": _lintels,
    "structure": _structure,
}
"""The notes by the keys of ``[text.note]``, in their order."""


def doubts_block(style: DraftingStyle, width_in: float) -> Block:
    """Set what may have been read wrongly, for the layer that does not plot."""
    said = [(f"{i}.", plain(text)) for i, text in enumerate(style.doubts, start=1)]
    title = "VERIFY BEFORE ISSUE (DOES NOT PLOT)"
    return sentences_block(title, said, width_in, style.text_in, BASIS, Identity("doubts"))


def basis_block(plans: Sequence[WallPlan], style: DraftingStyle, width_in: float) -> Block:
    """Set what the plate rests on, for the layer that does not plot."""
    said = [("", plain(text)) for text in _basis(plans, style)]
    return sentences_block("BASIS (DOES NOT PLOT)", said, width_in, style.text_in, BASIS, Identity("basis"))


def record_blocks(lines: Sequence[str], style: DraftingStyle) -> list[Block]:
    """Set the note on issues and deleted joints for the layer that does not plot; none if empty."""
    if not lines:
        return []
    said, width = [("", line) for line in lines], widest(lines, style.text_in) + style.text_in
    return [sentences_block(NOTE_TITLE, said, width, style.text_in, BASIS, Identity("record-note"))]


def _basis(plans: Sequence[WallPlan], style: DraftingStyle) -> Iterator[str]:
    sources: dict[str, Source] = {}
    for plan in plans:
        for source in _sources(plan):
            sources.setdefault(source.cite(), source)
    yield from sources
    title = f"{style.rulebook_title} {style.rulebook_version}".strip()
    yield from (text for text in (title, *style.cautions, style.generation) if text)


def _sources(plan: WallPlan) -> Iterable[Source]:
    """Yield the sources of everything that is drawn of a wall."""
    steel = plan.reinforcement
    yield from plan.limits.sources
    yield from [plan.joint_type_source] if plan.joint_type_source and not without_joints(plan) else []
    yield from (c.source for c in steel.choices if steel.chosen in {None, c.name})
    yield from (source for rule in plan.openings for source in rule.sources)
    yield from (source for joint in plan.joints for source in joint.sources)
