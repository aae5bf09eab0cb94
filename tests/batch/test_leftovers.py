"""Outputs of earlier runs that no longer tell of a drawing are told of, and never deleted."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from batch.material import rows_of, save_good
from cli.harness import perpend
from perpend.folders import BatchOptions, BatchReport, run_batch


def batch(root: Path, **options: bool | str) -> BatchReport:
    return run_batch(root / "in", root / "out", BatchOptions(**options), make=ThreadPoolExecutor)


def test_outputs_of_a_drawing_that_was_renamed_are_told_until_they_are_moved_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("perpend.folders.LocalProcesses", ThreadPoolExecutor)
    source, out = tmp_path / "in", tmp_path / "out"
    save_good(source, "A-301", "A-302")
    assert batch(tmp_path).left_behind == ()
    (source / "A-302.dxf").rename(source / "A-303.dxf")
    said = (
        f"Still in {out} from earlier runs, of drawings that are not in {source} any more: "
        "A-302-annotated.dxf. Nothing is deleted."
    )
    for _ in range(2):
        ending = perpend("batch", source, "--out", out, "--jobs", "1")
        assert ending.code == 0
        assert said in ending.out.splitlines()
        assert json.loads((out / "index.json").read_text(encoding="utf-8"))["left_behind"] == [said]
        assert "A-302-annotated.dxf" in (out / "index.html").read_text(encoding="utf-8")
    assert list(rows_of(out)) == ["A-301.dxf", "A-303.dxf"]
    assert (out / "A-302-annotated.json").exists()
    (out / "A-302-annotated.dxf").unlink()
    assert batch(tmp_path).left_behind == ()


def test_outputs_of_a_drawing_that_can_not_be_done_now_are_told(tmp_path: Path) -> None:
    save_good(tmp_path / "in", "a", "b")
    batch(tmp_path)
    (tmp_path / "in" / "a.dxf").write_bytes(b"cut")
    report = batch(tmp_path)
    assert report.left_behind == (
        f"Still in {tmp_path / 'out'} from earlier runs, of drawings that could not be done now: "
        "a-annotated.dxf. Nothing is deleted.",
    )
    (tmp_path / "in" / "a.dxf").unlink()
    assert "not in" in batch(tmp_path).left_behind[0], "a refusal does not make the record forget it"


def test_what_this_run_was_not_to_look_at_is_not_left_behind(tmp_path: Path) -> None:
    save_good(tmp_path / "in", "a", "b")
    save_good(tmp_path / "in" / "sub", "c")
    assert len(batch(tmp_path, recursive=True).outcomes) == 3
    report = batch(tmp_path, pattern="a*")
    assert [outcome.name for outcome in report.outcomes] == ["a.dxf"]
    assert report.left_behind == ()
