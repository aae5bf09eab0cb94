"""Draw every plate, run the program on it, and gather what came out; prints what is wrong.

Run as ``python -m gallery.run_plates FOLDER [NAME ...]`` from the folder of the tests.
"""

from __future__ import annotations

import contextlib
import io
import json
import sys
from dataclasses import dataclass
from pathlib import Path

from gallery import output_referee
from gallery.drafting_plates import Bare, Count, Demand, Letters, OneOf, Plate, Says, Spaced, Upright, draw
from gallery.output_referee import Seen
from perpend.cli import run as perpend


@dataclass(frozen=True)
class Outcome:
    """What one plate led to.

    Attributes:
        plate: the plate.
        seen: its output, as the referee sees it; None when the program refused the drawing.
        codes: codes of the findings.
        said: what the program printed.
    """

    plate: Plate
    seen: Seen | None
    codes: tuple[str, ...]
    said: str

    def complaints(self) -> list[str]:
        """Return everything that does not hold."""
        if self.seen is None:
            return [f"refused: {self.said.strip()[-300:]}"]
        found = output_referee.through_openings(self.seen) + output_referee.on_free_edges(self.seen)
        if "panel-too-short" not in self.codes:
            found += output_referee.narrow_pieces(self.seen, alone=self.plate.alone)
        return found + [wrong for demand in self.plate.demands if (wrong := self.lacks(demand))]

    def lacks(self, demand: Demand) -> str:
        """Say how a demand is not met, or return nothing."""
        assert self.seen is not None
        uprights = self.seen.uprights
        match demand:
            case Upright(x, y0, y1):
                return "" if stands(uprights, x, y0, y1) else f"no joint at {x:g} from {y0:g} to {y1:g}"
            case Bare(x0, y0, x1, y1):
                inside = [x for x, a, b in uprights if x0 < x < x1 and min(b, y1) - max(a, y0) > 1]
                return f"a joint at {inside[0]:g}, between {x0:g} and {x1:g}" if inside else ""
            case OneOf(stations, y0, y1, count):
                there = [x for x in stations if stands(uprights, x, y0, y1)]
                return "" if len(there) == count else f"joints at {there}, {count} of {stations} asked for"
            case Count(least, most):
                number = len(
                    {round(x) for x, y0, y1 in uprights if y1 - y0 > 24 and on_a_wall(self.seen, x, y0)}
                )
                return "" if least <= number <= most else f"{number} joints, not {least} to {most}"
            case Letters(text, x0, y0, x1, y1, there):
                found = any(
                    text in said and x0 <= x <= x1 and y0 <= y <= y1 for said, (x, y) in self.seen.texts
                )
                return "" if found == there else f"{text!r} is {'not ' * there}lettered there"
            case Spaced(y, x0, x1, most):
                longest = output_referee.longest_piece(self.seen, y, x0, x1)
                return f"{longest:g} in. without a joint at y {y:g}" if longest > most + 0.1 else ""
            case Says(code, said):
                return "" if (code in self.codes) == said else f"{code} is {'not ' * said}said"


def on_a_wall(seen: Seen, x: float, y: float) -> bool:
    """Say whether a piece begins within a wall, and not in a legend beside it."""
    return any(
        min(a for a, _ in ring) <= x <= max(a for a, _ in ring) and min(b for _, b in ring) - 1 <= y
        for ring in seen.outlines
    ) and any(y < max(b for _, b in ring) for ring in seen.outlines)


def stands(uprights: list[tuple[float, float, float]], x: float, y0: float, y1: float) -> bool:
    """Say whether upright pieces stand at a station from one height to another."""
    pieces = sorted(
        (max(a, y0), min(b, y1)) for at, a, b in uprights if abs(at - x) <= 1 and b > y0 and a < y1
    )
    reached = y0
    for low, high in pieces:
        if low > reached + 1:
            return False
        reached = max(reached, high)
    return reached >= y1 - 1


def run(plate: Plate, folder: Path, *more: str) -> Outcome:
    """Draw a plate and annotate it."""
    source = draw(plate, folder)
    target, results = folder / f"{plate.name}-annotated.dxf", folder / f"{plate.name}.json"
    settings = ["--settings", str(source.with_suffix(".toml"))] if plate.settings else []
    said = io.StringIO()
    arguments = ["annotate", str(source), "-o", str(target), "--results", str(results), "--overwrite"]
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
        code = perpend([*arguments, *settings, *more])
    if code not in (0, 1):
        return Outcome(plate, None, (), said.getvalue())
    document = json.loads(results.read_text())
    findings = [f for w in document["walls"] for f in w["findings"]] + document.get("findings", [])
    return Outcome(plate, output_referee.look(target), tuple(f["code"] for f in findings), said.getvalue())


def main() -> None:
    """Run the plates named on the command line, or all."""
    from gallery.plates import PLATES

    folder, names = Path(sys.argv[1]), [n for n in sys.argv[2:] if not n.startswith("-")]
    pictured = "--pictures" in sys.argv
    folder.mkdir(parents=True, exist_ok=True)
    good = 0
    for plate in PLATES:
        if names and plate.name not in names:
            continue
        outcome = run(plate, folder, *(["--picture", str(folder / f"{plate.name}.png")] if pictured else []))
        wrong = outcome.complaints()
        good += not wrong
        print(f"{'ok  ' if not wrong else 'BAD '} {plate.name}: {sorted(set(outcome.codes))}")
        for line in wrong[:6]:
            print(f"       {line}")
    print(f"{good} plates are right")


if __name__ == "__main__":
    main()
