"""What looking at a damaged entity raises: a place that is missing, a number that is none."""

from __future__ import annotations

from typing import Final

from ezdxf.lldxf.const import DXFError

DAMAGED: Final = (AttributeError, IndexError, KeyError, ValueError, TypeError, ArithmeticError, DXFError)
"""For surveys of what is none of ours, which leave out what can't be read. Not for what has a role."""
