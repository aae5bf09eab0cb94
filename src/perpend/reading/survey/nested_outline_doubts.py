"""What is told of outlines inside a wall, or along it, that were read by their looks; see `inner`."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from perpend.model import GraveDoubt
from perpend.reading.contents.opening_outlines import Hole
from perpend.reading.outlines.close_outlines import Ring
from perpend.reading.reading_options import ReadingOptions
from perpend.reading.reading_words import handles_named
from perpend.reading.survey.unassigned_openings import setting_with
from perpend.reading.walls.nested_outlines import Sorted
from perpend.reading.walls.wall_faces import Face


def doubts_about_inner(
    found: Sorted, faces: Sequence[Face], holes: Sequence[Sequence[Hole]], options: ReadingOptions
) -> list[str]:
    """Say which outlines were read by their looks, or against them; also in the walls' ``doubts``.

    Args:
        found: what they were taken for.
        faces: the walls, with their tags.
        holes: per wall, the openings in it.
        options: says which layers have openings now.
    """
    told = []
    in_front: dict[str, list[Face]] = defaultdict(list)
    for face, mine in zip(faces, holes, strict=True):
        ring = face.outline.ring
        rings = [hole.ring for hole in mine if hole.ring.handle in found.guessed]
        if rings:
            told.append(_as_openings(face, rings))
        left_out = [left.ring for left in found.left_out if left.host.handle in ring.handles]
        if left_out:
            told.append(_as_neither(face, left_out))
        if ring.handle in found.doubtful:
            in_front[ring.layer].append(face)
        elif ring.handle in found.unmarked:
            face.doubts.append(
                "This lies inside another outline, without a mark: it was read as a wall in front."
            )
    return told + [_as_walls(layer, in_front[layer], options) for layer in sorted(in_front)]


def _as_openings(face: Face, rings: Sequence[Ring]) -> str:
    layer, handles = rings[0].layer, handles_named([ring.handle for ring in rings])
    if len(rings) == 1:
        read, lie, looks = "1 outline", "lies", "was read as an opening, by its looks"
    else:
        read, lie, looks = f"{len(rings)} outlines", "lie", "were read as openings, by their looks"
    face.doubts.append(f"{read} on wall layer {layer} {looks}.")
    return (
        f"{read} on wall layer {layer} ({handles}) {lie} inside {face.tag} and {looks}. What is a wall in "
        "front of it instead needs the mark of a wall in it, or another layer."
    )


def _as_neither(face: Face, rings: Sequence[Ring]) -> str:
    handles = handles_named([ring.handle for ring in rings])
    if len(rings) == 1:
        drawn, lie, read, asked = (
            "1 outline",
            "lies",
            "was read as neither a wall nor an opening",
            "it is one",
        )
    else:
        drawn, lie, asked = f"{len(rings)} outlines", "lie", "they are some"
        read = "were read as neither walls nor openings"
    face.doubts.append(f"{drawn} on wall layer {rings[0].layer} {read}.")
    return (
        f"{drawn} on wall layer {rings[0].layer} ({handles}) {lie} inside {face.tag} or along it and {read}, "
        f"but as bands, sills, signs or the like. If {asked} all the same, a wall needs the mark of a wall "
        "in it, and an opening another layer."
    )


def _as_walls(layer: str, faces: Sequence[Face], options: ReadingOptions) -> str:
    handles = handles_named(face.outline.ring.handle for face in faces)
    tags = " and ".join(str(face.tag) for face in faces)
    for face in faces:
        face.doubts.append(
            GraveDoubt("This looks like an opening in the wall behind it, but was read as a wall.")
        )
    if len(faces) == 1:
        read, asked = "1 outline", "it is one"
        lie = f"lies inside another and looks like an opening, but was read as {tags}"
    else:
        read, asked = f"{len(faces)} outlines", "they are openings"
        lie = f"lie inside others and look like openings, but were read as {tags}"
    return (
        f"{read} on wall layer {layer} ({handles}) {lie}. If {asked}, name the layer for both in the "
        "settings, and every outline on it that lies inside another is an opening: "
        f"{setting_with(layer, options)}."
    )
