"""An interrupt may come at any moment: none is lost, and nothing is left half done."""

from __future__ import annotations

import contextlib
import os
import signal
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from pathlib import Path
from types import FrameType

import pytest

from batch.material import half_written, hearing_interrupts
from perpend.folders import BatchOptions, BatchReport, Outcome, State, interrupts, run_batch, worker_pool
from perpend.folders.find_drawings import find_orders
from perpend.folders.interrupts import StopWish, listening
from perpend.folders.orders import Order

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="signals of Unix")

NAMES = ("a.dxf", "b.dxf", "c.dxf")
WATCHED = (str(Path("perpend", "folders")), str(Path("concurrent", "futures")))
EVERY = int(os.environ.get("PERPEND_MOMENTS", "13"))
"""Every so manieth moment is tried; 1: every one."""


@pytest.fixture(autouse=True)
def _ctrl_c() -> Iterator[None]:
    with hearing_interrupts():
        yield


@pytest.fixture(autouse=True)
def _quick_work(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(worker_pool, "do_order", do_quickly)


def do_quickly(order: Order) -> Outcome:
    """Stand in for the work on a drawing: one small file, or none if an earlier run has made it."""
    if order.known and order.target.exists():
        return Outcome(order.name, State.CLEAN, fingerprint=order.known, reused=True)
    order.target.write_text(order.name)
    return Outcome(order.name, State.CLEAN, fingerprint=f"of {order.name}", walls=1)


def folder_of(place: Path) -> Path:
    (place / "in").mkdir(parents=True)
    for name in NAMES:
        (place / "in" / name).touch()
    return place


class AtOnce(Executor):
    """Does what it is given before it answers: every run takes the same steps in the same order."""

    def __init__(self, workers: int) -> None:
        pass

    def submit(self, work: Callable[[Order], Outcome], /, order: Order) -> Future[Outcome]:  # type: ignore[override]
        future: Future[Outcome] = Future()
        future.set_result(work(order))
        return future


def batch(place: Path, **options: object) -> BatchReport:
    return run_batch(place / "in", place / "out", BatchOptions(), make=AtOnce, **options)  # type: ignore[arg-type]


class Interrupter:
    """Sends Ctrl-C at one moment: when a function of the batch or its pool is called for the nth time."""

    def __init__(self, moment: int) -> None:
        self.moments = 0
        self.heard_by: object = None
        self._moment = moment

    def __call__(self, frame: FrameType, event: str, _: object) -> None:
        if event == "call" and any(part in frame.f_code.co_filename for part in WATCHED):
            self.moments += 1
            if self.moments == self._moment:
                self.heard_by = signal.getsignal(signal.SIGINT)
                signal.raise_signal(signal.SIGINT)

    @contextlib.contextmanager
    def watching(self) -> Iterator[None]:
        before = sys.getprofile()
        sys.setprofile(self)
        try:
            yield
        finally:
            sys.setprofile(before)


def assert_taken_up(place: Path, moment: int, done: set[str]) -> None:
    """Assert that the run after the one that was stopped does what is missing, and that alone."""
    again = batch(place)
    assert [o.state for o in again.outcomes] == [State.CLEAN] * 3, moment
    assert {o.name for o in again.outcomes if o.reused} == done, moment
    assert half_written(place / "out") == [], moment


def test_no_interrupt_is_lost_whenever_it_comes(tmp_path: Path) -> None:
    """Once it listens, a run takes an interrupt down and ends in order; before and after, it ends at once."""
    batch(folder_of(tmp_path / "first"))  # what is made ready once is made ready here
    counting = Interrupter(0)
    with counting.watching():
        batch(folder_of(tmp_path / "whole"))
    assert counting.moments > 100
    stopped: set[int] = set()
    for moment in range(1, counting.moments + 1, EVERY):
        place, interrupter = folder_of(tmp_path / str(moment)), Interrupter(moment)
        report = None
        with contextlib.suppress(KeyboardInterrupt), interrupter.watching():
            report = batch(place)
        assert signal.getsignal(signal.SIGINT) is signal.default_int_handler, moment
        assert interrupter.heard_by is not None, moment
        assert (report is None) == (interrupter.heard_by is signal.default_int_handler), moment
        done = {name for name in NAMES if (place / "out" / name.replace(".", "-annotated.")).exists()}
        if report is not None:
            assert (report.stopped, report.exit_code) == (True, 130), moment
            assert report.index is not None, moment
            told = {o.name for o in report.outcomes if o.state is State.CLEAN}
            assert told <= done, moment
            assert {o.state for o in report.outcomes if o.name not in told} <= {State.NOT_DONE}, moment
            stopped.add(len(told))
            assert_taken_up(place, moment, told)
    assert stopped == {0, 2, 3}, "before any was done, after the two of the first round, and after all"


class Fading:
    """Interrupts when it is forgotten, in a place that lets no exception out."""

    def __del__(self) -> None:
        signal.raise_signal(signal.SIGINT)


def test_an_interrupt_in_a_finalizer_stops_the_run(tmp_path: Path) -> None:
    told: list[str] = []

    def watch(outcome: Outcome) -> None:
        told.append(outcome.name)
        Fading()

    report = batch(folder_of(tmp_path), watch=watch)
    assert report.stopped
    assert report.exit_code == 130
    assert len(told) < 3
    assert sum(o.state is State.NOT_DONE for o in report.outcomes) == 3 - len(told)


def test_an_interrupt_while_the_index_is_written_leaves_it_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write = Path.write_bytes

    def interrupted(self: Path, data: bytes) -> int:
        if self.suffix == ".html":
            signal.raise_signal(signal.SIGTERM)
        return write(self, data)

    monkeypatch.setattr(Path, "write_bytes", interrupted)
    report = batch(folder_of(tmp_path))
    assert report.exit_code == 130
    assert [o.state for o in report.outcomes] == [State.CLEAN] * 3
    assert (tmp_path / "out" / "index.html").read_text(encoding="utf-8").endswith("</html>")
    assert half_written(tmp_path / "out") == []


def test_a_run_does_not_wait_for_a_drawing_to_hear_of_the_wish(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A signal that another thread takes, or that comes just before a wait, wakes nobody."""
    wish = StopWish()

    def slow(order: Order) -> Outcome:
        wish.note()
        time.sleep(0.7)
        return do_quickly(order)

    monkeypatch.setattr(worker_pool, "do_order", slow)
    place = folder_of(tmp_path)
    (order,) = find_orders(place / "in", place, pattern="a*").orders
    stream = worker_pool.do_all([order], 1, ThreadPoolExecutor, wish)
    with pytest.raises(KeyboardInterrupt):
        next(stream)


def test_a_run_in_the_background_of_a_shell_goes_on(tmp_path: Path) -> None:
    """Such a shell starts it with Ctrl-C ignored, so that what is meant for others does not end it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    report = batch(folder_of(tmp_path), watch=lambda _: signal.raise_signal(signal.SIGINT))
    assert signal.getsignal(signal.SIGINT) is signal.SIG_IGN
    assert not report.stopped
    assert [o.state for o in report.outcomes] == [State.CLEAN] * 3


def test_two_signals_at_once_are_one_wish_and_a_later_ctrl_c_does_not_wait(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    with listening() as wish:
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGINT):
            signal.raise_signal(number)
        assert wish.heard
        monkeypatch.setattr(interrupts, "_ONE_WISH_S", 0.0)
        signal.raise_signal(signal.SIGTERM)
        with pytest.raises(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)
    with pytest.raises(KeyboardInterrupt):
        wish.heed()
