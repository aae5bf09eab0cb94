"""What every entity record says, read without stumbling over kinds that lack it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.dxfentity import DXFEntity


def layer_of(entity: DXFEntity) -> str:
    """Return an entity's layer; ``0`` when it is of a kind that has none."""
    try:
        return str(entity.dxf.layer)
    except Exception:  # ezdxf's own error type: not imported, so that this module stays light
        return "0"


def is_invisible(entity: DXFEntity) -> bool:
    """Say whether an entity is switched off by itself."""
    try:
        return bool(entity.dxf.get("invisible", 0))
    except Exception:  # as above
        return False


def header_number(doc: Drawing, name: str, otherwise: float) -> float:
    """Return a positive number of the header; another one where it is missing, zero or no number."""
    try:
        value = float(doc.header.get(name, otherwise))
    except (TypeError, ValueError):
        return otherwise
    return value if math.isfinite(value) and value > 0 else otherwise
