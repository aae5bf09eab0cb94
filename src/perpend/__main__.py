"""Run the command line with ``python -m perpend``."""

from perpend.cli import main

main()
