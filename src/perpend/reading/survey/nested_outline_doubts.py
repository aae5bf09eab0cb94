"""Which outlines inside a wall, or along it, were read by their looks; see `walls.nested_outlines`."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from perpend.notices import NoticePlace, Notices
from perpend.reading.contents.opening_outlines import Hole
from perpend.reading.outlines.close_outlines import Ring
from perpend.reading.reading_options import ReadingOptions
from perpend.reading.survey.unassigned_openings import setting_with
from perpend.reading.walls.nested_outlines import Sorted
from perpend.reading.walls.wall_faces import Face
from perpend.wording import handles_named, listed


def note_nested_outlines(
    found: Sorted,
    faces: Sequence[Face],
    holes: Sequence[Sequence[Hole]],
    options: ReadingOptions,
    notices: Notices,
) -> None:
    """Say which outlines were read by their looks, or against them.

    Args:
        found: what they were taken for.
        faces: the walls, with their tags.
        holes: per wall, the openings in it.
        options: says which layers have openings now.
        notices: takes the doubts, one of the drawing and one of each wall.
    """
    in_front: dict[str, list[Face]] = defaultdict(list)
    for face, mine in zip(faces, holes, strict=True):
        ring = face.outline.ring
        rings = [hole.ring for hole in mine if hole.ring.handle in found.guessed]
        if rings:
            _note_as_openings(face, rings, notices)
        left_out = [left.ring for left in found.left_out if left.host.handle in ring.handles]
        if left_out:
            _note_as_neither(face, left_out, notices)
        if ring.handle in found.doubtful:
            in_front[ring.layer].append(face)
        elif ring.handle in found.unmarked:
            words = "This lies inside another outline, without a mark: it was read as a wall in front."
            notices.doubt("nested-wall-without-mark", words, NoticePlace(wall=str(face.tag)), grave=False)
    for layer in sorted(in_front):
        _note_as_walls(layer, in_front[layer], options, notices)


def _note_as_openings(face: Face, rings: Sequence[Ring], notices: Notices) -> None:
    layer, handles = rings[0].layer, handles_named([ring.handle for ring in rings])
    if len(rings) == 1:
        read, lie, looks = "1 outline", "lies", "was read as an opening, by its looks"
    else:
        read, lie, looks = f"{len(rings)} outlines", "lie", "were read as openings, by their looks"
    _note(
        "nested-read-as-opening",
        f"{read} on wall layer {layer} {looks}.",
        f"{read} on wall layer {layer} ({handles}) {lie} inside {face.tag} and {looks}. What is a wall in "
        "front of it instead needs the mark of a wall in it, or another layer.",
        NoticePlace(rings[0].handle, rings[0].kind, layer, wall=str(face.tag)),
        notices,
    )


def _note_as_neither(face: Face, rings: Sequence[Ring], notices: Notices) -> None:
    handles = handles_named([ring.handle for ring in rings])
    if len(rings) == 1:
        drawn, lie, asked = "1 outline", "lies", "it is one"
        read = "was read as neither a wall nor an opening"
    else:
        drawn, lie, asked = f"{len(rings)} outlines", "lie", "they are some"
        read = "were read as neither walls nor openings"
    _note(
        "nested-left-out",
        f"{drawn} on wall layer {rings[0].layer} {read}.",
        f"{drawn} on wall layer {rings[0].layer} ({handles}) {lie} inside {face.tag} or along it and {read}, "
        f"but as bands, sills, signs or the like. If {asked} all the same, a wall needs the mark of a wall "
        "in it, and an opening another layer.",
        NoticePlace(rings[0].handle, rings[0].kind, rings[0].layer, wall=str(face.tag)),
        notices,
    )


def _note(code: str, short: str, words: str, place: NoticePlace, notices: Notices) -> None:
    """Say it shortly beside the wall, on the plate too, and in full of the drawing."""
    notices.doubt(code, short, place, grave=False)
    notices.doubt(code, words, NoticePlace(place.handle, place.kind, place.layer), grave=False)


def _note_as_walls(layer: str, faces: Sequence[Face], options: ReadingOptions, notices: Notices) -> None:
    code = "nested-wall-like-opening"
    words = "This looks like an opening in the wall behind it, but was read as a wall."
    for face in faces:
        ring = face.outline.ring
        notices.doubt(code, words, NoticePlace(ring.handle, ring.kind, layer, wall=str(face.tag)))
    handles = handles_named(face.outline.ring.handle for face in faces)
    tags = listed(str(face.tag) for face in faces)
    if len(faces) == 1:
        read, asked = "1 outline", "it is one"
        lie = f"lies inside another and looks like an opening, but was read as {tags}"
    else:
        read, asked = f"{len(faces)} outlines", "they are openings"
        lie = f"lie inside others and look like openings, but were read as {tags}"
    notices.doubt(
        code,
        f"{read} on wall layer {layer} ({handles}) {lie}. If {asked}, name the layer for both in the "
        "settings, and every outline on it that lies inside another is an opening: "
        f"{setting_with(layer, options)}.",
        NoticePlace(layer=layer),
    )
