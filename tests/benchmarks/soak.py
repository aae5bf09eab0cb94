"""A long batch, watched: does the parent's memory stay flat, does a drawing cost the same at the end?

``.venv/bin/python -m tests.benchmarks.soak 2000`` makes that many small drawings in a folder of its own,
annotates them with one worker for each core, and prints a line at every tenth: drawings done, seconds of
processor time for each of them (workers included), and the parent's memory in MB.
"""

from __future__ import annotations

import os
import resource
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from batch.material import save_good
from perpend.folders import BatchOptions, Outcome, run_batch


def resident_mb() -> float:
    """Return the memory that this process holds now."""
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * resource.getpagesize() / 2**20


def processor_s() -> float:
    """Return the processor time of this process and of those of its children that have ended."""
    return sum(
        usage.ru_utime + usage.ru_stime
        for usage in (resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN))
    )


def soak(count: int, jobs: int) -> None:
    """Run one batch of ``count`` drawings and print how it goes."""
    done = 0

    def watch(_: Outcome) -> None:
        nonlocal done
        done += 1
        if done % max(count // 10, 1) == 0:
            print(f"{done:6d} done, parent {resident_mb():.1f} MB", flush=True)

    with tempfile.TemporaryDirectory() as folder:
        save_good(Path(folder) / "in", *(f"{i:05}" for i in range(count)))
        before = processor_s()
        report = run_batch(Path(folder) / "in", Path(folder) / "out", BatchOptions(jobs=jobs), watch=watch)
        spent = processor_s() - before
    print(f"{count} drawings, exit code {report.exit_code}: {spent / count:.3f} s of processor time each")


if __name__ == "__main__":
    soak(int(sys.argv[1]) if len(sys.argv) > 1 else 2000, os.cpu_count() or 1)
