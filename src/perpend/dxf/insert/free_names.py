"""Layers, line types and styles of ours under names that are ours to use.

A record that the drawing has already is used as it is when it shows what ours would show; when it differs,
ours takes the next free name (``NAME-2``, ``NAME-3``, ...). The drafter's record is never changed.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from ezdxf.document import Drawing
from ezdxf.entities.dimstyle import DimStyle
from ezdxf.entities.layer import Layer
from ezdxf.entities.ltype import Linetype
from ezdxf.entities.textstyle import Textstyle
from ezdxf.sections.table import Table

from perpend.dxf.partial.skipped_records import left_out_of
from perpend.dxf.xdata import APPLICATION

_R12: Final = "AC1009"
_LAYER_LOCKED_OR_FROZEN: Final = 1 | 4
_BYLAYER_WEIGHT: Final = -3


def ensure_appid(doc: Drawing, app_id: str = APPLICATION) -> str:
    """Register an application id unless it is registered, and return it."""
    if app_id not in doc.appids:
        doc.appids.add(app_id)
    return app_id


def ensure_layer(
    doc: Drawing,
    name: str,
    *,
    color: int,
    linetype: str = "Continuous",
    lineweight: int = _BYLAYER_WEIGHT,
    description: str = "",
    plots: bool = True,
) -> str:
    """Return the name of a layer that shows, plots and looks as asked.

    Args:
        doc: the document that takes our entities.
        name: the name wanted.
        color: colour index, 1 to 255.
        linetype: name of a line type that is there (see `ensure_linetype`).
        lineweight: hundredths of a millimetre, -3 for the default.
        description: what stands on it; not compared.
        plots: False for a layer that shows on the screen alone.
    """

    def same(layer: Layer) -> bool:
        return (
            layer.dxf.color == color
            and not layer.dxf.hasattr("true_color")
            and layer.dxf.linetype.lower() == linetype.lower()
            and layer.dxf.get("lineweight", _BYLAYER_WEIGHT) == lineweight
            and not layer.dxf.flags & _LAYER_LOCKED_OR_FROZEN
            and bool(layer.dxf.get("plot", 1)) == (plots or doc.dxfversion == _R12)
        )

    def make(free: str) -> None:
        layer = doc.layers.add(free, color=color, linetype=linetype, lineweight=lineweight, plot=plots)
        if description and doc.dxfversion > _R12:
            layer.description = description

    return _ensure(doc.layers, name, same, make)


def ensure_linetype(doc: Drawing, name: str, *, pattern: Sequence[float], description: str = "") -> str:
    """Return the name of a line type with a pattern.

    Args:
        doc: the document that takes our entities.
        name: the name wanted.
        pattern: dashes (positive), gaps (negative) and dots (0), in drawing units at `$LTSCALE` 1.
        description: its picture in text; not compared.
    """

    def make(free: str) -> None:
        lengths = [sum(abs(part) for part in pattern), *pattern]
        doc.linetypes.add(free, lengths, description=description)

    return _ensure(doc.linetypes, name, lambda linetype: has_pattern(linetype, pattern), make)


def has_pattern(linetype: Linetype, pattern: Sequence[float]) -> bool:
    """Say whether a line type has no more than this pattern of dashes, gaps and dots."""
    tags = linetype.pattern_tags.tags
    complex_parts = any(tag.code == 74 and tag.value for tag in tags)
    return not complex_parts and _close([tag.value for tag in tags if tag.code == 49], pattern)


def ensure_style(doc: Drawing, name: str, *, font: str, width: float = 1.0, oblique: float = 0.0) -> str:
    """Return the name of a text style of free height.

    Args:
        doc: the document that takes our entities.
        name: the name wanted.
        font: font file, such as ``simplex.shx``.
        width: width factor.
        oblique: slant, degrees.
    """

    def same(style: Textstyle) -> bool:
        dxf = style.dxf
        return (
            dxf.font.lower() == font.lower()
            and not dxf.get("bigfont", "")
            and _close(
                [dxf.get("height", 0.0), dxf.get("width", 1.0), dxf.get("oblique", 0.0)],
                [0.0, width, oblique],
            )
            and not dxf.get("flags", 0) & 4
            and not dxf.get("generation_flags", 0)
        )

    def make(free: str) -> None:
        doc.styles.add(free, font=font, dxfattribs={"width": width, "oblique": oblique})

    return _ensure(doc.styles, name, same, make)


def ensure_dimstyle(doc: Drawing, name: str, *, variables: Mapping[str, object]) -> str:
    """Return the name of a dimension style with given variables.

    Args:
        doc: the document that takes our entities.
        name: the name wanted.
        variables: ezdxf's names of the variables (``dimtxt``, ``dimtxsty``, ...); only these are compared.
    """

    def same(style: DimStyle) -> bool:
        return all(_alike(style.dxf.get_default(key), value) for key, value in variables.items())

    def make(free: str) -> None:
        doc.dimstyles.add(free, dxfattribs=dict(variables))

    return _ensure(doc.dimstyles, name, same, make)


def _ensure(table: Table[Any], name: str, same: Callable[[Any], bool], make: Callable[[str], None]) -> str:
    for number in itertools.count(1):
        candidate = name if number == 1 else f"{name}-{number}"
        if candidate not in table:
            make(candidate)
            return candidate
        if same(table.get(candidate)):
            return candidate
    raise AssertionError("unreachable")


def _close(found: Sequence[float], wanted: Sequence[float]) -> bool:
    return len(found) == len(wanted) and all(
        math.isclose(a, b, rel_tol=1e-9, abs_tol=1e-9) for a, b in zip(found, wanted, strict=True)
    )


def _alike(found: object, wanted: object) -> bool:
    if isinstance(wanted, str):
        return str(found or "").lower() == wanted.lower()
    if isinstance(wanted, int | float) and isinstance(found, int | float):
        return math.isclose(found, wanted, rel_tol=1e-9, abs_tol=1e-9)
    return found == wanted


def free_block_name(doc: Drawing, wish: str) -> str:
    """Return a free name for a block; those of blocks that were left out of loading are taken too."""
    taken, name = left_out_of(doc).blocks, wish
    for number in itertools.count(2):
        if name not in doc.blocks and name.lower() not in taken:
            break
        name = f"{wish}-{number}"
    return name


def free_dimension_name(doc: Drawing) -> str:
    """Return a free name for the anonymous block of a dimension, as `free_block_name` does."""
    taken = left_out_of(doc).blocks
    while (name := doc.blocks.anonymous_block_name("D")).lower() in taken:
        pass
    return name
