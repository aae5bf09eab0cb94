"""What the callouts of a page say, each thing once, and at what they may point."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from perpend.drawing.page.drafting_style import Content
from perpend.drawing.page.scene import PlacedPlan, Scene, rule_of
from perpend.drawing.page.sheet_page import Identity
from perpend.drawing.plate.office_words import see_detail, short_length
from perpend.dxf.text_metrics import plain
from perpend.model import Bar, Lintel, OpeningRule, Point, Treatment, WallPlan
from perpend.units import DisplaySystem, same


@dataclass(frozen=True, slots=True)
class Callout:
    """Something to say about one or more things of a page, which run level or ``upright``."""

    lines: tuple[str, ...]
    anchors: tuple[Point, ...]
    identity: Identity
    upright: bool = False


def gathered(scene: Scene) -> Iterable[Callout]:
    """Yield every callout of a page: collect what is to be said, equal texts together."""
    anchors: dict[tuple[str, ...], list[Point]] = {}
    identities: dict[tuple[str, ...], Identity] = {}
    counts: dict[tuple[str, ...], int] = {}
    for placed in scene.plans:
        for lines, points, identity in _sayings(scene, placed):
            anchors.setdefault(lines, []).extend(placed.spot.path(tuple(points)))
            identities.setdefault(lines, identity)
            counts[lines] = counts.get(lines, 0) + 1
    for lines, points in anchors.items():
        said = (*lines[:-1], f"{lines[-1]}, TYP.") if counts[lines] > 1 else lines
        yield Callout(said, tuple(points), identities[lines], lines[0] == _JAMB_BAR)


def _sayings(scene: Scene, placed: PlacedPlan) -> Iterator[tuple[tuple[str, ...], list[Point], Identity]]:
    """Return every thing worth a callout in one wall: text, anchors, identity."""
    system, content = scene.style.display, scene.style.content
    plan = placed.plan
    for rule in plan.openings if content.lintels else ():
        if rule.lintel is not None:
            identity = Identity("callout", rule.opening.tag, rule_of(rule.sources))
            words = _lintel_words(rule, rule.lintel, system)
            yield words, _on_lintel(rule.lintel, plan, scene.h), identity
    for joint in plan.joints:
        for plane in joint.slip_planes:
            identity = Identity("callout", placed.number(joint), rule_of(joint.sources))
            middle = ((plane.x0_in + plane.x1_in) / 2, plane.y_in)
            see = _see(content, "slip-plane")
            yield ("SLIP PLANE: BOND BREAKER", f"UNDER LINTEL BRG.{see}"), [middle], identity
    below_sill = any(_is_below_sill(bar, plan.openings) for bar in plan.bars)
    for bar in plan.bars if content.steel else ():
        words = tuple(line.format(content.label) for line in _bar_words(bar, below_sill=below_sill))
        yield words, _on_bar(bar), Identity("callout", " ".join(bar.openings))
    for place in plan.debonded if content.steel else ():
        see = _see(content, "bond-beam-through") or "; SEE STRUCT."
        yield (f"BOND BEAM REINF. CONT. THRU {content.label}{see}",), [place], Identity("callout")


def _see(content: Content, key: str) -> str:
    return plain(see_detail(content.details.get(key, "")))


def _lintel_words(rule: OpeningRule, lintel: Lintel, system: DisplaySystem) -> tuple[str, ...]:
    if same(lintel.bearing_left_in, 0.0) and same(lintel.bearing_right_in, 0.0):
        return ("LINTEL; SEE STRUCT.",)
    left, right = short_length(lintel.bearing_left_in, system), short_length(lintel.bearing_right_in, system)
    noun = "PAST JAMB" if rule.treatment is Treatment.REINFORCED else "BRG."
    if max(lintel.bearing_left_in, lintel.bearing_right_in) == 0.0:
        words = "LINTEL, ANCHORED TO BACKUP;"
    elif same(lintel.bearing_left_in, lintel.bearing_right_in):
        words = f"LINTEL, {left} {noun} EA. END;"
    else:
        words = f"LINTEL, {noun} {left} LEFT, {right} RIGHT;"
    return (plain(words), "SEE STRUCT.")


def _on_lintel(lintel: Lintel, plan: WallPlan, clear_in: float) -> list[Point]:
    """Return where a leader to a lintel may end: off the joints that go up from it, if it can be."""
    box = lintel.box
    quarter = box.width / 4
    points = [(x, box.y1) for x in (box.center[0], box.x0 + quarter / 2, box.x1 - quarter / 2)]
    above = [x for joint in plan.joints for x, y in joint.path if y >= box.y1 and box.x0 < x < box.x1]
    return [p for p in points if all(abs(p[0] - x) > clear_in for x in above)] or points


_JAMB_BAR = "VERT. BAR EA. JAMB,"
_BAR_WORDS = {
    "jamb": (_JAMB_BAR, "FULL HEIGHT OF WALL"),
    "sill": ("HORIZ. REINF. BELOW SILL,", "{0} TO {0}"),
    "head": ("HORIZ. REINF. ABOVE HEAD",),
    "bed": ("JOINT REINF. IN BED JOINTS", "ABOVE HEAD AND BELOW SILL"),
    "horizontal": ("HORIZ. JOINT REINF.;", "DISCONTINUE AT {0}"),
    "bond-beam": ("BOND BEAM",),
}


def _is_below_sill(bar: Bar, rules: Iterable[OpeningRule]) -> bool:
    """Say whether a bar in a bed joint lies below the opening that it is for."""
    sills = (rule.opening.box.y0 for rule in rules if rule.opening.tag in bar.openings)
    return bar.kind == "bed" and any(bar.path[0][1] < sill for sill in sills)


def _bar_words(bar: Bar, *, below_sill: bool) -> tuple[str, ...]:
    if bar.kind == "bed" and not below_sill:
        return ("JOINT REINF. IN BED JOINTS", "ABOVE HEAD")
    if bar.kind == "sill" and "past" in bar.note:
        return ("HORIZ. REINF. BELOW SILL,", "PAST EA. JAMB")
    if bar.stops_at:
        return (_JAMB_BAR, "STOP AT OPENING")
    return _BAR_WORDS[bar.kind]


def _on_bar(bar: Bar) -> list[Point]:
    (xa, ya), (xb, yb) = bar.path[0], bar.path[-1]
    return [(xa + (xb - xa) * t, ya + (yb - ya) * t) for t in (0.5, 0.85, 0.15)]
