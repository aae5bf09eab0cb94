"""From the results document to the rows that the sheet prints."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from pathlib import PurePath

from perpend.model import WallPlan
from perpend.report.finding_numbers import (
    Numbered,
    advice_counted,
    difference,
    finding_title,
    numbered,
    wall_key,
)
from perpend.report.ignored_words import ignored_sentences
from perpend.report.lengths import Lengths
from perpend.report.results_document import (
    FindingEntry,
    Results,
    RuleRunEntry,
    WallEntry,
)
from perpend.report.sheet.sheet_view import (
    Fact,
    FindingRow,
    RuleRow,
    SheetView,
    TotalRow,
    UntestedRow,
)
from perpend.report.sheet.source_list import SourceList
from perpend.report.sheet.wall_rows import wall_view
from perpend.units import same
from perpend.wording import counted


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
        wall_view(wall, wall_key(index), plan, rows, lengths, sources)
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
    text = f"{counted(required, 'violation', none='no')}, {advice_counted(advisory)}"
    return text[0].upper() + text[1:] + (f", {waived} waived" if waived else "")


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
        title=finding_title(finding.code),
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
            title=finding_title(code),
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
    """Return the checks that could not run, except those that the list of rules reports already."""
    told = {(run.wall, run.untested) for run in results.checks.rules}
    for entry in results.checks.could_not_run:
        if (entry.wall, entry.why) not in told:
            yield UntestedRow(entry.check, entry.wall, entry.why)


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
    yield from (f"Reading: {text}" for text in results.repaired)
    yield from results.remarks
    if results.written:
        yield from (f"The new drawing differs from the old one: {text}" for text in results.written.changes)
        yield from results.written.remarks
    yield from ignored_sentences(results)
