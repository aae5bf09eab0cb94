"""The note block: what the joints rest on, in sentences, and the caution."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from perpend.drawing.page.drafting_style import NOTE, DraftingStyle
from perpend.drawing.page.sheet_page import Identity
from perpend.drawing.page.text_blocks import Block, sentences_block
from perpend.drawing.plate.callouts import short_length
from perpend.drawing.plate.wall_schedule import corner_words, limit_range, without_joints
from perpend.dxf.text_metrics import plain
from perpend.model import HeightBasis, Limits, Source, WallPlan
from perpend.units import DisplaySystem, format_length

TITLE = "CONTROL JOINT NOTES"
_MM2_PER_M = 25.4**2 / 0.3048
"""Square millimeters per meter in a square inch per foot; both units are exact."""


def note_block(sentences: Sequence[tuple[str, str]], style: DraftingStyle, width_in: float) -> Block:
    """Set the note block of a sheet to a width; the sentences are those of `numbered_notes`."""
    return sentences_block(TITLE, sentences, width_in, style.text_in, NOTE, Identity("note"))


def numbered_notes(plans: Sequence[WallPlan], style: DraftingStyle) -> list[tuple[str, str]]:
    """Return what the note block says, with numbers: each sentence once for all walls that share it."""
    sentences = list(note_sentences(plans, style))
    numbered = [(f"{i}.", plain(text)) for i, text in enumerate(sentences, start=1)]
    if style.cautions:
        lead = "" if style.cautions[0].lower().startswith("caution") else "Caution: "
        numbered.append(("", plain(f"{lead}{' '.join(style.cautions)}")))
    if style.generation:
        numbered.append(("", plain(style.generation)))
    return numbered


def note_sentences(plans: Sequence[WallPlan], style: DraftingStyle) -> Iterable[str]:
    """Return the sentences of the note block, without the cautions."""
    system = style.display

    def spacing(plan: WallPlan) -> list[str]:
        return list(spacing_sentences(plan, system))

    yield from _shared(plans, lambda plan: [f"Method: {method_words(plan.limits)}."])
    yield from _shared(plans, spacing)
    yield from _shared(plans, lambda plan: [] if without_joints(plan) else [_joint_type_sentence(plan)])
    yield from _shared(plans, lambda plan: list(reinforcement_sentences(plan, system)))
    yield from _shared(plans, lambda plan: list(plan.notes))
    yield from source_sentences(plans, style)


def _shared(plans: Sequence[WallPlan], words: Callable[[WallPlan], list[str]]) -> Iterable[str]:
    """Return each distinct sentence once, led by its walls' tags where it is not true of all."""
    holders: dict[str, list[str]] = {}
    for plan in plans:
        for sentence in dict.fromkeys(words(plan)):
            holders.setdefault(sentence, []).append(plan.wall.tag)
    for sentence, tags in holders.items():
        yield sentence if len(tags) == len(plans) else f"{', '.join(tags)}: {sentence}"


def method_words(limits: Limits) -> str:
    """Name a method, the crack control coefficient where it has one, and the units it was used with."""
    by = "" if limits.ccc is None else f" by CCC {limits.ccc:.4f} in./in."
    return f"{limits.method.replace('-', ' ')}{by}, {limits.units} units"


def _joint_type_sentence(plan: WallPlan) -> str:
    known = [plan.joint_type_source] if plan.joint_type_source else []
    return f"Joint type: {plan.joint_type_name or 'not named'}.{_by(known)}"


def _by(sources: Iterable[Source]) -> str:
    """Return the documents of some sources in brackets, behind a sentence; nothing without any."""
    cited = "; ".join(dict.fromkeys(_cited(source) for source in sources))
    return f" [{cited}]" if cited else ""


def _of_rows(limits: Limits, prefix: str) -> list[Source]:
    return [source for source in limits.sources if source.row.startswith(prefix)]


def spacing_sentences(plan: WallPlan, system: DisplaySystem) -> Iterable[str]:
    """Say how far apart the joints may be, which term governs, and how near to a corner."""
    limits = plan.limits
    height = format_length(limits.height_in, system)
    basis = "wall height" if limits.height_basis is HeightBasis.WALL else "storey height"
    if limits.max_spacing_in is None:
        by = _by(_of_rows(limits, "spacing."))
        yield f"H = {height} ({basis}): no joints are needed by spacing.{by}"
        return
    ratio = f"{limits.ratio:g} x H" if limits.ratio is not None else ""
    cap = f"cap {format_length(limits.cap_in, system)}" if limits.cap_in is not None else ""
    terms = "; ".join(term for term in (ratio, cap) if term)
    governs = f"; the {limits.governing} governs" if ratio and cap else ""
    varies = limit_range(plan)
    if varies:
        least, most = (format_length(x, system) for x in varies)
        yield (
            f"H of each panel ({basis} at the panel's lower side): joint spacing not over "
            f"{least} to {most}, by panel ({terms}).{_by(_of_rows(limits, 'spacing.'))}"
        )
    else:
        yield (
            f"H = {height} ({basis}): joint spacing not over "
            f"{format_length(limits.max_spacing_in, system)} ({terms}{governs})."
            f"{_by(_of_rows(limits, 'spacing.'))}"
        )
    near = corner_words(plan, system, "within {limit} of a corner", "within {limit} of the {side} corner")
    if near:
        yield f"First joint {' and '.join(near)}.{_by(_of_rows(limits, 'corner.'))}"
    if limits.tightened:
        yield f"{limits.tightened}."


def reinforcement_sentences(plan: WallPlan, system: DisplaySystem) -> Iterable[str]:
    """Say what horizontal reinforcement is between the joints."""
    steel = plan.reinforcement
    if not steel.choices and steel.required_in2_per_ft is None:
        return
    need = (
        ""
        if steel.required_in2_per_ft is None
        else f"at least {_area(steel.required_in2_per_ft, system)} of height"
    )
    choices = [c for c in steel.choices if c.name == steel.chosen] or list(steel.choices)
    offers = " or ".join(f"{c.name} at {short_length(c.max_spacing_in, system)} o.c." for c in choices)
    parts = ": ".join(part for part in (need, offers) if part)
    asked = [steel.source] if steel.source else []
    stops = " Joint reinforcement stops at the joints." if plan.joints else ""
    said = f"Horizontal reinforcement: {parts.rstrip('.')}.{stops}"
    yield f"{said}{_by([*asked, *(c.source for c in choices)])}"


def _area(in2_per_ft: float, system: DisplaySystem) -> str:
    """Print an area of steel per length of wall height, in the drawing's system first."""
    said = f"{in2_per_ft:g} sq in. per ft"
    return f"{in2_per_ft * _MM2_PER_M:.0f} sq mm per m ({said})" if system == "metric" else said


def source_sentences(plans: Sequence[WallPlan], style: DraftingStyle) -> Iterable[str]:
    """List the documents that the plate rests on; those recalled and not seen are marked."""
    sources: dict[str, Source] = {}
    for plan in plans:
        for source in _sources(plan):
            sources.setdefault(_cited(source), source)
    recalled = any(source.unverified for source in sources.values())
    if sources:
        star = " (* recalled, the page not seen: unverified)" if recalled else ""
        yield f"Sources: {'; '.join(sources)}{star}."
    if style.rulebook_title:
        yield f"Rule book: {style.rulebook_title} {style.rulebook_version}".strip() + "."


def _sources(plan: WallPlan) -> Iterable[Source]:
    """Yield the sources of everything that is drawn of a wall."""
    steel = plan.reinforcement
    yield from plan.limits.sources
    yield from [plan.joint_type_source] if plan.joint_type_source and not without_joints(plan) else []
    yield from (c.source for c in steel.choices if steel.chosen in {None, c.name})
    yield from (source for rule in plan.openings for source in rule.sources)
    yield from (source for joint in plan.joints for source in joint.sources)


def _cited(source: Source) -> str:
    place = f"{source.document}, {source.clause}" if source.clause else source.document
    return f"{place} *" if source.unverified else place
