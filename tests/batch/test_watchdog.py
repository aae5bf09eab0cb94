"""The watchdog of the parent process: what no net inside a worker ends is ended from outside."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest

from batch.material import GOOD, devour, half_written, hang, save_good
from perpend.folders import BatchOptions, Order, Outcome, State, run_batch, watchdog, worker_pool


@pytest.mark.parametrize(
    ("work", "limits", "said"),
    [
        (hang, {"seconds": 0.5, "megabytes": 0}, "takes longer than the 0.5 s"),
        (devour, {"seconds": 0.0, "megabytes": 300}, "needs more than the 300 MB"),
    ],
)
def test_a_worker_over_its_limits_is_ended_and_costs_no_other_drawing(
    work: Callable[[Order], Outcome],
    limits: dict[str, float],
    said: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    save_good(tmp_path / "in")
    monkeypatch.setattr(worker_pool, "do_order", work)
    monkeypatch.setattr(watchdog, "_AT_LEAST_S", 1.0)
    begun = time.monotonic()
    report = run_batch(tmp_path / "in", tmp_path / "out", BatchOptions(jobs=2, **limits))  # type: ignore[arg-type]
    assert time.monotonic() - begun < 60
    states = {o.name: o.state for o in report.outcomes}
    assert states.pop("south.dxf") is State.REFUSED
    assert states == {f"{name}.dxf": State.CLEAN for name in GOOD if name != "south"}
    assert said in next(o.sentence for o in report.outcomes if o.name == "south.dxf")
    assert report.exit_code == 2
    assert report.index is not None
    assert half_written(tmp_path / "out") == []


def test_what_is_within_its_limits_is_left_alone(tmp_path: Path) -> None:
    save_good(tmp_path / "in")
    report = run_batch(tmp_path / "in", tmp_path / "out", BatchOptions(jobs=2, seconds=60))
    assert [o.state for o in report.outcomes] == [State.CLEAN] * 4
