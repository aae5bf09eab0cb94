"""A new drawing appears whole or not at all, and never over the one that was read."""

from __future__ import annotations

import os
import random
import re
import signal
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from ezdxf.document import Drawing

from perpend.dxf.insert import atomic_file, drawing_writer, full_save, proof
from perpend.dxf.insert.cleaning import clean_drawing
from perpend.dxf.insert.drawing_writer import write_drawing
from perpend.dxf.insert.take_out import strip_ours
from perpend.dxf.load import LoadedDrawing, load_drawing
from perpend.errors import InputError, InternalError
from writing.material import as_text, draw_plate, make_document, write_file


@pytest.fixture
def source(tmp_path: Path) -> Path:
    return write_file(tmp_path, as_text(make_document()))


def only_source(source: Path) -> bool:
    return [path.name for path in source.parent.iterdir()] == [source.name]


@pytest.mark.parametrize("make", ["itself", "roundabout", "symlink", "hard link", "linked folder"])
def test_never_over_the_source(make: str, source: Path) -> None:
    before = source.read_bytes()
    folder = source.parent
    target = {
        "itself": source,
        "roundabout": folder / ".." / folder.name / source.name,
        "symlink": folder / "link.dxf",
        "hard link": folder / "hard.dxf",
        "linked folder": folder / "inner" / source.name,
    }[make]
    if make == "symlink":
        target.symlink_to(source)
    if make == "hard link":
        target.hardlink_to(source)
    if make == "linked folder":
        (folder / "inner").symlink_to(folder)
    for action in (lambda: write_drawing(source, target, draw_plate), lambda: clean_drawing(source, target)):
        with pytest.raises(InputError, match="never overwritten"):
            action()
    assert source.read_bytes() == before


def test_a_folder_and_a_missing_folder(source: Path) -> None:
    with pytest.raises(InputError, match="is a folder"):
        write_drawing(source, source.parent, draw_plate)
    with pytest.raises(InputError, match="can't be written"):
        write_drawing(source, source.parent / "nowhere" / "out.dxf", draw_plate)
    assert only_source(source)


def test_an_old_file_keeps_its_mode_and_a_link_its_place(source: Path, tmp_path: Path) -> None:
    old = tmp_path / "old.dxf"
    old.write_bytes(b"old")
    old.chmod(0o640)
    link = tmp_path / "link.dxf"
    link.symlink_to(old)
    write_drawing(source, link, draw_plate)
    assert link.is_symlink()
    assert old.stat().st_mode & 0o777 == 0o640
    assert strip_ours(old.read_bytes()).data == source.read_bytes()


def fail(*_: object, **__: object) -> None:
    raise OSError(28, "No space left on device")


@pytest.mark.parametrize("when", ["rename", "flush", "proof"])
@pytest.mark.parametrize("before", [None, b"an older file"], ids=["new", "old"])
def test_a_failure_leaves_what_was_there(
    when: str, before: bytes | None, source: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = source.parent / "out.dxf"
    if before is not None:
        target.write_bytes(before)
    data = source.read_bytes()
    place = {
        "rename": (atomic_file.os, "replace"),
        "flush": (atomic_file.os, "fsync"),
        "proof": (drawing_writer, "prove_insertion"),
    }
    monkeypatch.setattr(*place[when], fail)
    with pytest.raises(InputError, match="No space left"):
        write_drawing(source, target, draw_plate)
    assert source.read_bytes() == data
    assert (target.read_bytes() if before is not None else target.exists()) == (before or False)
    assert not [path for path in source.parent.iterdir() if path.name not in (source.name, target.name)]


def test_an_error_in_the_drawing_function_leaves_nothing(source: Path) -> None:
    def draw(doc: Drawing) -> None:
        doc.modelspace().add_line((0, 0), (1, 1))
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        write_drawing(source, source.parent / "out.dxf", draw)
    assert only_source(source)


@pytest.mark.parametrize("damage", ["byte of the original", "byte of ours", "end"])
def test_the_proof_sees_a_wrong_byte_on_the_disk(
    damage: str, source: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    proven = proof.prove_insertion

    def spoil(text, fresh, insertion, written, *rest):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN002, ANN202
        data = bytearray(written.read_bytes())
        at = {
            "byte of the original": data.index(b"A-ELEV-WALL"),
            "byte of ours": data.index(b"CJ3"),
            "end": -2,
        }
        data[at[damage]] ^= 1
        written.write_bytes(data)
        proven(text, fresh, insertion, written, *rest)

    monkeypatch.setattr(drawing_writer, "prove_insertion", spoil)
    with pytest.raises(InternalError, match="did not read back whole"):
        write_drawing(source, source.parent / "out.dxf", draw_plate)
    assert only_source(source)


def lose_one(doc: Drawing) -> None:
    doc.modelspace().delete_entity(doc.modelspace()[1])


def lose_ours(doc: Drawing) -> None:
    doc.modelspace().delete_entity(doc.modelspace()[-1])


def add_a_fault(doc: Drawing) -> None:
    doc.modelspace().add_blockref("NOWHERE", (0, 0))


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lose_one, "would lose 1"),
        (lose_ours, "would keep 11 of our 12"),
        (add_a_fault, "An audit finds 1 fault"),
    ],
)
def test_the_proof_of_a_save_sees_what_is_wrong(
    spoil: Callable[[Drawing], None], words: str, source: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    source.write_bytes(source.read_bytes().replace(b"  9\n$HANDSEED\n", b"  9\n$HANDSEEED\n"))
    saved = full_save.save_whole

    def spoilt(loaded: LoadedDrawing, temporary: Path) -> bytes:
        spoil(loaded.doc)
        return saved(loaded, temporary)

    monkeypatch.setattr(full_save, "save_whole", spoilt)
    with pytest.raises(InternalError, match=words):
        write_drawing(source, source.parent / "out.dxf", draw_plate)
    assert only_source(source)


def test_killed_at_any_moment(source: Path) -> None:
    """A writing process is killed at fifty random moments: the target is whole, or it is not there.

    However busy the machine: the first is killed at once, before it can have written; a last one is let be.
    """
    target = source.parent / "out.dxf"
    before = source.read_bytes()
    started = time.perf_counter()
    write_drawing(source, target, draw_plate)
    usual = time.perf_counter() - started
    moments = random.Random(5)
    delays: list[float | None] = [0.0, *(moments.uniform(0.0, 1.5 * usual) for _ in range(49)), None]
    whole = []
    for delay in delays:
        target.unlink(missing_ok=True)
        child = os.fork()
        if child == 0:
            write_drawing(source, target, draw_plate)
            os._exit(0)
        if delay is not None:
            time.sleep(delay)
            os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        assert source.read_bytes() == before
        whole.append(target.exists())
        if target.exists():
            assert strip_ours(target.read_bytes()).data == before
    assert not whole[0]
    assert whole[-1]


def test_a_damaged_drawing_that_a_save_would_thin_out_is_the_inputs_fault(
    source: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Rescued by recovery, then short of an entity: exit code 2 and what to do, not a fault of ours."""
    loaded = replace(load_drawing(source), recovered=True)
    saved = full_save.save_whole

    def spoilt(loaded: LoadedDrawing, temporary: Path) -> bytes:
        lose_one(loaded.doc)
        return saved(loaded, temporary)

    monkeypatch.setattr(full_save, "save_whole", spoilt)
    with pytest.raises(InputError, match="is damaged and can't be written whole: A save would lose 1 "):
        write_drawing(loaded, source.parent / "out.dxf", draw_plate)
    assert only_source(source)


LONG = b"1234567890ABCDEF1"


@pytest.mark.parametrize("section", ["HEADER", "TABLES", "BLOCKS", "ENTITIES", "OBJECTS"])
@pytest.mark.parametrize("release", ["R2000", "R2018"])
def test_a_handle_of_more_than_16_digits_is_the_inputs_fault(
    release: str, section: str, tmp_path: Path
) -> None:
    """DXF gives a handle 64 bits; the sentence names file and handle and says what to do."""
    data = as_text(make_document(release))
    after = data.index(b"$HANDSEED" if section == "HEADER" else b"\n" + section.encode() + b"\n")
    start = data.index(b"\n  5\n", after) + 5
    end = data.index(b"\n", start)
    source = write_file(tmp_path, data[:start] + LONG + data[end:])
    words = rf"{source} is damaged: its handle #{LONG.decode()} is longer than .* Run AUDIT or RECOVER"
    with pytest.raises(InputError, match=words):
        write_drawing(source, tmp_path / "out.dxf", draw_plate)
    assert only_source(source)


def test_no_handles_left_is_the_inputs_fault(tmp_path: Path) -> None:
    data = as_text(make_document())
    last = max(re.findall(rb"\n  5\n([0-9A-F]+)(?=\n)", data), key=lambda text: int(text, 16))
    source = write_file(tmp_path, data.replace(b"\n  5\n" + last + b"\n", b"\n  5\nFFFFFFFFFFFFFFFE\n"))
    with pytest.raises(InputError, match="its handle #FFFFFFFFFFFFFFFE leaves no handles above it"):
        write_drawing(source, tmp_path / "out.dxf", draw_plate)
    assert only_source(source)
