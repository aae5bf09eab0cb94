"""Why no wall was found in a drawing, and whether it is an elevation at all."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from perpend.dxf.entity_attributes import layer_of
from perpend.dxf.paperspace import MODELSPACE, drawn_layouts, find_layout, is_modelspace
from perpend.errors import InputError, NoElevationError
from perpend.reading.gather.entities import Gathered
from perpend.reading.gather.layer_names import is_no_face
from perpend.reading.reading_options import ReadingOptions, Role
from perpend.reading.survey.layer_survey import one_line, survey_layers
from perpend.wording import listed

if TYPE_CHECKING:
    from ezdxf.document import Drawing


def no_wall_error(doc: Drawing, found: Gathered, options: ReadingOptions, file: str) -> InputError:
    """Return what to raise where no wall was found.

    A title sheet, or a sheet of details, differs from an elevation whose walls can't be seen: nothing is
    drawn on a layer of interest, shown or hidden, no file is missing, and there is no layer that
    `perpend layers` would take for walls.
    """
    sentence = _no_wall_sentence(doc, found, options, file)
    drawn = any(found.strokes.values()) or found.own_joints or found.hidden
    missing = any(not is_no_face(name) for name in found.external)
    if drawn or missing or _elsewhere(doc, options) or survey_layers(doc, options).layers_of(Role.WALLS):
        return InputError(sentence)
    return NoElevationError(sentence)


def _no_wall_sentence(doc: Drawing, found: Gathered, options: ReadingOptions, file: str) -> str:
    """Say why no wall was found: what was looked for, what is there, and what to do."""
    looked = ", ".join(options.walls) or "(no pattern)"
    layers = [layer_of(e) for e in find_layout(doc, options.layout, file)]
    if not layers:
        place = "modelspace" if is_modelspace(options.layout) else f"layout {options.layout!r}"
        return f"{file}: no wall found: {place} is empty{_elsewhere(doc, options)}."
    counts = Counter(layers)
    there = listed((f"{one_line(name)} ({count})" for name, count in counts.most_common()), most=8)
    hints = _elsewhere(doc, options)
    drawn = found.strokes[Role.WALLS]
    if drawn:
        hints += (
            f"; the {drawn[0].kind} {drawn[0].handle} on {one_line(drawn[0].layer)} encloses nothing: "
            "draw walls "
            "flat on the sheet, as closed outlines"
        )
    if found.hidden:
        hidden = ", ".join(sorted(found.hidden)[:3])
        hints += f"; {sum(found.hidden.values())} entities that may count are hidden ({hidden}): thaw them"
    if found.external:
        hints += (
            f"; external references are not in the file ({', '.join(sorted(found.external)[:3])}): bind them"
        )
    return (
        f"{file}: no wall found: no closed outline on a layer that fits {looked}; the layers with "
        f"entities are {there}{hints}. Run `perpend layers` on the drawing to see them and to write a "
        "settings file."
    )


def _elsewhere(doc: Drawing, options: ReadingOptions) -> str:
    read = find_layout(doc, options.layout, "the drawing").name
    for name in doc.layout_names():
        if name != read and any(Role.WALLS in options.roles_of(layer_of(e)) for e in doc.layout(name)):
            if name == MODELSPACE:
                return "; modelspace has entities on wall layers: read it with --layout Model"
            cure = "read it with --layout or by the settings' layout"
            return f"; layout {name!r} has entities on wall layers: {cure}"
    filled = drawn_layouts(doc)
    if filled and read == MODELSPACE and not len(doc.modelspace()):
        return f", but layout {filled[0]!r} is not: read it with --layout or by the settings' layout"
    return ""
