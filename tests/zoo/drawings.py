"""Every drawing of the zoo by its name: drawn by the manners, or kept as other programs exported it."""

from __future__ import annotations

import functools
import shutil
from collections.abc import Callable
from pathlib import Path

from zoo.manners import MANNERS
from zoo.odd import ODD, Odd
from zoo.sheets import SHEETS, Sheet
from zoo.strangers import STRANGERS
from zoo.unseen import UNSEEN

KEPT = Path(__file__).parent / "exports"
WITHOUT_TEXTS = ("gdal_map", "openscad_outline", "trimesh_path")

Drawing = Callable[[], tuple[Path, Sheet]]
"""Makes a drawing and returns its path, and what is to be read in it."""


def drawings_in(folder: Path) -> dict[str, Drawing]:
    """Return every drawing; each is made in a folder when it is called."""
    found: dict[str, Drawing] = {}
    for manner in MANNERS:
        for sheet in SHEETS:
            name = f"{manner.__name__}-{sheet.name}"
            found[name] = functools.partial(_drawn, manner, sheet, folder / f"{name}.dxf")
    for odd in (*ODD, *UNSEEN, *STRANGERS):
        name = f"odd-{odd.__name__}"
        found[name] = functools.partial(_odd, odd, folder / f"{name}.dxf")
    for path in sorted(KEPT.glob("*.dxf")):
        found[path.stem] = functools.partial(_kept, path, folder / path.name)
    return found


def _drawn(manner: Callable[[Sheet], object], sheet: Sheet, path: Path) -> tuple[Path, Sheet]:
    return manner(sheet).save(path), sheet  # type: ignore[attr-defined]


def _odd(draw: Callable[[], Odd], path: Path) -> tuple[Path, Sheet]:
    pen, sheet = draw()
    return pen.save(path), sheet


def _kept(path: Path, to: Path) -> tuple[Path, Sheet]:
    program, name = path.stem.split("-")
    (sheet,) = (sheet for sheet in SHEETS if sheet.name == name)
    shutil.copy(path, to)
    return to, sheet.without_texts() if program in WITHOUT_TEXTS else sheet
