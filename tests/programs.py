"""Programs of others that look at our drawings from outside."""

from __future__ import annotations

import os
import shutil

import pytest


def need(program: str, package: str) -> str:
    """Return the path of a program, or skip; in CI (``CI=true``) fail, so that no skip passes there.

    Args:
        program: name of the program.
        package: Debian package that brings it.
    """
    path = shutil.which(program)
    if path is None:
        reason = f"{program} is not installed (apt-get install {package})"
        if os.environ.get("CI", "").lower() in ("1", "true", "yes"):
            pytest.fail(reason)
        pytest.skip(reason)
    return path
