"""The sample drawings, annotated once for all tests of this folder by the program as a user runs it."""

from __future__ import annotations

import functools
import tempfile
from dataclasses import dataclass
from pathlib import Path

import ezdxf
from ezdxf.document import Drawing

from cli.harness import Ending, perpend
from perpend.report import Results

SAMPLES = Path(__file__).parents[2] / "sample_drawings"
NAMES = tuple(sorted(p.name for p in SAMPLES.glob("*.dxf") if not p.stem.endswith("-annotated")))
APPLICATION = "PERPEND"
_FOLDER = tempfile.TemporaryDirectory(prefix="perpend-outside-")


@dataclass(frozen=True)
class Annotated:
    """One sample: the original, what was made of it, and how the run ended."""

    source: Path
    output: Path
    results: Results
    ending: Ending

    @functools.cached_property
    def before(self) -> Drawing:
        """The original as ezdxf reads it."""
        return ezdxf.readfile(self.source)

    @functools.cached_property
    def after(self) -> Drawing:
        """The output as ezdxf reads it."""
        return ezdxf.readfile(self.output)

    def on_sheet(self, wall: int, point: tuple[float, float]) -> tuple[float, float]:
        """Carry a point from the axes of a level wall to the drawing's, in inches."""
        entry = self.results.walls[wall]
        assert entry.angle_deg == 0
        return (entry.x0_in + point[0], entry.y0_in + point[1])


@functools.cache
def annotated(name: str) -> Annotated:
    """Annotate a sample into a folder of its own."""
    source = SAMPLES / name
    output = Path(_FOLDER.name) / name
    results = output.with_suffix(".json")
    ending = perpend("annotate", source, "-o", output, "--results", results)
    assert ending.code in (0, 1), ending.err
    return Annotated(source, output, Results.from_json(results.read_text(encoding="utf-8")), ending)
