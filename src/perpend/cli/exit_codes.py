"""How a run of the command line ends: an exit code, and one sentence when it ends badly."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from typing import Final

from perpend import __version__
from perpend.cli.shared_options import CLEAN, OUR_FAULT
from perpend.errors import INTERRUPTED, InternalError, PerpendError
from perpend.jobs.gc_tuning import collect_no_more, collect_rarely

DEBUG_VARIABLE: Final = "PERPEND_DEBUG"
"""Set to 1, the traceback of a fault is printed."""


def main() -> None:
    """Run the command line and exit; the entry point of the ``perpend`` command."""
    collect_rarely()
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "1")
    code = run(sys.argv[1:])
    collect_no_more()
    sys.exit(code)


def run(arguments: Sequence[str]) -> int:
    """Run the command line.

    Args:
        arguments: what follows the command's name.

    Returns:
        The exit code: 0 clean, 1 violations found, 2 input or usage error, 3 a fault of perpend, 130 after
        Ctrl-C. Every failure has been told on stderr.
    """
    from perpend.cli.app import commands_for, make_app

    _speak_plainly()
    try:
        make_app(commands_for(arguments))(args=list(arguments), prog_name="perpend")
    except SystemExit as ending:
        return ending.code if isinstance(ending.code, int) else CLEAN
    except InternalError as error:
        return _our_fault(error, str(error))
    except PerpendError as error:
        _tell(str(error))
        return error.exit_code
    except KeyboardInterrupt:
        return INTERRUPTED
    except Exception as error:
        return _our_fault(error, f"{type(error).__name__}: {error}")
    return CLEAN


def _speak_plainly() -> None:
    """Print a question mark rather than fail where a terminal lacks a letter."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")


def _tell(sentence: str) -> None:
    print(f"perpend: {sentence}", file=sys.stderr)


def _our_fault(error: Exception, what: str) -> int:
    if os.environ.get(DEBUG_VARIABLE) == "1":
        import traceback

        traceback.print_exception(error)
    _tell(f"a fault of perpend itself, not of the drawing: {what}")
    _tell(
        f"please report this line, the command line, the version ({__version__}) and what "
        f"{DEBUG_VARIABLE}=1 adds, with the drawing if you may share it."
    )
    return OUR_FAULT
