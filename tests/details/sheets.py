"""Sheets of details as written, read back by ezdxf alone."""

from __future__ import annotations

import functools
import io
from dataclasses import dataclass

import ezdxf
from ezdxf.document import Drawing
from ezdxf.entities import Dimension, Insert

from perpend.drawing.details.detail_sheet import detail_file
from perpend.rulebook import load_rulebook
from perpend.settings import parse_settings

APPLICATION = "PERPEND"
SHEETS = (("us-cmu", False), ("us-cmu", True), ("au-ncc", True))
LARGE = """[defaults]
wall_thickness = 12
lintel_bearing = "16 in"
lintel_depth = "32 in"
units = "half-high"
[details]
sheet_size = "a1"
"""
SMALL = """[defaults]
wall_thickness = 4
lintel_bearing = "4 in"
lintel_depth = "4 in"
bond_beam_bar = "No. 9"
[details]
sheet = "A-501"
"""
BRICK = (("us-clay", False), ("en-uk", True))
EVERY = (
    *((book, metric, "") for book, metric in (*SHEETS, *BRICK)),
    ("us-cmu", False, LARGE),
    ("us-cmu", False, SMALL),
)
"""Rule book, metric, settings."""


@functools.cache
def sheet_bytes(book: str, metric: bool, settings: str = "") -> bytes:
    return detail_file(load_rulebook(book), parse_settings(settings), metric=metric)


@functools.cache
def sheet(book: str, metric: bool, settings: str = "") -> Drawing:
    return ezdxf.read(io.StringIO(sheet_bytes(book, metric, settings).decode("utf-8")))


def details(doc: Drawing) -> dict[str, Insert]:
    """Return the references to the details, by their keys; the sheet's border is one too."""
    return {
        said(insert)["kind"].removeprefix("detail-"): insert for insert in doc.modelspace().query("INSERT")
    }


def said(entity: Insert | Dimension) -> dict[str, str]:
    """Return what an entity says of itself."""
    return dict(
        str(tag.value).split("=", 1) for tag in entity.get_xdata(APPLICATION) if "=" in str(tag.value)
    )


@dataclass(frozen=True)
class Measured:
    """A dimension as read back: what it measures at full size, inches, and what it says."""

    detail: str
    name: str
    inches: float
    text: str


def measured(doc: Drawing) -> list[Measured]:
    metric = doc.header["$INSUNITS"] == 4
    found = []
    for key, insert in details(doc).items():
        for dimension in insert.block().query("DIMENSION"):
            factor = doc.dimstyles.get(dimension.dxf.dimstyle).dxf.dimlfac
            inches = dimension.get_measurement() * factor / (25.4 if metric else 1.0)
            found.append(Measured(key, said(dimension)["rule"], inches, dimension.dxf.text))
    return found
