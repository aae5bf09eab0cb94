"""A folder watched, by a clock of the test: what is done when, and what never ends the watch."""

from __future__ import annotations

import functools
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import ezdxf
import pytest

from cli.drawings import save_elevation
from cli.harness import perpend as run
from perpend.errors import InputError
from perpend.folders.orders import Order, Outcome, State
from perpend.folders.watch_folder import WatchOptions, watch_folder

WALL = (0.0, 0.0, 624.0, 200.0)
NANO = 10**9


class EnoughError(Exception):
    """The test has seen enough."""


@dataclass
class FakeClock:
    """Time that passes only when somebody sleeps; at given moments something happens."""

    events: list[tuple[float, Callable[[], object]]] = field(default_factory=list)
    until: float = 30.0
    time: float = 0.0

    def now(self) -> float:
        return self.time

    def sleep(self, seconds: float) -> None:
        self.time = round(self.time + seconds, 6)
        due = [event for at, event in self.events if at <= self.time]
        self.events = [(at, event) for at, event in self.events if at > self.time]
        for event in due:
            event()
        if self.time >= self.until:
            raise EnoughError


@dataclass
class Bench:
    """A watch with a job that only takes notes."""

    folder: Path
    clock: FakeClock = field(default_factory=FakeClock)
    options: WatchOptions = field(default_factory=lambda: WatchOptions(settle_s=1.5, every_s=1.0))
    done: list[tuple[float, str]] = field(default_factory=list)
    fails: set[str] = field(default_factory=set)

    def do(self, order: Order) -> Outcome:
        self.done.append((self.clock.now(), order.name))
        state = State.FAULT if order.name in self.fails else State.CLEAN
        return Outcome(order.name, state, "it broke" if state is State.FAULT else "")

    def watch(self, out: Path | None = None) -> None:
        with pytest.raises(EnoughError):
            watch_folder(self.folder, out, self.options, clock=self.clock, do=self.do)

    def at(self, moment: float, event: Callable[[], object]) -> None:
        self.clock.events.append((moment, event))


def write(path: Path, text: str = "0\nEOF\n", second: int = 1) -> Path:
    """Write a file whose time is given, so that the test does not depend on the disk's clock."""
    path.write_text(text)
    os.utime(path, ns=(second * NANO, second * NANO))
    return path


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench(tmp_path)


def test_a_drawing_is_done_when_it_has_settled_and_then_no_more(bench: Bench) -> None:
    write(bench.folder / "a.dxf")
    bench.watch()
    assert bench.done == [(2.0, "a.dxf")], "seen at 0, settled after 1.5 s, looked at every second"


def test_a_drawing_that_is_still_being_written_waits(bench: Bench) -> None:
    path = bench.folder / "a.dxf"
    write(path, "0\nSECTION\n")
    for second in range(1, 6):
        bench.at(second, lambda n=second: write(path, "0\nSECTION\n" * (n + 1), n + 1))
    bench.at(6, lambda: write(path, "0\nSECTION\n0\nEOF\n", 7))
    bench.watch()
    assert bench.done == [(8.0, "a.dxf")]


def test_a_drawing_without_an_end_is_done_after_a_while_so_that_its_fault_is_reported(bench: Bench) -> None:
    write(bench.folder / "a.dxf", "0\nSECTION\n")
    bench.watch()
    assert bench.done == [(10.0, "a.dxf")]


def test_every_save_is_done_once(bench: Bench) -> None:
    path = write(bench.folder / "a.dxf")
    bench.at(10, lambda: write(path, second=11))
    bench.at(20, lambda: write(path, second=12))
    bench.watch()
    assert bench.done == [(2.0, "a.dxf"), (12.0, "a.dxf"), (22.0, "a.dxf")]


def test_a_save_that_replaces_the_file_is_a_save(bench: Bench) -> None:
    """Most CAD programs write a new file, take the old one away, and give the new one its name."""
    path = write(bench.folder / "a.dxf")
    bench.at(10, path.unlink)
    bench.at(11, lambda: write(path, second=11))
    bench.watch()
    assert [name for _, name in bench.done] == ["a.dxf", "a.dxf"]


def test_settings_that_are_saved_have_their_drawings_done(bench: Bench) -> None:
    write(bench.folder / "a.dxf")
    write(bench.folder / "b.dxf")
    bench.at(10, lambda: write(bench.folder / "a.perpend.toml", "", 11))
    bench.at(20, lambda: write(bench.folder / "perpend.toml", "", 21))
    bench.watch()
    assert [(int(t), n) for t, n in bench.done] == [
        *((2, "a.dxf"), (2, "b.dxf"), (12, "a.dxf")),
        *((22, "a.dxf"), (22, "b.dxf")),
    ]


def test_a_failure_does_not_end_the_watch(bench: Bench) -> None:
    for name in ("a.dxf", "b.dxf"):
        write(bench.folder / name)
    bench.fails = {"a.dxf"}
    bench.at(10, lambda: write(bench.folder / "a.dxf", second=11))
    bench.watch()
    assert [name for _, name in bench.done] == ["a.dxf", "b.dxf", "a.dxf"], "a failure is not tried again"


def test_a_folder_that_goes_away_and_comes_back(bench: Bench) -> None:
    folder, away = bench.folder / "share", bench.folder / "away"
    folder.mkdir()
    write(folder / "a.dxf")
    bench.folder = folder
    bench.at(5, lambda: folder.rename(away))
    bench.at(8, lambda: (away.rename(folder), write(folder / "b.dxf")))
    bench.watch()
    assert [name for _, name in bench.done] == ["a.dxf", "b.dxf"]


def test_what_is_younger_than_its_drawing_is_not_done_again(bench: Bench) -> None:
    write(bench.folder / "a.dxf", second=5)
    write(bench.folder / "b.dxf", second=5)
    for ending in ("dxf", "html"):
        write(bench.folder / f"a-annotated.{ending}", second=6)
        write(bench.folder / f"b-annotated.{ending}", second=4)
    bench.watch()
    # a drafter may call a drawing so: only one with our mark in it is taken for ours
    assert [n for _, n in bench.done] == ["a-annotated.dxf", "b-annotated.dxf", "b.dxf"]


def test_hidden_files_and_other_files_are_left(bench: Bench) -> None:
    for name in (".a.dxf", "~$a.dxf", "a.dwg", "a.bak", "notes.txt"):
        write(bench.folder / name)
    bench.watch()
    assert bench.done == []


def test_a_file_that_another_program_holds_waits(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    write(bench.folder / "a.dxf")
    real, held = Path.open, [True]

    def guarded(path: Path, *args: object, **kwargs: object) -> object:
        if path.name == "a.dxf" and held[0]:
            raise PermissionError(13, "held")
        return real(path, *args, **kwargs)  # type: ignore[arg-type]

    monkeypatch.setattr(Path, "open", guarded)
    bench.at(7, held.clear)
    bench.at(7, lambda: held.append(False))
    bench.watch()
    assert bench.done == [(7.0, "a.dxf")]


def test_a_folder_that_is_none(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="is not a folder"):
        watch_folder(tmp_path / "none", None, WatchOptions(once=True))
    file = write(tmp_path / "file")
    with pytest.raises(InputError, match="name another folder with --out"):
        watch_folder(tmp_path, file / "out", WatchOptions(once=True))


def test_once_ends_with_the_gravest_code_and_outputs_are_no_inputs(tmp_path: Path) -> None:
    folder, out = tmp_path / "in", tmp_path / "out"
    folder.mkdir()
    save_elevation(folder / "north.dxf", [("W1", WALL)])
    (folder / "south.dxf").write_bytes(b"AC1032" + bytes(100) + b"EOF")
    ending = run("watch", folder, "--once", "--out", out)
    assert ending.code == 2
    assert [line.partition(": ")[::2][0] for line in ending.out.splitlines()] == ["north.dxf", "south.dxf"]
    assert "two ways to get DXF" in ending.out
    (folder / "south.dxf").unlink()
    assert sorted(p.name for p in out.iterdir()) == [
        "north-annotated.dxf",
        "north-annotated.html",
        "north-annotated.json",
    ]
    drawn = ezdxf.readfile(out / "north-annotated.dxf").modelspace().query('LWPOLYLINE[layer=="A-ELEV-JNTC"]')
    assert len(drawn) == 3, (
        "52 ft, 25 ft apart, 12'-6\" from each corner (empirical): 27 ft are left between two"
    )
    assert run("watch", folder, "--once", "--out", out).out == "", "nothing has changed"
    again = run("watch", folder, "--once")
    assert (again.code, again.out.splitlines()[0][:16]) == (0, "north.dxf: clean")
    assert run("watch", folder, "--once").out == "", "its own output beside the drawing is not done"
    checked = run("watch", folder, "--once", "--check", "--out", tmp_path / "checked")
    assert checked.code == 1, "the drawing without joints breaks rules; the annotated one does not"
    assert [line.partition(":")[0] for line in checked.out.splitlines()] == [
        "north-annotated.dxf",
        "north.dxf",
    ]


def test_somebodys_work_is_kept(tmp_path: Path) -> None:
    drawing = save_elevation(tmp_path / "north.dxf", [("W1", WALL)])
    assert run("watch", tmp_path, "--once").code == 0
    output = tmp_path / "north-annotated.dxf"
    doc = ezdxf.readfile(output)
    doc.modelspace().add_line((0, 0), (9, 9))
    doc.saveas(output)
    worked = output.read_bytes()
    save_elevation(drawing, [("W1", (0.0, 0.0, 800.0, 200.0))])
    os.utime(drawing, (time.time() + 5, time.time() + 5))
    ending = run("watch", tmp_path, "--once")
    assert (ending.code, output.read_bytes()) == (2, worked)
    assert "somebody has worked in it" in ending.out
    assert run("watch", tmp_path, "--once", "--overwrite").code == 0


@pytest.mark.skipif(sys.platform == "win32", reason="signals are sent another way there")
def test_ctrl_c_ends_it_with_130(tmp_path: Path) -> None:
    save_elevation(tmp_path / "north.dxf", [("W1", WALL)])
    arguments = [sys.executable, "-m", "perpend", "watch", str(tmp_path)]
    heeded = functools.partial(signal.signal, signal.SIGINT, signal.SIG_DFL)
    """A shell starts what runs behind it with the interrupt ignored."""
    with subprocess.Popen(
        arguments, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, preexec_fn=heeded
    ) as process:
        assert process.stdout is not None
        lines = [process.stdout.readline() for _ in range(3)]
        assert lines[0].startswith("Watching ")
        assert lines[1].startswith("Sheets: http://127.0.0.1:")
        assert lines[2].startswith("north.dxf: clean")
        process.send_signal(signal.SIGINT)
        assert process.wait(20) == 130
        assert process.stderr is not None
        assert process.stderr.read() == ""


def test_a_dwg_is_reported_where_there_is_no_dxf_of_it(tmp_path: Path) -> None:
    save_elevation(tmp_path / "north.dxf", [("W1", WALL)])
    for name in ("north.dwg", "South.DWG"):
        (tmp_path / name).write_bytes(b"AC1032")
    ending = run("watch", tmp_path, "--once")
    assert ending.code == 0
    assert ending.out.splitlines()[0].startswith("Passed over, as only DXF is read: South.DWG.")
    assert "north.dwg" not in ending.out
