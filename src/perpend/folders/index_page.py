"""The index of a batch as a page that needs no network."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any, Final
from urllib.parse import quote

from perpend.folders.orders import FINE, GRAVEST_FIRST, State
from perpend.report.sheet.render import template

_DONE_BY: Final = {"annotate": "annotated", "check": "checked"}
_HEADINGS: Final = {
    "violations": "Viola\u00adtions",
    "remarks": "Re\u00admarks",
    "doubts": "Doubts",
    "walls": "Walls",
    "joints": "Joints",
    "joint_ft": "Joint, ft",
    "joint_m": "Joint, m",
    "slip_planes": "Slip planes",
    "lintels": "Lintels",
}
"""Columns of numbers: key of the row, heading."""


def page(document: Mapping[str, Any], rows: Sequence[Mapping[str, Any]], *, folder: Path) -> str:
    """Return the page.

    Args:
        document: the index as data.
        rows: its drawings, each with its ``thumbnail``.
        folder: where the drawings are, as the user named it.
    """
    units = _units(rows)
    return template("index.html.j2", "perpend.folders").render(
        document,
        link=lambda path: quote(os.fsencode(path)),
        shown=_shown,
        rows=rows,
        columns=[
            (key, heading)
            for key, heading in _HEADINGS.items()
            if key in document["totals"] and (not key.startswith("joint_") or key[6:] in units)
        ],
        folder=folder,
        done_by=_DONE_BY[document["command"]],
        verdict=_verdict(rows),
        lengths=_lengths(document["totals"], units),
        written=f"{datetime.now():%Y-%m-%d %H:%M}",
    )


def _units(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    """Return the units of length, ``ft`` or ``m`` or both, in which the drawings are."""
    metric = {row["metric"] for row in rows if row["output"]}
    return [unit for unit, is_metric in (("ft", False), ("m", True)) if is_metric in metric] or ["ft"]


def _lengths(totals: Mapping[str, float], units: Sequence[str]) -> str:
    """Say how many feet or metres of lintels and bars were drawn, if drawing them was asked for."""
    if "lintels" not in totals:
        return ""
    lintels, bars = (
        " / ".join(f"{_shown(totals[f'{what}_{unit}'])} {unit}" for unit in units)
        for what in ("lintel", "steel")
    )
    return f"All together {lintels} of lintels and {bars} of bars are drawn."


def _shown(value: float) -> str:
    return f"{value:,.1f}" if isinstance(value, float) else f"{value:,}"


def _verdict(rows: Sequence[Mapping[str, Any]]) -> str:
    """Say how many drawings need a look, and why: ``5 of 12 need a look: 3 refused, 2 with violations``."""
    states = Counter(row["state"] for row in rows)
    words = {State.VIOLATIONS: "with violations", State.FAULT: "failed by a fault of perpend"}
    told = [f"{states[s]} {words.get(s, s)}" for s in GRAVEST_FIRST if s not in FINE and states[s]]
    clean_rows = [row for row in rows if row["state"] == State.CLEAN]
    in_doubt = sum(row["needs_look"] for row in clean_rows)
    if in_doubt:
        told.append(f"{in_doubt} read with doubts")
    remarked = sum(row["remarks"] > 0 and not row["needs_look"] for row in clean_rows)
    clean = f"{len(clean_rows) - in_doubt} clean" + (f", {remarked} of them with remarks" if remarked else "")
    if states[State.NO_ELEVATION]:
        clean += f"; {states[State.NO_ELEVATION]} without an elevation"
    if not told:
        return f"All {clean}" if states[State.CLEAN] == len(rows) > 1 else clean.capitalize()
    looks = sum(row["needs_look"] for row in rows)
    return f"{looks} of {len(rows)} need a look: {', '.join(told)}; {clean}"
