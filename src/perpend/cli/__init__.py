"""The command line: the only room that prints, asks or exits."""

from perpend.cli.running import main, run

__all__ = ["main", "run"]
