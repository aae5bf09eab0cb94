"""What a batch says of its drawings: one line for each, and the lines at its end."""

from __future__ import annotations

from collections.abc import Iterator

from perpend.folders.batch_run import BatchReport
from perpend.folders.orders import GRAVEST_FIRST, Outcome, State
from perpend.report.text_lines import Line
from perpend.wording import counted


def outcome_text(outcome: Outcome) -> list[Line]:
    """Return the line of one drawing."""
    return [Line(_line(outcome))]


def _line(outcome: Outcome) -> str:
    if outcome.sentence:
        return f"{outcome.name}: {outcome.state}: {outcome.sentence}"
    found = f"{counted(outcome.walls, 'wall')}, {counted(outcome.joints, 'joint')}"
    if outcome.violations:
        found += f", {counted(outcome.violations, 'violation')}: {outcome.worst}"
    elif outcome.remarks:
        found += f", {counted(outcome.remarks, 'remark')}{_in_doubt(outcome)}: {outcome.worst}"
    return f"{outcome.name}: {outcome.state}: {found}{_unchanged(outcome)}"


def _in_doubt(outcome: Outcome) -> str:
    """Say how many of the remarks are doubts of the reading."""
    return f" ({counted(outcome.doubts, 'doubt')} of the reading)" if outcome.doubts else ""


def _unchanged(outcome: Outcome) -> str:
    if not outcome.worked_in:
        return " (unchanged)" if outcome.reused else ""
    return " (unchanged; somebody has worked in the new drawing since: it is kept, --overwrite replaces it)"


def batch_text(report: BatchReport) -> list[Line]:
    """Return what is said of a whole run at its end."""
    return [Line(text) for text in _closing(report)]


def _closing(report: BatchReport) -> Iterator[str]:
    done = report.count(State.CLEAN) + report.count(State.VIOLATIONS)
    unchanged = sum(outcome.reused for outcome in report.outcomes)
    if report.stopped:
        yield "Stopped by hand or from outside; what is done is kept, and the same command goes on from here."
    yield from report.left_out
    yield from report.left_behind
    found = ", ".join(_tally(report))
    yield f"{done} of {len(report.outcomes)} drawings done ({unchanged} unchanged): {found}"
    if report.index is not None:
        yield f"Index: {report.index}"


def _tally(report: BatchReport) -> Iterator[str]:
    """Say how many drawings there are of a kind, the worst first: ``2 with 7 violations``, ``9 clean``."""
    violations = sum(outcome.violations for outcome in report.outcomes)
    clean = [o for o in report.outcomes if o.state is State.CLEAN]
    doubts = [o.doubts for o in clean if o.in_doubt]
    remarks = [o.remarks for o in clean if o.remarks and not o.in_doubt]
    words = {
        State.VIOLATIONS: f"with {counted(violations, 'violation')}",
        State.FAULT: "failed by a fault of perpend",
        State.NO_ELEVATION: "without an elevation",
    }
    for state in GRAVEST_FIRST:
        count = report.count(state)
        if state is State.CLEAN and doubts:
            yield f"{len(doubts)} with {counted(sum(doubts), 'doubt')} of the reading"
            count -= len(doubts)
        if state is State.CLEAN and remarks:
            yield f"{len(remarks)} with {counted(sum(remarks), 'remark')}"
            count -= len(remarks)
        if count:
            yield f"{count} {words.get(state, state)}"
