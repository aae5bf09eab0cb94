"""What is tried with mutants: every command with all its side outputs, batch records, settings and waivers.

A target takes bytes and returns how it ended: ``clean``, ``findings``, ``refused``. Whatever else happens
comes out as a `BrokenPromiseError`: an error that is no sentence, a fault of perpend, a file left behind.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import shutil
import warnings
from collections.abc import Callable
from pathlib import Path

from perpend.cli.exit_codes import run
from perpend.errors import InputError

_ENDINGS = {0: "clean", 1: "findings", 2: "refused"}
_CONTROLS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
_LONGEST_SENTENCE = 2000


class BrokenPromiseError(AssertionError):
    """A promise that was broken; its text says which."""


def _command(folder: Path, data: bytes, arguments: list[str], sides: dict[str, str]) -> str:
    """Run a command on a mutant; a run that is refused leaves nothing behind."""
    drawing, out = folder / "mutant.dxf", folder / "out"
    drawing.write_bytes(data)
    shutil.rmtree(out, ignore_errors=True)
    out.mkdir()
    options = [word for option, name in sides.items() for word in (option, str(out / name))]
    said, errors = io.StringIO(), io.StringIO()
    before = os.environ.get("PERPEND_DEBUG")
    os.environ["PERPEND_DEBUG"] = "1"
    try:
        with warnings.catch_warnings(), contextlib.redirect_stdout(said), contextlib.redirect_stderr(errors):
            warnings.simplefilter("ignore")
            code = run([arguments[0], str(drawing), *arguments[1:], *options])
    finally:
        if before is None:
            del os.environ["PERPEND_DEBUG"]
        else:
            os.environ["PERPEND_DEBUG"] = before
    if code not in _ENDINGS:
        raise BrokenPromiseError(f"exit {code}: {errors.getvalue()[-3000:]}")
    if drawing.read_bytes() != data:
        raise BrokenPromiseError("the drawing was changed")
    left = {place.name for place in out.iterdir()}
    if code == 2 and left:
        raise BrokenPromiseError(f"refused, but {left} is left")
    if code != 2 and left != set(sides.values()):
        raise BrokenPromiseError(f"ended with {code}, but {left} is what is there of {set(sides.values())}")
    if code == 2 and not 20 < len(errors.getvalue()) < _LONGEST_SENTENCE:
        raise BrokenPromiseError(f"no sentence: {errors.getvalue()[:300]!r}")
    if control := _CONTROLS.search(said.getvalue() + errors.getvalue()):
        raise BrokenPromiseError(f"{control[0]!r} reached the terminal")
    return _ENDINGS[code]


def annotate(folder: Path, data: bytes) -> str:
    """Place joints, with every side output but a picture."""
    return _command(
        folder, data, ["annotate"], {"-o": "new.dxf", "--results": "results.json", "--sheet": "sheet.html"}
    )


def annotate_with_picture(folder: Path, data: bytes) -> str:
    """Place joints, with a picture of the new drawing."""
    return _command(folder, data, ["annotate"], {"-o": "new.dxf", "--picture": "picture.svg"})


def check(folder: Path, data: bytes) -> str:
    """Judge what is drawn and propose a layout, with every side output but a picture."""
    sides = {"-o": "new.dxf", "--results": "results.json", "--sheet": "sheet.html", "--sarif": "log.sarif"}
    return _command(folder, data, ["check", "--propose"], {**sides, "--csv": "table.csv"})


def check_with_picture(folder: Path, data: bytes) -> str:
    """Judge what is drawn, with a picture of the marks."""
    return _command(folder, data, ["check"], {"-o": "new.dxf", "--picture": "picture.png"})


def clean(folder: Path, data: bytes) -> str:
    """Take out what is ours."""
    return _command(folder, data, ["annotate", "--clean"], {"-o": "new.dxf"})


def layers(folder: Path, data: bytes) -> str:
    """Look at the layers and draft settings."""
    return _command(folder, data, ["layers"], {"--write": "perpend.toml"})


def compare(folder: Path, data: bytes) -> str:
    """Compare methods."""
    return _command(folder, data, ["compare"], {"--csv": "table.csv"})


def spec(folder: Path, data: bytes) -> str:
    """Write the specification text."""
    return _command(folder, data, ["spec"], {"-o": "spec.md"})


def settings(folder: Path, data: bytes) -> str:
    """Read a file of settings."""
    from perpend.settings import load_settings

    return _read(load_settings, folder / "perpend.toml", data)


def waivers(folder: Path, data: bytes) -> str:
    """Read a file of waivers."""
    from perpend.decisions.waivers import load_waivers

    return _read(load_waivers, folder / "waivers.toml", data)


def _read(load: Callable[[Path], object], place: Path, data: bytes) -> str:
    place.write_bytes(data)
    try:
        load(place)
    except InputError as error:
        if not 20 < len(str(error)) < _LONGEST_SENTENCE or _CONTROLS.search(str(error)):
            raise BrokenPromiseError(f"no sentence: {error}") from None
        return "refused"
    finally:
        place.unlink()
    return "clean"


def batch_record(folder: Path, data: bytes) -> str:
    """Read the record of an earlier batch: a line that can't be read counts as none."""
    from perpend.folders.run_record import load_record

    place = folder / "record.jsonl"
    place.write_bytes(data)
    return "clean" if load_record(place) else "refused"


DRAWING_TARGETS: dict[str, Callable[[Path, bytes], str]] = {
    each.__name__: each
    for each in (
        annotate,
        check,
        clean,
        layers,
        compare,
        spec,
        annotate_with_picture,
        check_with_picture,
    )
}
TEXT_TARGETS: dict[str, Callable[[Path, bytes], str]] = {
    "settings": settings,
    "waivers": waivers,
    "batch_record": batch_record,
}
