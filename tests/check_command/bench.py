"""What the tests of ``perpend check`` share: a run, and drawings with known faults."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import ezdxf
from ezdxf.document import Drawing
from ezdxf.entities import LWPolyline

from cli.drawings import add_box, add_text, new_drawing
from cli.harness import Ending, perpend
from perpend.report import Results
from perpend.report.results_document import FindingEntry

SETTINGS = Path(__file__).parents[2] / "sample_drawings" / "perpend.toml"
MARKS = "PERPEND-CHECK"
JOINTS = "A-ELEV-JNTC"
Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Checked:
    """One run of the command: how it ended, what it found, the drawing it wrote."""

    ending: Ending
    results: Results
    output: Path

    @property
    def required(self) -> list[FindingEntry]:
        """Violations that nobody waived."""
        return [f for f in self.results.all_findings if f.severity == "required" and f.waived is None]

    @property
    def codes(self) -> set[str]:
        """Codes of all findings."""
        return {f.code for f in self.results.all_findings}

    def only(self, code: str) -> FindingEntry:
        """Return the one finding with a code."""
        (found,) = [f for f in self.results.all_findings if f.code == code]
        return found


def check(drawing: Path, *options: str | Path, settings: Path | None = None) -> Checked:
    """Run ``perpend check`` as a user does, into files beside the drawing."""
    output = drawing.with_name(f"{drawing.stem}-out.dxf")
    results = output.with_suffix(".json")
    given = ["--settings", settings] if settings else []
    ending = perpend("check", drawing, "-o", output, "--results", results, *given, *options)
    assert ending.code in (0, 1), ending.err
    return Checked(ending, Results.from_json(results.read_text(encoding="utf-8")), output)


def our_joints(doc: Drawing) -> list[LWPolyline]:
    """Return the joints that ``annotate`` drew, from left to right."""
    found = [e for e in doc.modelspace().query("LWPOLYLINE") if _is_joint(e)]
    return sorted(found, key=lambda e: e.get_points("xy")[0])


def _is_joint(entity: LWPolyline) -> bool:
    return entity.has_xdata("PERPEND") and (1000, "kind=joint") in entity.get_xdata("PERPEND")


def others(
    path: Path,
    joints: Iterator[Points] | tuple[Points, ...],
    *,
    at: tuple[float, float] = (0.0, 0.0),
    wall: tuple[float, float] = (720.0, 200.0),
    openings: tuple[tuple[str, tuple[float, float, float, float]], ...] = (),
) -> Path:
    """Draw one wall whose joints are LINEs by another drafter's hand."""
    doc = new_drawing()
    doc.layers.add(JOINTS)
    x0, y0 = at
    add_box(doc, (x0, y0, x0 + wall[0], y0 + wall[1]), "A-ELEV-WALL")
    add_text(doc, "N", (x0 + 6, y0 + wall[1] - 15))
    for tag, (left, low, right, high) in openings:
        add_box(doc, (x0 + left, y0 + low, x0 + right, y0 + high), "A-ELEV-OPNG")
        add_text(doc, tag, (x0 + left + 6, y0 + high - 15))
    for points in joints:
        for a, b in itertools.pairwise(points):
            start, end = (x0 + a[0], y0 + a[1]), (x0 + b[0], y0 + b[1])
            doc.modelspace().add_line(start, end, dxfattribs={"layer": JOINTS})
    doc.saveas(path)
    return path


def upright(*stations: float, height: float = 200.0) -> tuple[Points, ...]:
    """Return plumb joints over a wall's height."""
    return tuple(((x, 0.0), (x, height)) for x in stations)


def with_proposal(checked: Checked, drawing: Path, path: Path) -> Path:
    """Do by hand, in the one wall of a drawing, what a check proposed."""
    doc = ezdxf.readfile(drawing)
    (wall,) = checked.results.walls
    for p in wall.proposed:
        was = next((joint for joint in wall.joints if joint.number == p.was), None)
        if p.change in ("moved", "redrawn", "removed") and was is not None:
            doc.modelspace().delete_entity(doc.entitydb[was.handle])
        if p.change in ("moved", "redrawn", "added"):
            points = [(wall.x0_in + x, wall.y0_in + y) for x, y in p.path]
            doc.modelspace().add_lwpolyline(points, dxfattribs={"layer": JOINTS})
    doc.saveas(path)
    return path
