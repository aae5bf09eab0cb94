"""The fault drill: whatever is wrong with one drawing, the others are done and it has a sentence."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path

import ezdxf
import pytest

from batch.material import GOOD, half_written, hearing_interrupts, rows_of, save_good, stamps
from cli.harness import program
from perpend.folders import BatchOptions, Outcome, State, run_batch
from perpend.folders.find_drawings import find_orders
from perpend.folders.orders import Order
from perpend.folders.worker_pool import do_all

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="signals and mounts of Unix")
as_root = pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root may mount a small disk"
)


def save_bomb(path: Path) -> None:
    """Write a drawing of a few kilobytes whose blocks, each ten of the next, unfold to 10^9 outlines."""
    doc = ezdxf.new("R2010")
    doc.header["$INSUNITS"] = 1
    doc.layers.add("A-ELEV-WALL")
    for depth in range(9):
        block = doc.blocks.new(f"B{depth}")
        for i in range(10):
            block.add_blockref(f"B{depth + 1}", (i, 0), dxfattribs={"layer": "A-ELEV-WALL"})
    last = doc.blocks.new("B9")
    last.add_lwpolyline([(0, 0), (9, 0), (9, 9)], close=True, dxfattribs={"layer": "A-ELEV-WALL"})
    doc.modelspace().add_blockref("B0", (0, 0), dxfattribs={"layer": "A-ELEV-WALL"})
    doc.saveas(path)


def add_bad(folder: Path) -> dict[str, str]:
    """Add one drawing of each bad kind; return a part of the sentence that each must get."""
    (folder / "bad-garbage.dxf").write_bytes(bytes(range(256)) * 40)
    whole = (folder / "north.dxf").read_bytes()
    (folder / "bad-cut.dxf").write_bytes(whole[: len(whole) // 2])
    save_bomb(folder / "bad-bomb.dxf")
    (folder / "bad-link.dxf").symlink_to(folder / "nowhere.dxf")
    os.mkfifo(folder / "bad-pipe.dxf")
    locked = folder / "bad-locked.dxf"
    locked.write_bytes(whole)
    locked.chmod(0)
    told = {
        "bad-garbage.dxf": "not a DXF file",
        "bad-cut.dxf": "ends in the middle",
        "bad-bomb.dxf": "block",
        "bad-link.dxf": "can't be read",
        "bad-pipe.dxf": "takes longer than the 4 s",
        "bad-locked.dxf": "Permission denied",
    }
    if os.geteuid() == 0:  # permissions do not bind root: there it is a good drawing
        locked.unlink()
        del told["bad-locked.dxf"]
    return told


def test_bad_drawings_are_told_and_good_ones_done(tmp_path: Path) -> None:
    source, out = tmp_path / "in", tmp_path / "out"
    save_good(source)
    told = add_bad(source)
    ending = program("batch", source, "--out", out, "--jobs", "2", "--time-limit", "4")
    rows = rows_of(out)
    for name, words in told.items():
        assert rows[name]["state"] == "refused", rows[name]
        assert words in rows[name]["sentence"]
        assert rows[name]["output"] == ""
    for name in GOOD:
        assert rows[f"{name}.dxf"]["state"] == "clean"
        assert (out / f"{name}-annotated.dxf").exists()
    assert ending.code == 2
    assert "\nbad-garbage.dxf: refused: it is not a DXF file (" in ending.out
    assert len(list(out.glob("*.dxf"))) == len(GOOD)
    assert half_written(out) == []
    for name in told:
        (source / name).unlink()
    (source / "new.dxf").write_bytes((source / "north.dxf").read_bytes())
    before = stamps(out)
    again = run_batch(source, out, BatchOptions(), make=ThreadPoolExecutor)
    assert again.exit_code == 0
    assert {o.name: o.reused for o in again.outcomes} == {
        "new.dxf": False,
        **{f"{n}.dxf": True for n in GOOD},
    }
    assert {n for n, s in stamps(out).items() if before.get(n) != s} == {"new-annotated.dxf"}


def test_permission_is_asked_of_the_system(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Root may read everything, so the refusal itself is put in; what is told of it is ours."""
    save_good(tmp_path / "in", "a", "b")
    read = Path.read_bytes

    def refuse(self: Path) -> bytes:
        if self.name == "a.dxf":
            raise PermissionError(13, "Permission denied", str(self))
        return read(self)

    monkeypatch.setattr(Path, "read_bytes", refuse)
    report = run_batch(tmp_path / "in", tmp_path / "out", BatchOptions(), make=ThreadPoolExecutor)
    a, b = report.outcomes
    assert (a.state, b.state) == (State.REFUSED, State.CLEAN)
    assert "a.dxf can't be read or written (Permission denied)" in a.sentence
    assert report.exit_code == 2


def test_a_drawing_that_vanishes_during_the_run(tmp_path: Path) -> None:
    save_good(tmp_path / "in")

    def take_away(names: object) -> None:
        (tmp_path / "in" / "south.dxf").unlink()

    report = run_batch(
        tmp_path / "in", tmp_path / "out", BatchOptions(), make=ThreadPoolExecutor, start=take_away
    )
    states = {o.name: o.state for o in report.outcomes}
    assert states.pop("south.dxf") is State.REFUSED
    assert set(states.values()) == {State.CLEAN}
    assert "south.dxf" in report.outcomes[2].sentence


def workers_of(pid: int) -> list[int]:
    """Return the worker processes of a batch (its children, but for the one that tracks semaphores)."""
    children = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):
            if int(stat.read_text().rsplit(")", 1)[1].split()[1]) == pid:
                command = (stat.parent / "cmdline").read_bytes()
                if b"spawn_main" in command:
                    children.append(int(stat.parent.name))
    return children


@contextlib.contextmanager
def running(*arguments: str | Path) -> Iterator[subprocess.Popen[str]]:
    """Start a batch in a process group of its own, as a terminal does."""
    with hearing_interrupts():
        started = subprocess.Popen(
            [sys.executable, "-m", "perpend", "batch", *map(str, arguments)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )
    with started as process:
        try:
            yield process
        finally:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)


def until(condition: Callable[[], bool], seconds: float = 90.0) -> None:
    end = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.02)


needs_proc = pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="finds workers in /proc")


@needs_proc
def test_killed_workers_cost_no_other_drawing(tmp_path: Path) -> None:
    source, out = tmp_path / "in", tmp_path / "out"
    save_good(source)
    os.mkfifo(source / "a-pipe.dxf")
    with running(source, "--out", out, "--jobs", "2", "--time-limit", "4") as process:
        until(lambda: len(list(out.glob("*-annotated.dxf"))) >= 2)
        first = workers_of(process.pid)
        for worker in first:
            os.kill(worker, signal.SIGKILL)
        printed, complaints = process.communicate(timeout=90)
    assert first
    rows = rows_of(out)
    assert [rows[f"{name}.dxf"]["state"] for name in GOOD] == ["clean"] * 4, printed
    assert "takes longer than the 4 s" in rows["a-pipe.dxf"]["sentence"]
    assert process.returncode == 2, complaints
    assert half_written(out) == []


class Deadly(ThreadPoolExecutor):
    """A pool that breaks, as one of processes does, whenever it meets a certain drawing."""

    def submit(self, work: Callable[..., Outcome], /, order: Order) -> Future[Outcome]:  # type: ignore[override]
        if order.name == "north.dxf":
            future: Future[Outcome] = Future()
            future.set_exception(BrokenProcessPool("a worker died"))
            return future
        return super().submit(work, order)


def test_a_drawing_that_always_kills_its_worker_is_found_out(tmp_path: Path) -> None:
    save_good(tmp_path / "in")
    made: list[int] = []

    def make(workers: int) -> Executor:
        made.append(workers)
        return Deadly(workers)

    report = run_batch(tmp_path / "in", tmp_path / "out", BatchOptions(jobs=2), make=make)
    assert [o.state for o in report.outcomes] == [State.CLEAN, State.FAULT, State.CLEAN, State.CLEAN]
    assert "died twice" in report.outcomes[1].sentence
    assert report.exit_code == 3
    assert made[0] == 2
    assert set(made[1:]) == {1}


@needs_proc
@pytest.mark.parametrize(
    "stop",
    [
        pytest.param(lambda pid: os.killpg(pid, signal.SIGINT), id="Ctrl-C"),
        pytest.param(lambda pid: os.kill(pid, signal.SIGTERM), id="ended"),
        pytest.param(lambda pid: os.killpg(pid, signal.SIGTERM), id="ended with its workers"),
    ],
)
def test_a_run_that_is_stopped_keeps_what_is_done_and_leaves_no_worker(
    stop: Callable[[int], None], tmp_path: Path
) -> None:
    source, out = tmp_path / "in", tmp_path / "out"
    save_good(source, "a", "b")
    os.mkfifo(source / "c-pipe.dxf")
    with running(source, "--out", out, "--jobs", "1", "--time-limit", "60") as process:
        until(lambda: (out / "b-annotated.html").exists())
        until(lambda: bool(workers_of(process.pid)))
        workers = workers_of(process.pid)
        stop(process.pid)
        printed, complaints = process.communicate(timeout=90)
    assert process.returncode == 130, complaints
    assert complaints == ""
    assert "Stopped by hand" in printed
    states = {name: row["state"] for name, row in rows_of(out).items()}
    assert states.pop("c-pipe.dxf") == "not done"
    assert states["a.dxf"] == "clean"
    assert not any(Path(f"/proc/{worker}").exists() for worker in workers)
    assert half_written(out) == []
    (source / "c-pipe.dxf").unlink()
    save_good(source, "c")
    again = run_batch(source, out, BatchOptions(), make=ThreadPoolExecutor)
    assert again.exit_code == 0
    done_before = {name for name, state in states.items() if state == "clean"}
    assert {o.name: o.reused for o in again.outcomes} == {
        n: n in done_before for n in ("a.dxf", "b.dxf", "c.dxf")
    }


@needs_proc
def test_workers_end_when_the_parent_is_killed_and_the_next_run_goes_on(tmp_path: Path) -> None:
    source, out = tmp_path / "in", tmp_path / "out"
    save_good(source, "a")
    os.mkfifo(source / "b-pipe.dxf")
    record = out / ".perpend-batch-annotate.jsonl"
    with running(source, "--out", out, "--jobs", "1", "--time-limit", "60") as process:
        until(lambda: record.exists() and record.stat().st_size > 0)
        workers = workers_of(process.pid)
        process.kill()
        process.wait(timeout=30)
        until(lambda: not any(Path(f"/proc/{worker}").exists() for worker in workers), 30)
    assert workers
    (source / "b-pipe.dxf").unlink()
    again = run_batch(source, out, BatchOptions(), make=ThreadPoolExecutor)
    assert [(o.name, o.state, o.reused) for o in again.outcomes] == [("a.dxf", State.CLEAN, True)]


@contextlib.contextmanager
def small_disk(place: Path, kilobytes: int) -> Iterator[Path]:
    """Mount a disk in memory, or skip where that is not allowed."""
    place.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={kilobytes}k", "tmpfs", str(place)],
        capture_output=True,
        text=True,
        timeout=20,
        check=False,
    )
    if mounted.returncode:
        pytest.skip(f"no disk can be mounted here: {mounted.stderr.strip()}")
    try:
        yield place
    finally:
        subprocess.run(["umount", "-l", str(place)], timeout=20, check=True)


@as_root
def test_a_full_disk_keeps_what_fits_and_says_so(tmp_path: Path) -> None:
    save_good(tmp_path / "in")
    with small_disk(tmp_path / "disk", 500) as out:
        report = run_batch(tmp_path / "in", out, BatchOptions(), make=ThreadPoolExecutor)
        states = [o.state for o in report.outcomes]
        assert State.CLEAN in states
        assert State.REFUSED in states
        assert report.exit_code == 2
        for outcome in report.outcomes:
            target = out / outcome.name.replace(".dxf", "-annotated.dxf")
            if outcome.state is State.CLEAN:
                assert ezdxf.readfile(target).audit().errors == []
            else:
                assert "No space left on device" in outcome.sentence
                assert not target.exists()
        assert half_written(out) == []
        subprocess.run(["mount", "-o", "remount,size=4m", str(out)], timeout=20, check=True)
        again = run_batch(tmp_path / "in", out, BatchOptions(), make=ThreadPoolExecutor)
        assert again.exit_code == 0
        assert [o.reused for o in again.outcomes] == [s is State.CLEAN for s in states]


@as_root
def test_a_read_only_output_is_refused_at_once(tmp_path: Path) -> None:
    save_good(tmp_path / "in", "a")
    with small_disk(tmp_path / "disk", 500) as out:
        subprocess.run(["mount", "-o", "remount,ro", str(out)], timeout=20, check=True)
        ending = program("batch", tmp_path / "in", "--out", out)
    assert ending.code == 2
    assert "can't be written (Read-only file system)" in ending.err
    assert ending.err.count("\n") == 1


def test_one_output_that_cannot_be_written_costs_no_other(tmp_path: Path) -> None:
    save_good(tmp_path / "in", "a", "b")
    (tmp_path / "out" / "a-annotated.dxf").mkdir(parents=True)
    report = run_batch(tmp_path / "in", tmp_path / "out", BatchOptions(), make=ThreadPoolExecutor)
    assert [o.state for o in report.outcomes] == [State.REFUSED, State.CLEAN]
    assert "is a folder" in report.outcomes[0].sentence


def test_an_index_that_cannot_be_written_hides_nothing(tmp_path: Path) -> None:
    save_good(tmp_path / "in", "a")
    (tmp_path / "out" / "index.html").mkdir(parents=True)
    report = run_batch(tmp_path / "in", tmp_path / "out", BatchOptions(), make=ThreadPoolExecutor)
    assert report.outcomes[0].state is State.CLEAN
    assert report.index is None
    assert "index.html can't be written" in report.trouble
    assert report.exit_code == 2


def test_a_closed_stream_hands_nothing_more_out(tmp_path: Path) -> None:
    started = threading.Event()

    class Counting(ThreadPoolExecutor):
        handed_out = 0

        def submit(self, work: Callable[..., Outcome], /, order: Order) -> Future[Outcome]:  # type: ignore[override]
            Counting.handed_out += 1
            started.set()
            return super().submit(lambda given: Outcome(given.name, State.CLEAN), order)

    for i in range(30):
        (tmp_path / f"{i:02}.dxf").touch()
    stream = do_all(find_orders(tmp_path, tmp_path / "out").orders, 2, Counting)
    assert next(stream).state is State.CLEAN
    stream.close()
    assert started.is_set()
    assert Counting.handed_out == 4, "two for each worker, and no more"
