"""What every entity record says, read without stumbling over kinds that lack it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
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
