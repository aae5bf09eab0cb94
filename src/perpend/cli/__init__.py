"""The command line: the only room that prints, asks or exits."""

from perpend.cli.exit_codes import main, run

__all__ = ["main", "run"]
