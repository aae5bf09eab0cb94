"""Mutants by the thousand: ``python -m fuzz.long COUNT [--start N] [--keep FOLDER] [--target NAME ...]``.

Run in ``tests``. Every mutant is made from its number alone, so a failure is made again by its number. Prints
a line of JSON: how the mutants ended, how many of each target, the slowest, the most memory, every failure.
The mutants run in copies of one process that has everything loaded, a few hundred in each, so that one that
kills its process is seen and stops none of the others. With ``--guided`` and the package atheris, mutants are
steered to code that none has reached yet.
"""

from __future__ import annotations

import argparse
import gc
import json
import multiprocessing
import random
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from fuzz import originals, targets
from perpend.gc_tuning import collect_rarely
from reading.fuzz import forget_peak, mutate, peak_mb

MOST_SECONDS = 20
"""Of processor time, for one mutant with all side outputs, on a slow machine; the promise is 5."""
MOST_MB = 500
_IN_ONE_PROCESS = 500
_WEIGHTS = {"annotate_with_picture": 4, "check": 10, "check_with_picture": 1, "compare": 4, "spec": 4}
"""How often a target is chosen, the slow ones seldom; all others have the usual weight."""
_USUAL_WEIGHT = 25


_LARGE_BYTES = 100_000
"""Such an original is taken twenty times less often: most mutants should be of small ones, quickly tried."""


class _TooSlowError(BaseException):
    """Raised by the alarm; nothing that catches errors catches it."""


def _alarm(*_: object) -> None:
    raise _TooSlowError


def mutated_text(data: bytes, rng: random.Random) -> bytes:
    """Change a text of settings, waivers or a record in one to four places."""
    for _ in range(rng.choice((1, 1, 2, 4))):
        at, end = sorted(rng.randrange(len(data) + 1) for _ in range(2))
        end = min(end, at + rng.choice((0, 1, 3, 12)))
        data = data[:at] + rng.choice((b"", *originals.WORDS, data[at:end] * 3)) + data[end:]
    return data


@dataclass
class Tally:
    """How mutants ended, what they took, and which broke a promise."""

    endings: Counter[str] = field(default_factory=Counter)
    of_target: Counter[str] = field(default_factory=Counter)
    failures: list[str] = field(default_factory=list)
    slowest: tuple[float, str] = (0.0, "")
    largest: tuple[int, str] = (0, "")

    def failed(self, called: str, target: str, why: str) -> None:
        """Note that a mutant broke a promise."""
        self.failures.append(f"{called}, {target}: {why}")

    def counts(self, called: str, target: str, seconds: float, megabytes: float) -> None:
        """Count a mutant with its processor time and the most memory its process held."""
        self.of_target[target] += 1
        self.slowest = max(self.slowest, (round(seconds, 2), called))
        self.largest = max(self.largest, (round(megabytes), called))
        if megabytes > MOST_MB:
            self.failures.append(f"{called}: {megabytes:.0f} MB")

    def add(self, other: Tally) -> None:
        """Add what another process counted."""
        self.endings += other.endings
        self.of_target += other.of_target
        self.failures += other.failures
        self.slowest = max(self.slowest, other.slowest)
        self.largest = max(self.largest, other.largest)

    def summary(self) -> dict[str, object]:
        """Return all of it as plain values."""
        return {
            **self.endings,
            "of_target": dict(self.of_target.most_common()),
            "slowest": self.slowest,
            "largest": self.largest,
            "peak_mb": self.largest[0],
            "failures": self.failures,
        }


class Trial:
    """Runs mutants and keeps count.

    Args:
        folder: where originals and outputs are put.
        names: the targets; all without.
        seconds: of processor time that a mutant may take.
    """

    def __init__(self, folder: Path, names: list[str] | None = None, seconds: float = MOST_SECONDS) -> None:
        self.folder, self.seconds = folder, seconds
        every = {**targets.DRAWING_TARGETS, **targets.TEXT_TARGETS}
        self.targets = {name: every[name] for name in names or every}
        self.drawings = originals.drawings(folder)
        self.of_drawings = [20 if len(drawing) < _LARGE_BYTES else 1 for drawing in self.drawings]
        self.texts = {
            "settings": originals.SETTINGS,
            "waivers": originals.WAIVERS,
            "batch_record": originals.records(),
        }
        self.weights = [_WEIGHTS.get(name, _USUAL_WEIGHT) for name in self.targets]
        self.tally = Tally()

    def mutant(self, number: int) -> tuple[str, bytes]:
        """Return the target and the bytes of a mutant."""
        rng = random.Random(number)
        name = rng.choices(list(self.targets), self.weights)[0]
        if name in self.texts:
            return name, mutated_text(self.texts[name], rng)
        return name, mutate(rng.choices(self.drawings, self.of_drawings)[0], rng)

    def run(self, number: int) -> bytes | None:
        """Try one mutant; its bytes come back if it fails."""
        return self.attempt(f"mutant {number}", *self.mutant(number))

    def attempt(self, called: str, name: str, data: bytes) -> bytes | None:
        """Try some bytes on a target; they come back if it fails."""
        tally, before = self.tally, len(self.tally.failures)
        forget_peak()
        start = time.process_time()
        signal.setitimer(signal.ITIMER_PROF, self.seconds)
        try:
            tally.endings[self.targets[name](self.folder, data)] += 1
        except targets.BrokenPromiseError as failure:
            tally.failed(called, name, str(failure))
        except _TooSlowError:
            tally.failed(called, name, f"too slow: {traceback.format_exc()[-1500:]}")
        except Exception:
            tally.failed(called, name, traceback.format_exc()[-1500:])
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
        tally.counts(f"{name}, {called}", name, time.process_time() - start, peak_mb())
        return data if len(tally.failures) > before else None

    def load_everything(self) -> None:
        """Run every target once, so that copies of this process load nothing again."""
        for name, target in self.targets.items():
            target(self.folder, self.texts.get(name, self.drawings[0]))
        gc.collect()
        gc.freeze()

    def run_corpus(self, *, every: bool) -> None:
        """Try the drawings of the corpus on every target, or on one each in turn."""
        names = list(targets.DRAWING_TARGETS)
        for place, (called, data) in enumerate(originals.corpus()):
            chosen = names if every else (names[place % len(names)],)
            for name in chosen:
                self.attempt(called, name, data)


def main() -> None:
    """Run as the command line says."""
    parser = argparse.ArgumentParser()
    parser.add_argument("count", type=int)
    parser.add_argument("--start", type=int, default=0)
    parser.add_argument("--keep", type=Path, help="where mutants that fail are put")
    parser.add_argument("--progress", type=Path, help="a file that has the figures so far")
    parser.add_argument("--target", nargs="*")
    parser.add_argument("--seconds", type=float, default=MOST_SECONDS)
    parser.add_argument("--guided", action="store_true")
    parser.add_argument("--corpus", choices=("some", "all"), help="the corpus before the mutants")
    given = parser.parse_args()
    collect_rarely()
    signal.signal(signal.SIGPROF, _alarm)
    with tempfile.TemporaryDirectory() as folder:
        trial = Trial(Path(folder), given.target, given.seconds)
        if given.guided:
            _guided(trial, given.count)
            return
        if given.corpus:
            trial.run_corpus(every=given.corpus == "all")
        trial.load_everything()
        last = given.start + given.count
        for first in range(given.start, last, _IN_ONE_PROCESS):
            numbers = range(first, min(last, first + _IN_ONE_PROCESS))
            trial.tally.add(_in_a_copy(lambda chunk=numbers: _run(trial, chunk, given.keep), numbers))
            if given.progress is not None:
                done = {"next": numbers.stop, **trial.tally.summary()}
                given.progress.write_text(json.dumps(done), encoding="utf-8")
        print(json.dumps(trial.tally.summary()))


def _run(trial: Trial, numbers: range, keep: Path | None) -> Tally:
    """Try mutants; those that fail are kept, and reported at once."""
    trial.tally = Tally()
    for number in numbers:
        data = trial.run(number)
        if data is not None and keep is not None:
            (keep / f"mutant-{number}").write_bytes(data)
        if data is not None:
            print(trial.tally.failures[-1], file=sys.stderr, flush=True)
    return trial.tally


def _in_a_copy(task: Callable[[], Tally], numbers: range) -> Tally:
    """Run a task in a copy of this process; if it is killed, that is the failure."""
    context = multiprocessing.get_context("fork")
    here, there = context.Pipe(duplex=False)
    copy = context.Process(target=lambda: there.send(task()))
    copy.start()
    there.close()
    try:
        counted: Tally = here.recv()
    except EOFError:
        copy.join()
        counted = Tally(failures=[f"one of {numbers}: the process ended with {copy.exitcode}"])
    copy.join()
    return counted


def _guided(trial: Trial, count: int) -> None:
    """Hand the steering to atheris: its bytes choose original, target and the places that change."""
    import atheris  # type: ignore[import-not-found]

    def one(data: bytes) -> None:
        if len(data) >= 4 and trial.run(int.from_bytes(data[:8], "big")) is not None:
            raise AssertionError(trial.tally.failures[-1])

    atheris.instrument_all()
    atheris.Setup([sys.argv[0], f"-runs={count}"], one)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
