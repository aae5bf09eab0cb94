"""Lines on the screen: colored on a terminal, plain elsewhere, and nothing in them that a terminal obeys.

Every text that is printed passes through `perpend.clean_text.visible`, here and nowhere else.
"""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, Final, NoReturn, TextIO

import typer

import perpend
from perpend.clean_text import visible
from perpend.cli.shared_options import CLEAN, INPUT_ERROR, VIOLATIONS
from perpend.errors import InputError

_STYLES: Final = {
    "title": "bold",
    "required": "bold red",
    "advisory": "yellow",
    "good": "green",
    "quiet": "dim",
}


class VisibleStream:
    """Stands for stderr: what is written becomes visible, whoever writes it."""

    def __init__(self, stream: TextIO) -> None:
        self.stream = stream

    def write(self, text: str) -> int:
        """Write a text, with its control characters made visible."""
        return self.stream.write(visible(text, keep="\n"))

    def __getattr__(self, name: str) -> Any:  # noqa: ANN401 - whatever the stream has
        return getattr(self.stream, name)


@contextlib.contextmanager
def while_somebody_reads() -> Iterator[None]:
    """Print in the body; where nobody reads any more, as after ``| head``, the rest goes nowhere.

    Raises:
        InputError: what is printed can't be written, as on a full disk.
    """
    try:
        yield
        if sys.stdout is not None:
            sys.stdout.flush()
    except BrokenPipeError as error:
        no_more_printing(error)
    except OSError as error:
        raise no_more_printing(error) from None


def no_more_printing(error: OSError) -> InputError:
    """Let what is printed from now on go nowhere, and return the error that says why."""
    sys.stdout = Path(os.devnull).open("w", encoding="utf-8")  # noqa: SIM115 - until the process ends
    reason = error.strerror or error
    return InputError(f"What is printed can't be written ({reason}): look at where it goes.")


def raw(stream: TextIO) -> TextIO:
    """Return the stream below a `VisibleStream`, for a progress bar, which has to steer the terminal."""
    return stream.stream if isinstance(stream, VisibleStream) else stream


def say(text: str, stream: TextIO | None = None, keep: str = "") -> None:
    """Print a line, on stdout unless another stream is given; ``keep`` holds what is no control in it."""
    print(visible(text, keep), file=stream)


def warn(sentence: str) -> None:
    """Print a sentence on stderr; where that can't be written nobody is left to tell."""
    with contextlib.suppress(OSError):
        print(f"perpend: {visible(sentence)}", file=sys.stderr)


def show(lines: Iterable[perpend.Line]) -> None:
    """Print lines; in color only on a terminal that wants it (``NO_COLOR`` and ``TERM`` count)."""
    if not _in_color():
        for line in lines:
            say(line.text)
        return
    from rich.console import Console
    from rich.text import Text

    console = Console(highlight=False, soft_wrap=True)
    for line in lines:
        console.print(Text(visible(line.text), style=_STYLES.get(line.tone, "")))


def end_with(
    found: perpend.Results
    | perpend.ChangesResults
    | perpend.FolderChanges
    | perpend.CompareResults
    | perpend.LayersResults
    | perpend.LimitsResults
    | perpend.UnverifiedList,
    as_json: bool,
    *written: Path | None,
) -> NoReturn:
    """Print a result, as text or as JSON, and what was written beside it; end with its exit code."""
    with while_somebody_reads():
        if as_json:
            say(found.to_json().rstrip("\n"), keep="\n")
        else:
            show(perpend.text_of(found))
            for place in written:
                if place is not None:
                    say(f"Written: {place}")
    if getattr(found, "refused", False):
        raise typer.Exit(INPUT_ERROR)
    look = getattr(found, "violated", False) or getattr(found, "needs_look", False)
    raise typer.Exit(VIOLATIONS if look else CLEAN)


def _in_color() -> bool:
    return sys.stdout.isatty() and "NO_COLOR" not in os.environ and os.environ.get("TERM") != "dumb"
