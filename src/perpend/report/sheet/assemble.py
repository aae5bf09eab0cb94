"""From the results document to the rows that the sheet prints."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from pathlib import PurePath

from perpend.findings import CODES
from perpend.model import WallPlan
from perpend.report.document import (
    FindingEntry,
    JointEntry,
    LimitsEntry,
    OpeningEntry,
    PanelEntry,
    Results,
    RuleRunEntry,
    SourceEntry,
    WallEntry,
)
from perpend.report.sheet.lengths import Lengths
from perpend.report.sheet.numbers import Numbered, difference, numbered, wall_key
from perpend.report.sheet.picture import picture_of
from perpend.report.sheet.view import (
    Fact,
    FindingRow,
    JointRow,
    OpeningRow,
    PanelRow,
    RuleRow,
    SheetView,
    SourceRow,
    TotalRow,
    UntestedRow,
    WallView,
)
from perpend.report.text import governing_words
from perpend.units import exceeds, same

_KINDS = {
    "straight": "straight",
    "jamb": "at a jamb",
    "forced": "where the wall changes",
    "end": "at the wall's end",
    "existing": "as drawn",
}
_ENDS = {"corner": "corner", "free": "free", "continues": "continues", "joint": "adjoining wall"}


class SourceList:
    """The sources of a sheet, each once, numbered in the order in which they are first used."""

    def __init__(self) -> None:
        self._rows: dict[tuple[str, str, str], SourceRow] = {}

    def row(self, source: SourceEntry) -> SourceRow:
        """Return the row of a source, made at its first use."""
        identity = (source.row, source.document, source.clause)
        if identity not in self._rows:
            self._rows[identity] = SourceRow(
                len(self._rows) + 1,
                source.document,
                source.clause,
                source.standing,
                source.unverified,
                source.row,
                source.text,
            )
        return self._rows[identity]

    def of(self, sources: Iterable[SourceEntry]) -> tuple[SourceRow, ...]:
        """Return the rows of some sources."""
        return tuple(dict.fromkeys(self.row(source) for source in sources))

    def all(self) -> tuple[SourceRow, ...]:
        """Return every row, in order."""
        return tuple(self._rows.values())


def assemble(results: Results, plans: Sequence[WallPlan] = ()) -> SheetView:
    """Gather what the sheet of a run says.

    Args:
        results: what the run found and decided.
        plans: the walls' plans, in the order of ``results.walls``, for what the results do not
            carry (steel, arched heads, bond beams, supports); may be empty.

    Raises:
        ValueError: there are plans, but not one for each wall.
    """
    if plans and len(plans) != len(results.walls):
        raise ValueError(f"{len(plans)} plans for {len(results.walls)} walls")
    lengths, sources = Lengths.of(results), SourceList()
    rows = [_finding(item, lengths, sources) for item in numbered(results)]
    paired = itertools.zip_longest(results.walls, plans)
    walls = tuple(
        _wall(wall, wall_key(index), plan, rows, lengths, sources)
        for index, (wall, plan) in enumerate(paired)
    )
    listed = sources.all()
    untested, rules = list(_untested(results)), list(_rules(results.checks.rules))
    return SheetView(
        title="Joint review" if results.command == "check" else "Joint layout",
        drawing=PurePath(results.drawing.path).name,
        kind=results.command,
        verdict=_verdict(rows),
        violated=results.violated,
        metric=results.drawing.metric,
        particulars=tuple(_particulars(results)),
        walls=walls,
        findings=tuple(rows),
        totals=tuple(
            _count(wall_key(n), wall.tag, [wall], wall.findings, lengths)
            for n, wall in enumerate(results.walls)
        ),
        whole=_count("", "Whole drawing", results.walls, results.all_findings, lengths),
        ran=results.checks.ran,
        passed=results.checks.passed,
        untested=tuple(untested),
        rules=tuple(rules),
        left_out=bool(untested) or any(rule.untested for rule in rules),
        sources=listed,
        unverified=sum(row.unverified for row in listed),
        cautions=tuple(results.cautions),
        remarks=tuple(_remarks(results)),
        generator=f"perpend {results.perpend_version}",
    )


def _verdict(rows: Sequence[FindingRow]) -> str:
    states = [row.state for row in rows]
    required, advisory, waived = (states.count(s) for s in ("required", "advisory", "waived"))
    text = f"{counted(required, 'violation')}, {_advice(advisory)}"
    return text[0].upper() + text[1:] + (f", {waived} waived" if waived else "")


def _advice(count: int) -> str:
    return f"{counted(count, 'piece')} of advice" if count else "no advice"


def counted(count: int, what: str) -> str:
    """Return a count with its noun: ``no violations``, ``1 joint``, ``3 slip planes``."""
    return f"{count or 'no'} {what}{'' if count == 1 else 's'}"


def _particulars(results: Results) -> Iterable[Fact]:
    drawing, book = results.drawing, results.rulebook
    yield Fact("Drawing", drawing.path)
    yield Fact("Fingerprint of its bytes", f"SHA-256 {drawing.sha256}")
    yield Fact("Read as", f"{drawing.dxf_version}, unit {drawing.units} ({drawing.units_why})")
    yield Fact("Rule book", f"{book.title} ({book.key} {book.version})")
    if book.note:
        yield Fact("Note", book.note)
    yield Fact("Settings", ", ".join(results.settings_files) or "the defaults")
    if results.written:
        yield Fact("Written", results.written.path)


def _finding(item: Numbered, lengths: Lengths, sources: SourceList) -> FindingRow:
    finding = item.finding
    return FindingRow(
        key=item.number,
        severity=finding.severity,
        wall_key=item.wall_key,
        wall=item.tag,
        code=finding.code,
        title=CODES[finding.code].title if finding.code in CODES else finding.code,
        message=finding.message,
        measured="" if finding.measured_in is None else lengths.plain(finding.measured_in),
        limit="" if finding.limit_in is None else lengths.limit(finding.limit_in),
        difference=_difference(finding, lengths),
        measured_in=finding.measured_in,
        limit_in=finding.limit_in,
        place=_place(finding, lengths),
        at=tuple(finding.at),
        source=sources.row(finding.source) if finding.source else None,
        cure=finding.cure,
        handle=finding.handle,
        opening=finding.opening,
        fingerprint=finding.fingerprint,
        waived=_waived(finding),
    )


def _difference(finding: FindingEntry, lengths: Lengths) -> str:
    by = difference(finding)
    if by is None or same(by, 0.0):
        return ""
    return f"{lengths.plain(abs(by))} {'over' if by > 0 else 'short'}"


def _place(finding: FindingEntry, lengths: Lengths) -> str:
    stations = dict.fromkeys(lengths.plain(x) for x, _ in finding.at)
    return " and ".join(stations)


def _waived(finding: FindingEntry) -> str:
    if finding.waived is None:
        return ""
    until = f" until {finding.waived.until}" if finding.waived.until else ""
    return f"Waived by {finding.waived.who}{until}: {finding.waived.reason}"


def _rules(runs: Sequence[RuleRunEntry]) -> Iterable[RuleRow]:
    """Sum the runs of each rule over the walls, in the order of their first run."""
    for code in dict.fromkeys(run.rule for run in runs):
        own = [run for run in runs if run.rule == code]
        yield RuleRow(
            code=code,
            title=CODES[code].title if code in CODES else code,
            tested=sum(run.tested for run in own),
            failed=sum(run.failed for run in own),
            untested=tuple(_reasons(own)),
        )


def _reasons(runs: Sequence[RuleRunEntry]) -> Iterable[str]:
    """Say each reason once, with the walls it holds for."""
    for reason in dict.fromkeys(run.untested for run in runs if run.untested):
        tags = [run.wall for run in runs if run.untested == reason]
        yield f"{', '.join(tags)}: {reason}"


def _untested(results: Results) -> Iterable[UntestedRow]:
    """Return the checks that could not run, but for those that the list of rules tells of already."""
    told = {(run.wall, run.untested) for run in results.checks.rules}
    for entry in results.checks.could_not_run:
        if (entry.wall, entry.why) not in told:
            yield UntestedRow(entry.check, entry.wall, entry.why)


def _wall(
    wall: WallEntry,
    key: str,
    plan: WallPlan | None,
    rows: Sequence[FindingRow],
    lengths: Lengths,
    sources: SourceList,
) -> WallView:
    facts = tuple(_facts(wall, lengths, sources))
    findings = tuple(row for row in rows if row.wall_key == key)
    joints = tuple(_joint(joint, f"{key}-j{n}", lengths, sources) for n, joint in enumerate(wall.joints, 1))
    panels = tuple(_panel(panel, f"{key}-p{n}", n, lengths) for n, panel in enumerate(wall.panels, 1))
    openings = tuple(
        _opening(opening, f"{key}-o{n}", lengths, sources) for n, opening in enumerate(wall.openings, 1)
    )
    heading = f"{lengths.plain(wall.length_in)} long, {lengths.plain(wall.height_in)} high"
    if exceeds(wall.greatest_height_in, wall.height_in):
        heading += f" at its lowest, {lengths.plain(wall.greatest_height_in)} overall"
    svg = picture_of(wall, key, findings, joints, panels, openings, lengths, plan)
    return WallView(key, wall.tag, heading, svg, facts, findings, joints, panels, openings, tuple(wall.notes))


def _facts(wall: WallEntry, lengths: Lengths, sources: SourceList) -> Iterable[Fact]:
    limits = wall.limits
    basis = "lowest height of the wall" if limits.height_basis == "wall" else "least storey height"
    yield Fact("Method", f"{wall.method}, {wall.units} units")
    yield Fact("Height H", f"{lengths.plain(limits.height_in)} ({basis})")
    yield Fact("Joint spacing", _spacing(limits, lengths), sources.of(limits.sources))
    if limits.corner_distance_in is not None:
        least = f", no nearer than {lengths.limit(limits.corner_min_in)}" if limits.corner_min_in else ""
        yield Fact("First joint from a corner", f"within {lengths.limit(limits.corner_distance_in)}{least}")
    if limits.tightened:
        yield Fact("Tightened", limits.tightened)
    yield Fact("Ends", f"left: {_ENDS[wall.left_end]}; right: {_ENDS[wall.right_end]}")
    yield Fact("Module", lengths.plain(wall.module_in))
    yield Fact("Joint type", wall.joint_type_name or wall.joint_type or "none named")
    steel = wall.horizontal_reinforcement
    if steel.required_in2_per_ft is not None:
        chosen = f"; chosen: {steel.chosen}" if steel.chosen else ""
        yield Fact(
            "Horizontal reinforcement",
            f"at least {steel.required_in2_per_ft:g} in²/ft of height{chosen}",
            sources.of([steel.source] if steel.source else []),
        )
    for choice in steel.choices:
        text = f"{choice.area_in2:g} in², at most {lengths.limit(choice.max_spacing_in)} apart"
        yield Fact(choice.name, text, sources.of([choice.source]))


def _spacing(limits: LimitsEntry, lengths: Lengths) -> str:
    if limits.max_spacing_in is None:
        return "no joints are needed for shrinkage"
    terms = []
    if limits.ratio is not None:
        terms.append(f"{limits.ratio:g} × H")
    if limits.cap_in is not None:
        terms.append(f"cap {lengths.limit(limits.cap_in)}")
    rule = f"lesser of {' and '.join(terms)}: " if len(terms) > 1 else ""
    return f"at most {lengths.limit(limits.max_spacing_in)} ({rule}{governing_words(limits)})"


def _joint(joint: JointEntry, key: str, lengths: Lengths, sources: SourceList) -> JointRow:
    foot, head = joint.path[0][0], joint.path[-1][0]
    leans = f", head at {lengths.plain(head)}" if not same(head, foot) else ""
    planes = [f"{lengths.plain(s.x1_in - s.x0_in)} at {s.opening}" for s in joint.slip_planes]
    serves = f" of {', '.join(joint.serves)}" if joint.serves else ""
    return JointRow(
        key=key,
        number=joint.number,
        x_in=joint.x_in,
        station=f"{lengths.plain(joint.x_in)}{leans}",
        runs=f"{_KINDS.get(joint.kind, joint.kind)}{serves}",
        state="drawn" if joint.state == "existing" else "new",
        joint_type=joint.type or "none named",
        slip_planes=", ".join(planes),
        reason=joint.reason,
        handle=joint.handle,
        sources=sources.of(joint.sources),
    )


def _panel(panel: PanelEntry, key: str, index: int, lengths: Lengths) -> PanelRow:
    share = panel.utilisation
    return PanelRow(
        key=key,
        number=index,
        span=f"{lengths.plain(panel.x0_in)} to {lengths.plain(panel.x1_in)}",
        dimension=lengths.bare(panel.x1_in - panel.x0_in),
        length=lengths.plain(panel.length_in),
        limit="" if panel.limit_in is None else lengths.limit(panel.limit_in),
        height=lengths.plain(panel.height_in),
        percent="" if share is None else f"{100 * share:.0f} %",
        too_long=panel.limit_in is not None and exceeds(panel.length_in, panel.limit_in),
        length_in=panel.length_in,
        share=share or 0.0,
    )


def _opening(opening: OpeningEntry, key: str, lengths: Lengths, sources: SourceList) -> OpeningRow:
    width, height = opening.x1_in - opening.x0_in, opening.y1_in - opening.y0_in
    lintel = opening.lintel
    bearing = "none drawn"
    if lintel is not None:
        ends = f"{lengths.plain(lintel.bearing_left_in)} left, {lengths.plain(lintel.bearing_right_in)} right"
        bearing = f"past the jambs {ends}{'; ' + lintel.note if lintel.note else ''}"
    return OpeningRow(
        key=key,
        tag=opening.tag,
        x_in=opening.x0_in,
        width_in=width,
        size=f"{lengths.plain(width)} × {lengths.plain(height)}",
        place=f"{lengths.plain(opening.x0_in)} to {lengths.plain(opening.x1_in)}, "
        f"sill at {lengths.plain(opening.y0_in)}",
        treatment=opening.treatment,
        joints=", ".join(str(number) for number in opening.joints) or "none",
        lintel=bearing,
        boundary_case=opening.boundary_case,
        handle=opening.handle,
        sources=sources.of(opening.sources),
    )


def _count(
    key: str, name: str, walls: Sequence[WallEntry], findings: Sequence[FindingEntry], lengths: Lengths
) -> TotalRow:
    open_ones = [f.severity for f in findings if f.waived is None]
    panels = [panel for wall in walls for panel in wall.panels if panel.utilisation is not None]
    worst = max(panels, key=lambda p: p.utilisation or 0.0, default=None)
    longest = ""
    if worst is not None and worst.utilisation is not None:
        longest = f"{lengths.plain(worst.length_in)} ({100 * worst.utilisation:.0f} % of its limit)"
    return TotalRow(
        key=key,
        name=name,
        length=lengths.plain(sum(wall.length_in for wall in walls)),
        joints=sum(len(wall.joints) for wall in walls),
        slip_planes=sum(len(joint.slip_planes) for wall in walls for joint in wall.joints),
        longest=longest,
        required=open_ones.count("required"),
        advisory=open_ones.count("advisory"),
        waived=len(findings) - len(open_ones),
    )


def _remarks(results: Results) -> Iterable[str]:
    yield from (f"Mended: {text}" for text in results.repaired)
    yield from results.remarks
    if results.written:
        yield from (f"The new drawing differs from the old one: {text}" for text in results.written.changes)
        yield from results.written.remarks
    seen: dict[tuple[str, str, str], int] = {}
    for ignored in results.ignored:
        group = (ignored.kind, ignored.layer, ignored.why)
        seen[group] = seen.get(group, 0) + 1
    for (kind, layer, why), count in seen.items():
        yield f"Ignored: {f'{count} × ' if count > 1 else ''}{kind} on {layer}: {why}"
