"""A batch on a real Dask scheduler with two workers, all on this machine."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from batch.material import half_written, save_good
from cli.harness import perpend, program
from perpend.folders import BatchOptions, dask_cluster, run_batch

pytest.importorskip("distributed", reason="the extra perpend[cluster] is not installed")


def _start(*arguments: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", *arguments],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        cwd="/",
        start_new_session=True,
    )


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Start a scheduler and two workers of one thread on the loopback; yield the scheduler's address."""
    known = tmp_path_factory.mktemp("dask") / "scheduler.json"
    scheduler = _start(
        "distributed.cli.dask_scheduler",
        *("--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--scheduler-file", str(known)),
    )
    started = [scheduler]
    try:
        end = time.monotonic() + 40
        while not known.exists():
            assert scheduler.poll() is None
            assert time.monotonic() < end, "the scheduler did not start"
            time.sleep(0.05)
        from distributed import Client

        with Client(scheduler_file=str(known), timeout=30, set_as_default=False) as client:
            found = str(client.scheduler.address)
            for _ in range(2):
                started.append(
                    _start(
                        "distributed.cli.dask_worker", found, "--nthreads", "1", "--no-dashboard",
                        "--host", "127.0.0.1", "--local-directory", str(known.parent),
                    )
                )  # fmt: skip
            client.wait_for_workers(2, timeout=60)
        yield found
    finally:
        for process in reversed(started):
            with contextlib.suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)
            process.wait(timeout=10)


def test_a_batch_on_a_cluster_gives_what_it_gives_here(address: str, tmp_path: Path) -> None:
    save_good(tmp_path / "in")
    (tmp_path / "in" / "bad.dxf").write_bytes(b"no drawing")
    there = program("batch", "in", "--out", "there", "--scheduler", address, cwd=tmp_path)
    here = run_batch(tmp_path / "in", tmp_path / "here", BatchOptions(), make=ThreadPoolExecutor)
    assert there.code == here.exit_code == 2, there.err
    assert "bad.dxf: refused: " in there.out
    assert "4 of 5 drawings done (0 unchanged): 1 refused, 4 clean" in there.out
    names = sorted(path.name for path in (tmp_path / "here").glob("*.dxf"))
    assert len(names) == 4
    for name in names:
        assert (tmp_path / "there" / name).read_bytes() == (tmp_path / "here" / name).read_bytes()
    assert half_written(tmp_path / "there") == []


def test_a_scheduler_that_does_not_answer_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(dask_cluster, "_ANSWER_WITHIN_S", 1)
    save_good(tmp_path / "in", "a")
    ending = perpend("batch", tmp_path / "in", "--out", tmp_path / "out", "--scheduler", "tcp://127.0.0.1:9")
    assert ending.code == 2
    assert "No scheduler answers at tcp://127.0.0.1:9" in ending.err
    assert ending.err.count("\n") == 1, ending.err
    assert not (tmp_path / "out").exists()
