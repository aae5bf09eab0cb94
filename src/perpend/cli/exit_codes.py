"""How a run of the command line ends: an exit code, and one sentence when it ends badly."""

from __future__ import annotations

import contextlib
import errno
import os
import sys
from collections.abc import Sequence
from typing import Final, NoReturn, TextIO, cast

from perpend.cli.shared_options import CLEAN, INPUT_ERROR, OUR_FAULT
from perpend.cli.terminal import VisibleStream, no_more_printing, warn, while_somebody_reads
from perpend.errors import INTERRUPTED, InputError, InternalError, PerpendError
from perpend.gc_tuning import collect_rarely
from perpend.version import __version__

DEBUG_VARIABLE: Final = "PERPEND_DEBUG"
"""Set to 1, the traceback of a fault is printed."""


def main() -> NoReturn:
    """Run the command line and exit; the entry point of the ``perpend`` command."""
    collect_rarely()
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "1")
    code = run(sys.argv[1:])
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(OSError, ValueError, AttributeError):
            stream.flush()
    # Taking everything apart that a drawing took would add a thirtieth to a run, and frees nothing that the
    # end of the process does not free. All files are closed and all workers are gone by now.
    os._exit(code)


def run(arguments: Sequence[str]) -> int:
    """Run the command line.

    Args:
        arguments: what follows the command's name.

    Returns:
        The exit code: 0 clean, 1 violations found, 2 input or usage error, 3 a fault of perpend, 130 after
        Ctrl-C. Every failure has been reported on stderr.
    """
    _print_question_marks_for_missing_letters()
    with contextlib.redirect_stderr(cast(TextIO, VisibleStream(sys.stderr))):
        code = _run(arguments)
        try:
            with while_somebody_reads():
                pass
        except InputError as error:
            warn(str(error))
            return error.exit_code
        return code


def _run(arguments: Sequence[str]) -> int:
    from perpend.cli.app import commands_for, make_app

    try:
        make_app(commands_for(arguments))(args=list(arguments), prog_name="perpend")
    except SystemExit as ending:
        return ending.code if isinstance(ending.code, int) else CLEAN
    except InternalError as error:
        return _our_fault(error, str(error))
    except PerpendError as error:
        warn(str(error))
        return error.exit_code
    except KeyboardInterrupt:
        return INTERRUPTED
    except OSError as error:
        if error.filename is not None or error.errno != errno.ENOSPC:
            return _our_fault(error, f"{type(error).__name__}: {error}")
        warn(str(no_more_printing(error)))
        return INPUT_ERROR
    except Exception as error:
        return _our_fault(error, f"{type(error).__name__}: {error}")
    return CLEAN


def _print_question_marks_for_missing_letters() -> None:
    """Print a question mark rather than fail where a terminal lacks a letter."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")


def _our_fault(error: Exception, what: str) -> int:
    if os.environ.get(DEBUG_VARIABLE) == "1":
        import traceback

        traceback.print_exception(error)
    warn(f"a fault of perpend itself, not of the drawing: {what}")
    warn(
        f"please report this line, the command line, the version ({__version__}) and what "
        f"{DEBUG_VARIABLE}=1 adds, with the drawing if you may share it."
    )
    return OUR_FAULT
