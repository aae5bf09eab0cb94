"""Which layout of a drawing is read: modelspace, the one that is named, or the only one that is drawn on."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain
from typing import TYPE_CHECKING, Final, cast

from perpend.clean_text import quoted
from perpend.errors import InputError

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.dxfgfx import DXFGraphic
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
        wanted: its name, in any case; ``model`` is modelspace. None is modelspace too, but
            where modelspace is empty and one other layout is not, it is that one.
        file: how messages name the drawing.

    Raises:
        InputError: the drawing has no such layout.
    """
    if wanted is None or is_modelspace(wanted):
        drawn = drawn_layouts(doc) if wanted is None and not len(doc.modelspace()) else ()
        return doc.layout(drawn[0]) if len(drawn) == 1 else doc.modelspace()
    for name in doc.layout_names():
        if name.lower() == wanted.lower():
            return doc.layout(name)
    names = ", ".join(doc.layout_names_in_taborder())
    raise InputError(f"{file} has no layout {quoted(wanted)!r}: it has {names}.")


def drawn_layouts(doc: Drawing) -> tuple[str, ...]:
    """Return the names of the layouts besides modelspace that hold more than viewports."""
    names = (name for name in doc.layout_names() if name != MODELSPACE)
    return tuple(name for name in names if any(e.dxftype() != "VIEWPORT" for e in doc.layout(name)))


def space_of(doc: Drawing, name: str | None) -> Layout:
    """Return the layout that an elevation was read from; None is modelspace."""
    return doc.modelspace() if name is None else doc.layout(name)


def on_any_layout(doc: Drawing) -> Iterator[DXFGraphic]:
    """Yield the entities of modelspace and of every other layout."""
    return cast("Iterator[DXFGraphic]", chain.from_iterable(doc.layouts))
