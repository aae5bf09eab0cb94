"""The fewest openings whose treatment changes, as an integer program over treatments and joints at once.

For walls with one row of openings, level edges and nothing forced. Written from docs/placement.md; lines and
panels come from `brute`, the search from OR-Tools (CP-SAT).
"""

from __future__ import annotations

from dataclasses import dataclass

from ortools.sat.python import cp_model

from layout.brute import Field
from layout.stations import (
    SAME,
    Candidate,
    Line,
    corner_fits,
    jamb_candidate,
    jambs,
    module_stations,
    near,
    piers,
    ticks,
)
from perpend.model import OpeningRule, Treatment
from perpend.rulebook.wall_basis import WallBasis


@dataclass(frozen=True)
class Walls:
    """One wall with all openings reinforced, and with all unreinforced."""

    reinforced: WallBasis
    loose: WallBasis


def both_ways(basis: WallBasis) -> Walls:
    """Return a wall treated one way, and the other way."""
    found = {}
    for treatment in Treatment:
        wall = basis
        for n, (rule, other) in enumerate(zip(basis.openings, basis.other_treatments, strict=True)):
            assert other is not None
            wall = wall.with_opening(n, rule if rule.treatment is treatment else other)
        found[treatment] = wall
    return Walls(found[Treatment.REINFORCED], found[Treatment.UNREINFORCED])


def fewest_changes(basis: WallBasis) -> int | None:
    """Return how many openings have to change at least, or None where no treatment complies."""
    walls, model = both_ways(basis), cp_model.CpModel()
    loose = [model.new_bool_var(f"loose{n}") for n in range(len(basis.openings))]
    field = Field(walls.loose, every_line(walls.loose), 0)
    taken = paths(model, field)
    for candidate, here in zip(field.candidates, taken, strict=True):
        clear_of_openings(model, walls, loose, candidate, here)
    served(model, walls.loose, loose, field, taken)
    set_loose = [rule.treatment is Treatment.UNREINFORCED for rule in basis.openings]
    model.minimize(sum(1 - var if was else var for var, was in zip(loose, set_loose, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = 60.0
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return None
    assert status == cp_model.OPTIMAL, solver.status_name(status)
    return round(solver.objective_value)


def every_line(wall: WallBasis) -> list[Candidate]:
    """List every line that is a joint's under some treatment."""
    found = [Candidate(Line((x,))) for x in module_stations(wall)]
    found += [
        jamb_candidate(wall, [(n, side)]) for n in range(len(wall.openings)) for side in ("left", "right")
    ]
    end = ticks(wall.wall.length_in)
    inside = [c for c in found if min(c.line.xs) > SAME and max(c.line.xs) < end - SAME]
    return sorted(
        (c for c in inside if corner_fits(wall, c.line.xs)), key=lambda c: (c.line.foot, c.line.head)
    )


def paths(model: cp_model.CpModel, field: Field) -> list[cp_model.LinearExpr]:
    """State that the joints taken part the wall into panels that comply; say which are taken."""
    end = len(field.candidates)
    into: list[list[cp_model.IntVar]] = [[] for _ in range(end + 1)]
    out: list[list[cp_model.IntVar]] = [[] for _ in range(end + 1)]
    for a in range(-1, end):
        for b in range(a + 1, end + 1):
            edge = field.edge(a, b)
            if edge is not None and not edge.violations and not edge.shortfall:
                arc = model.new_bool_var(f"{a}>{b}")
                into[b].append(arc)
                out[a].append(arc)  # the wall's left end is node -1, the last of the list
    model.add(sum(out[-1]) == 1)
    model.add(sum(into[end]) == 1)
    for node in range(end):
        model.add(sum(into[node]) == sum(out[node]))
    return [sum(into[node]) for node in range(end)]


def clear_of_openings(
    model: cp_model.CpModel,
    walls: Walls,
    loose: list[cp_model.IntVar],
    candidate: Candidate,
    taken: cp_model.LinearExpr,
) -> None:
    """Keep a joint away from the openings that it does not serve, as they are treated, and out of piers."""
    own = {n for n, _ in candidate.serves}
    for n in own:
        model.add(taken <= loose[n])
    for n, var in enumerate(loose):
        if n not in own:
            if enters(candidate, walls.reinforced.openings[n]):
                model.add(taken <= var)
            if enters(candidate, walls.loose.openings[n]):
                model.add(taken <= 1 - var)
    for i, k, x0, x1 in piers(walls.loose):
        within = min(candidate.line.xs) < x1 + SAME and max(candidate.line.xs) > x0 - SAME
        if within and not candidate.serves & {(i, "right"), (k, "left")}:
            model.add(taken + loose[i] + loose[k] <= 2)


def enters(candidate: Candidate, rule: OpeningRule) -> bool:
    """Say whether a line reaches into the keep-out of an opening that it does not serve."""
    if len(candidate.line.xs) == 1:
        return near(candidate.line.foot, rule)
    left, right = jambs(rule)
    clear = ticks(rule.clear_in) - SAME
    return min(candidate.line.xs) < right + clear and max(candidate.line.xs) > left - clear


def served(
    model: cp_model.CpModel,
    wall: WallBasis,
    loose: list[cp_model.IntVar],
    field: Field,
    taken: list[cp_model.LinearExpr],
) -> None:
    """State that unreinforced openings have the joints they need; across a narrow pier one serves two."""
    across: dict[tuple[int, str], tuple[int, str]] = {}
    for i, k, _, _ in piers(wall):
        across[i, "right"], across[k, "left"] = (k, "left"), (i, "right")
    at = {pair: taken[n] for n, c in enumerate(field.candidates) for pair in c.serves}
    for n, rule in enumerate(wall.openings):
        own = {side: at.get((n, side), 0) for side in ("left", "right")}
        if rule.jambs_required == 1:
            model.add(sum(own.values()) >= loose[n])
        elif rule.jambs_required == 2:
            for side, var in own.items():
                model.add(var + at.get(across.get((n, side), (-1, "")), 0) >= loose[n])
