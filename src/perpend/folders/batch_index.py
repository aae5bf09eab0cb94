"""The index of a batch: one page, tables and one document for all its drawings."""

from __future__ import annotations

import json
import os
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from perpend.errors import InputError
from perpend.folders.index_page import page
from perpend.folders.orders import GRAVEST_FIRST, UNDONE, Order, Outcome
from perpend.folders.run_record import counts
from perpend.jobs.staging import staged, write_text
from perpend.version import __version__

INDEX_FILES: Final = ("index.html", "index.csv", "index.json", "joints.csv", "findings.csv")
_ADDED_UP: Final = ("walls", "joints", "joint_in", "slip_planes")
_DRAWN: Final = ("lintels", "lintel_in", "steel_in")
"""What only annotating draws; a check assumes lintels where it judges."""
_FOUND: Final = ("violations", "remarks", "doubts")
_SCHEDULE: Final = ("drawing", "wall", "joint", "x_in", "station", "kind", "type", "reason")
_FEET: Final = 1 / 12
_METRES: Final = 0.0254


def write_index(
    out: Path,
    outcomes: Sequence[Outcome],
    orders: Sequence[Order],
    *,
    folder: Path,
    left_out: Sequence[str] = (),
    left_behind: Sequence[str] = (),
) -> Path:
    """Write the `INDEX_FILES` into the output folder.

    Args:
        out: the output folder.
        outcomes: one for each drawing, in the order in which they are listed.
        orders: the orders they belong to, in the same order.
        folder: where the drawings are, as the page names it.
        left_out: what was not taken for a drawing, and why.
        left_behind: what stands from earlier runs, and why.

    Returns:
        The index page.

    Raises:
        InputError: a file can't be written.
    """
    from perpend.report.csv_tables import FINDING_COLUMNS, csv_text

    command = orders[0].command
    places = gravity_places(outcomes)
    rows = [
        _row(out, outcome, order, place)
        for outcome, order, place in zip(outcomes, orders, places, strict=True)
    ]
    document = {
        "schema_version": "1",
        "perpend_version": __version__,
        "command": command,
        "totals": quantities(outcomes, command),
        "findings": _by_code(outcomes),
        "left_out": list(left_out),
        "left_behind": list(left_behind),
        "drawings": rows,
    }
    joints = [(outcome.name, *joint) for outcome in outcomes for joint in outcome.schedule]
    findings = [finding for outcome in outcomes for finding in outcome.findings]
    columns = [name for name in rows[0] if name not in ("gravity_place", "results", "sheet")]
    pictured = [{**row, "thumbnail": outcome.thumbnail} for row, outcome in zip(rows, outcomes, strict=True)]
    texts = (
        page(document, pictured, folder=folder),
        csv_text(columns, [[_cell(row[name]) for name in columns] for row in rows]),
        json.dumps(document, indent=2, ensure_ascii=False) + "\n",
        csv_text(_SCHEDULE, joints),
        csv_text(FINDING_COLUMNS, findings),
    )
    with staged({name: out / name for name in INDEX_FILES}) as where:
        for name, text in zip(INDEX_FILES, texts, strict=True):
            write_text(where[name], text, table=name.endswith(".csv"))
    return out / "index.html"


def write_sarif(place: Path, outcomes: Sequence[Outcome], orders: Sequence[Order], *, folder: Path) -> None:
    """Write the findings of all drawings as one SARIF file, from their results documents.

    Args:
        place: the file.
        outcomes: one for each drawing.
        orders: the orders they belong to, in the same order.
        folder: where the drawings are; their places are told from there.

    Raises:
        InputError: no drawing was done, a results document can't be read, or the file can't be written.
    """
    from perpend.report import Results
    from perpend.report.sarif import project_sarif

    done = [order for order, outcome in zip(orders, outcomes, strict=True) if counts(outcome)]
    if not done:
        raise InputError(f"--sarif {place} is not written: no drawing was done that could have findings.")
    found = []
    for order in done:
        try:
            found.append((order.name, Results.from_json(order.results.read_text(encoding="utf-8"))))
        except (OSError, ValueError):  # pydantic's errors are of that kind
            raise InputError(
                f"--sarif {place} is not written: {order.results} is not as perpend wrote it: move it away "
                "and pass --force."
            ) from None
    undone = [f"{o.name}: {o.state}: {o.sentence}" for o in outcomes if o.state in UNDONE]
    with staged({"--sarif": place}) as where:
        write_text(where["--sarif"], project_sarif(found, folder, undone))


def gravity_places(outcomes: Sequence[Outcome]) -> list[int]:
    """Return the place of each drawing when the one that most needs a look comes first.

    What could not be done comes first, then violations, then doubts of the reading, then remarks, then what
    is clean, then what is no elevation; among those of a kind the one whose worst finding misses its limit
    by the largest part, then the one with more findings.
    """

    def gravity(number: int) -> tuple[int, bool, bool, float, int]:
        o = outcomes[number]
        findings = o.violations or o.remarks
        return GRAVEST_FIRST.index(o.state), not o.needs_look, not o.worst, -o.missed, -findings

    order = sorted(range(len(outcomes)), key=gravity)
    return [place for _, place in sorted(zip(order, range(1, len(order) + 1), strict=True))]


def quantities(outcomes: Sequence[Outcome], command: str) -> dict[str, float]:
    """Add up what drawings hold; a length stands in feet (``…_ft``) and in metres (``…_m``)."""
    found: dict[str, float] = {}
    for name in (*_ADDED_UP, *(_DRAWN if command == "annotate" else ()), *_FOUND):
        total = sum(getattr(outcome, name) for outcome in outcomes)
        what = name.removesuffix("_in")
        if what == name:
            found[name] = total
        else:
            found |= {f"{what}_ft": round(total * _FEET, 2), f"{what}_m": round(total * _METRES, 2)}
    return found


def _row(out: Path, outcome: Outcome, order: Order, place: int) -> dict[str, Any]:
    files = {"output": order.target, "results": order.results, "sheet": order.sheet}
    done = counts(outcome)  # files of an earlier run beside a drawing that is refused now would mislead
    links = {k: Path(os.path.relpath(p, out)).as_posix() if done else "" for k, p in files.items()}
    return {
        "drawing": outcome.name,
        "state": outcome.state.value,
        "worked_in": outcome.worked_in,
        "metric": outcome.metric,
        **quantities([outcome], order.command),
        "findings": _by_code([outcome]),
        "needs_look": outcome.needs_look,
        "worst": outcome.worst,
        "worst_severity": _severity(outcome),
        "doubt": outcome.doubt,
        "gravity_place": place,
        "sentence": outcome.sentence,
        **links,
    }


def _severity(outcome: Outcome) -> str:
    """Say of what kind the worst finding is."""
    if outcome.violations:
        return "required"
    return "doubt" if outcome.doubts else "advisory" if outcome.remarks else ""


def _by_code(outcomes: Sequence[Outcome]) -> dict[str, int]:
    """Count the findings that nobody waived by their codes, the most frequent first."""
    from perpend.report.csv_tables import FINDING_COLUMNS

    code, state = FINDING_COLUMNS.index("code"), FINDING_COLUMNS.index("state")
    rows = (row for outcome in outcomes for row in outcome.findings)
    found = Counter(str(row[code]) for row in rows if row[state] == "open")
    return dict(sorted(found.items(), key=lambda item: (-item[1], item[0])))


def _cell(value: str | float | Mapping[str, int]) -> str | float:
    """Return what a table shows of a value: yes or no, and counts as ``code 2; code 1``."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Mapping):
        return "; ".join(f"{code} {count}" for code, count in value.items())
    return value
