"""The results as text a person reads on a terminal: no colour, no wider than 100 columns.

Every line carries a tone (what kind of line it is); the command line may colour by it, and everything
else ignores it.
"""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Final

from perpend.report.corner_entries import corner_sentence
from perpend.report.finding_numbers import (
    Numbered,
    advice_counted,
    finding_title,
    numbered,
    unverified_words,
)
from perpend.report.ignored_words import ignored_sentences
from perpend.report.lengths import Lengths
from perpend.report.results_document import (
    ChecksEntry,
    FindingEntry,
    JointEntry,
    LimitsEntry,
    PanelEntry,
    Results,
    SourceEntry,
    WallEntry,
    WrittenEntry,
)
from perpend.report.spacing_words import corner_words, governing_words, range_words
from perpend.report.text_lines import Line, Tone
from perpend.units import same
from perpend.wording import counted

WIDTH: Final = 100
_LABEL: Final = 16
_MOST_JOINTS: Final = 40
_CHANGES: Final = ("kept", "moved", "redrawn", "added", "removed")
_MOST_IGNORED: Final = 8


def summary(results: Results) -> list[Line]:
    """Sum up a results document.

    Returns:
        Lines of at most `WIDTH` columns, without line ends.
    """
    lines = [*_head(results), Line("")]
    found: dict[int, list[Numbered]] = {}
    for item in numbered(results):
        found.setdefault(id(item.wall), []).append(item)
    for wall in results.walls:
        lines += [*_wall(wall, found.get(id(wall), []), Lengths.of(results)), Line("")]
    lines += _corners(results)
    lines += _drawing_findings(results)
    lines += _remarks(results)
    lines += _foot(results)
    return lines


def _corners(results: Results) -> Iterator[Line]:
    show = Lengths.of(results).plain
    for corner in results.corners:
        yield from labelled("Corner", corner_sentence(corner, show))
    if results.corners:
        yield Line("")


def _head(results: Results) -> Iterator[Line]:
    drawing = results.drawing
    found = ", ".join(f"{f.count or 'no'} {_counted(f.what, f.count)}" for f in results.found)
    yield Line(f"{Path(drawing.path).name}: {found}", "title")
    yield from wrapped(
        f"{drawing.dxf_version}, drawing unit {drawing.units} ({drawing.units_why}); "
        f"rule book {results.rulebook.key} {results.rulebook.version}"
    )
    if results.settings_files:
        yield from wrapped(f"settings {', '.join(results.settings_files)}")


def _counted(what: str, count: int) -> str:
    head, _, rest = what.partition(" ")
    if what.startswith(("drawn ", "bond ", "lateral ")):
        return what.removesuffix("s") if count == 1 else what
    one = head.removesuffix("s") if count == 1 else head
    return f"{one} {rest}".strip()


def _wall(wall: WallEntry, findings: list[Numbered], show: Lengths) -> Iterator[Line]:
    title = f"{wall.tag}: {show.plain(wall.length_in)} long, {show.plain(wall.height_in)} high"
    if wall.greatest_height_in > wall.height_in + 1:
        title += f" at its lowest, {show.plain(wall.greatest_height_in)} overall"
    yield Line(title, "title")
    basis = f"{wall.basis}; " if wall.basis else ""
    yield from labelled("Method" if basis else "Height", f"{basis}{_height(wall.limits, show)}")
    yield from labelled("Spacing", _spacing(wall, show))
    yield from labelled("Ends", f"left: {_end(wall.left_end)}; right: {_end(wall.right_end)}")
    yield from labelled("Joints", _joint_count(wall))
    yield from _joints(wall.joints, show)
    yield from _panels(wall.panels, show)
    yield from _openings(wall, show)
    if wall.joint_type_name and (wall.joints or wall.limits.max_spacing_in is not None):
        yield from labelled("Joint type", wall.joint_type_name)
    for note in wall.notes:
        yield from labelled("Note", note)
    if findings:
        for item in findings:
            yield from _finding(item, show)
    else:
        yield Line(f"{'  Findings':<{_LABEL}}none", "good")
    yield from _cure(wall, show)


def _cure(wall: WallEntry, show: Lengths) -> Iterator[Line]:
    """Yield what the nearest layout that complies changes, joint by joint."""
    if not wall.proposed:
        return
    counts = Counter(p.change for p in wall.proposed)
    yield from labelled("Proposed", ", ".join(f"{counts[c]} {c}" for c in _CHANGES if counts[c]))
    for p in wall.proposed:
        if p.change == "kept":
            continue
        was = next((joint for joint in wall.joints if joint.number == p.was), None)
        how = {
            "added": f"add a joint at {show.plain(p.x_in)}: {p.reason}",
            "removed": f"remove the joint at {show.plain(p.x_in)}: {p.reason}",
            "moved": f"move the joint at {show.plain(was.x_in if was else p.x_in)} by "
            f"{show.plain(p.move_in)} to {show.plain(p.x_in)}: {p.reason}",
            "redrawn": f"draw the joint at {show.plain(p.x_in)} anew: {p.reason}",
        }[p.change]
        yield from wrapped(how, first=" " * _LABEL, then=" " * (_LABEL + 2))


def _height(limits: LimitsEntry, show: Lengths) -> str:
    basis = "lowest height of the wall" if limits.height_basis == "wall" else "least storey height"
    return f"H = {show.plain(limits.height_in)} ({basis})"


def _spacing(wall: WallEntry, show: Lengths) -> str:
    limits = wall.limits
    if limits.max_spacing_in is None:
        return "no joints required for shrinkage"
    usual = f"up to {show.limit(limits.max_spacing_in)}, {governing_words(limits)}"
    corner = corner_words(wall, show.limit)
    text = (range_words(wall, show.limit) or usual) + (f"; first joint {corner}" if corner else "")
    return text + (f" (tightened: {limits.tightened})" if limits.tightened else "")


def _end(condition: str) -> str:
    return {"corner": "corner", "free": "free", "continues": "continues", "joint": "adjoining wall"}[
        condition
    ]


def _joint_count(wall: WallEntry) -> str:
    slips = sum(len(joint.slip_planes) for joint in wall.joints)
    count = str(len(wall.joints)) if wall.joints else "none"
    planes = f", {slips} slip {'plane' if slips == 1 else 'planes'}" if slips else ""
    kept = sum(joint.state == "existing" for joint in wall.joints)
    held = sum(joint.held for joint in wall.joints)
    return count + planes + (f" ({kept} drawn already)" if kept else "") + (f" ({held} held)" if held else "")


def _joints(joints: list[JointEntry], show: Lengths) -> Iterator[Line]:
    for joint in joints[:_MOST_JOINTS]:
        head = f"{joint.mark or joint.number:>6}  {show.plain(joint.x_in):<12} "
        yield from wrapped(joint.reason, first=head, then=" " * len(head))
    if len(joints) > _MOST_JOINTS:
        yield Line(f"        ... and {len(joints) - _MOST_JOINTS} more, in the results document")


def _panels(panels: list[PanelEntry], show: Lengths) -> Iterator[Line]:
    """Tell of the longest panel, and of the one that uses most of its limit if that is another."""
    if not panels:
        return
    longest = max(panels, key=lambda p: (p.length_in, p.utilisation or 0.0))
    fullest = max(panels, key=lambda p: (p.utilisation or 0.0, p.length_in))
    yield from labelled("Longest panel", _panel(longest, show))
    if (fullest.utilisation or 0.0) > (longest.utilisation or 0.0):
        yield from labelled("Fullest panel", _panel(fullest, show))


def _panel(panel: PanelEntry, show: Lengths) -> str:
    text = f"{show.plain(panel.length_in)}, from {show.plain(panel.x0_in)} to {show.plain(panel.x1_in)}"
    foot_in = panel.x1_in - panel.x0_in
    if panel.length_in > foot_in and not same(panel.length_in, foot_in):
        text += f" ({show.plain(foot_in)} at the foot; a joint steps away from it higher up)"
    if panel.limit_in is None or panel.utilisation is None:
        return text
    return f"{text}; {100 * panel.utilisation:.0f} % of the {show.plain(panel.limit_in)} allowed"


def _openings(wall: WallEntry, show: Lengths) -> Iterator[Line]:
    """List the openings by treatment: those with one mark as a number, or by their places if they differ."""
    treatments = {(opening.tag, opening.treatment) for opening in wall.openings}
    differ = {tag for tag, count in Counter(tag for tag, _ in treatments).items() if count > 1}
    for treatment in ("reinforced", "unreinforced"):
        treated = [opening for opening in wall.openings if opening.treatment == treatment]
        names = Counter(
            o.tag if o.tag not in differ else f"{o.tag} at {show.plain(o.x0_in)}" for o in treated
        )
        if names:
            named = (name if count == 1 else f"{count} × {name}" for name, count in names.items())
            yield from labelled(treatment.capitalize(), ", ".join(named))


def _finding(item: Numbered, show: Lengths) -> Iterator[Line]:
    finding = item.finding
    tone, mark = _weight(finding)
    head = f"{f'  {mark} {item.number}':<{_LABEL}}"
    yield from wrapped(
        f"{finding_title(finding.code)}. {finding.message}", first=head, then=" " * _LABEL, tone=tone
    )
    details = []
    if finding.at:
        places = dict.fromkeys(show.plain(x) for x, _ in finding.at)
        details.append(f"at {' and '.join(places)}")
    if finding.measured_in is not None:
        details.append(f"measured {show.plain(finding.measured_in)}")
    if finding.limit_in is not None:
        details.append(f"limit {show.plain(finding.limit_in)}")
    if finding.handle:
        details.append(f"entity {finding.handle}")
    if details:
        yield from _indented("; ".join(details))
    if finding.source:
        yield from _indented(f"Source: {cite(finding.source)}")
    if finding.cure:
        yield from _indented(f"Cure: {finding.cure}")
    if finding.waived:
        until = f" until {finding.waived.until}" if finding.waived.until else ""
        yield from _indented(f"Waived by {finding.waived.who}{until}: {finding.waived.reason}")


def _weight(finding: FindingEntry) -> tuple[Tone, str]:
    if finding.waived:
        return "quiet", "WAIVED"
    return ("required", "VIOLATION") if finding.severity == "required" else ("advisory", "ADVISORY")


def _drawing_findings(results: Results) -> Iterator[Line]:
    if results.findings:
        yield Line("The drawing", "title")
        for item in numbered(results):
            if item.wall is None:
                yield from _finding(item, Lengths.of(results))
        yield Line("")


def _remarks(results: Results) -> Iterator[Line]:
    remarks = [*_remarked(results), *untested_sentences(results)]
    for sentence in remarks:
        yield from wrapped(sentence, first="- ", then="  ")
    if remarks:
        yield Line("")


def _remarked(results: Results) -> list[str]:
    """Return what is worth knowing of the reading, the run, what was written and what was left out."""
    written = results.written
    return [
        *(f"Reading: {text}" for text in results.repaired),
        *results.remarks,
        *((*written.notes, *written.remarks) if written else ()),
        *ignored_sentences(results, most=_MOST_IGNORED),
    ]


def untested_sentences(results: Results) -> Iterator[str]:
    """Say once for all walls what could not be tested and why."""
    walls: dict[tuple[str, str], list[str]] = {}
    for entry in results.checks.could_not_run:
        walls.setdefault((entry.check, entry.why), []).append(entry.wall)
    rules: dict[tuple[str, str], list[str]] = {}
    for (check, why), tags in walls.items():
        where = "" if len(tags) == len(results.walls) else f" in {', '.join(tags)}"
        rules.setdefault((why, where), []).append(check)
    parts = [
        f"{', '.join(map(finding_title, checks))}{where} ({why})" for (why, where), checks in rules.items()
    ]
    if parts:
        yield f"Not tested: {'; '.join(parts)}."


def _foot(results: Results) -> Iterator[Line]:
    yield from _sources(results)
    for caution in results.cautions:
        yield from wrapped(caution, tone="quiet")
    yield Line("")
    marks = Counter(mark for _, mark in map(_weight, results.all_findings))
    required = marks["VIOLATION"]
    waived = f", {marks['WAIVED']} waived" if marks["WAIVED"] else ""
    remarks = len(_remarked(results)) + sum(len(wall.notes) for wall in results.walls)
    found = f"{counted(required, 'violation', none='no')}, {advice_counted(marks['ADVISORY'])}{waived}"
    verdict = f"{found}, {counted(remarks, 'remark', none='no')}; {_tested(results.checks)}"
    look = "; needs a look" if results.needs_look else ""
    yield Line(f"{verdict[0].upper()}{verdict[1:]}{look}", "required" if required or look else "good")
    if results.written:
        yield from _written(results.written)


def _written(written: WrittenEntry) -> Iterator[Line]:
    yield Line(f"Written: {written.path}")
    if written.method == "inserted":
        yield Line("  the original's bytes are unchanged; new entities were inserted")
    else:
        reason = written.reason or ""
        why = f"  saved anew: {reason[:1].lower()}{reason[1:]}" if reason else "  saved anew"
        yield from wrapped(why, then="  ")
    for change in written.changes:
        yield from wrapped(change, first="  changed: ", then="           ")


def _tested(checks: ChecksEntry) -> str:
    if not checks.ran:
        return "nothing was tested."
    return f"{checks.passed} of {checks.ran} checks passed."


def _sources(results: Results) -> Iterator[Line]:
    used = dict.fromkeys(cite(source) for wall in results.walls for source in _used(wall))
    for number, text in enumerate(used):
        yield from labelled("Sources" if number == 0 else "", text, margin="")
    if results.unverified:
        said = f"against the source: {unverified_words(results.unverified)}"
        yield from labelled("Not verified", said, margin="")


def _used(wall: WallEntry) -> Iterator[SourceEntry]:
    """Yield the sources of a wall's limits, steel, openings and joints."""
    steel = wall.horizontal_reinforcement
    yield from wall.limits.sources
    yield from (choice.source for choice in steel.choices if steel.chosen in (None, choice.name))
    yield from (source for opening in wall.openings for source in opening.sources)
    yield from (source for joint in wall.joints for source in joint.sources)


def cite(source: SourceEntry) -> str:
    """Return a source in one line, with its standing."""
    place = f"{source.document}, {source.clause}" if source.clause else source.document
    if source.standing in ("decision", source.document.lower()):
        return place
    return f"{place} ({'not verified against the source' if source.unverified else source.standing})"


def labelled(label: str, text: str, *, margin: str = "  ") -> Iterable[Line]:
    """Print a text beside its label, wrapped under itself."""
    head = f"{margin + label:<{_LABEL}}"
    return wrapped(text, first=head, then=" " * _LABEL)


def _indented(text: str) -> Iterable[Line]:
    return wrapped(text, first=" " * _LABEL, then=" " * _LABEL)


def wrapped(text: str, *, first: str = "", then: str = "", tone: Tone = "plain") -> Iterable[Line]:
    """Wrap a text to `WIDTH` columns; its first line and the others start as given."""
    lines = textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=then, break_on_hyphens=False)
    return [Line(line, tone) for line in lines]
