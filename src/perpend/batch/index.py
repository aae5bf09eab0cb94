"""The index of a batch: one page, one table and one document for all its drawings."""

from __future__ import annotations

import csv
import io
import json
import os
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from perpend import __version__
from perpend.batch.index_page import page
from perpend.batch.orders import GRAVEST_FIRST, Order, Outcome
from perpend.batch.record import counts
from perpend.drawing.writing.files import whole_file

INDEX_FILES: Final = ("index.html", "index.csv", "index.json", "joints.csv")
_COUNTED: Final = (
    "walls",
    "joints",
    "joint_ft",
    "slip_planes",
    "lintels",
    "lintel_ft",
    "steel_ft",
    "violations",
    "remarks",
)
_COLUMNS: Final = (
    "drawing",
    "state",
    "worked_in",
    *_COUNTED,
    "worst",
    "worst_severity",
    "sentence",
    "output",
)
_SCHEDULE: Final = ("drawing", "wall", "joint", "x_in", "kind", "type", "reason")


def write_index(
    out: Path,
    outcomes: Sequence[Outcome],
    orders: Sequence[Order],
    *,
    folder: Path,
    left_out: Sequence[str] = (),
) -> Path:
    """Write ``index.html``, ``index.csv``, ``index.json`` and ``joints.csv`` into the output folder.

    Args:
        out: the output folder.
        outcomes: one for each drawing, in the order in which they are listed.
        orders: the orders they belong to, in the same order.
        folder: where the drawings are, as the page names it.
        left_out: what was not taken for a drawing, and why.

    Returns:
        The index page.

    Raises:
        InputError: a file can't be written.
    """
    places = gravity_places(outcomes)
    rows = [
        _row(out, outcome, order, place)
        for outcome, order, place in zip(outcomes, orders, places, strict=True)
    ]
    totals = {key: _tidy(sum(getattr(o, key) for o in outcomes)) for key in _COUNTED}
    document = {
        "schema_version": "1",
        "perpend_version": __version__,
        "totals": totals,
        "left_out": list(left_out),
        "drawings": rows,
    }
    _write(out / "index.json", json.dumps(document, indent=2, ensure_ascii=False) + "\n")
    _write(out / "index.csv", _csv([*_COLUMNS], rows))
    _write(out / "joints.csv", _csv(list(_SCHEDULE), list(_schedule(outcomes))))
    pictured = [{**row, "thumbnail": outcome.thumbnail} for row, outcome in zip(rows, outcomes, strict=True)]
    _write(out / "index.html", page(document, pictured, folder=folder, command=orders[0].command))
    return out / "index.html"


def gravity_places(outcomes: Sequence[Outcome]) -> list[int]:
    """Return the place of each drawing when the one that most needs a look comes first.

    What could not be done comes first, then violations, then remarks, then what is clean; among those of a
    kind the one whose gravest finding misses its limit by the largest part, then the one with more findings.
    """

    def gravity(number: int) -> tuple[int, bool, float, int]:
        o = outcomes[number]
        return (GRAVEST_FIRST.index(o.state), not o.worst, -o.missed, -(o.violations or o.remarks))

    order = sorted(range(len(outcomes)), key=gravity)
    return [place for _, place in sorted(zip(order, range(1, len(order) + 1), strict=True))]


def _row(out: Path, outcome: Outcome, order: Order, place: int) -> dict[str, object]:
    numbers = {key: _tidy(getattr(outcome, key)) for key in _COUNTED}
    files = {"output": order.target, "results": order.results, "sheet": order.sheet}
    done = counts(outcome)  # files of an earlier run beside a drawing that is refused now would mislead
    links = {k: Path(os.path.relpath(p, out)).as_posix() if done else "" for k, p in files.items()}
    return {
        "drawing": outcome.name,
        "state": outcome.state.value,
        "worked_in": outcome.worked_in,
        **numbers,
        "worst": outcome.worst,
        "worst_severity": "required" if outcome.violations else "advisory" if outcome.remarks else "",
        "gravity_place": place,
        "sentence": outcome.sentence,
        **links,
    }


def _tidy(value: float) -> float:
    return round(value, 2) if isinstance(value, float) else value


def _schedule(outcomes: Sequence[Outcome]) -> Iterator[dict[str, object]]:
    for outcome in outcomes:
        for row in outcome.schedule:
            yield dict(zip(_SCHEDULE, (outcome.name, *row), strict=True))


def _csv(columns: list[str], rows: Sequence[dict[str, object]]) -> str:
    text = io.StringIO()
    writer = csv.DictWriter(text, columns, extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def _write(path: Path, text: str) -> None:
    with whole_file(path) as place:
        place.write_text(text, encoding="utf-8", newline="\n")
