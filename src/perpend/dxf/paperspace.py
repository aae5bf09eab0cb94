"""Which layout of a drawing is read: modelspace, or the one that is named."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from perpend.clean_text import quoted
from perpend.errors import InputError

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts.layout import Layout

MODELSPACE: Final = "Model"
"""Its name among the layouts."""


def is_modelspace(wanted: str | None) -> bool:
    """Say whether modelspace is meant: by name, or because no layout is named."""
    return wanted is None or wanted.lower() in (MODELSPACE.lower(), "modelspace")


def find_layout(doc: Drawing, wanted: str | None, file: str) -> Layout:
    """Return the layout that is to be read.

    Args:
        doc: the drawing.
        wanted: its name, upper and lower case alike; None or ``model`` is modelspace.
        file: how messages name the drawing.

    Raises:
        InputError: the drawing has no such layout.
    """
    if wanted is None or is_modelspace(wanted):
        return doc.modelspace()
    for name in doc.layout_names():
        if name.lower() == wanted.lower():
            return doc.layout(name)
    names = ", ".join(doc.layout_names_in_taborder())
    raise InputError(f"{file} has no layout {quoted(wanted)!r}: it has {names}.")
