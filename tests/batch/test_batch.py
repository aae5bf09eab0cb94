"""A folder of good drawings: the same outputs as one by one, an index of all, nothing done twice."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest

from batch.material import GOOD, half_written, rows_of, save_good, save_title_sheet, stamps
from cli.drawings import new_drawing, save_elevation
from cli.harness import perpend, program
from perpend import annotate
from perpend.errors import InputError
from perpend.folders import BatchOptions, BatchReport, run_batch
from perpend.folders.folder_lock import locked
from perpend.folders.orders import Outcome, State
from perpend.folders.run_record import growing_record, load_record, save_record

SAMPLES = Path(__file__).parents[2] / "sample_drawings"


def in_threads(source: Path, out: Path, **options: bool | str) -> BatchReport:
    """Run a batch without processes, for speed: the pool may be any executor."""
    return run_batch(source, out, BatchOptions(**options), make=ThreadPoolExecutor)


def unchanged(report: BatchReport) -> list[str]:
    return [outcome.name for outcome in report.outcomes if outcome.reused]


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path, list[str]]:
    """Return drawings, outputs and printed lines of one run."""
    root = tmp_path_factory.mktemp("done")
    save_good(root / "in")
    ending = program("batch", root / "in", "--out", root / "out", "--jobs", "2")
    assert ending.code == 0, ending.err
    return root / "in", root / "out", ending.out.splitlines()


def test_lines_come_in_the_order_of_names(done: tuple[Path, Path, list[str]]) -> None:
    assert [line.split(".dxf")[0] for line in done[2][:4]] == sorted(GOOD)
    assert done[2][4] == "4 of 4 drawings done (0 unchanged): 4 clean"


def test_the_closing_line_tells_what_became_of_how_many(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    outcomes = (
        Outcome("a", State.CLEAN),
        Outcome("b", State.CLEAN, reused=True),
        Outcome("c", State.CLEAN, remarks=2),
        Outcome("j", State.CLEAN, remarks=4, doubts=3),
        Outcome("d", State.VIOLATIONS, violations=3, remarks=1),
        Outcome("e", State.VIOLATIONS, violations=4),
        Outcome("f", State.REFUSED),
        Outcome("g", State.NOT_DONE),
        Outcome("h", State.FAULT),
        Outcome("i", State.NO_ELEVATION),
    )
    monkeypatch.setattr("perpend.folders.run_batch", lambda *_, **__: BatchReport(outcomes, None))
    assert perpend("batch", tmp_path, "--out", tmp_path / "out").out == (
        "6 of 10 drawings done (1 unchanged): 1 failed by a fault of perpend, 1 refused, 1 not done, "
        "2 with 7 violations, 1 with 3 doubts of the reading, 1 with 2 remarks, 2 clean, "
        "1 without an elevation\n"
    )


def test_outputs_are_those_of_annotate(done: tuple[Path, Path, list[str]], tmp_path: Path) -> None:
    source, out, _ = done
    alone = annotate(source / "north.dxf", output=tmp_path / "north-annotated.dxf")
    assert (out / "north-annotated.dxf").read_bytes() == alone.output.read_bytes()
    told = json.loads((out / "north-annotated.json").read_text())
    assert [j["x_in"] for j in told["walls"][0]["joints"]] == [
        joint.x_in for joint in alone.results.walls[0].joints
    ]
    assert (out / "north-annotated.html").stat().st_size > 10_000


def test_index_adds_the_drawings_up(done: tuple[Path, Path, list[str]]) -> None:
    _, out, _ = done
    rows = rows_of(out)
    assert list(rows) == [f"{name}.dxf" for name in sorted(GOOD)]
    schedule = list(csv.DictReader((out / "joints.csv").open(encoding="utf-8-sig")))
    totals = json.loads((out / "index.json").read_text())["totals"]
    per_file = [json.loads((out / row["results"]).read_text())["walls"] for row in rows.values()]
    joints = [joint for walls in per_file for wall in walls for joint in wall["joints"]]
    assert totals["joints"] == len(schedule) == len(joints) > 0
    # Every joint of these walls runs straight from 0 to 144 in.: twelve feet each.
    assert totals["joint_ft"] == pytest.approx(12.0 * len(joints))
    assert [float(row["x_in"]) for row in schedule] == [joint["x_in"] for joint in joints]
    table = list(csv.DictReader((out / "index.csv").open(encoding="utf-8-sig")))
    assert sum(int(row["joints"]) for row in table) == len(joints)
    page = (out / "index.html").read_text(encoding="utf-8")
    for name in GOOD:
        assert f'href="{name}-annotated.html"' in page
    assert page.count('<svg class="thumb"') == 4


def test_a_joint_between_two_walls_is_counted_once_whether_annotated_or_checked(tmp_path: Path) -> None:
    """Where a wall of 16 ft meets one of 10 ft stands one joint, which both are judged by."""
    walls = [("W1", (0, 0, 480, 192)), ("W2", (480, 0, 960, 120))]
    (tmp_path / "in").mkdir()
    save_elevation(tmp_path / "in" / "a.dxf", walls)
    assert in_threads(tmp_path / "in", tmp_path / "new").exit_code == 0
    assert in_threads(tmp_path / "new", tmp_path / "checked", check=True).exit_code == 0
    drawn, judged = (next(iter(rows_of(tmp_path / folder).values())) for folder in ("new", "checked"))
    assert drawn["joints"] == judged["joints"] > 2
    assert drawn["joint_ft"] == pytest.approx(judged["joint_ft"])
    tables = [(tmp_path / folder / "joints.csv").read_text().splitlines() for folder in ("new", "checked")]
    assert [len(table) - 1 for table in tables] == [drawn["joints"]] * 2
    stations = [sorted(row.split(",")[1:4:2] for row in table[1:]) for table in tables]
    assert stations[0] == stations[1]


def test_unchanged_drawings_are_not_done_again(tmp_path: Path) -> None:
    source, out = tmp_path / "in", tmp_path / "out"
    save_good(source, "a", "b", "c")
    assert in_threads(source, out).exit_code == 0
    before = stamps(out)
    save_elevation(source / "b.dxf", [("W1", (0, 0, 600, 144))])
    assert unchanged(in_threads(source, out)) == ["a.dxf", "c.dxf"]
    assert [name for name, stamp in stamps(out).items() if stamp != before[name]] == ["b-annotated.dxf"]
    assert {row["walls"] for row in rows_of(out).values()} == {1}, "the index has the unchanged ones too"
    (out / "a-annotated.dxf").unlink()
    assert unchanged(in_threads(source, out)) == ["b.dxf", "c.dxf"]
    assert unchanged(in_threads(source, out, pattern="a*")) == ["a.dxf"]
    assert unchanged(in_threads(source, out)) == ["a.dxf", "b.dxf", "c.dxf"]
    (source / "perpend.toml").write_text("[defaults]\nspacing_cap = 180\n")
    before = stamps(out)
    assert unchanged(in_threads(source, out)) == []
    assert all(stamp != before[name] for name, stamp in stamps(out).items())
    assert unchanged(in_threads(source, out, force=True)) == []


def test_a_forced_run_that_is_stopped_tells_of_what_still_holds(tmp_path: Path) -> None:
    """Stopped after the first of four; c, which has changed since, is the one that is not done."""
    source, out = tmp_path / "in", tmp_path / "out"
    save_good(source, "a", "b", "c", "d")
    assert in_threads(source, out).exit_code == 0
    whole = rows_of(out)
    save_elevation(source / "c.dxf", [("W1", (0, 0, 600, 144))])

    def stop(_: Outcome) -> None:
        raise KeyboardInterrupt

    options = BatchOptions(force=True)
    report = run_batch(source, out, options, watch=stop, make=ThreadPoolExecutor)
    assert (report.stopped, report.exit_code) == (True, 130)
    rows = rows_of(out)
    assert [row["state"] for row in rows.values()] == ["clean", "clean", "not done", "clean"]
    assert [row["output"] for row in rows.values()] == [
        *("a-annotated.dxf", "b-annotated.dxf", "", "d-annotated.dxf")
    ]
    assert [rows[name]["joint_ft"] for name in ("b.dxf", "d.dxf")] == [
        whole[name]["joint_ft"] for name in ("b.dxf", "d.dxf")
    ]
    assert rows["d.dxf"]["joint_ft"] > 0
    assert not any(row["worked_in"] for row in rows.values())


def test_a_line_does_not_repeat_the_path_of_its_drawing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("perpend.folders.LocalProcesses", ThreadPoolExecutor)
    source = tmp_path / "in"
    save_good(source, "a")
    doc = new_drawing()
    doc.modelspace().add_line((0, 0), (480, 0), dxfattribs={"layer": "A-ELEV-WALL"})
    doc.saveas(source / "b.dxf")
    save_title_sheet(source / "c.dxf")
    (source / "d.dxf").touch()
    lines = perpend("batch", source, "--out", tmp_path / "out", "--jobs", "1").out.splitlines()[:4]
    assert [line[:40] for line in lines[1:]] == [
        "b.dxf: refused: no wall found: no closed",
        "c.dxf: no elevation: no wall found: no c",
        "d.dxf: refused: it is empty: export the ",
    ]
    assert not any(str(source) in line for line in lines)


def test_violations_raise_the_exit_code_and_are_told(tmp_path: Path) -> None:
    save_good(tmp_path / "in", "a")
    (tmp_path / "in" / "perpend.toml").write_text('[defaults]\nspacing_cap = 24\nright_end = "free"\n')
    ending = program("batch", tmp_path / "in", "--out", tmp_path / "out", "--json")
    document = json.loads(ending.out)
    assert ending.code == 1, ending.err
    assert document["drawings"][0]["violations"] > 0
    assert document["drawings"][0]["worst"]
    assert document["drawings"][0]["worst"] in ending.err, "lines go to stderr when stdout is JSON"


def test_checked_drawings_with_their_own_names(tmp_path: Path) -> None:
    source, out = tmp_path / "in", tmp_path / "out"
    save_good(source, "a")
    (source / "sub").mkdir()
    annotate(source / "a.dxf", output=source / "sub" / "a-annotated.dxf")
    (source / "a.dxf").unlink()
    with pytest.raises(InputError, match="--recursive"):
        in_threads(source, out, check=True)
    assert in_threads(source, out, check=True, recursive=True).exit_code == 0
    assert (out / "sub" / "a-annotated-checked.dxf").exists()
    assert rows_of(out)["sub/a-annotated.dxf"]["joints"] > 0
    assert len(unchanged(in_threads(source, out, check=True, recursive=True))) == 1
    (source / "sub" / "a-annotated.waivers.toml").write_text("")
    assert unchanged(in_threads(source, out, check=True, recursive=True)) == []


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["batch", "nowhere", "--out", "o"], "nowhere is not a folder"),
        (["batch", "in", "--out", "in"], "is the folder of the drawings itself"),
        (["batch", "in", "--out", "o", "--pattern", "z*"], "No drawing in in matches"),
        (["batch", "in", "--out", "o", "--pattern", "?.dxf", "--recursive"], "would both be written"),
    ],
)
def test_wrong_words_are_told(
    arguments: list[str], words: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    save_good(tmp_path / "in", "a")
    (tmp_path / "in" / "A.DXF").write_bytes((tmp_path / "in" / "a.dxf").read_bytes())
    ending = perpend(*arguments)
    assert ending.code == 2
    assert words in ending.err
    assert ending.err.count("\n") == 1
    assert not (tmp_path / "o").exists()


def move_a_joint(drawing: Path) -> bytes:
    """Move one of our joints by 8 in., as a drafter would, and save; return the bytes."""
    doc = ezdxf.readfile(drawing)
    joint = next(e for e in doc.modelspace().query("LINE LWPOLYLINE") if e.dxf.layer == "A-ELEV-JNTC")
    joint.translate(8, 0, 0)
    doc.saveas(drawing)
    return drawing.read_bytes()


@pytest.mark.parametrize("command", ["annotate", "check"])
def test_an_output_that_somebody_worked_in_is_kept_and_told_with_a_cure(
    command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("perpend.folders.LocalProcesses", ThreadPoolExecutor)
    source, out = tmp_path / "in", tmp_path / "out"
    save_good(source, "a", "b")
    words = ("batch", source, "--out", out, "--jobs", "1", *(["--check"] if command == "check" else []))
    assert perpend(*words).code in (0, 1)
    target = out / ("a-annotated.dxf" if command == "annotate" else "a-checked.dxf")
    if command == "annotate":
        worked_in = move_a_joint(target)
    else:
        worked_in = target.read_bytes().replace(b"  0\nEOF", b"999\nmine\n  0\nEOF")
        target.write_bytes(worked_in)
    first, second, *_ = perpend(*words).out.splitlines()
    assert first.endswith(
        "(unchanged; somebody has worked in the new drawing since: it is kept, --overwrite replaces it)"
    )
    assert second.endswith("(unchanged)")
    assert {name: row["worked_in"] for name, row in rows_of(out).items()} == {"a.dxf": True, "b.dxf": False}
    save_elevation(source / "a.dxf", [("W1", (0, 0, 600, 144))])
    for force in ((), ("--force",)):
        ending = perpend(*words, *force)
        line = ending.out.splitlines()[0]
        assert ending.code == 2
        assert line.startswith(f"a.dxf: refused: {target.name} is not as perpend wrote it")
        assert "pass --overwrite to replace it" in line
        assert "put it in the place of a.dxf" in line
        assert target.read_bytes() == worked_in
    assert perpend(*words, "--overwrite").code in (0, 1)
    assert target.read_bytes() != worked_in
    assert rows_of(out)["a.dxf"]["worked_in"] is False
    assert perpend(*words).out.splitlines()[0].endswith("(unchanged)")


def test_overwrite_replaces_what_was_worked_in_though_the_drawing_is_unchanged(tmp_path: Path) -> None:
    source, out = tmp_path / "in", tmp_path / "out"
    save_good(source, "a", "b")
    assert in_threads(source, out).exit_code == 0
    as_written = (out / "a-annotated.dxf").read_bytes()
    move_a_joint(out / "a-annotated.dxf")
    assert unchanged(in_threads(source, out, overwrite=True)) == ["b.dxf"]
    assert (out / "a-annotated.dxf").read_bytes() == as_written


def test_the_cure_keeps_what_was_added(tmp_path: Path) -> None:
    """The refusal says: put it in the place of the drawing. A drafter's circle is then in the new one."""
    source, out = tmp_path / "in", tmp_path / "out"
    save_good(source, "a")
    assert in_threads(source, out).exit_code == 0
    target = out / "a-annotated.dxf"
    doc = ezdxf.readfile(target)
    doc.modelspace().add_circle((60, 60), 7, dxfattribs={"layer": "MINE"})
    doc.saveas(target)
    target.replace(source / "a.dxf")
    assert in_threads(source, out).exit_code == 0
    assert len(ezdxf.readfile(target).modelspace().query("CIRCLE[layer=='MINE']")) == 1


def test_a_second_run_in_one_folder_is_refused(tmp_path: Path) -> None:
    save_good(tmp_path / "in", "a")
    with locked(tmp_path / "out"):
        ending = perpend("batch", tmp_path / "in", "--out", tmp_path / "out")
    assert ending.code == 2
    assert "Another run is writing" in ending.err
    holder = (
        "import sys, pathlib\nfrom perpend.folders.folder_lock import locked\n"
        "with locked(pathlib.Path(sys.argv[1])):\n    print('held', flush=True)\n    sys.stdin.read()\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", holder, tmp_path / "out"], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == b"held\n"
        with pytest.raises(InputError, match="Another run"), locked(tmp_path / "out"):
            pass
        other.kill()
        other.wait()
    with locked(tmp_path / "out"):
        assert half_written(tmp_path / "out") == []


def test_a_record_that_was_cut_off_keeps_its_whole_lines(tmp_path: Path) -> None:
    place = tmp_path / "record.jsonl"
    first = Outcome("a.dxf", State.CLEAN, fingerprint="1", schedule=(("W1", 1, 8.0, "end", "", "why"),))
    second = replace(first, name="b.dxf", state=State.VIOLATIONS)
    with growing_record(place) as add:
        add(first)
        add(second)
        add(Outcome("c.dxf", State.REFUSED, "no", fingerprint="3"))
        add(replace(first, name="d.dxf", reused=True))
    assert load_record(place) == {"a.dxf": first, "b.dxf": second}
    place.write_bytes(place.read_bytes()[:-20])
    assert load_record(place) == {"a.dxf": first}
    save_record(place, [second, Outcome("c.dxf", State.FAULT, "no")])
    assert load_record(place) == {"b.dxf": second}


def test_the_default_memory_limit_is_far_from_good_drawings(tmp_path: Path) -> None:
    """Address space is not memory, libraries reserve much of it: half the default must do for the samples."""
    script = (
        "import sys\nfrom pathlib import Path\nfrom perpend.folders.orders import Order\n"
        "from perpend.folders.one_drawing import do_order\n"
        "def told(name, **limit):\n"
        "    places = [Path(sys.argv[1]) / f'{Path(name).stem}{end}' for end in ('.dxf', '.json', '.html')]\n"
        "    outcome = do_order(Order(name, Path(name), *places, **limit))\n"
        "    return f'{outcome.state} {outcome.sentence}'\n"
        "half = Order('', *[Path()] * 4).megabytes // 2\n"
        "for name in sys.argv[2:4]:\n    print(told(name, megabytes=half))\n"
        "print(told(sys.argv[4], megabytes=1))\n"
    )
    first, second = sorted(SAMPLES.glob("*.dxf"))[:2]
    heavy = tmp_path / "heavy.dxf"
    heavy.write_bytes(first.read_bytes().replace(b"  0\nEOF", b"999\n" + b"x" * 9_000_000 + b"\n  0\nEOF"))
    told = subprocess.run(
        [sys.executable, "-c", script, tmp_path, first, second, heavy],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    ).stdout.splitlines()
    assert told[:2] == ["clean ", "clean "]
    assert told[2].startswith("refused it needs more than the 1 MB"), told[2]
