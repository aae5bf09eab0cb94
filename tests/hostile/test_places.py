"""Where outputs may go: what perpend wrote of that kind is replaced, all of a run's outputs or none."""

from __future__ import annotations

import os
import shutil
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from cli.drawings import save_elevation
from cli.harness import perpend, program
from hostile.kills import Kills
from perpend import InputError
from perpend.jobs import staging
from perpend.jobs.staging import staged, sweep

ALL_OF = {
    "annotate": {"-o": "o.dxf", "--results": "r.json", "--sheet": "s.html", "--picture": "p.svg"},
    "check": {
        "-o": "o.dxf",
        "--results": "r.json",
        "--sheet": "s.html",
        "--picture": "p.png",
        "--csv": "f.csv",
        "--sarif": "f.sarif",
    },
    "compare": {"--csv": "o.csv"},
    "layers": {"--write": "draft.toml"},
}
SIDES = [(c, o, n) for c, options in ALL_OF.items() for o, n in options.items() if o != "-o"]
POSIX = pytest.mark.skipif(sys.platform == "win32", reason="needs pipes, devices or links of POSIX")


@pytest.fixture
def drawing(tmp_path: Path) -> Path:
    folder = tmp_path / "in"
    folder.mkdir()
    return save_elevation(folder / "n.dxf", [("W1", (0, 0, 624, 200))], [("D1", (240, 0, 288, 88))])


@pytest.fixture
def out(tmp_path: Path) -> Path:
    folder = tmp_path / "out"
    folder.mkdir()
    return folder


def call(command: str, drawing: Path, out: Path, **instead: Path) -> tuple[str | Path, ...]:
    """Return a command line with every output of a command; `instead` names other places by option."""
    words: list[str | Path] = [command, drawing]
    for option, name in ALL_OF[command].items():
        words += [option, instead.get(option, out / name)]
    return tuple(words)


def contents(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in sorted(folder.iterdir()) if p.is_file()}


def listed(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


@pytest.mark.parametrize("command", ["annotate", "check", "compare"])
def test_its_own_outputs_are_replaced_without_a_word(command: str, drawing: Path, out: Path) -> None:
    assert perpend(*call(command, drawing, out)).code < 2
    names = sorted(contents(out))
    assert names == sorted(ALL_OF[command].values())
    again = perpend(*call(command, drawing, out))
    assert again.code < 2, again.err
    assert sorted(contents(out)) == names


@pytest.mark.parametrize(("command", "option", "name"), SIDES)
@pytest.mark.parametrize("held", [b"my own notes\n", b"{}\n", b"a,b\n1,2\n", b"<html>mine</html>"])
def test_a_file_of_somebody_else_stays(
    command: str, option: str, name: str, held: bytes, drawing: Path, out: Path
) -> None:
    (out / name).write_bytes(held)
    ending = perpend(*call(command, drawing, out))
    assert ending.code == 2
    assert ending.err.count("\n") == 1
    assert option in ending.err
    assert contents(out) == {name: held}
    if held == b"{}\n":
        assert perpend(*call(command, drawing, out), "--overwrite").code < 2
        assert contents(out)[name] != held


@pytest.mark.parametrize("kind", ["--results", "--sheet", "--csv", "--sarif", "--picture"])
def test_an_output_of_another_kind_stays(kind: str, drawing: Path, out: Path) -> None:
    """What perpend wrote as one thing is not replaced by another, whatever the name says."""
    assert perpend(*call("check", drawing, out)).code < 2
    for option, name in ALL_OF["check"].items():
        if option not in ("-o", kind):
            shutil.copy(out / name, out / "mixed")
            ending = perpend("check", drawing, "-o", out / "o.dxf", kind, out / "mixed")
            assert ending.code == 2, (kind, option)
            assert (out / "mixed").read_bytes() == (out / name).read_bytes()


@pytest.mark.parametrize(("command", "option", "name"), SIDES)
def test_a_drawing_is_never_replaced_by_something_else(
    command: str, option: str, name: str, drawing: Path, out: Path
) -> None:
    """An option that swallows the drawing's name, or a drawing that is called like an output."""
    other = save_elevation(out / "other.dxf", [("W1", (0, 0, 300, 100))])
    shutil.copy(other, out / name)
    before = contents(out)
    for place in (other, drawing, out / name):
        for extra in ((), ("--overwrite",)):
            ending = perpend(command, drawing, option, place, *extra)
            assert ending.code == 2, (place, extra)
            assert ending.err.count("\n") == 1
            assert "Traceback" not in ending.err
    assert contents(out) == before
    assert sorted(p.name for p in drawing.parent.iterdir()) == ["n.dxf"]


@pytest.mark.parametrize(("command", "option", "name"), SIDES)
def test_settings_and_waivers_are_never_replaced(
    command: str, option: str, name: str, drawing: Path, out: Path
) -> None:
    settings, waivers = drawing.parent / "perpend.toml", drawing.parent / "n.waivers.toml"
    settings.write_text('[defaults]\nmethod = "empirical"\n', encoding="utf-8")
    waivers.write_text("", encoding="utf-8")
    named = out / f"named{Path(name).suffix}"
    named.write_text('[defaults]\nmethod = "empirical"\n', encoding="utf-8")
    for file, extra in ((settings, ()), (waivers, ()), (named, ("--settings", named))):
        before = file.read_bytes()
        ending = perpend(command, drawing, option, file, *extra, "--overwrite")
        assert ending.code == 2, file
        assert "that count here" in ending.err, file
        assert file.read_bytes() == before


@POSIX
@pytest.mark.parametrize(("command", "option", "name"), SIDES)
def test_no_device_no_pipe_no_folder(
    command: str, option: str, name: str, drawing: Path, out: Path, tmp_path: Path
) -> None:
    pipe, link, folder = out / f"pipe{Path(name).suffix}", out / name, out / f"folder{Path(name).suffix}"
    os.mkfifo(pipe)
    link.symlink_to("/dev/null")
    folder.mkdir()
    for place in (pipe, link, folder, Path("/dev/null")):
        for extra in ((), ("--overwrite",)):
            ending = perpend(command, drawing, option, place, *extra)
            assert ending.code == 2, place
            assert ending.err.count("\n") == 1
    assert stat.S_ISFIFO(pipe.stat().st_mode)
    assert link.is_symlink()
    assert stat.S_ISCHR(Path("/dev/null").stat().st_mode)


@pytest.mark.parametrize("name", ["CON.dxf", "nul.results.json", "Com1.html", "LPT9.svg"])
def test_no_name_of_a_device_of_windows(name: str, drawing: Path, out: Path) -> None:
    option = {".dxf": "-o", ".json": "--results", ".html": "--sheet", ".svg": "--picture"}[Path(name).suffix]
    ending = perpend("annotate", drawing, option, out / name)
    assert ending.code == 2
    assert "Windows keeps for a device" in " ".join(ending.err.split())
    assert listed(out) == []
    assert perpend("annotate", drawing, "-o", out / f"A{name}.dxf").code == 0


@pytest.mark.parametrize("name", ["n" * 300, "ü" * 124])
@pytest.mark.parametrize(("command", "option", "usual"), SIDES[-4:])
def test_names_as_long_as_can_be(
    command: str, option: str, usual: str, name: str, drawing: Path, out: Path
) -> None:
    """A name that the system takes is written, however long; one that it refuses is one sentence."""
    place = out / f"{name}{Path(usual).suffix}"
    ending = perpend(command, drawing, option, place)
    possible = len(os.fsencode(place.name)) <= 255
    assert (ending.code < 2) == possible, ending.err
    assert ("can't be written" in ending.err) != possible
    assert place.name in listed(out) if possible else listed(out) == []


@POSIX
def test_a_link_stays_and_what_it_leads_to_is_replaced(drawing: Path, out: Path, tmp_path: Path) -> None:
    real = tmp_path / "real.json"
    real.touch(mode=0o640)
    (out / "r.json").symlink_to(real)
    assert perpend("annotate", drawing, "--results", out / "r.json").code < 2
    assert (out / "r.json").is_symlink()
    assert real.stat().st_size > 100
    assert stat.S_IMODE(real.stat().st_mode) == 0o640


def test_one_place_twice(drawing: Path, out: Path) -> None:
    ending = perpend("annotate", drawing, "--results", out / "x", "--sheet", out / "x")
    assert ending.code == 2
    assert "name two files" in ending.err


def test_a_failing_move_takes_the_earlier_ones_back(
    drawing: Path, out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert perpend(*call("check", drawing, out)).code < 2
    before = contents(out)
    (drawing.parent / "perpend.toml").write_text("[text]\nplot_scale = 48\n", encoding="utf-8")
    replace, moved = os.replace, 0

    def failing(source: Path, target: Path) -> None:
        nonlocal moved
        if Path(target).parent == out and not str(source).endswith(".old"):
            moved += 1
            if moved == 4:
                raise PermissionError(13, "Permission denied", str(target))
        replace(source, target)

    monkeypatch.setattr(staging.os, "replace", failing)
    ending = perpend(*call("check", drawing, out))
    assert ending.code == 2
    assert "can't be written (Permission denied): close it" in " ".join(ending.err.split())
    assert moved == 4
    assert contents(out) == before
    monkeypatch.undo()
    (out / "s.html").unlink()
    moved = 0
    monkeypatch.setattr(staging.os, "replace", failing)
    assert perpend(*call("check", drawing, out)).code == 2
    assert "s.html" not in contents(out), "what was not there before is taken away again"


@pytest.mark.parametrize("command", ["annotate", "check"])
def test_a_fault_of_ours_leaves_nothing(
    command: str, drawing: Path, out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> str:
        raise ZeroDivisionError

    monkeypatch.setattr("perpend.report.sheet.render_sheet", broken)
    assert perpend(*call(command, drawing, out)).code == 3
    assert listed(out) == []


@pytest.mark.parametrize("error", [MemoryError, RecursionError])
def test_what_is_too_large_is_a_fault_of_the_input(
    error: type[Exception], drawing: Path, out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> str:
        raise error

    monkeypatch.setattr("perpend.report.sheet.render_sheet", broken)
    ending = perpend(*call("annotate", drawing, out))
    assert ending.code == 2
    assert "n.dxf" in ending.err
    assert listed(out) == []


@POSIX
def test_a_killed_run_leaves_all_or_nothing_and_the_next_clears_its_scraps(tmp_path: Path) -> None:
    """Set PERPEND_KILLS for more of them; each command with all its outputs is taken in turn."""
    count = int(os.environ.get("PERPEND_KILLS", "0"))
    kills = Kills(tmp_path, seed=14, commands=None if count else ("annotate", "check", "batch"))
    for number in range(count or 8):
        kills.kill_one(number)
    assert sum(n for ending, n in kills.endings.items() if ending.startswith("killed")) > 0


@pytest.mark.parametrize("held", [(), ("lock",), ("0.dxf", "lock"), ("0.dxf.old", "lock")])
def test_whatever_a_kill_leaves_goes_at_once(held: tuple[str, ...], out: Path) -> None:
    """Before the lock is made, before it is taken, while outputs are written, while all is cleared up."""
    room = out / ".perpend-0123456789abcdef.part"
    room.mkdir()
    for name in held:
        (room / name).touch()
    sweep(out)
    assert listed(out) == []


def test_a_room_that_is_swept_while_it_is_made_is_made_again(
    out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another run takes the lock just before this one can."""
    taken: list[int] = []

    def beaten(handle: int) -> bool:
        taken.append(handle)
        return len(taken) > 1

    monkeypatch.setattr(staging, "try_lock", beaten)
    with staged({"a": out / "a.txt"}) as where:
        where["a"].write_text("a")
    assert len(taken) == 2
    assert contents(out) == {"a.txt": b"a"}


def test_what_a_live_run_works_in_is_not_swept(out: Path) -> None:
    with staged({"a": out / "a.txt"}) as where:
        sweep(out)
        with staged({"b": out / "b.txt"}) as other:
            other["b"].write_text("b")
        where["a"].write_text("a")
    assert contents(out) == {"a.txt": b"a", "b.txt": b"b"}
    assert len(listed(out)) == 2


def test_a_sentence_names_the_place_that_the_user_knows(out: Path) -> None:
    with pytest.raises(InputError, match=r"a\.txt") as told, staged({"a": out / "a.txt"}) as where:
        raise InputError(f"{where['a']} can't be written")
    assert ".perpend-" not in str(told.value)
    assert listed(out) == []


@POSIX
@pytest.mark.parametrize(
    "arguments", [("annotate", "DRAWING", "-o", "OUT"), ("limits", "--height", "12ft"), ("--help",)]
)
def test_a_full_device_and_a_closed_pipe_end_cleanly(
    arguments: tuple[str, ...], drawing: Path, out: Path
) -> None:
    words = [{"DRAWING": str(drawing), "OUT": str(out / "o.dxf")}.get(a, a) for a in arguments]
    command = [sys.executable, "-m", "perpend", *words]
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            command, stdout=full, stderr=subprocess.PIPE, text=True, timeout=60, check=False
        )
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert "No space left on device" in done.stderr
    assert done.stderr.count("\n") == 1
    reader, writer = os.pipe()
    os.close(reader)
    done = subprocess.run(command, stdout=writer, stderr=subprocess.PIPE, text=True, timeout=60, check=False)
    os.close(writer)
    assert done.stderr == ""
    assert done.returncode in (0, 1)


@POSIX
def test_a_batch_whose_reader_is_gone_ends_like_an_interrupt_with_its_index(drawing: Path, out: Path) -> None:
    for number in range(3):
        shutil.copy(drawing, drawing.with_name(f"m{number}.dxf"))
    reader, writer = os.pipe()
    os.close(reader)
    command = [sys.executable, "-m", "perpend", "batch", str(drawing.parent), "--out", str(out / "b")]
    done = subprocess.run(
        [*command, "--jobs", "1"], stdout=writer, stderr=subprocess.PIPE, text=True, timeout=120, check=False
    )
    os.close(writer)
    assert (done.returncode, done.stderr) == (130, "")
    assert (out / "b" / "index.html").is_file()
    assert program("batch", drawing.parent, "--out", out / "b", "--jobs", "1").code < 2


def test_a_folder_that_cannot_be_looked_into_is_reported(
    drawing: Path, out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (drawing.parent / "secret").mkdir()
    scandir = os.scandir

    def refusing(path: str) -> object:
        if str(path).endswith("secret"):
            raise PermissionError(13, "Permission denied", str(path))
        return scandir(path)

    monkeypatch.setattr(os, "scandir", refusing)
    ending = perpend("batch", drawing.parent, "--out", out / "b", "--recursive", "--jobs", "1")
    assert ending.code < 2, ending.err
    assert "secret (Permission denied)" in ending.out
    assert "secret (Permission denied)" in (out / "b" / "index.html").read_text(encoding="utf-8")


STRANGE_LINES = (
    *("{", "[]", '{"form": 4}', '{"form": 99}', '{"form": 4, "name": ["x"]}', "[" * 100_000, "\udcff"),
)


def test_a_record_of_another_version_or_of_nobody_counts_as_none(drawing: Path, out: Path) -> None:
    assert perpend("batch", drawing.parent, "--out", out, "--jobs", "1").code < 2
    record = out / ".perpend-batch-annotate.jsonl"
    wrong = record.read_text(encoding="utf-8").replace('"walls": 1', '"walls": "many"')
    record.write_text("\n".join([*STRANGE_LINES, wrong]), encoding="utf-8", errors="surrogateescape")
    ending = perpend("batch", drawing.parent, "--out", out, "--jobs", "1")
    assert ending.code < 2, ending.err
    assert "0 unchanged" in ending.out
    assert record.read_text(encoding="utf-8").count("\n") == 1
