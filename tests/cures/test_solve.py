"""Every cure carried out as data: its finding is gone and no new one is made, on 1,000 walls with faults."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import pytest

from checks.cases import read_cases
from checks.faults import FAULTS, FAULTS_OF_EVERY_BOOK
from checks.random_walls import OTHER_BOOKS, basis_by_book, random_basis
from checks.test_nearest import plain_wall, small_basis, upright
from cures.carried_out import carried_out, key_of, left_and_new
from layout.test_treatment_mix import fewest, row_of_doors
from perpend.checks import check_wall, joints_from_drawn
from perpend.checks.registry import CODES
from perpend.cures.apply import DrawnWall
from perpend.cures.solve import Solution, nearest_for, solve
from perpend.findings import Finding, Severity, Waived
from perpend.layout import place_joints
from perpend.model import Advice, BeamChange, Joint, JointChange, JointKind, Treat
from perpend.rulebook import WallBasis

PARTS = 4
WALLS = 1000
WALLS_OF_EVERY_BOOK = 80


def solved(basis: WallBasis, joints: Sequence[Joint]) -> Solution:
    report = check_wall(basis, joints)
    return solve(DrawnWall.of(basis, joints, report), report.findings)


def tried(basis: WallBasis, joints: Sequence[Joint], where: str) -> Counter[tuple[str, bool]]:
    """Carry out every cure of a wall by itself; count what joints can cure, by rule and outcome."""
    done: Counter[tuple[str, bool]] = Counter()
    for found in solved(basis, joints).findings:
        assert found.cure is not None
        assert found.cure.changes
        if CODES[found.code].by_joints:
            done[found.code, found.cure.complies] += 1
        if not found.cure.complies:
            continue
        for changes in (found.cure.changes, *found.cure.others):
            left, new = left_and_new(basis, joints, found, changes)
            assert not left, f"{where}: {found.message} {changes}"
            assert not new, f"{where}: {found.message} {changes}: {[f.message for f in new]}"
    return done


def rate(done: Counter[tuple[str, bool]]) -> float:
    return sum(n for (_, good), n in done.items() if good) / sum(done.values())


@pytest.mark.parametrize("book", OTHER_BOOKS)
def test_every_cure_by_every_other_book_cures_and_makes_nothing_new(book: str) -> None:
    """One fault a wall, of each kind that does not ask how a book treats openings."""
    done: Counter[tuple[str, bool]] = Counter()
    walls = 0
    for seed in range(1, 1000):
        basis = basis_by_book(seed, book)
        placed = place_joints(basis)
        if placed.cost.violations or placed.cost.narrow:
            continue
        name = FAULTS_OF_EVERY_BOOK[walls % len(FAULTS_OF_EVERY_BOOK)]
        fault = FAULTS[name](basis, placed.joints, random.Random(f"{seed} {name}"))
        if fault is None or not fault.expected:
            continue
        walls += 1
        done += tried(fault.basis, fault.joints, f"{book}, wall {seed}: {name}")
        if walls == WALLS_OF_EVERY_BOOK:
            break
    assert walls == WALLS_OF_EVERY_BOOK
    assert sum(done.values()) >= WALLS_OF_EVERY_BOOK // 2, done
    assert rate(done) >= 0.98, done


@pytest.mark.parametrize("part", range(PARTS))
def test_every_cure_of_1000_walls_with_seeded_faults_cures_and_makes_nothing_new(part: int) -> None:
    """One fault a wall, of each kind in turn; the cures that do not comply are counted, and few."""
    done: Counter[tuple[str, bool]] = Counter()
    walls, seed, names = 0, part * 10_000, list(FAULTS)
    while walls < WALLS / PARTS:
        seed += 1
        basis = random_basis(seed)
        placed = place_joints(basis)
        if placed.cost.violations or placed.cost.narrow:
            continue
        name = names[walls % len(names)]
        fault = FAULTS[name](basis, placed.joints, random.Random(f"{seed} {name}"))
        if fault is None or not fault.expected:
            name = "a joint dropped"
            fault = FAULTS[name](basis, placed.joints, random.Random(f"{seed} {name}"))
        if fault is None:
            continue
        walls += 1
        done += tried(fault.basis, fault.joints, f"wall {seed}: {name}")
    assert sum(done.values()) >= 200, done
    assert rate(done) >= 0.99, done
    assert all(good or CODES[code].severity is Severity.ADVISORY for code, good in done), done


def test_the_cures_of_walls_with_many_faults_cure() -> None:
    """Joints dropped and moved all over, and strewn at random: what can't be cured is a blocked place."""
    done: Counter[tuple[str, bool]] = Counter()
    for seed in range(1, 90):
        basis, dice = random_basis(seed), random.Random(seed)
        joints = [j for j in place_joints(basis).joints if dice.random() > 0.15]
        shaken = [_shifted(basis, j, dice.choice((0, 0, 8, -8, 24, -40, 3, 64, -16))) for j in joints]
        done += tried(basis, shaken, f"shaken wall {seed}")
        done += tried(basis, (), f"bare wall {seed}")
        strewn = small_basis(seed)
        done += tried(strewn, joints_from_drawn(strewn), f"strewn wall {seed}")
    assert sum(done.values()) >= 700
    assert rate(done) >= 0.94, done


def _shifted(basis: WallBasis, joint: Joint, by: float) -> Joint:
    if joint.kind is JointKind.END:
        return joint
    path = tuple((min(max(x + by, 1.0), basis.wall.length_in - 1), y) for x, y in joint.path)
    return replace(joint, path=path, x_in=path[0][0])


def test_the_cures_of_the_case_files_cure() -> None:
    done: Counter[tuple[str, bool]] = Counter()
    for case in read_cases():
        if "error" not in case.content:
            basis = case.basis()
            done += tried(basis, joints_from_drawn(basis), f"{case.code}/{case.path.stem}")
    cured = {code for code, good in done if good}
    assert cured >= {code for code, rule in CODES.items() if rule.by_joints}


def test_all_cures_together_leave_nothing_required() -> None:
    """No two cures of a wall contradict each other: each joint is changed in one way only."""
    walls = 0
    for seed in range(1, 60):
        basis, dice = random_basis(seed), random.Random(seed)
        joints = [j for j in place_joints(basis).joints if dice.random() > 0.2]
        solution = solved(basis, joints)
        required = [
            f for f in solution.findings if f.severity is Severity.REQUIRED and CODES[f.code].by_joints
        ]
        if not required or not all(f.cure and f.cure.complies for f in required):
            continue
        if any(isinstance(c, Treat) for f in required for c in (f.cure.changes if f.cure else ())):
            continue
        every = dict.fromkeys(c for f in required if f.cure for c in f.cure.changes)
        numbers = [c.number for c in every if isinstance(c, JointChange) and c.number]
        assert len(numbers) == len(set(numbers))
        after = check_wall(*carried_out(basis, joints, check_wall(basis, joints), every))
        left = [f for f in after.required if CODES[f.code].by_joints]
        assert not left, f"wall {seed}: {[f.message for f in left]}"
        assert solution.nearest is not None
        proposed = {
            p.joint.path for p in solution.nearest.proposed if p.change in ("moved", "redrawn", "added")
        }
        assert {c.path for c in every if isinstance(c, JointChange) and c.kind != "remove"} <= proposed
        walls += 1
    assert walls >= 20


@pytest.mark.parametrize("count", [50, 100])
def test_the_judge_is_asked_a_few_times_however_many_joints_are_wrong(count: int) -> None:
    """Every other joint is 75 in. off: 25 of 50 are wrong, and 50 of 100; the work is counted in runs."""
    feet = [240.0 * n + (75.0 if n % 2 else 0.0) for n in range(1, count + 1)]
    basis = plain_wall(*(upright(x) for x in feet), length=240.0 * (count + 1))
    joints = joints_from_drawn(basis)
    solution = solved(basis, joints)
    assert len(solution.findings) == count
    assert all(f.cure is not None and f.cure.complies for f in solution.findings)
    assert solution.nearest is not None
    assert solution.nearest.changes == count // 2
    assert solution.runs <= 12


def test_a_joint_that_two_findings_name_has_one_cure() -> None:
    """Two joints on one line of which one stops short: one is removed, whoever asks."""
    basis = small_basis(134)
    solution = solved(basis, joints_from_drawn(basis))
    (doubled,) = (f for f in solution.findings if f.code == "joint-doubled" and f.at[0][0] == 68.0)
    assert doubled.cure is not None
    assert [c.kind for c in doubled.cure.changes if isinstance(c, JointChange)] == ["remove"]
    assert doubled.cure.changes[0].x_in == 68.0  # type: ignore[union-attr]


def test_what_no_joint_can_cure_is_steel_or_advice_and_never_said_to_comply() -> None:
    seen: set[str] = set()
    for case in read_cases():
        for found in () if "error" in case.content else case.judged()[0]:
            if found.cure and found.code in CODES and not CODES[found.code].by_joints:
                assert not found.cure.complies
                assert all(isinstance(c, Advice | BeamChange) for c in found.cure.changes), found
                seen.add(found.code)
    assert seen == {code for code, rule in CODES.items() if not rule.by_joints}


def test_a_waived_finding_has_no_cure_and_its_joint_stays() -> None:
    """A joint through a door is accepted: it stays, and the cure of the long panel beside it leaves it."""
    for case in read_cases():
        if (case.code, case.path.stem) == ("joint-through-opening", "fail-off-the-module"):
            drawn = case.drawn()
            (found,) = (f for f in drawn.report.findings if f.code == "joint-through-opening")
            assert [f.cure for f in solve(drawn, [_waived(found)]).findings] == [None]


def _waived(found: Finding) -> Finding:
    return replace(found, waived=Waived("agreed on site", "R. Oduya"))


def test_the_findings_are_those_of_the_judge_but_for_their_cures() -> None:
    for seed in range(1, 20):
        basis = random_basis(seed)
        report = check_wall(basis, ())
        found = solve(DrawnWall.of(basis, (), report), report.findings).findings
        assert [replace(f, cure=None) for f in found] == list(report.findings)
        assert [key_of(f) for f in found] == [key_of(f) for f in report.findings]


def test_a_bonded_wall_that_was_waived_asks_for_no_nearer_joint() -> None:
    (case,) = (c for c in read_cases() if (c.code, c.path.stem) == ("bonded-wall-too-far", "fail-left"))
    wall = case.drawn()
    waived = [replace(f, waived=Waived("agreed", "R. O.")) for f in wall.report.findings]
    assert nearest_for(wall, wall.report.findings).changes == 1
    assert nearest_for(wall, waived).changes == 0


def test_where_several_openings_have_to_change_a_cure_names_the_fewest() -> None:
    """Two of the three doors, as brute force over every set of them finds."""
    wall = row_of_doors(3, 0)
    solution = solved(wall, place_joints(wall).joints)
    (found,) = (f for f in solution.findings if f.code == "panel-too-long")
    assert found.cure is not None
    assert found.cure.complies
    assert sum(isinstance(change, Treat) for change in found.cure.changes) == fewest(wall) == 2
