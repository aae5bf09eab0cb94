"""Which drawings a batch takes: never its own outputs, and never leaving one out in silence."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from batch.material import rows_of, save_good
from cli.drawings import add_text, new_drawing, save_elevation
from cli.harness import perpend
from perpend import annotate, check
from perpend.errors import InputError
from perpend.folders import BatchOptions, BatchReport, run_batch
from perpend.folders.find_drawings import find_orders


def in_threads(source: Path, out: Path, **options: bool | str) -> BatchReport:
    return run_batch(source, out, BatchOptions(**options), make=ThreadPoolExecutor)


def names(source: Path, out: Path, **options: bool | list[str]) -> list[str]:
    return [order.name for order in find_orders(source, out, **options).orders]


@pytest.mark.parametrize("checking", [False, True], ids=["annotate", "check"])
def test_outputs_among_the_drawings_are_never_drawings(checking: bool, tmp_path: Path) -> None:
    """Three runs into a folder below the drawings: each finds the same two, and the same files are there."""
    source, out = tmp_path / "in", tmp_path / "in" / "sub"
    save_good(source / "deeper", "b")
    save_good(source, "a")
    listings = []
    for _ in range(3):
        report = in_threads(source, out, recursive=True, check=checking)
        assert [outcome.name for outcome in report.outcomes] == ["a.dxf", "deeper/b.dxf"]
        listings.append(sorted(p.relative_to(tmp_path) for p in tmp_path.rglob("*.dxf")))
    assert listings[0] == listings[1] == listings[2]
    assert report.left_out == (f"Left out: {out}, where the outputs go.",)


def test_the_folder_of_outputs_is_left_out_and_said_so_with_what_perpend_did_not_write(
    tmp_path: Path,
) -> None:
    source = tmp_path / "in"
    save_good(source, "a")
    save_good(source / "sub", "b", "c")
    ending = perpend("batch", source, "--out", source / "sub", "--recursive", "--jobs", "1")
    assert ending.code == 0, ending.err
    assert list(rows_of(source / "sub")) == ["a.dxf"]
    said = f"Left out: {source / 'sub'}, where the outputs go, with drawings in it that perpend did not write"
    assert f"{said} (b.dxf and c.dxf): name another folder with --out" in ending.out
    document = json.loads((source / "sub" / "index.json").read_text(encoding="utf-8"))
    assert document["left_out"] == [line for line in ending.out.splitlines() if line.startswith("Left out")]


def test_drawings_below_the_folder_of_outputs_are_found(tmp_path: Path) -> None:
    """An office runs it from the project's folder: the outputs go above the drawings."""
    save_good(tmp_path / "elevations", "a")
    report = in_threads(tmp_path / "elevations", tmp_path)
    assert [outcome.name for outcome in report.outcomes] == ["a.dxf"]
    assert (tmp_path / "a-annotated.dxf").exists()
    assert names(tmp_path / "elevations", tmp_path, recursive=True) == ["a.dxf"]


def test_a_folder_reached_by_a_link_is_the_same_folder(tmp_path: Path) -> None:
    save_good(tmp_path / "in" / "out", "a")
    save_good(tmp_path / "in", "b")
    (tmp_path / "link").symlink_to(tmp_path / "in")
    assert names(tmp_path / "link", tmp_path / "in" / "out", recursive=True) == ["b.dxf"]
    with pytest.raises(InputError, match="the folder of the drawings itself"):
        find_orders(tmp_path / "link", tmp_path / "in")


def test_what_perpend_wrote_is_passed_over_and_told(tmp_path: Path) -> None:
    save_good(tmp_path, "a")
    annotate(tmp_path / "a.dxf")
    check(tmp_path / "a-annotated.dxf")
    search = find_orders(tmp_path, tmp_path / "out")
    assert [order.name for order in search.orders] == ["a.dxf"]
    assert search.left_out == (
        "Passed over, as perpend wrote them: a-annotated-checked.dxf and a-annotated.dxf.",
    )
    assert names(tmp_path, tmp_path / "out", check=True) == ["a-annotated.dxf", "a.dxf"]


def test_a_drafters_drawing_with_a_name_like_ours_is_done(tmp_path: Path) -> None:
    """An office may well call a drawing checked; and a note that says PERPENDICULAR is no mark of ours."""
    doc = new_drawing()
    add_text(doc, "PERPENDICULAR TO GRID", (10, 10))
    doc.saveas(tmp_path / "plinth-checked.dxf")
    save_elevation(tmp_path / "north-annotated.dxf", [("W1", (0, 0, 480, 144))])
    (tmp_path / "cut-annotated.dxf").write_bytes(b"")
    found = find_orders(tmp_path, tmp_path / "out")
    assert [o.name for o in found.orders] == [
        "cut-annotated.dxf",
        "north-annotated.dxf",
        "plinth-checked.dxf",
    ]
    assert found.left_out == ()


def test_a_folder_with_nothing_but_outputs_says_what_was_passed_over(tmp_path: Path) -> None:
    save_good(tmp_path, "a")
    annotate(tmp_path / "a.dxf")
    (tmp_path / "a.dxf").unlink()
    said = (
        r"was written by perpend: .* pass --check .* Passed over, as perpend wrote them: a-annotated\.dxf\."
    )
    with pytest.raises(InputError, match=said):
        find_orders(tmp_path, tmp_path / "out")
    assert names(tmp_path, tmp_path / "out", check=True) == ["a-annotated.dxf"]


def test_drawings_below_are_pointed_at_when_there_are_none_at_the_top(tmp_path: Path) -> None:
    save_good(tmp_path / "north", "a", "b")
    said = (
        r"matches '\*\.dxf' lies in the folder itself\. 2 DXF in the sub-folders right below not looked at: "
        r"--recursive has them done, and what lies deeper \(north/a\.dxf and north/b\.dxf\)\.$"
    )
    with pytest.raises(InputError, match=said):
        find_orders(tmp_path, tmp_path / "out")
    with pytest.raises(InputError, match="look at --pattern and --recursive"):
        find_orders(tmp_path, tmp_path / "out", pattern="z*.dxf")


def test_drawings_that_are_no_dxf_are_told(tmp_path: Path) -> None:
    save_good(tmp_path, "a")
    (tmp_path / "A-204.DWG").write_bytes(b"AC1032")
    said = (
        "Left out, as only DXF is read: A-204.DWG. Save them as DXF to have them done, or have the batch "
        "publishing or a script of your CAD program write the folder as DXF."
    )
    assert find_orders(tmp_path, tmp_path / "out").left_out == (said,)


def test_drawings_in_sub_folders_are_told_when_they_are_not_looked_at(tmp_path: Path) -> None:
    """Only those that --recursive would do: not hidden ones, excluded ones, ours, or other files.

    What lies deeper (e) is not searched for: an archive is not walked for a sentence.
    """
    save_good(tmp_path / "in", "a")
    save_good(tmp_path / "in" / "x", "b", "c", ".d", "detail")
    save_good(tmp_path / "in" / "x" / "y", "e")
    annotate(tmp_path / "in" / "x" / "b.dxf")
    (tmp_path / "in" / "x" / "z.dwg").touch()
    search = find_orders(tmp_path / "in", tmp_path / "out", exclude=["*/detail*"])
    assert [order.name for order in search.orders] == ["a.dxf"]
    assert search.left_out == (
        "2 DXF in the sub-folders right below not looked at: --recursive has them done, and what lies "
        "deeper (x/b.dxf and x/c.dxf).",
    )
    assert names(tmp_path / "in", tmp_path / "out", recursive=True, exclude=["*/detail*"]) == [
        *("a.dxf", "x/b.dxf", "x/c.dxf", "x/y/e.dxf")
    ]


def test_hidden_files_and_locks_are_passed_over_and_told(tmp_path: Path) -> None:
    save_good(tmp_path, "a")
    save_good(tmp_path / ".snapshot", "b")
    for name in ("._a.dxf", "~$a.dxf", ".hidden.DXF", "._plan.dwg", ".perpend.toml"):
        (tmp_path / name).write_bytes(b"no drawing")
    search = find_orders(tmp_path, tmp_path / "out", recursive=True)
    assert [order.name for order in search.orders] == ["a.dxf"]
    assert search.left_out == (
        "Passed over, as hidden files or locks: ._a.dxf, ._plan.dwg, .hidden.DXF, .snapshot/b.dxf and "
        "~$a.dxf.",
    )
    (tmp_path / "a.dxf").unlink()
    with pytest.raises(InputError, match=r"is hidden or excluded\. Passed over, as hidden files or locks: "):
        find_orders(tmp_path, tmp_path / "out", recursive=True)


def test_what_is_excluded_by_name_or_path_is_told(tmp_path: Path) -> None:
    save_good(tmp_path / "in", "A-201", "A-501-Details", "cover")
    save_good(tmp_path / "in" / "old", "A-201")
    save_good(tmp_path / "in" / "new", "A-202", "cover")
    out = tmp_path / "out"
    words = ("--exclude", "*-DETAILS*", "--exclude", "old/*", "--exclude", "cover.dxf")
    ending = perpend("batch", tmp_path / "in", "--out", out, "--recursive", "--jobs", "1", *words)
    assert ending.code == 0, ending.err
    assert list(rows_of(out)) == ["A-201.dxf", "new/A-202.dxf"]
    said = "Left out by --exclude: A-501-Details.dxf, cover.dxf, new/cover.dxf and old/A-201.dxf."
    assert said in ending.out.splitlines()


def test_a_pattern_that_leaves_nothing_out_is_told(tmp_path: Path) -> None:
    save_good(tmp_path / "in", "A-201", "cover")
    found = find_orders(tmp_path / "in", tmp_path / "out", exclude=["cover*", "*detial*"])
    assert [order.name for order in found.orders] == ["A-201.dxf"]
    assert found.left_out == (
        "Left out by --exclude: cover.dxf.",
        f"--exclude '*detial*' leaves nothing out: no drawing in {tmp_path / 'in'} fits it.",
    )


def test_names_are_sorted_without_regard_to_upper_and_lower_case(tmp_path: Path) -> None:
    save_good(tmp_path, "a-202", "A-203", "B-1", "A-201", "a-201 (2)")
    assert names(tmp_path, tmp_path / "out") == [
        *("a-201 (2).dxf", "A-201.dxf", "a-202.dxf", "A-203.dxf", "B-1.dxf")
    ]


@pytest.mark.parametrize("checking", [False, True], ids=["annotate", "check"])
def test_the_other_commands_index_is_never_replaced(checking: bool, tmp_path: Path) -> None:
    source, out = tmp_path / "in", tmp_path / "out"
    save_good(source, "a")
    in_threads(source, out, check=not checking)
    before = (out / "index.html").read_bytes()
    there = "annotating" if checking else "checking"
    for overwrite in (False, True):
        with pytest.raises(InputError, match=rf"holds the index of {there} runs, .*: name a folder of their"):
            in_threads(source, out, check=checking, overwrite=overwrite)
    assert (out / "index.html").read_bytes() == before
    in_threads(source, out, check=not checking)


def test_an_index_that_no_batch_wrote_is_kept(tmp_path: Path) -> None:
    source, out = tmp_path / "in", tmp_path / "out"
    save_good(source, "a")
    out.mkdir()
    (out / "index.html").write_text("the office's own page")
    with pytest.raises(InputError, match=r"holds index\.html, which no batch wrote"):
        in_threads(source, out)
    assert [path.name for path in out.iterdir()] == ["index.html"]
    assert in_threads(source, out, overwrite=True).exit_code == 0
    assert in_threads(source, out).exit_code == 0
