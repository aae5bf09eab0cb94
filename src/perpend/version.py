"""The version of perpend, as pyproject.toml has it too."""

from typing import Final

__version__: Final = "0.1.0"
