"""A correct layout gives no finding; one fault gives exactly the findings it must, on 1,000 walls.

The layouts come from `perpend.layout`, which shares no code with the checks; what a fault must give
is reckoned in `faults.py`.
"""

from __future__ import annotations

import random
from collections import Counter

import pytest

from checks.faults import FAULTS, FAULTS_OF_EVERY_BOOK, Key
from checks.random_walls import OTHER_BOOKS, basis_by_book, random_basis
from perpend.checks import check_wall
from perpend.findings import Finding
from perpend.layout import place_joints

WALLS = 1000
WALLS_OF_EVERY_BOOK = 120


def _key(found: Finding) -> Key:
    return (found.code, found.opening, tuple(round(x, 6) for x, _ in found.at))


NARROW = {"panel-too-short", "panel-narrow"}
"""A fault may leave a narrow piece: tests/gallery and the referee of layouts measure these."""


@pytest.mark.parametrize("key", OTHER_BOOKS)
def test_one_fault_gives_exactly_its_findings_by_every_other_book(key: str) -> None:
    feasible, seeded = 0, Counter[str]()
    for seed in range(1, 1000):
        basis = basis_by_book(seed, key)
        placement = place_joints(basis)
        before = check_wall(basis, placement.joints)
        if placement.cost.violations:
            assert before.required, f"wall {seed} breaks {placement.cost.violations} and nothing was found"
            continue
        feasible += 1
        assert before.required == (), f"wall {seed}"
        remarks = Counter(_key(f) for f in before.findings)
        for name in FAULTS_OF_EVERY_BOOK:
            fault = FAULTS[name](basis, placement.joints, random.Random(f"{seed} {name}"))
            if fault is None:
                continue
            seeded[name] += 1
            after = Counter(_key(f) for f in check_wall(fault.basis, fault.joints).findings)
            expected = Counter(
                {(c, o, tuple(round(x, 6) for x in at)): n for (c, o, at), n in fault.expected.items()}
            )
            close = {key for key in remarks + after + expected if key[0] == "joints-too-close"}
            for extra in close:
                del remarks[extra], after[extra], expected[extra]
            assert after == expected + remarks, f"wall {seed}: {name}"
        if feasible == WALLS_OF_EVERY_BOOK:
            break
    assert feasible == WALLS_OF_EVERY_BOOK
    assert min(seeded[name] for name in FAULTS_OF_EVERY_BOOK) >= 25, seeded


def test_one_fault_gives_exactly_its_findings_and_a_correct_layout_gives_none() -> None:
    feasible = 0
    seeded: Counter[str] = Counter()
    seen: Counter[str] = Counter()
    seed = 0
    while feasible < WALLS:
        seed += 1
        basis = random_basis(seed)
        placement = place_joints(basis)
        before = check_wall(basis, placement.joints)
        if placement.cost.violations or placement.cost.narrow:
            assert before.required, f"wall {seed} breaks {placement.cost.violations} and nothing was found"
            continue
        feasible += 1
        assert before.required == (), f"wall {seed}"
        remarks = Counter(_key(f) for f in before.findings if f.code not in NARROW)
        assert {code for code, _, _ in remarks} <= {
            "width-on-boundary",
            "joints-too-close",
            "pier-shares-joint",
        }, f"wall {seed}"
        if any(code == "pier-shares-joint" for code, _, _ in remarks):
            continue  # a joint that serves two openings leaves two without one
        crowded = Counter({key: count for key, count in remarks.items() if key[0] == "joints-too-close"})
        for name, seeder in FAULTS.items():
            fault = seeder(basis, placement.joints, random.Random(f"{seed} {name}"))
            if fault is None:
                continue
            seeded[name] += 1
            after = Counter(_key(f) for f in check_wall(fault.basis, fault.joints).findings)
            after = Counter({key: count for key, count in after.items() if key[0] not in NARROW})
            after -= crowded  # joints close to each other from the start: a fault may part them
            expected = Counter({k: n for k, n in fault.expected.items() if k[0] != "joints-too-close"})
            assert after == expected + remarks - crowded, f"wall {seed}: {name}"
            seen.update(code for code, _, _ in fault.expected)
    assert set(seeded) == set(FAULTS)
    assert min(seeded.values()) >= 25, seeded
    assert {code for code, count in seen.items() if count >= 25} >= {
        "panel-too-long",
        "corner-too-far",
        "no-joint-at-height-change",
        "opening-without-joint",
        "opening-needs-both-jambs",
        "joint-in-keep-out",
        "joint-through-opening",
        "joint-through-lintel",
        "joint-off-module",
        "no-joint-at-adjoining-wall",
    }, seen
