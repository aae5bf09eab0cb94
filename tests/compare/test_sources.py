"""Every finding, joint and note names its source; what was typed from memory is marked wherever it was used.

The drawings are samples, laid out by every method; the outputs are read as files: JSON, terminal text, the
note block of the new DXF.
"""

from __future__ import annotations

import json
import re
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from cli.drawings import save_elevation
from cli.harness import perpend
from drawing.seen import said
from perpend.drawing import Content, DraftingStyle, draw_plans
from perpend.dxf.text_metrics import plain
from perpend.layout import plan_wall
from perpend.rulebook import load_rulebook
from perpend.settings import parse_settings, resolve_wall
from report.sample_results import plain_wall, window_wall

SAMPLES = Path(__file__).parents[2] / "sample_drawings"
METHODS = {
    "empirical": "[defaults]\nhorizontal_reinforcement = 'W2.8'\n",
    "half-high": "[defaults]\nunits = 'half-high'\nopenings = 'unreinforced'\n",
    "engineered": "[defaults]\nmethod = 'engineered'\nopenings = 'unreinforced'\n",
    "veneer": "[defaults]\nmethod = 'veneer'\nopenings = 'unreinforced'\n",
    "no-joints": "[defaults]\nmethod = 'no-joints'\nbond_beam_bar = 'No. 5'\n",
    "au-ncc": "rulebook = 'au-ncc'\n",
}
FROM_MEMORY = {
    "empirical": {"opening.reinforced#clear"},
    "half-high": {"opening.corner-reinforcement#past"},
    "engineered": {"spacing.engineered-0015#cap", "opening.corner-reinforcement#past"},
    "veneer": {"spacing.veneer"},
    "no-joints": {"opening.reinforced#clear"},
    "au-ncc": set(),
}
"""Rows that facts of the trade give from memory and that the method needs (typed from the ledger)."""

CITED = re.compile(
    r"\[(Design assumption, (EOR|engineer) to confirm|Common practice(, [^]]*)?"
    r"|.+ \((published|common practice|not verified[a-z ]*|derived)\))\]\.$"
)
"""How a note ends: the document with its standing, or this project's own word."""


def sources_in(part: Any) -> list[dict[str, Any]]:  # noqa: ANN401 - any piece of the document
    """Find every source in a piece of a JSON document."""
    if isinstance(part, dict):
        own = [part] if {"row", "document", "standing"} <= set(part) else []
        return own + [s for value in part.values() for s in sources_in(value)]
    return [s for value in part for s in sources_in(value)] if isinstance(part, list) else []


@pytest.fixture(scope="module", params=METHODS)
def run(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[str, Path, str]:
    """Annotate a sample by one method: the method, the folder with the results, the terminal text."""
    folder = tmp_path_factory.mktemp(request.param)
    shutil.copy(SAMPLES / "stepped-east.dxf", folder / "a.dxf")
    chosen = f"{METHODS[request.param]}[text]\nsources = true\n"
    (folder / "perpend.toml").write_text(chosen, encoding="utf-8")
    files = ("-o", folder / "b.dxf", "--results", folder / "b.json", "--sheet", folder / "b.html")
    ending = perpend("annotate", folder / "a.dxf", *files)
    assert ending.code in (0, 1), ending.err
    return request.param, folder, ending.out


def results_of(folder: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((folder / "b.json").read_text(encoding="utf-8"))
    return found


def test_every_joint_opening_and_finding_names_its_source(run: tuple[str, Path, str]) -> None:
    _, folder, _ = run
    for wall in results_of(folder)["walls"]:
        assert wall["limits"]["sources"]
        for part in (*wall["joints"], *wall["openings"]):
            assert part["sources"], part
        for finding in wall["findings"]:
            assert finding["source"], finding


def test_every_note_names_its_source(run: tuple[str, Path, str]) -> None:
    _, folder, _ = run
    for wall in results_of(folder)["walls"]:
        for note in wall["notes"]:
            assert CITED.search(note), note


def test_rows_from_memory_are_marked_in_the_results(run: tuple[str, Path, str]) -> None:
    method, folder, _ = run
    document = results_of(folder)
    marked = {s["row"] for s in document["unverified"]}
    assert marked >= FROM_MEMORY[method]
    everywhere = sources_in(document["walls"])
    assert everywhere
    assert {s["row"] for s in everywhere if s["standing"] == "memory"} <= marked
    assert all(s["unverified"] == (s["standing"] == "memory") for s in everywhere)


def test_rows_from_memory_are_marked_on_the_terminal(run: tuple[str, Path, str]) -> None:
    method, folder, text = run
    flat = re.sub(r"\s+", " ", text)
    unverified = results_of(folder)["unverified"]
    counts = {int(count) for count in re.findall(r"against the source: (\d+) numbers? of", flat)}
    assert counts == ({len({s["row"] for s in unverified})} if unverified else set())
    for source in unverified[:3]:
        assert source["document"] in flat
    assert not any(row in flat for row in FROM_MEMORY[method]), "keys are for settings and machines"
    assert ("against the source: " in flat) == bool(FROM_MEMORY[method])
    assert ("(not verified against the source)" in flat) == bool(FROM_MEMORY[method])


def test_rows_from_memory_are_marked_on_the_layer_that_does_not_plot(run: tuple[str, Path, str]) -> None:
    method, folder, _ = run
    block = " ".join(" ".join(said(ezdxf.readfile(folder / "b.dxf"), "basis")).split())
    assert ("NOT VERIFIED" in block) == bool(FROM_MEMORY[method])
    documents = {
        "empirical": "TMS 402",
        "half-high": "TEK 10-2D",
        "engineered": "TEK 10-3",
        "veneer": "TEK 10-4",
        "no-joints": "MASONRY MAGAZINE (MARCH 2003)",
        "au-ncc": "NCC HOUSING PROVISIONS",
    }
    assert documents[method] in block.upper()


def test_rows_from_memory_are_marked_in_the_review_sheet(run: tuple[str, Path, str]) -> None:
    method, folder, _ = run
    page = (folder / "b.html").read_text(encoding="utf-8")
    rows = re.findall(
        r'<tr id="source-\d+"( class="unverified")?>.*?<small class="id">([^<]+)</small></td></tr>', page
    )
    assert {row for marked, row in rows if marked} >= FROM_MEMORY[method]
    assert all(
        bool(marked) == (row in {s["row"] for s in results_of(folder)["unverified"]}) for marked, row in rows
    )
    assert ("not verified against the source (" in page) == any(marked for marked, _ in rows)


def test_a_joint_that_stood_in_the_drawing_names_why_it_stays(tmp_path: Path) -> None:
    drawing = save_elevation(tmp_path / "a.dxf", [("W1", (0, 0, 480, 144))])
    doc = ezdxf.readfile(drawing)
    doc.layers.add("A-ELEV-JNTC")
    doc.modelspace().add_line((104, 0), (104, 144), dxfattribs={"layer": "A-ELEV-JNTC"})
    doc.saveas(drawing)
    (wall,) = json.loads(perpend("annotate", drawing, "--json").out)["walls"]
    (kept,) = [joint for joint in wall["joints"] if joint["state"] == "existing"]
    assert kept["sources"][0]["row"] == "place.existing"


@pytest.mark.parametrize("method", METHODS)
def test_the_basis_names_every_source_and_the_plate_none(method: str) -> None:
    chosen = parse_settings(METHODS[method])
    book = load_rulebook(chosen.rulebook)
    plans = [
        plan_wall(resolve_wall(chosen, book, wall)) for wall in (window_wall(), plain_wall(480.0, 144.0))
    ]
    style = DraftingStyle(rulebook_title=book.title, rulebook_version=book.version)
    doc = ezdxf.new()
    draw_plans(doc, plans, (), replace(style, content=Content(sources=True)))
    basis = " ".join(" ".join(said(doc, "basis")).split())
    for plan in plans:
        for source in plan.limits.sources:
            assert plain(source.cite()) in basis, source
    plates = [" ".join(said(doc, kind)) for kind in ("note", "schedule", "callout")]
    assert not any("VERIFIED" in words or "TEK" in words for words in plates)
