"""The whole order of preferences as integer programs, solved one preference after the other.

One 0/1 variable for each panel that could stand (flow from the left end to the right end) and
openings as rows over them; what was reached is fixed before the next preference is asked for. The list of
feet is fixed joint by joint. Candidates and panels come from `brute`, the search from OR-Tools (CP-SAT).
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass

from ortools.sat.python import cp_model

from layout.brute import Edge, Field, Score, field_of, shared
from layout.stations import SAME, jambs, ticks
from perpend.rulebook.wall_basis import WallBasis

SECONDS = 60.0


@dataclass
class Program:
    """The model, its arcs and the joints that openings lack."""

    model: cp_model.CpModel
    field: Field
    arcs: dict[tuple[int, int], cp_model.IntVar]
    edges: dict[tuple[int, int], Edge]
    taken: dict[int, cp_model.LinearExpr]
    lacking: list[cp_model.IntVar]


def solve(basis: WallBasis) -> Score:
    """Return the score of the best layout by integer programming.

    Raises:
        AssertionError: the solver did not prove an optimum in its time.
    """
    program = build(field_of(basis))
    field, edges, arcs = program.field, program.edges, program.arcs
    lengths = [e.length for e in edges.values()]
    excesses = [e.excess for e in edges.values()]
    grain = math.gcd(*lengths, *excesses)
    charges = field.unbuilt + sum(c.charge for c in field.candidates if c.forced)

    violations = fix(program, sum(e.violations * arcs[k] for k, e in edges.items()) + sum(program.lacking))
    excess = fix(program, sum(e.excess // grain * arcs[k] for k, e in edges.items()))
    narrow = fix(program, sum((e.shortfall > 0) * arcs[k] for k, e in edges.items()))
    short = fix(program, sum(e.shortfall * arcs[k] for k, e in edges.items()))
    joints = fix(program, sum(program.taken.values()))
    slips = fix(program, sum(c.slips * program.taken[n] for n, c in enumerate(field.candidates)))
    longest = bottleneck(program, grain)
    squares = fix(program, sum((e.length // grain) ** 2 * arcs[k] for k, e in edges.items()))
    return (
        violations + charges,
        excess * grain,
        narrow,
        short,
        joints,
        slips,
        longest * grain,
        squares * grain**2,
        fix(
            program,
            sum(field.off_steps(c.line.foot) * program.taken[n] for n, c in enumerate(field.candidates)),
        ),
        leftmost(program),
    )


def build(field: Field) -> Program:
    """State which sets of panels are layouts."""
    model, end = cp_model.CpModel(), len(field.candidates)
    arcs, edges = {}, {}
    outgoing: dict[int, list[cp_model.IntVar]] = defaultdict(list)
    incoming: dict[int, list[cp_model.IntVar]] = defaultdict(list)
    for a in range(-1, end):
        for b in range(a + 1, end + 1):
            edge = field.edge(a, b)
            if edge is None:
                continue
            arcs[a, b] = model.new_bool_var(f"{a}>{b}")
            edges[a, b] = edge
            outgoing[a].append(arcs[a, b])
            incoming[b].append(arcs[a, b])
    model.add(sum(outgoing[-1]) == 1)
    model.add(sum(incoming[end]) == 1)
    taken = {}
    for node, candidate in enumerate(field.candidates):
        taken[node] = sum(outgoing[node])
        model.add(sum(incoming[node]) == taken[node])
        if candidate.forced:
            model.add(taken[node] == 1)
    return Program(model, field, arcs, edges, taken, lacking_of(model, field, taken))


def lacking_of(
    model: cp_model.CpModel, field: Field, taken: dict[int, cp_model.LinearExpr]
) -> list[cp_model.IntVar]:
    """Return one variable for each joint that an opening may lack."""
    found = []
    other = shared(field)
    for i, rule in enumerate(field.basis.openings):
        lack = model.new_int_var(0, 2, f"lack{i}")
        by_side = []
        for side in ("left", "right"):
            served = model.new_bool_var(f"served{i}{side}")
            keys = {(i, side)}
            if rule.jambs_required == 2 and (i, side) in other:
                keys.add(other[i, side])
            servers = [taken[n] for n, c in enumerate(field.candidates) if c.serves & keys]
            model.add(served <= sum(servers))
            by_side.append(served)
        model.add(lack >= rule.jambs_required - sum(by_side))
        found.append(lack)
        if rule.near_within_in is not None:
            reach = ticks(rule.near_within_in) + SAME
            close = [
                taken[n]
                for n, c in enumerate(field.candidates)
                if any(abs(c.line.foot - j) <= reach for j in jambs(rule))
            ]
            far = model.new_bool_var(f"far{i}")
            model.add(far >= 1 - sum(close))
            found.append(far)
    for place in field.basis.asked_places:
        if len(place.stations_in) > 1:
            stations = [ticks(x) for x in place.stations_in]
            able = [
                n
                for n, c in enumerate(field.candidates)
                if len(c.line.xs) == 1 and any(abs(c.line.foot - x) <= SAME for x in stations)
            ]
            first, last = min(stations), max(stations)
            if any(
                (first, first) < (c.line.foot, c.line.head) < (last, last)
                for c in field.candidates
                if c.forced
            ):
                continue
            bare = model.new_bool_var(f"bare{place.place.x_in}")
            model.add(bare >= 1 - sum(taken[n] for n in able))
            found.append(bare)
    return found


def fix(program: Program, goal: cp_model.LinearExpr | int) -> int:
    """Minimise a goal, fix what was reached, and return it."""
    if isinstance(goal, int):
        return goal
    program.model.minimize(goal)
    value = run(program)
    program.model.clear_objective()
    program.model.add(goal == value)
    return value


def run(program: Program) -> int:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = SECONDS
    status = solver.solve(program.model)
    assert status == cp_model.OPTIMAL, solver.status_name(status)
    program.model.clear_hints()
    for arc in program.arcs.values():
        program.model.add_hint(arc, solver.value(arc))
    return round(solver.objective_value)


def bottleneck(program: Program, grain: int) -> int:
    """Minimise the longest panel; longer ones are then out."""
    lengths = {k: e.length // grain for k, e in program.edges.items()}
    longest = program.model.new_int_var(0, max(lengths.values()), "longest")
    for key, arc in program.arcs.items():
        program.model.add(longest >= lengths[key]).only_enforce_if(arc)
    return fix(program, longest)


def leftmost(program: Program) -> tuple[tuple[int, int], ...]:
    """Fix the joints one after the other, each as far left as any best layout has it: foot, then head."""
    found: list[tuple[int, int]] = []
    at, end = {-1}, len(program.field.candidates)
    while True:
        onward = [(b, arc) for (a, b), arc in program.arcs.items() if a in at]
        ends: list[int] = []
        for along in (lambda line: line.foot, lambda line: line.head):
            program.model.minimize(sum(along(program.field.line(b)) * arc for b, arc in onward))
            ends.append(run(program))
            program.model.clear_objective()
            onward = [(b, arc) for b, arc in onward if along(program.field.line(b)) == ends[-1]]
            program.model.add(sum(arc for _, arc in onward) == 1)
        at = {b for b, _ in onward}
        if end in at:
            return tuple(found)
        found.append((ends[0], ends[1]))
