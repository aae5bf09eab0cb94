"""Which layers are read where none fits the settings: the same that `perpend layers` drafts.

Only where the settings say nothing of walls. Each layer that is read so is named, and what gave it away; what
shapes alone gave away, and not a name, is a doubt.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from perpend.dxf.load import LoadedDrawing
from perpend.model import Wall
from perpend.notices import NoticePlace, Notices
from perpend.reading.gather.drawing_units import LEAST_WALL_IN
from perpend.reading.gather.texts import is_mark
from perpend.reading.reading_options import ReadingOptions, Role, as_setting
from perpend.reading.walls.opening_shape_test import LEAST_SIDE_IN
from perpend.units import format_length

if TYPE_CHECKING:
    from perpend.reading.survey.layer_survey import LayerRow

_READ: Final = (Role.WALLS, Role.OPENINGS)
"""What a survey may settle: joints that somebody drew are never taken from a guess."""

_LEAST_DOOR_IN: Final = 60.0


def settled_layers(source: LoadedDrawing, options: ReadingOptions, notices: Notices) -> ReadingOptions | None:
    """Return what is looked for with the layers of walls and openings named; None where there are no walls.

    Args:
        source: the drawing, loaded whole.
        options: what was looked for without finding a wall.
        notices: takes which layers were taken for what, and why.
    """
    if source.selected or options.walls != ReadingOptions().walls:
        return None
    from perpend.reading.survey.layer_survey import survey_layers

    survey = survey_layers(source.doc, options)
    walls = survey.layers_of(Role.WALLS)
    if not walls:
        return None
    openings = tuple(dict.fromkeys((*options.openings, *survey.layers_of(Role.OPENINGS))))
    for row in survey.rows:
        if row.role in _READ and not row.fits:
            _note(row, notices)
    settled = replace(options, walls=walls, openings=openings)
    if any(row.role is Role.WALLS and not row.by_name for row in survey.rows):
        setting = f"[layers] walls = {as_setting(walls)}, openings = {as_setting(openings)}"
        notices.doubt(
            "walls-by-shape",
            f"No layer of walls is named in the settings, and none by its name: {setting} was read, by what "
            "is drawn on it. Write this line into the settings if it is right.",
            NoticePlace(layer=walls[0]),
        )
    return settled


def _note(row: LayerRow, notices: Notices) -> None:
    roles = " and ".join(role.value for role in _READ if row.plays(role))
    notices.note(
        "layer-settled", f"Layer {row.name} was read as {roles}: {row.why}.", NoticePlace(layer=row.name)
    )


def note_settled_walls(walls: Sequence[Wall], notices: Notices) -> None:
    """Doubt walls on layers that nobody named where nothing in them is a wall's: this may be a plan."""
    for wall in walls:
        window = any(min(o.box.width, o.box.height) >= LEAST_SIDE_IN for o in wall.openings)
        if wall.height_in >= LEAST_WALL_IN and (window or is_mark(wall.tag)):
            continue
        words = (
            "This has neither an opening nor a mark, or is too low for a wall, and no setting names "
            "the layer: "
            f"[layers] walls = {as_setting([wall.layer])} says that it is a wall."
        )
        notices.doubt("wall-by-layer-alone", words, NoticePlace(wall.handle, layer=wall.layer, wall=wall.tag))
    highest = max((_door_height(wall) for wall in walls), default=0.0)
    for wall in walls:
        if 0 < _door_height(wall) < _LEAST_DOOR_IN <= highest:
            words = (
                f"Its doors are at most {format_length(_door_height(wall))} high, those of other walls "
                f"{format_length(highest)}: it may be drawn at another scale."
            )
            notices.doubt(
                "wall-at-other-scale", words, NoticePlace(wall.handle, layer=wall.layer, wall=wall.tag)
            )


def _door_height(wall: Wall) -> float:
    """Return how high the highest door of a wall is, 0 without one: higher than wide, on the foot."""
    doors = [o.box for o in wall.openings if o.box.y0 <= 1.0 and o.box.height > o.box.width >= LEAST_SIDE_IN]
    return max((box.height for box in doors), default=0.0)
