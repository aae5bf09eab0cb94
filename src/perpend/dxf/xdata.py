"""Extended data (XDATA) by which perpend knows its own entities."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from ezdxf.entities.dxfentity import DXFEntity

APPLICATION: Final = "PERPEND"
"""Registered application name of the extended data that marks perpend's own entities."""

REVIEW_APPLICATION: Final = "PERPEND-CHECK"
"""The same for the marks of a check, so that they come and go without the joints of an earlier run."""


def own_number(entity: DXFEntity | None) -> str:
    """Return the number that a record of ours names, such as that of a joint, or empty."""
    if entity is None or entity.xdata is None or not entity.has_xdata(APPLICATION):
        return ""
    said = (str(tag.value) for tag in entity.get_xdata(APPLICATION) if tag.code == 1000)
    return next((text[len("number=") :] for text in said if text.startswith("number=")), "")


def own_kind(entity: DXFEntity) -> str:
    """Return the kind that perpend's own extended data names (``joint``, ``label``), or empty."""
    if entity.xdata is None:
        return ""
    application = next((a for a in (APPLICATION, REVIEW_APPLICATION) if a in entity.xdata), None)
    if application is None:
        return ""
    for tag in entity.get_xdata(application):
        if tag.code == 1000 and str(tag.value).startswith("kind="):
            return str(tag.value)[len("kind=") :]
    return "unnamed"
