"""What could not be satisfied: which limits conflict, between which stations, what would free it.

A cure is never guessed: every change that is named was tried by placing the joints again with that
change, and it is named only if the wall then breaks less.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from perpend.findings import Finding, finding
from perpend.layout.adjoining_ends import distance_in
from perpend.layout.candidates import SAME, Candidate, Field, Lost, keep_outs
from perpend.layout.freeing_changes import burden_of, what_would_free, without
from perpend.layout.panel_graph import Edge, PanelGraph
from perpend.layout.search import Found
from perpend.model import OpeningRule, Place, PlaceKind, Source
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import from_ticks, to_ticks


def conflict_findings(basis: WallBasis, field: Field, graph: PanelGraph, found: Found) -> tuple[Finding, ...]:
    """Turn everything the best layout still breaks into findings.

    Args:
        basis: the wall's basis.
        field: its candidates, with what nothing can give.
        graph: the panels.
        found: the best layout.

    Returns:
        Findings from left to right; empty when the wall is satisfied.
    """
    findings: list[Finding] = []
    for edge in found.edges:
        findings += _edge_findings(basis, field, graph, edge)
    findings += [_lost_finding(basis, lost) for lost in field.lost]
    for n in found.nodes[1:-1]:
        findings += _near_findings(basis, field.candidates[n - 1])
    findings += [_end_finding(basis, end.x_in, i) for end in field.near_ends for i in end.openings]
    if not findings:
        return ()
    findings = _one_an_opening(findings)
    cure = _freeing(basis, field, found) if any(not f.cure for f in findings) else ""
    cured = [f if f.cure else replace(f, cure=cure) for f in findings]
    return tuple(sorted(cured, key=lambda f: f.at))


def _freeing(basis: WallBasis, field: Field, found: Found) -> str:
    """Say what frees the wall of all but the drawn joints that are lost, which have a cure of their own."""
    lost = {x.place.handle for x in field.lost if x.place is not None and x.place.kind is PlaceKind.EXISTING}
    violations, excess = burden_of(field, found)
    told = sum(x.place is not None and x.place.handle in lost for x in field.lost)
    return what_would_free(without(basis, lost), (violations - told, excess))


def _edge_findings(basis: WallBasis, field: Field, graph: PanelGraph, edge: Edge) -> Iterator[Finding]:
    x0, x1 = graph.lines[edge.a].foot, graph.lines[edge.b].foot
    limit = graph.limit(edge.a, edge.b)
    if limit.spacing is not None and edge.length > limit.spacing + SAME:
        yield _too_long(basis, x0, x1, edge.length, limit.spacing)
    corners = graph.corners(edge.a, edge.b)
    jointless = graph.jointless(edge.a, edge.b)
    if corners and limit.corner is not None and (jointless or edge.length > limit.corner + SAME):
        yield from _corner(basis, graph, edge, limit.corner)
    if graph.meets(edge.a, edge.b):
        yield _crossed(basis, x0, x1)
    if edge.narrow:
        yield _too_short(basis, x0, x1, edge.shortfall)
    for requirement in field.requirements:
        if edge.a < requirement.candidates[0] + 1 and requirement.candidates[-1] + 1 < edge.b:
            if requirement.opening is not None:
                yield _unserved(basis, basis.openings[requirement.opening], len(requirement.sides), "")
            elif requirement.place is not None:
                yield _lost_finding(basis, Lost(None, place=requirement.place, blocked_by="its neighbors"))


def _middle(basis: WallBasis, x: int) -> tuple[float, float]:
    station = from_ticks(x)
    low, high = max(basis.wall.bottom.at(station)), min(basis.wall.top.at(station))
    return (station, (low + high) / 2)


def _first(sources: tuple[Source, ...]) -> Source | None:
    return sources[0] if sources else None


def _too_long(basis: WallBasis, x0: int, x1: int, length: int, spacing: int) -> Finding:
    tag, in_the_way = basis.wall.tag, _in_the_way(basis, x0, x1)
    leave = "leaves" if len(in_the_way) == 1 else "leave"
    because = f" {_listed(basis, in_the_way)} {leave} no station free in between." if in_the_way else ""
    limits = basis.limits(from_ticks(x0), from_ticks(x1))
    return finding(
        "panel-too-long",
        f"The panel from {_at(basis, x0)} to {_at(basis, x1)} of {tag} is {_at(basis, length)} long; "
        f"{_at(basis, spacing)} is allowed ({_governing(limits.governing, limits.ratio)}).{because}",
        wall=basis.wall.tag,
        measured_in=from_ticks(length),
        limit_in=from_ticks(spacing),
        source=_first(basis.spacing.sources),
        at=(_middle(basis, x0), _middle(basis, x1)),
    )


def _too_short(basis: WallBasis, x0: int, x1: int, shortfall: int) -> Finding:
    least = basis.judgment.least_panel_in
    width = least - from_ticks(shortfall)
    return finding(
        "panel-too-short",
        f"The masonry between the joints at {_at(basis, x0)} and {_at(basis, x1)} of {basis.wall.tag} is "
        f"{basis.show(width)} wide at its narrowest course; {basis.show(least)} is required.",
        wall=basis.wall.tag,
        measured_in=width,
        limit_in=least,
        source=_first(basis.source_of("judgment.least-panel")),
        at=(_middle(basis, x0), _middle(basis, x1)),
    )


def _governing(governing: str, ratio: float | None) -> str:
    return f"{ratio:g} × height" if governing == "ratio" and ratio is not None else "the cap governs"


def _at(basis: WallBasis, ticks: int) -> str:
    return basis.show(from_ticks(ticks))


def _listed(basis: WallBasis, rules: list[OpeningRule]) -> str:
    return ", ".join(
        f"{r.opening.tag} ({r.treatment}, {basis.show(r.clear_in)} clear at each jamb)" for r in rules
    )


def _in_the_way(basis: WallBasis, x0: int, x1: int) -> list[OpeningRule]:
    hit = sorted(set(keep_outs(basis.openings).hit_by(x0 + 2 * SAME, x1 - 2 * SAME)))
    return [basis.openings[i] for i in hit]


def _corner(basis: WallBasis, graph: PanelGraph, edge: Edge, corner: int) -> Iterator[Finding]:
    tag, length = basis.wall.tag, _at(basis, edge.length)
    for is_left, node in ((True, edge.a), (False, edge.b)):
        if graph.corners(edge.a if is_left else -1, -1 if is_left else edge.b):
            side = "left" if is_left else "right"
            limit = _at(basis, corner)
            said = f"The first joint from the {side} corner of {tag} is {length} away; {limit} is allowed."
            if graph.jointless(edge.a, edge.b):
                said = (
                    f"{tag} ({length} long) has no joint for its {side} corner; one within {limit} is wanted."
                )
            yield finding(
                "corner-too-far",
                said,
                wall=basis.wall.tag,
                measured_in=from_ticks(edge.length),
                limit_in=from_ticks(corner),
                source=_corner_source(basis),
                at=(_middle(basis, graph.lines[node].foot),),
            )


def _corner_source(basis: WallBasis) -> Source | None:
    rows = tuple(s for s in basis.spacing.sources if s.row.startswith("corner"))
    return _first(rows or basis.spacing.sources)


def _crossed(basis: WallBasis, x0: int, x1: int) -> Finding:
    return finding(
        "joint-doubled",
        f"The joints at {_at(basis, x0)} and {_at(basis, x1)} of {basis.wall.tag} meet, "
        "and both have to stand.",
        wall=basis.wall.tag,
        source=_first(basis.source_of("place.vertical-only")),
        at=(_middle(basis, x0), _middle(basis, x1)),
        cure="Move one of the two, or leave out the one that is drawn.",
    )


def _unserved(basis: WallBasis, rule: OpeningRule, sides: int, why: str) -> Finding:
    code, need = _NEEDS[sides]
    because = f" None fits: {why}." if why else ""
    within = "" if sides or rule.near_within_in is None else f" of {basis.show(rule.near_within_in)}"
    box = rule.opening.box
    return finding(
        code,
        f"{rule.opening.tag} in {basis.wall.tag} ({rule.treatment}, {basis.show(rule.opening.width_in)} "
        f"wide) needs {need}{within}.{because}",
        wall=basis.wall.tag,
        source=_first(rule.sources),
        at=((box.x0, box.y1), (box.x1, box.y1)),
        handle=rule.opening.handle,
        opening=rule.opening.tag,
    )


def _one_an_opening(findings: list[Finding]) -> list[Finding]:
    """Tell of an opening that lacks the joints at both of its jambs once."""
    lacking = Counter(f.opening for f in findings if f.code == _BOTH_JAMBS)
    told: list[Finding] = []
    done: set[str] = set()
    for f in findings:
        if f.code != _BOTH_JAMBS or lacking[f.opening] == 1:
            told.append(f)
        elif f.opening not in done:
            done.add(f.opening)
            neither = f.message.replace("at both jambs.", "at both jambs and can have neither.")
            told.append(replace(f, code="opening-without-joint", message=neither))
    return told


_BOTH_JAMBS = "opening-needs-both-jambs"
_NEEDS = {
    0: ("no-joint-near-opening", "a joint within a distance"),
    1: (_BOTH_JAMBS, "a joint at both jambs"),
    2: ("opening-without-joint", "a joint at one jamb at least"),
}
"""By the number of jambs that would do: the code, and what is asked for."""


def _lost_finding(basis: WallBasis, lost: Lost) -> Finding:
    if lost.opening is not None:
        return _unserved(basis, basis.openings[lost.opening], len(lost.sides), lost.blocked_by)
    place = lost.place
    assert place is not None, "a lost joint belongs to an opening or to a place"
    if place.kind is PlaceKind.EXISTING:
        return _drawn_through(basis, place, lost.blocked_by)
    what = place.kind.value.replace("-", " ")
    return finding(
        f"no-joint-at-{place.kind}",
        f"{basis.wall.tag} needs a joint at {basis.show(place.x_in)} ({what}), but it would run through "
        f"{lost.blocked_by} or its lintel; none was drawn there.",
        wall=basis.wall.tag,
        source=_first(basis.source_of(place.kind.value)),
        at=((place.x_in, max(basis.wall.bottom.at(place.x_in))),),
        cure=f"Move {lost.blocked_by} clear of {basis.show(place.x_in)}, or detail the joint by hand.",
        handle=place.handle,
    )


def _drawn_through(basis: WallBasis, place: Place, tag: str) -> Finding:
    station = basis.show(place.x_in)
    return finding(
        "joint-through-opening",
        f"The joint that is drawn at {station} of {basis.wall.tag} runs through {tag} or its lintel.",
        wall=basis.wall.tag,
        source=_first(basis.source_of(place.kind.value)),
        at=((place.x_in, max(basis.wall.bottom.at(place.x_in))),),
        cure=f"Erase the drawn joint at {station}, or move it clear of {tag} and its lintel.",
        handle=place.handle,
        opening=tag,
    )


def _near_findings(basis: WallBasis, candidate: Candidate) -> Iterator[Finding]:
    for i in candidate.too_near:
        rule, line = basis.openings[i], candidate.line
        box, kind = rule.opening.box, "arched" if rule.opening.arched else rule.treatment.value
        distance = max(box.x0 - from_ticks(line.hi), from_ticks(line.lo) - box.x1)
        there = basis.show(distance)
        yield finding(
            "joint-in-keep-out",
            f"The joint at {_at(basis, line.foot)} of {basis.wall.tag} stands {there} from the "
            f"jamb of {rule.opening.tag} ({kind}); {basis.show(rule.clear_in)} is wanted.",
            wall=basis.wall.tag,
            measured_in=distance,
            limit_in=rule.clear_in,
            source=_first(rule.sources),
            at=(_middle(basis, line.foot),),
            handle=candidate.place.handle if candidate.place else "",
        )


def _end_finding(basis: WallBasis, x_in: float, index: int) -> Finding:
    rule = basis.openings[index]
    kind = "arched" if rule.opening.arched else rule.treatment.value
    distance, tag = max(distance_in(rule, x_in), 0.0), rule.opening.tag
    side = "left" if x_in <= 0.0 else "right"
    return finding(
        "joint-in-keep-out",
        f"The joint at the {side} end of {basis.wall.tag}, where another wall adjoins, stands "
        f"{basis.show(distance)} from the jamb of {tag} ({kind}); {basis.show(rule.clear_in)} is wanted.",
        wall=basis.wall.tag,
        measured_in=distance,
        limit_in=rule.clear_in,
        source=next(
            (s for s in rule.sources if s.row.startswith("opening.reinforced")), _first(rule.sources)
        ),
        at=(_middle(basis, to_ticks(x_in)),),
        cure=f"Move {tag} {basis.show(rule.clear_in)} or more away from the end, or treat it another way.",
        opening=tag,
    )
