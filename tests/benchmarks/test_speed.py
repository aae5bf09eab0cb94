"""What perpend costs beside what the bare library costs for the same drawing, in one run.

Off by default: ``.venv/bin/pytest -n 0 -m benchmark tests/benchmarks -s``. Processor time, the cheapest of
three rounds, each in a fresh process; a ratio that was promised is asserted, every other one is only told.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from batch.material import save_good
from benchmarks.material import cheapest_in_turn, paired, save_office_sheet, save_sheet
from cli.harness import program

pytestmark = pytest.mark.benchmark

SAMPLE = Path(__file__).parents[2] / "sample_drawings" / "shopfront-south.dxf"
PERPEND = Path(sys.executable).with_name("perpend")
ANNOTATE = (
    "annotate(Path(sys.argv[1]), output=Path(sys.argv[2]), overwrite=True)",
    "from pathlib import Path\nimport ezdxf, shapely\nfrom perpend import annotate\n"
    "from perpend.gc_tuning import collect_rarely\ncollect_rarely()",
)
BARE = ("ezdxf.readfile(sys.argv[1]).saveas(sys.argv[2])", "import ezdxf")


def tell(*words: object) -> None:
    print("\n ", *words)


def test_start_up() -> None:
    """``perpend --help`` within 2.5 times a bare import of typer."""
    ours, bare = cheapest_in_turn((PERPEND, "--help"), (sys.executable, "-c", "import typer"), rounds=5)
    tell(f"start-up: --help {ours:.2f} s, import typer {bare:.2f} s: {ours / bare:.2f}")
    assert ours <= 2.5 * bare


def test_small_elevation(tmp_path: Path) -> None:
    """A small elevation within twice the imports of ezdxf and shapely; whole processes, start to end."""
    ours, bare = cheapest_in_turn(
        (PERPEND, "annotate", SAMPLE, "-o", tmp_path / "o.dxf", "--overwrite"),
        (sys.executable, "-c", "import ezdxf, shapely"),
        rounds=7,
    )
    tell(f"small elevation: {ours:.2f} s, imports of ezdxf and shapely {bare:.2f} s: {ours / bare:.2f}")
    assert ours <= 2 * bare


@pytest.mark.parametrize(
    ("save", "entities", "at_most"),
    [
        (save_sheet, 1_000, None),
        (save_sheet, 10_000, None),
        (save_sheet, 100_000, 0.30),
        (save_office_sheet, 1_000, None),
        (save_office_sheet, 10_000, None),
        (save_office_sheet, 100_000, 0.30),
    ],
)
def test_whole_drawing(
    save: Callable[[Path, int], Path], entities: int, at_most: float | None, tmp_path: Path
) -> None:
    """All of annotate beside the bare load and save; imports are not counted on either side."""
    drawing = save(tmp_path / "sheet.dxf", entities)
    ours, bare = paired(ANNOTATE, BARE, drawing, tmp_path / "out.dxf")
    ratio = ours.work_s / bare.work_s
    tell(
        f"{save.__name__}, {entities:,} entities, {drawing.stat().st_size / 1e6:.1f} MB: "
        f"annotate {ours.work_s:.2f} s, load and save {bare.work_s:.2f} s: {ratio:.2f}; "
        f"peak {ours.peak_mb:.0f} MB, {bare.peak_mb:.0f} MB"
    )
    assert at_most is None or (ratio <= at_most and ours.peak_mb <= bare.peak_mb)


def test_every_command(tmp_path: Path) -> None:
    """A second run, a check, a cleaning and a survey of 100,000 entities cost little more than a run."""
    drawing, plate, other = save_sheet(tmp_path / "d.dxf", 100_000), tmp_path / "p.dxf", tmp_path / "o.dxf"
    first, again, check, clean, layers = cheapest_in_turn(
        (PERPEND, "annotate", drawing, "-o", plate, "--overwrite"),
        (PERPEND, "annotate", plate, "-o", other, "--overwrite"),
        (PERPEND, "check", plate, "-o", other, "--overwrite"),
        (PERPEND, "annotate", plate, "--clean", "-o", other, "--overwrite"),
        (PERPEND, "layers", drawing),
        rounds=3,
    )
    tell(f"first {first:.2f} s, again {again:.2f}, check {check:.2f}, clean {clean:.2f}, layers {layers:.2f}")
    assert again <= 1.3 * first
    assert check <= 1.3 * first
    assert max(clean, layers) <= 1.5 * first


def test_reading(benchmark: BenchmarkFixture, tmp_path: Path) -> None:
    from perpend.reading import ReadingOptions, read_loaded
    from perpend.reading.gather.load_by_role import load_selected

    drawing = save_sheet(tmp_path / "sheet.dxf", 10_000)
    options = ReadingOptions()
    found = benchmark(lambda: read_loaded(load_selected(drawing, options), options))
    assert len(found.elevation.walls[0].openings) == 6


def test_placement(benchmark: BenchmarkFixture) -> None:
    from perpend.jobs.annotate import lay_out
    from perpend.reading import read_drawing
    from perpend.rulebook import load_rulebook
    from perpend.settings import load_settings

    elevation = read_drawing(SAMPLE).elevation
    settings = load_settings(None, SAMPLE)
    book = load_rulebook(settings.rulebook)
    assert len(benchmark(lambda: lay_out(elevation, settings, book))) == len(elevation.walls)


def test_writing(benchmark: BenchmarkFixture, tmp_path: Path) -> None:
    from perpend.dxf.insert.drawing_writer import write_drawing
    from perpend.reading import load_drawing

    drawing = save_sheet(tmp_path / "sheet.dxf", 10_000)

    def write() -> str:
        report, _ = write_drawing(
            loaded.pop(), tmp_path / "out.dxf", lambda doc: doc.modelspace().add_line((0, 0), (1, 1))
        )
        return report.method

    loaded = [load_drawing(drawing) for _ in range(3)]
    assert benchmark.pedantic(write, rounds=3) == "inserted"


def test_batch_of_200(tmp_path: Path) -> None:
    """Two workers at least 1.7 times as fast as one, by the clock: for a machine with two idle cores."""
    save_good(tmp_path / "in", *(f"{i:03}" for i in range(200)))
    seconds = []
    for jobs in ("1", "2"):
        start = time.perf_counter()
        ending = program("batch", tmp_path / "in", "--out", tmp_path / jobs, "--jobs", jobs)
        seconds.append(time.perf_counter() - start)
        assert ending.code == 0, ending.err
    tell(
        f"batch of 200: one worker {seconds[0]:.1f} s, two {seconds[1]:.1f} s: {seconds[0] / seconds[1]:.2f}"
    )
