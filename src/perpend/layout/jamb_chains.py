"""Which jambs one joint passes on its way up: those of one opening, or of several above one another.

docs/placement.md is the specification. Positions are in ticks.

Glossary:
    chain: openings from the lowest up, each with the side on which the joint passes it.
    in line: the next opening has its jamb on the same side above the jamb below.
    out of line: the joint comes up to the next opening's sill, and goes on from either jamb of it.
"""

from __future__ import annotations

from collections.abc import Iterator

from perpend.layout.joint_lines import jamb_of, lintel_end
from perpend.layout.joint_requirements import SIDES
from perpend.layout.kept_out_stations import SAME, KeepOuts, kept_out
from perpend.model import OpeningRule, Side, Treatment
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import to_ticks

Jamb = tuple[int, Side]
Chain = tuple[Jamb, ...]


def jamb_chains(basis: WallBasis) -> Iterator[Chain]:
    """Yield what a joint at a jamb can serve, for every way up the wall."""
    rules = basis.openings
    taking = [i for i, rule in enumerate(rules) if _takes_jambs(rule)]
    spans = kept_out(
        (jamb_of(rules[i], "left") - 2 * SAME, jamb_of(rules[i], "right") + 2 * SAME, i) for i in taking
    )
    onward = {(i, side): _next_above(basis, spans, i, side) for side in SIDES for i in taking}
    passed = {jamb for ways in onward.values() if len(ways) == 1 for jamb in ways}

    def up(chain: Chain) -> Iterator[Chain]:
        ways = onward[chain[-1]]
        for jamb in ways:
            yield from up((*chain, jamb))
        if not ways:
            yield chain

    for jamb in onward:
        if jamb not in passed:
            yield from up((jamb,))


def _takes_jambs(rule: OpeningRule) -> bool:
    """Say whether joints may stand at the jambs of an opening."""
    return rule.treatment is Treatment.UNREINFORCED and (rule.jambs_required > 0 or rule.jambs_optional)


def strays_from(rule: OpeningRule, foot: int) -> bool:
    """Say whether a joint's foot is neither between the jambs of an opening nor within its clear distance."""
    clear = to_ticks(rule.clear_in) + SAME
    return not jamb_of(rule, "left") - clear <= foot <= jamb_of(rule, "right") + clear


def _next_above(basis: WallBasis, spans: KeepOuts, index: int, side: Side) -> tuple[Jamb, ...]:
    """Return the jambs from which a joint goes on at the next opening above: one in line, else either."""
    rules = basis.openings
    rule, head = rules[index], to_ticks(rules[index].opening.box.y1)
    jamb, beyond = jamb_of(rule, side), lintel_end(rule, side)
    found: list[tuple[int, int, tuple[Jamb, ...]]] = []
    for other in spans.hit_by(min(jamb, beyond), max(jamb, beyond)):
        above = rules[other]
        sill = to_ticks(above.opening.box.y0)
        if other == index or sill < head - SAME:
            continue
        if abs(jamb_of(above, side) - jamb) <= SAME:
            found.append((sill, other, ((other, side),)))
        elif jamb_of(above, "left") - SAME <= beyond <= jamb_of(above, "right") + SAME:
            strips = any(basis.judgment.is_strip(basis.wall, r.opening) for r in (rule, above))
            if not strips:
                found.append((sill, other, tuple((other, way) for way in SIDES)))
    return min(found)[2] if found else ()
