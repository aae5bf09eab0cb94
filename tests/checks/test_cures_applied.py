"""Every cure that names a joint's place is carried out, and the judge asked again.

A sentence is read as a person reads it: the stations it names are taken as they are printed. After the
cure its finding is gone, and no more is required than before, less that finding.
"""

from __future__ import annotations

import itertools
import math
import random
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from check_command.bench import check, others, upright
from checks.cases import read_cases
from checks.faults import FAULTS
from checks.random_walls import random_basis
from layout.builders import basis as bare_wall
from perpend.checks import CheckReport, check_wall, joints_from_drawn, whole_joints
from perpend.findings import CODES, Finding
from perpend.layout import place_joints
from perpend.layout.nearest_layout import nearest_layout
from perpend.model import DrawnJoint, EndCondition, Joint, JointKind
from perpend.model import Path as Line
from perpend.rulebook import WallBasis
from perpend.units import parse_length

Joints = tuple[Joint, ...]
LENGTH = r"""-?\d+'-\d+(?: \d+/\d+)?\""""
NO_JOINT_CURES = {
    "joint-type-missing",
    "shear-transfer-needed",
    "lintel-without-bearing",
    "reinforcement-through-joint",
    "reinforcement-too-sparse",
    "too-little-horizontal-steel",
    "bond-beam-not-debonded",
}
"""What no joint can cure by standing elsewhere."""

NOT_BY_PLACE = {
    "joint-type-missing",
    "joint-runs-past",
    "reinforcement-through-joint",
    "no-joint-at-adjoining-wall",
}
"""Of the findings on joints those whose cure names no place within the wall."""


# ------------------------------------------------------------------------------- carrying cures out


def lengths(text: str, basis: WallBasis | None = None) -> list[float]:
    """Return the lengths of a text; a station printed to 1/16 in. is taken for the module line there."""
    found = [parse_length(found) for found in re.findall(LENGTH, text)]
    return found if basis is None else [on_module(basis, x) for x in found]


def on_module(basis: WallBasis, x: float) -> float:
    line = basis.bond_origin_in + round((x - basis.bond_origin_in) / basis.module_in) * basis.module_in
    return line if abs(x - line) <= 1 / 16 else x


def straight(basis: WallBasis, x: float) -> Line:
    wall = basis.wall
    return ((x, max(wall.bottom.at(x))), (x, min(wall.top.at(x))))


def stepped(basis: WallBasis, tag: str, x: float) -> Line:
    """Return the joint at a jamb of an opening, out under its lintel as far as that bears."""
    rule = next(r for r in basis.openings if r.opening.tag == tag)
    box = rule.opening.box
    left = abs(x - box.x0) < abs(x - box.x1)
    step = rule.step_in if rule.lintel is not None else 0.0
    jamb, beyond = (box.x0, box.x0 - step) if left else (box.x1, box.x1 + step)
    foot, head = straight(basis, jamb)[0], straight(basis, beyond)[1]
    return (foot, (jamb, box.y1), (beyond, box.y1), head) if step else (foot, (jamb, head[1]))


def tag_at(basis: WallBasis, tags: Sequence[str], x: float) -> str:
    """Return the one of some openings that has a jamb at a station."""
    boxes = {r.opening.tag: r.opening.box for r in basis.openings if r.opening.tag in tags}
    (tag,) = (tag for tag, box in boxes.items() if min(abs(x - box.x0), abs(x - box.x1)) <= 1 / 16)
    return tag


def with_line(joints: Joints, path: Line, gone: Joint | None = None) -> Joints:
    """Return the joints with one more, in the place of another if there is one that goes."""
    number = max((j.number for j in joints), default=0) + 1
    joint_type = joints[0].joint_type if joints else "formed-paper"
    added = Joint(number, path[0][0], path, JointKind.STRAIGHT, "", joint_type=joint_type)
    return (*(j for j in joints if j is not gone), added)


def joint_of(found: Finding, joints: Joints) -> Joint:
    """Return the joint that a finding is about: by its handle, or the one that its mark stands on."""
    by_handle = [j for j in joints if j.handle and j.handle == found.handle]
    x, y = found.at[0]
    return by_handle[-1] if by_handle else min(joints, key=lambda j: away_from(j.path, x, y))


def away_from(path: Line, x: float, y: float) -> tuple[float, float]:
    """Return how far a path is from a point: along its course, then from its pieces' ends."""
    near = min(math.dist((x, y), point) for point in path)
    level = [abs(x - a[0]) for a, b in itertools.pairwise(path) if a[0] == b[0] and a[1] <= y <= b[1]]
    steps = [
        0.0
        for a, b in itertools.pairwise(path)
        if a[1] == b[1] == y and min(a[0], b[0]) <= x <= max(a[0], b[0])
    ]
    return (min([*level, *steps, near]), near)


def joint_at(x: float, joints: Joints) -> Joint:
    return min(joints, key=lambda j: abs(j.path[0][0] - x))


def ways(basis: WallBasis, found: Finding, joints: Joints) -> Iterator[Joints]:
    """Yield the joints after each way of doing what a cure says; none where it names no joint's place."""
    cure = re.split(r"; or |, or reinforce|, which leaves a pier|: that cures the panel too", found.cure)[0]
    asking = re.search(r"(?:: (?P<asks>.*) needs one there too\.| of (?P<lintel>[^ ]*?)\.?)$", cure)
    tag = found.opening or (asking and (asking["asks"] or asking["lintel"])) or ""
    if match := re.match(rf"Carry the joint at ({LENGTH}) straight up", cure):
        gone = joint_at(lengths(match[1])[0], joints)
        yield with_line(joints, straight(basis, lengths(cure, basis)[-1]), gone)
    elif match := re.match("Carry the joints at (.*) straight up", cure):
        whole = joints
        for x in lengths(match[1]):
            whole = with_line(whole, straight(basis, x), joint_at(x, joints))
        yield whole
    elif match := re.fullmatch(
        rf"Move the joint at ({LENGTH}) to (.*)|Draw the joint upright at ({LENGTH}.*)", cure
    ):
        gone = joint_at(lengths(match[1] or match[3])[0], joints)
        stations = lengths(match[2] or match[3], basis)
        at_jamb = "stepped under the lintel" in cure
        moved = [stepped(basis, tag, x) if at_jamb else straight(basis, x) for x in stations]
        if " and stand another at " in cure:
            yield with_line(with_line(joints, moved[0], gone), moved[1])
        else:
            yield from (with_line(joints, path, gone) for path in moved)
    elif match := re.match(rf"Move (it|its part .*) ({LENGTH}) to the (left|right), to ({LENGTH})", cure):
        gone, whole = joint_of(found, joints), match[1] == "it"
        by = lengths(match[2])[0] * (1 if match[3] == "right" else -1)
        here = lengths(match[4])[0] - by
        path = tuple((x + by if whole or abs(x - here) <= 1 / 8 else x, y) for x, y in gone.path)
        yield with_line(joints, path, gone)
    elif match := re.match(rf"Draw that part upright at ({LENGTH})", cure):
        gone, (x, y) = joint_of(found, joints), found.at[0]
        part = [n for n, (a, b) in enumerate(itertools.pairwise(gone.path)) if a[1] < y < b[1]]
        near = {k for n in part for k in (n, n + 1)}
        path = tuple((lengths(match[1])[0], v) if n in near else (u, v) for n, (u, v) in enumerate(gone.path))
        yield with_line(joints, path, gone)
    elif match := re.fullmatch(r"Leave out the joint at ([^.:]*)[.:].*", cure):
        gone = joint_of(found, joints) if found.handle else joint_at(lengths(match[1])[0], joints)
        yield tuple(j for j in joints if j is not gone)
    elif cure.startswith("Leave it out"):
        gone = joint_of(found, joints)
        yield tuple(j for j in joints if j is not gone)
    elif match := re.match("(?:Move it to|Draw it upright at) the jamb of (.*?) at ", cure):
        gone = joint_of(found, joints)
        for x in lengths(cure, basis):
            yield with_line(joints, stepped(basis, match[1], x), gone)
    elif cure.startswith("Move it to "):
        gone = joint_of(found, joints)
        for x in lengths(cure, basis):
            yield with_line(joints, straight(basis, x), gone)
    elif re.match(rf"(Add|Stand) a joint at (.*stepped under the lintel|{LENGTH} and )", cure):
        stations = lengths(cure, basis)
        if " and " in cure:
            whole = joints
            for x in stations:
                whole = with_line(whole, stepped(basis, tag, x))
            yield whole
        else:
            yield from (with_line(joints, stepped(basis, tag, x)) for x in stations)
    elif match := re.fullmatch(
        r"(?:Draw it on to the top|Carry it down the jamb to the bottom) of the wall, .*"
        r"stepped under the lintel of (.*)\.",
        cure,
    ):
        gone = joint_of(found, joints)
        yield with_line(joints, stepped(basis, match[1], gone.path[0][0]), gone)
    elif match := re.fullmatch(r"Add (\d+) joints, at (.*?)(?:: (.*) needs? th.* at (.*) too.*)?\.", cure):
        stations, whole = lengths(match[2], basis), joints
        assert len(stations) == int(match[1]), cure
        tags = {x: tag_at(basis, re.split(", | and ", match[3]), x) for x in lengths(match[4] or "", basis)}
        assert set(tags) <= set(stations), cure
        for x in stations:
            whole = with_line(whole, stepped(basis, tags[x], x) if x in tags else straight(basis, x))
        yield whole
    elif re.match("(Add|Stand) a joint ", cure):
        yield from (with_line(joints, straight(basis, x)) for x in lengths(cure, basis))
    elif cure.startswith("Draw it from the bottom of the wall to its top"):
        gone = joint_of(found, joints)
        low, high = straight(basis, gone.path[0][0])[0], straight(basis, gone.path[-1][0])[1]
        yield with_line(joints, (low, *gone.path, high), gone)
    elif "and add a joint" in cure:
        return
    elif cure.startswith(("Step it aside", "Turn the joint out", "Carry the slip plane")):
        gone = joint_of(found, joints)
        yield with_line(joints, stepped(basis, found.opening, gone.path[0][0]), gone)
    elif cure.startswith("Carry it straight up"):
        gone = joint_of(found, joints)
        (x,) = lengths(cure, basis) or (gone.path[0][0],)
        yield with_line(joints, straight(basis, x), gone)
    elif cure.startswith("Draw it upright at"):
        gone = joint_of(found, joints)
        yield with_line(joints, straight(basis, lengths(cure, basis)[0]), gone)


def key_of(found: Finding) -> tuple[str, str, tuple[float, ...]]:
    return (found.code, found.opening, tuple(round(x, 3) for x, _ in found.at))


def weight(findings: Sequence[Finding]) -> int:
    """Count what is wrong: a panel that is too long counts for every joint that it lacks."""
    lacking = {"panel-too-long": lambda f: math.ceil((f.measured_in - 1 / 64) / f.limit_in) - 1}
    return sum(lacking.get(f.code, lambda _: 1)(f) for f in findings)


def _told(report: CheckReport) -> list[str]:
    return [f.message for f in report.findings]


def carried_out(basis: WallBasis, joints: Sequence[Joint], where: str) -> Counter[str]:
    """Carry out every cure of a wall; return how many there were, by code."""
    report = check_wall(basis, joints)
    whole = whole_joints(basis, joints)
    done: Counter[str] = Counter()
    for found in report.findings:
        for cured in ways(basis, found, whole):
            after = check_wall(basis, cured)
            told = f"{where}: {found.message} {found.cure}\nwas {_told(report)}\nis {_told(after)}"
            assert key_of(found) not in {key_of(f) for f in after.findings}, told
            least = weight(report.required) - (weight([found]) if found in report.required else 0)
            assert weight(after.required) <= max(least, 0), told
            done[found.code] += 1
    return done


CASES = [c for c in read_cases() if "error" not in c.content]


def test_the_cures_of_the_cases_cure() -> None:
    done: Counter[str] = Counter()
    for case in CASES:
        basis = case.basis()
        done += carried_out(basis, joints_from_drawn(basis), f"{case.code}/{case.path.stem}")
    assert (
        set(done) >= {code for code in CODES if code.startswith("joint") or "-joint" in code} - NOT_BY_PLACE
    )
    assert sum(done.values()) >= 80


@pytest.mark.parametrize("start", range(1, 4))
def test_the_cures_of_seeded_faults_cure(start: int) -> None:
    done: Counter[str] = Counter()
    for seed in range(start, 60, 3):
        basis = random_basis(seed)
        placed = place_joints(basis)
        for name, seeder in FAULTS.items():
            fault = seeder(basis, placed.joints, random.Random(f"{seed} {name}"))
            if fault is not None:
                done += carried_out(fault.basis, fault.joints, f"wall {seed}: {name}")
    assert sum(done.values()) >= 150


def test_the_cures_of_walls_with_many_faults_cure() -> None:
    done: Counter[str] = Counter()
    for seed in range(1, 240):
        basis = random_basis(seed)
        dice = random.Random(seed)
        joints = [j for j in place_joints(basis).joints if dice.random() > 0.15]
        shaken = [_shifted(basis, j, dice.choice((0, 0, 8, -8, 24, -40, 3, 64, -16))) for j in joints]
        done += carried_out(basis, shaken, f"shaken wall {seed}")
    assert sum(done.values()) >= 600
    assert len(done) >= 12


def test_the_cures_of_walls_at_the_full_spacing_cure() -> None:
    """Joints as far apart as allowed, drawn as drafters draw them: leaning, jogged, double, aside."""
    done: Counter[str] = Counter()
    said: Counter[str] = Counter()
    for seed in range(200):
        dice = random.Random(seed)
        wall, stations = full_spacing(dice)
        joints = tuple(_drawn(dice, n, x, 192.0) for n, x in enumerate(stations, start=1))
        basis = replace(wall, wall=replace(wall.wall, drawn_joints=joints))
        drawn = joints_from_drawn(basis)
        said += Counter(f.cure.split()[0] for f in check_wall(basis, drawn).findings)
        done += carried_out(basis, drawn, f"full wall {seed}")
        slight = all(max(x for x, _ in j.path) - min(x for x, _ in j.path) <= 1.92 for j in joints)
        if slight and all(_covers(j, x) for j, x in zip(joints, stations, strict=True)):
            assert not check_wall(basis, drawn).required, f"full wall {seed}"
    assert done["panel-too-long"] + done["corner-too-far"] >= 60
    assert min(done["joint-out-of-plumb"], done["step-without-slip-plane"], done["joint-off-module"]) >= 40
    assert min(said["Carry"], said["Move"]) >= 40


def full_spacing(dice: random.Random) -> tuple[WallBasis, list[float]]:
    """Return a wall 16'-0" high with corners, and its joints: 12'-0", then every 24'-0"."""
    count = dice.randint(2, 5)
    stations = [144.0 + 288 * k for k in range(count)]
    corner = EndCondition.CORNER
    wall = bare_wall(stations[-1] + 144, 192, [], ends=(corner, corner))
    return replace(wall, unit_in=16.0), stations


def _drawn(dice: random.Random, number: int, x: float, high: float) -> DrawnJoint:
    """Return a joint as a drafter may draw it."""
    lean = dice.choice((0.25, -0.25, 1.0, -1.5, 2.5, -4.0))
    wide = dice.choice((0.375, 0.75, -0.375, -0.75))
    aside = dice.choice((0.125, -0.1875, 0.25, -3.0))
    path, width = dice.choice(
        (
            (((x, 0.0), (x, high)), 0.0),
            (((x, 0.0), (x + lean, high)), 0.0),
            (((x, 0.0), (x, 80.0), (x + lean, 80.0), (x + lean, high)), 0.0),
            (((x + wide / 2, 0.0), (x + wide / 2, high)), abs(wide)),
            (((x + aside, 0.0), (x + aside, high)), 0.0),
        )
    )
    return DrawnJoint(path, f"J{number}", width_in=width)


def _covers(joint: DrawnJoint, x: float) -> bool:
    """Say whether a joint covers a station as it was drawn, or is within 1/8 in. of it."""
    low = min(u for u, _ in joint.path) - joint.width_in / 2 - 1 / 8
    high = max(u for u, _ in joint.path) + joint.width_in / 2 + 1 / 8
    return low <= x <= high


def test_the_joints_that_a_panel_lacks_are_named_together_and_cure() -> None:
    """Walls from which every joint is taken: the stations named do, or the gap that is named has none."""
    named = gaps = serving = 0
    for seed in range(1, 200):
        basis = random_basis(seed)
        for found in check_wall(basis, ()).findings:
            if found.code != "panel-too-long":
                continue
            if " joints, at " in found.cure:
                named += carried_out(basis, (), f"bare wall {seed}")["panel-too-long"]
                serving += _serves_the_openings_it_names(basis, found)
            elif found.cure.startswith("Openings leave no station free between"):
                gaps += 1
                low, high = lengths(found.cure, basis)[:2]
                assert high - low > found.limit_in or found.measured_in <= 2 * found.limit_in
                for x in _lines_between(basis, low, high):
                    after = check_wall(basis, with_line((), straight(basis, x)))
                    assert {f.code for f in after.required} & IN_THE_WAY, f"bare wall {seed}: {x} is free"
    assert named >= 20
    assert gaps >= 1
    assert serving >= 10


def _serves_the_openings_it_names(basis: WallBasis, found: Finding) -> int:
    """Assert that no opening lacks a joint that a panel's cure serves; return how many it serves."""
    match = re.search(r": (.*) needs? th", found.cure)
    tags = set(re.split(", | and ", match[1])) if match else set()
    (cured,) = ways(basis, found, ())
    after = check_wall(basis, cured).findings
    lacking = {f.opening for f in after if f.code in ("opening-without-joint", "opening-needs-both-jambs")}
    assert not tags & lacking, (found.cure, _told(check_wall(basis, cured)))
    return len(tags)


IN_THE_WAY = {"joint-through-opening", "joint-through-lintel", "joint-in-keep-out", "corner-too-near"}


def _lines_between(basis: WallBasis, low: float, high: float) -> Iterator[float]:
    module, origin = basis.module_in, basis.bond_origin_in
    k = math.floor((low - origin) / module) + 1
    while origin + k * module < high - 1 / 16:
        x = origin + k * module
        k += 1
        if x > low + 1 / 16:
            yield x


def _shifted(basis: WallBasis, joint: Joint, by: float) -> Joint:
    if joint.kind is JointKind.END:
        return joint
    end = basis.wall.length_in - 1
    path = tuple((min(max(x + by, 1.0), end), y) for x, y in joint.path)
    return replace(joint, path=path, x_in=path[0][0])


def treated(basis: WallBasis, tag: str) -> tuple[WallBasis, str]:
    """Return the basis with an opening treated the other way, and how that is."""
    index = next(n for n, rule in enumerate(basis.openings) if rule.opening.tag == tag)
    other = basis.other_treatments[index]
    assert other is not None
    return basis.with_opening(index, other), other.treatment.value


def test_the_treatments_that_cures_name_cure() -> None:
    """Openings that leave no station free, or lack a jamb joint: treated as told, with the joints told."""
    named: Counter[str] = Counter()
    for seed in range(1, 400):
        basis, dice = random_basis(seed), random.Random(seed)
        for joints in ((), tuple(j for j in place_joints(basis).joints if dice.random() > 0.4)):
            before = check_wall(basis, joints)
            for found in before.findings:
                match = re.search(
                    r"treat (?P<tag>\S+) as (?P<how>\w+)"
                    r"(?:, with joints? at (?P<jambs>.*?), stepped under its lintel)?"
                    r"(?:, and stand joints? at (?P<more>.*))?\.$",
                    found.cure,
                )
                if match is None and not found.cure.endswith(", or reinforce the opening."):
                    continue
                tag, jambs, more = (
                    (match["tag"], match["jambs"], match["more"]) if match else (found.opening, "", "")
                )
                changed, how = treated(basis, tag)
                assert how == (match["how"] if match else "reinforced")
                whole = whole_joints(basis, joints)
                for x in lengths(jambs or ""):
                    whole = with_line(whole, stepped(changed, tag, x))
                for x in lengths(more or "", changed):
                    whole = with_line(whole, straight(changed, x))
                after = check_wall(changed, whole)
                where = f"wall {seed}: {found.message} {found.cure}\nis {_told(after)}"
                assert key_of(found) not in {key_of(f) for f in after.findings}, where
                counted = [[f for f in r.required if f.code not in NO_JOINT_CURES] for r in (before, after)]
                assert weight(counted[1]) < weight(counted[0]), where
                named["treat" if match else "reinforce"] += 1
    assert named["treat"] >= 5
    assert named["reinforce"] >= 40


def test_the_nearest_layout_cures_what_a_joint_can_cure() -> None:
    """What is required and can be cured by joints is gone, unless the layout says that it can't be."""
    cured = unsatisfied = 0
    for case in CASES:
        basis = case.basis()
        drawn = joints_from_drawn(basis)
        before = check_wall(basis, drawn)
        found = nearest_layout(basis, whole_joints(basis, drawn), before.misplaced)
        after = check_wall(basis, found.joints)
        where = f"{case.code}/{case.path.stem}"
        left = [f for f in after.required if f.code not in NO_JOINT_CURES]
        assert weight(after.required) <= weight(before.required), where
        assert found.satisfied == (not left), f"{where}: {[f.message for f in left]}"
        cured += bool(before.required) and not left
        unsatisfied += not found.satisfied
    assert cured >= 45
    assert unsatisfied == 4, (
        "a jamb too near to another wall's joint; two pilasters at jambs; windows in a row"
    )


def test_the_setting_that_a_cure_names_cures(tmp_path: Path) -> None:
    """A stepped joint at a door that nobody said is unreinforced: what the cure says is written down."""
    stepped_line = ((144.0, 0.0), (144.0, 84.0), (136.0, 84.0), (136.0, 200.0))
    door = ("D1", (144.0, 0.0, 208.0, 84.0))
    drawing = others(tmp_path / "n.dxf", (stepped_line, *upright(424.0, 576.0)), openings=(door,))
    checked = check(drawing)
    assert [f.code for f in checked.required] == ["joint-through-lintel"]
    cure = checked.only("joint-through-lintel").cure
    said = re.search(
        r'et (treatment = "unreinforced") for D1 in the settings \((.*), (tag = "D1")\)\.$', cure
    )
    assert said is not None, cure
    (tmp_path / "perpend.toml").write_text("\n".join((said[2], said[3], said[1])), encoding="utf-8")
    assert check(drawing).required == []


def test_the_setting_and_the_second_joint_that_a_cure_names_cure(tmp_path: Path) -> None:
    """At an opening of 8'-0": one joint stands stepped at its left jamb, the other is drawn as it is told."""
    wide = ("OH1", (144.0, 0.0, 240.0, 84.0))
    first = ((144.0, 0.0), (144.0, 84.0), (132.0, 84.0), (132.0, 200.0))
    rest = upright(480.0, 624.0)
    cure = (
        check(others(tmp_path / "n.dxf", (first, *rest), openings=(wide,))).only("joint-through-lintel").cure
    )
    said = re.search(
        rf'\(\[\[openings\]\], tag = "OH1"\) and stand another at ({LENGTH}), stepped under the lintel\.$',
        cure,
    )
    assert said is not None, cure
    x = parse_length(said[1])
    second = ((x, 0.0), (x, 84.0), (x + 12.0, 84.0), (x + 12.0, 200.0))
    (tmp_path / "perpend.toml").write_text(
        '[defaults]\njoint_type = "formed-paper"\n[[openings]]\ntag = "OH1"\ntreatment = "unreinforced"\n',
        encoding="utf-8",
    )
    drawing = others(tmp_path / "n.dxf", (first, second, *rest), openings=(wide,))
    assert {f.code for f in check(drawing).required} <= {"shear-transfer-needed"}
