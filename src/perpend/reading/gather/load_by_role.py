"""Loading what plays a role in a drawing: the rest may stay out of the document."""

from __future__ import annotations

from pathlib import Path

from perpend.dxf.load import LoadedDrawing, load_partial, read_bytes
from perpend.reading.gather.layer_names import hint_of, says_boundary
from perpend.reading.reading_options import ReadingOptions


def load_selected(path: Path, options: ReadingOptions, data: bytes | None = None) -> LoadedDrawing:
    """Load what is to be read of a DXF file; plain records on layers without a role may be left out.

    Args:
        path: the DXF file.
        options: what is looked for.
        data: its bytes, perhaps without what an earlier run drew; None reads the file.

    Raises:
        InputError: see `perpend.dxf.load.load_drawing`.
    """
    return load_partial(
        path,
        read_bytes(path, options.budget) if data is None else data,
        lambda layer: bool(options.roles_of(layer) or hint_of(layer) or says_boundary(layer)),
        options.is_opening_block,
        options.layout,
    )
