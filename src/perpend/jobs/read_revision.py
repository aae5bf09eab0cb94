"""Reading a drawing as it was before an earlier run of ours, with what people decided since."""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from perpend.clean_text import quoted
from perpend.decisions.decision import Decision
from perpend.decisions.revision import Revision
from perpend.decisions.stripped_plate import is_stripped, restored, to_take_out, was_stripped
from perpend.drawing.page.drafting_style import LOOKS
from perpend.dxf.insert.drawing_writer import OpenedDrawing, open_without_ours
from perpend.dxf.insert.tag_spans import IrregularText
from perpend.dxf.insert.take_out_resaved import without_entities
from perpend.dxf.insert.text_map import map_text
from perpend.dxf.load import LoadedDrawing, load_bytes, read_bytes
from perpend.dxf.own_plate import OwnPlate, read_own_plate, read_stripped_plate
from perpend.dxf.xdata import APPLICATION, REVIEW_APPLICATION
from perpend.errors import InputError
from perpend.jobs.carry_over import base_changes, carried_over
from perpend.jobs.request import Request
from perpend.model import Elevation
from perpend.notices import notes
from perpend.reading import Reading, ReadingOptions, read_loaded
from perpend.reading.gather.load_by_role import load_selected
from perpend.settings import Settings, book_of


@dataclass(frozen=True, slots=True)
class ReadRevision:
    """A drawing without ours, its walls with what was decided, and the decisions."""

    reading: Reading
    revision: Revision


def read_revision(
    drawing: Path,
    options: ReadingOptions,
    settings: Settings,
    request: Request | None = None,
    *,
    whole: bool = False,
) -> ReadRevision:
    """Read a drawing as it was before an earlier run of ours drew in it, and what was decided since.

    Args:
        drawing: the DXF file.
        options: what to look for.
        settings: the project's settings.
        request: what is to be released, accepted or forgotten; None for nothing.
        whole: load what nobody looks for as well; a drawing that is refused is looked at whole in any case.

    Raises:
        InputError: the file can't be read, or the drawing can't be understood without guessing; or there is
            no such joint to be released or accepted.
    """
    reading, plate = _read(drawing, options, whole=whole)
    release, accept = (request.release, request.accept) if request else ((), ())
    if request is not None and request.fresh:
        plate = OwnPlate()
    else:
        plate, reading = without_old_plate(plate, reading, options, settings.layer_prefix)
    said: list[Decision] = []
    if request is not None and request.decisions_from is not None:
        plate, said = _from_another(plate, reading.elevation, request, options, settings)
    walls = reading.elevation.walls
    revision = Revision.of(plate, walls, settings, release=release, accept=accept)
    revision = replace(revision, decisions=(*said, *revision.decisions))
    elevation = replace(reading.elevation, walls=revision.walls)
    return ReadRevision(Reading(elevation, reading.source), revision)


def _from_another(
    plate: OwnPlate, new: Elevation, request: Request, options: ReadingOptions, settings: Settings
) -> tuple[OwnPlate, list[Decision]]:
    """Take the plate of another drawing over, and say what is different in the base.

    Raises:
        InputError: the drawing has a plate of its own, or the other one has none.
    """
    other = request.decisions_from
    assert other is not None
    if request.fresh or request.accept:
        raise InputError("--from carries decisions over: leave --fresh and --accept out.")
    if plate.joints or plate.record or is_stripped(plate):
        raise InputError(
            f"{quoted(request.drawing)} has joints of perpend already, with decisions of their own: leave "
            "--from out, or take them out first with perpend annotate --clean."
        )
    reading, before = _read(other, options, whole=False)
    prefix = settings.layer_prefix
    before, reading = without_old_plate(before, reading, options, prefix, from_another=True)
    old = reading.elevation
    carried = carried_over(before, old, new, other)
    return carried, list(base_changes(old, new, settings, book_of(settings), other))


def without_old_plate(
    plate: OwnPlate, reading: Reading, options: ReadingOptions, prefix: str, *, from_another: bool = False
) -> tuple[OwnPlate, Reading]:
    """Read a drawing again without the dimensions, notes and so on of a plate that lost its XDATA.

    Args:
        plate: what stands of ours; returned with the tags where it has lost its XDATA.
        reading: the drawing.
        options: what was looked for.
        prefix: what the names of our layers begin with.
        from_another: the joints go over to another drawing: all are held where nothing says whose they are.
    """
    source = reading.source
    if not plate.joints and plate.record is None and f"{prefix}-NOTE" in source.doc.layers:
        source = source.whole()
        plate = read_stripped_plate(source.doc, prefix)
    if not is_stripped(plate) and not was_stripped(plate):
        return plate, reading
    ignored = (*options.ignored, *(f"{prefix}-{key}" for key in LOOKS if key))
    options = replace(options, ignored=ignored)
    again = read_loaded(source, options)
    try:
        known = restored(plate, again.elevation.walls, prefix, held=from_another)
        if old := to_take_out(known):
            source = load_bytes(source.path, without_entities(map_text(source.data), old))
            plate = replace(known, layers=read_stripped_plate(source.doc, prefix).layers)
            again = read_loaded(source, options)
    except IrregularText:  # a binary file, or one so old that nothing is taken out of its text
        plate = replace(plate, old=frozenset())
    elevation = replace(again.elevation, sha256=reading.elevation.sha256)
    return plate, Reading(elevation, again.source)


def read_with_decisions(drawing: Path, options: ReadingOptions, settings: Settings) -> Elevation:
    """Read a drawing as `read_revision` does; what was decided is in its walls.

    Raises:
        InputError: see `read_revision`.
    """
    return read_revision(drawing, options, settings).reading.elevation


def _read(drawing: Path, options: ReadingOptions, *, whole: bool) -> tuple[Reading, OwnPlate]:
    """Return what is drawn without ours, and what there is of ours; marks of a check go too."""
    data, load = read_bytes(drawing, options.budget.megabytes), _loader(drawing, options, whole=whole)
    loaded = load(data)
    plate = _plate_of(loaded)
    known = loaded if plate == OwnPlate() else None  # else it is loaded anew: two would take much memory
    del loaded
    copies = frozenset(joint.handle for joint in plate.joints if joint.is_copy)
    opened = open_without_ours(data, load, (REVIEW_APPLICATION, APPLICATION), copies, known)
    reading = read_opened(opened, options)
    if not opened.removed:
        return reading, plate
    replaced = f"What an earlier run drew ({opened.removed} records) was taken out and drawn anew."
    return _reported(reading, data, [*opened.notes, replaced]), plate


def _reported(reading: Reading, data: bytes, said: Sequence[str]) -> Reading:
    """Say what was taken out of a drawing's bytes before it was read."""
    elevation = replace(
        reading.elevation,
        sha256=hashlib.sha256(data).hexdigest(),
        notices=(*reading.elevation.notices, *notes("earlier-run-replaced", said)),
    )
    return Reading(elevation, reading.source)


def read_opened(opened: OpenedDrawing, options: ReadingOptions) -> Reading:
    """Read a drawing of which something may have been left out; one that is refused is looked at whole.

    Raises:
        InputError: the drawing can't be understood without guessing.
    """
    if opened.loaded.selected:
        with contextlib.suppress(InputError):
            return read_loaded(opened.loaded, options)
    return read_loaded(opened.loaded.whole(), options)


def _loader(drawing: Path, options: ReadingOptions, *, whole: bool) -> Callable[[bytes], LoadedDrawing]:
    return partial(load_bytes, drawing) if whole else partial(load_selected, drawing, options)


def read_unchecked(drawing: Path, options: ReadingOptions, *, whole: bool = False) -> Reading:
    """Read a drawing with every joint in it, ours included, but without the marks of an earlier check.

    Args:
        drawing: the DXF file.
        options: what to look for.
        whole: load what nobody looks for as well; a drawing that is refused is looked at whole in any case.

    Raises:
        InputError: the file can't be read, or the drawing can't be understood without guessing.
    """
    data, load = read_bytes(drawing, options.budget.megabytes), _loader(drawing, options, whole=whole)
    opened = open_without_ours(data, load, (REVIEW_APPLICATION,))
    reading = read_opened(opened, options)
    if not opened.removed:
        return reading
    replaced = f"The marks of an earlier check ({opened.removed} records) were taken out and made anew."
    return _reported(reading, data, [*opened.notes, replaced])


def _plate_of(loaded: LoadedDrawing) -> OwnPlate:
    if APPLICATION.encode("ascii") not in loaded.data:
        return OwnPlate()
    return read_own_plate(loaded.doc, str(loaded.path))
