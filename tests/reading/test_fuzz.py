"""Thousands of mutated drawings: each is read or refused with a sentence, quickly and in little memory."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

MUTANTS = int(os.environ.get("PERPEND_MUTANTS", "2500"))
SEED = int(os.environ.get("PERPEND_SEED", "20240229"))
MOST_MB = 500


def test_mutants_are_read_or_refused() -> None:
    """In a process of its own; set PERPEND_MUTANTS and PERPEND_SEED for another run."""
    done = subprocess.run(
        [sys.executable, "-m", "reading.fuzz", str(MUTANTS), str(SEED)],
        cwd=Path(__file__).parents[1],
        capture_output=True,
        text=True,
        timeout=MUTANTS * 0.2,
        check=False,
    )
    print(f"seed {SEED}: {done.stdout}")
    assert done.returncode == 0, done.stderr
    result = json.loads(done.stdout)
    assert result["failures"] == []
    assert result["read"] + result["refused"] == MUTANTS
    assert min(result["read"], result["refused"]) > MUTANTS // 10  # both ways are well trodden
    assert result["peak_mb"] < MOST_MB
