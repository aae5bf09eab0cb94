"""The index of a batch as a page that needs no network."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import datetime
from importlib import resources
from pathlib import Path
from typing import Any, Final
from urllib.parse import quote

from perpend.batch.orders import GRAVEST_FIRST, State

_DONE_BY: Final = {"annotate": "annotated", "check": "checked"}
_COLUMNS: Final = (
    ("violations", "Viola\u00adtions"),
    ("remarks", "Re\u00admarks"),
    ("walls", "Walls"),
    ("joints", "Joints"),
    ("joint_ft", "Joint, ft"),
    ("slip_planes", "Slip planes"),
    ("lintels", "Lintels"),
)
"""Columns of numbers: key of the row, heading."""


def page(
    document: Mapping[str, Any], rows: Sequence[Mapping[str, Any]], *, folder: Path, command: str
) -> str:
    """Return the page.

    Args:
        document: the index as data: ``totals``, ``left_out``, ``perpend_version``.
        rows: its drawings, each with its ``thumbnail``.
        folder: where the drawings are, as the user named it.
        command: ``annotate`` or ``check``.
    """
    import jinja2

    environment = jinja2.Environment(
        autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    environment.filters["link"] = lambda path: quote(str(path))
    environment.filters["shown"] = _shown
    template = (resources.files("perpend.batch") / "index.html.j2").read_text(encoding="utf-8")
    return environment.from_string(template).render(
        rows=rows,
        columns=_COLUMNS,
        totals=document["totals"],
        left_out=document["left_out"],
        version=document["perpend_version"],
        folder=folder,
        done_by=_DONE_BY[command],
        verdict=_verdict(rows),
        written=f"{datetime.now():%Y-%m-%d %H:%M}",
    )


def _shown(value: float) -> str:
    return f"{value:,.1f}" if isinstance(value, float) else f"{value:,}"


def _verdict(rows: Sequence[Mapping[str, Any]]) -> str:
    """Say how many drawings need a look, and why: ``5 of 12 need a look: 3 refused, 2 with violations``."""
    states = Counter(row["state"] for row in rows)
    words = {State.VIOLATIONS: "with violations", State.FAULT: "failed by a fault of perpend"}
    told = [f"{states[s]} {words.get(s, s)}" for s in GRAVEST_FIRST if s is not State.CLEAN and states[s]]
    remarked = sum(row["state"] == State.CLEAN and row["remarks"] > 0 for row in rows)
    clean = f"{states[State.CLEAN]} clean" + (f", {remarked} of them with remarks" if remarked else "")
    if not told:
        return f"All {clean}" if len(rows) > 1 else clean.capitalize()
    return f"{len(rows) - states[State.CLEAN]} of {len(rows)} need a look: {', '.join(told)}; {clean}"
