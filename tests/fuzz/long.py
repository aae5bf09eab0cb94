"""Mutants by the thousand: ``python -m fuzz.long COUNT [--start N] [--keep FOLDER] [--target NAME ...]``.

Run in ``tests``. Every mutant is made from its number alone, so a failure is made again by its number. Prints
a line of JSON: how the mutants ended, the slowest, the most memory, and every failure. With ``--guided`` and
the package atheris, mutants are steered to code that none has reached yet.
"""

from __future__ import annotations

import argparse
import json
import random
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from pathlib import Path

from fuzz import originals, targets
from perpend.gc_tuning import collect_rarely
from reading.fuzz import mutate, peak_mb

MOST_SECONDS = 20
"""Of processor time, for one mutant with all side outputs."""


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


class Trial:
    """Runs mutants and keeps count.

    Args:
        folder: where originals and outputs are put.
        names: the targets; all without.
    """

    def __init__(self, folder: Path, names: list[str] | None = None) -> None:
        self.folder = folder
        every = {**targets.DRAWING_TARGETS, **targets.TEXT_TARGETS}
        self.targets = {name: every[name] for name in names or every}
        self.drawings = originals.drawings(folder)
        self.texts = {
            "settings": originals.SETTINGS,
            "waivers": originals.WAIVERS,
            "batch_record": originals.records(),
        }
        self.endings: Counter[str] = Counter()
        self.failures: list[str] = []
        self.slowest = (0.0, "")

    def mutant(self, number: int) -> tuple[str, bytes]:
        """Return the target and the bytes of a mutant."""
        rng = random.Random(number)
        name = rng.choice(list(self.targets))
        if name in self.texts:
            return name, mutated_text(self.texts[name], rng)
        return name, mutate(rng.choice(self.drawings), rng)

    def run(self, number: int) -> bytes | None:
        """Try one mutant; its bytes come back if it fails."""
        return self.attempt(f"mutant {number}", *self.mutant(number))

    def attempt(self, called: str, name: str, data: bytes) -> bytes | None:
        """Try some bytes on a target; they come back if it fails."""
        start = time.process_time()
        signal.setitimer(signal.ITIMER_PROF, MOST_SECONDS)
        try:
            self.endings[self.targets[name](self.folder, data)] += 1
        except targets.BrokenPromiseError as failure:
            return self._failed(called, name, str(failure), data)
        except _TooSlowError:
            return self._failed(called, name, f"too slow: {traceback.format_exc()[-1500:]}", data)
        except Exception:
            return self._failed(called, name, traceback.format_exc()[-1500:], data)
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
            self.slowest = max(self.slowest, (round(time.process_time() - start, 2), f"{name}, {called}"))
        return None

    def _failed(self, called: str, name: str, why: str, data: bytes) -> bytes:
        self.failures.append(f"{called}, {name}: {why}")
        return data

    def run_corpus(self, *, every: bool) -> None:
        """Try the drawings of the corpus on every target, or on two each in turn."""
        names = list(targets.DRAWING_TARGETS)
        for place, (called, data) in enumerate(originals.corpus()):
            chosen = names if every else (names[place % 2], names[2 + place % (len(names) - 2)])
            for name in chosen:
                self.attempt(called, name, data)

    def summary(self) -> dict[str, object]:
        """Return what came of it."""
        slowest, memory = self.slowest, round(peak_mb())
        return {**self.endings, "slowest": slowest, "peak_mb": memory, "failures": self.failures}


def main() -> None:
    """Run as the command line says."""
    parser = argparse.ArgumentParser()
    parser.add_argument("count", type=int)
    parser.add_argument("--start", type=int, default=0)
    parser.add_argument("--keep", type=Path)
    parser.add_argument("--target", nargs="*")
    parser.add_argument("--guided", action="store_true")
    parser.add_argument("--corpus", choices=("some", "all"), help="the corpus before the mutants")
    given = parser.parse_args()
    collect_rarely()
    signal.signal(signal.SIGPROF, _alarm)
    with tempfile.TemporaryDirectory() as folder:
        trial = Trial(Path(folder), given.target)
        if given.guided:
            _guided(trial, given.count)
            return
        if given.corpus:
            trial.run_corpus(every=given.corpus == "all")
        for number in range(given.start, given.start + given.count):
            data = trial.run(number)
            if data is not None and given.keep is not None:
                (given.keep / f"mutant-{number}").write_bytes(data)
            if data is not None:
                print(trial.failures[-1], file=sys.stderr, flush=True)
        print(json.dumps(trial.summary()))


def _guided(trial: Trial, count: int) -> None:
    """Hand the steering to atheris: its bytes choose original, target and the places that change."""
    import atheris  # type: ignore[import-not-found]

    def one(data: bytes) -> None:
        if len(data) >= 4 and trial.run(int.from_bytes(data[:8], "big")) is not None:
            raise AssertionError(trial.failures[-1])

    atheris.instrument_all()
    atheris.Setup([sys.argv[0], f"-runs={count}"], one)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
