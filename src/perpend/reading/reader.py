"""A drawing read from end to end: file, layers, shapes, walls with what is in them."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from perpend.clean_text import quoted
from perpend.dxf.load import LoadedDrawing, load_drawing
from perpend.dxf.paperspace import MODELSPACE, find_layout
from perpend.model import Box, Elevation, Opening, Point, Wall
from perpend.notices import Notice, NoticePlace, Notices, notes
from perpend.reading.contents.elevation_titles import (
    LEAST_REACH_IN,
    REACH,
    is_unmarked,
    name_by_place,
    name_by_titles,
    texts_on_paper,
)
from perpend.reading.contents.floor_plans import leave_plans_out
from perpend.reading.contents.masonry_runs import runs_of_masonry
from perpend.reading.contents.opening_outlines import Hole, finished, tell_apart
from perpend.reading.contents.opening_placement import HoleFinder
from perpend.reading.contents.shared_layers import openings_apart
from perpend.reading.contents.tags import OpeningAreas, marks_of_holes, tag_faces
from perpend.reading.contents.title_scales import factor_in, likely_walls, size_factors
from perpend.reading.contents.wall_contents import Contents, with_shared_lines
from perpend.reading.contents.wall_features import shelf_levels
from perpend.reading.gather.drawing_units import DrawingUnit, find_unit, said_in_header
from perpend.reading.gather.entities import BlockReference, Gathered, gather
from perpend.reading.gather.stroke_sizes import extents, greatest_side
from perpend.reading.gather.texts import (
    DrawnText,
    by_handle,
    drawn_text,
    is_remark,
    late_texts,
    rough_place,
    treatment_among,
)
from perpend.reading.outlines.close_outlines import Closed, Ring, close_strokes
from perpend.reading.outlines.doorways import bridges_across, doorways_among, note_bridges
from perpend.reading.reading_options import ReadingOptions, Role, matches
from perpend.reading.survey.counted_ignored import counted_ignored
from perpend.reading.survey.hidden_layers import note_hidden_layers
from perpend.reading.survey.nested_outline_doubts import note_nested_outlines
from perpend.reading.survey.settled_layers import note_settled_walls, settled_layers
from perpend.reading.survey.unassigned_joints import note_unassigned_joints
from perpend.reading.survey.unassigned_openings import (
    areas_of,
    cure_of_break,
    find_unassigned_openings,
    note_unassigned_openings,
    shapes_among,
)
from perpend.reading.survey.unassigned_shapes import unassigned_shapes
from perpend.reading.walls.boundary_lines import closed_with_boundaries
from perpend.reading.walls.neighbours import join_neighbours
from perpend.reading.walls.nested_outlines import Sorted, sort_out_inner
from perpend.reading.walls.occlusion import set_fronts
from perpend.reading.walls.sheet_frames import is_part_of, sheet_frames
from perpend.reading.walls.wall_faces import (
    FILLS,
    Face,
    distinct,
    faces_of,
    note_overlaps,
    refuse_heaps,
    refuse_open_outlines,
    without_circles,
)
from perpend.reading.walls.walls_of_faces import in_reading_order, wall_of
from perpend.units import SAME_IN


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read, and the drawing it was read from."""

    elevation: Elevation
    source: LoadedDrawing


def read_drawing(path: Path, options: ReadingOptions | None = None) -> Reading:
    """Read the walls of a DXF drawing.

    Args:
        path: the DXF file.
        options: what to look for; the defaults follow the national CAD layer standard.

    Returns:
        The elevation in wall axes and inches, and the loaded drawing.

    Raises:
        InputError: the file cannot be read, or the drawing cannot be understood without guessing;
            the sentence names file, layer and handle and says what to do.
    """
    options = options or ReadingOptions()
    return read_loaded(load_drawing(path, options.budget), options)


def read_loaded(source: LoadedDrawing, options: ReadingOptions) -> Reading:
    """Read the walls of a drawing that is loaded already; see `read_drawing`."""
    file = str(source.path)
    layout = find_layout(source.doc, options.layout, file)
    found = gather(source.doc, layout, options, file)
    found.layers.refuse_clashes(file)
    settled = None
    if not found.layers.have(Role.WALLS):
        said = Notices()
        settled = settled_layers(source, options, said)
        if settled is not None:
            options, found = settled, gather(source.doc, layout, settled, file)
            found.notices.add(said)
    return Reading(_Sheet(source, options, found, settled=settled is not None).elevation(), source)


class _Sheet:
    """The stages of one reading, in the order of the data's way; all notices go into one collector."""

    def __init__(
        self, source: LoadedDrawing, options: ReadingOptions, found: Gathered, *, settled: bool
    ) -> None:
        self.source = source
        self.settled = settled
        self.options = options
        self.found = found
        self.file = str(source.path)
        self.notices = found.notices
        self.notices.add(notes("file-repaired", source.notes))
        read = find_layout(source.doc, options.layout, self.file).name
        self.layout = None if read == MODELSPACE else read
        if self.layout and options.layout is None:
            self.notices.note("layout-read", f"Modelspace is empty: layout {quoted(read)} was read.")
        self._take_sheet_off()
        self.unit = self._unit()
        self.same = SAME_IN / self.unit.inches
        self.gap = options.gap_in / self.unit.inches
        self.hinted = shapes_among(found.hinted, self.gap, self.same)

    def elevation(self) -> Elevation:
        """Run the stages: outlines, walls with their tags, what is in them, what is in doubt."""
        outlines = close_strokes(
            self.found.strokes[Role.OPENINGS], self.gap, self.same, outer_only=True, file=self.file
        )
        outlines = openings_apart(outlines, self.found, self.unit.inches)
        rings = self._wall_rings(outlines)
        texts = self._texts(rings)
        self._measure_by_titles(rings, outlines.rings)
        nested = self._sort_out(rings, outlines, texts)
        outlines = Closed([*outlines.rings, *nested.openings], outlines.chains)
        faces = self._faces(nested.walls, texts)
        unassigned = unassigned_shapes(self.source, self.found, faces, self.options, self.gap, self.same)
        lookalikes = areas_of(self.hinted, unassigned, faces)
        tag_faces(faces, OpeningAreas(outlines, self.found.opening_blocks, lookalikes), self.notices)
        faces = name_by_place(faces, self.options.named_walls, self.notices)
        titles = self._texts_below(f.outline.ring for f in faces if is_unmarked(f))
        faces = leave_plans_out(faces, titles, outlines.rings, nested, self.file, self.notices)
        faces = join_neighbours(faces, self.options.gap_in, self.notices)
        note_overlaps(faces, self.notices)
        faces = in_reading_order(faces)
        on_paper = () if self.layout else texts_on_paper(self.source.doc, faces, self.options)
        name_by_titles(faces, titles, on_paper, self.notices)
        self._name(faces)
        set_fronts(faces)
        finder = self._holes(faces, outlines)
        likes = find_unassigned_openings(self.hinted, unassigned, finder, self.found.layers)
        note_nested_outlines(nested, faces, finder.holes, self.options, self.notices)
        note_unassigned_openings(likes, faces, self.options, self.notices)
        faces, holes = runs_of_masonry(faces, finder.holes, self._shelves(faces), self.notices)
        walls = self._walls(faces, holes)
        note_hidden_layers(walls, faces, self.found, self.notices)
        note_unassigned_joints(walls, faces, self.source, self.found, self.options, self.notices)
        self._note_what_is_not_here()
        if self.settled:
            note_settled_walls(walls, self.notices)
        return self._whole(walls)

    def _take_sheet_off(self) -> None:
        """Take the border of the sheet and its title block from layers that walls and openings share."""
        walls = self.found.strokes[Role.WALLS]
        drawn = [s for s in walls if matches(s.layer, self.options.openings)]
        if not drawn:
            return
        extent = max(abs(c) for s in drawn for p in s.points for c in p)
        rings = close_strokes(drawn, 1e-5 * extent, 1e-6 * extent).rings
        framed = sheet_frames(rings, self._words_in)
        kept = []
        for stroke in walls:
            if any(is_part_of(stroke, frame) for frame in framed):
                why = "it is the border of the sheet, or a part of its title block"
                self.notices.ignore(stroke.handle, stroke.kind, stroke.layer, why)
            else:
                kept.append(stroke)
        self.found.strokes[Role.WALLS] = kept

    def _words_in(self, area: Box) -> Iterator[tuple[str, Point]]:
        for raw in self.found.texts:
            at = rough_place(raw)
            if at is not None and area.holds(at) and (text := drawn_text(raw, self.options)) is not None:
                yield text.text, at

    def _unit(self) -> DrawingUnit:
        strokes = self.found.strokes
        unit = find_unit(
            said_in_header(self.source.doc, self.source.mentions),
            self.options.units_of_drawing,
            extents(strokes[Role.WALLS], tallest=True),
            extents(strokes[Role.OPENINGS], tallest=False),
            self.file,
            greatest_side(strokes[Role.WALLS]),
        )
        if unit.contradicts:
            said = f'units_of_drawing = "{unit.name}" in the settings says that it is right'
            self.notices.doubt("unit-contradicts-header", f"The unit is a {unit.why}. {said}.")
        return unit

    def _wall_rings(self, openings: Closed) -> list[Ring]:
        closed = self._closed_through(openings)
        layout = find_layout(self.source.doc, self.options.layout, self.file)
        tolerances = self.gap, self.same
        closed = closed_with_boundaries(closed, layout, self.found, self.options, tolerances, self.notices)
        solid = {ring.handle for ring in closed.rings if self._may_fill_an_opening(ring)}
        rings = distinct(closed.rings, self.same, self.unit.inches, self.notices, solid)
        refuse_heaps(rings, self.options.budget.overlaps, self.file)
        shown = [shape for shape in self.hinted if self.found.layers.get(shape.layer).visible]
        refuse_open_outlines(
            closed.chains,
            rings,
            self.unit.inches,
            self.options.gap_in,
            self.file,
            lambda chain: cure_of_break([chain], shown, self.unit.inches),
            self.notices,
        )
        if not rings:
            from perpend.reading.survey.no_wall import no_wall_error

            raise no_wall_error(self.source.doc, self.found, self.options, self.file)
        return rings

    def _may_fill_an_opening(self, ring: Ring) -> bool:
        """True for a solid fill on a layer for walls and openings; a pattern is that of the masonry."""
        shared = ring.kind in FILLS and matches(ring.layer, self.options.openings)
        return shared and ring.handle not in self.found.patterned

    def _sort_out(self, rings: Sequence[Ring], openings: Closed, texts: Sequence[DrawnText]) -> Sorted:
        def face_of(ring: Ring) -> Face:
            return faces_of([ring], texts, self.inches_of, self.options.gap_in, self.file, Notices())[0]

        drawn = [points for _, points in doorways_among(openings, self.found.opening_blocks)]
        nested = sort_out_inner(rings, drawn, texts, self.options, face_of)
        nested.note_left_out(self.notices)
        nested.walls = without_circles(nested.walls, self.notices)
        return nested

    def _faces(self, rings: Sequence[Ring], texts: Sequence[DrawnText]) -> list[Face]:
        return faces_of(rings, texts, self.inches_of, self.options.gap_in, self.file, self.notices)

    def _closed_through(self, openings: Closed) -> Closed:
        """Close the wall lines; those that break off at a doorway are carried through it."""
        strokes = self.found.strokes[Role.WALLS]
        closed = close_strokes(strokes, self.gap, self.same, file=self.file)
        if not closed.chains:
            return closed
        doorways = doorways_among(openings, self.found.opening_blocks)
        bridges = bridges_across(closed.chains, doorways, self.unit.inches)
        through = close_strokes([*strokes, *(b.stroke for b in bridges)], self.gap, self.same)
        if len(through.rings) <= len(closed.rings):
            return closed
        note_bridges(bridges, self.unit.inches, self.notices)
        return through

    def _texts(self, rings: Sequence[Ring]) -> list[DrawnText]:
        """Look into those texts that stand near a wall."""
        boxes = [Box(*ring.box) for ring in rings]
        slack = 0.05 * max(max(b.width, b.height) for b in boxes)
        return self._texts_in([box.grown(slack) for box in boxes])

    def _texts_in(self, areas: Sequence[Box]) -> list[DrawnText]:
        def near(at: Point) -> bool:
            return any(area.holds(at) for area in areas)

        raws = [raw for raw in self.found.texts if (at := rough_place(raw)) is not None and near(at)]
        raws += late_texts(self.source.doc, self.options, near)
        found = []
        for raw in sorted(raws, key=by_handle):
            text = drawn_text(raw, self.options)
            if text is not None and (text.marked or not self.options.tags or is_remark(text)):
                found.append(text)
        return found

    def _measure_by_titles(self, rings: Sequence[Ring], openings: Sequence[Ring]) -> None:
        """Find out which outlines are drawn larger or smaller than the rest of the sheet."""
        walls, named = likely_walls(rings), self.options.named_walls
        factors = size_factors(
            walls, openings, self._texts_below(walls), named, self.unit.inches, self.notices
        )
        self.inches_of = lambda ring: self.unit.inches * factor_in(factors, walls, ring)

    def _texts_below(self, rings: Iterable[Ring]) -> list[DrawnText]:
        """Look for titles, below some outlines alone: what is far from walls costs time."""
        boxes = [Box(*ring.box) for ring in rings]
        reach = LEAST_REACH_IN / self.unit.inches
        return self._texts_in([box.grown(max(reach, REACH * box.height)) for box in boxes]) if boxes else []

    def _name(self, faces: Sequence[Face]) -> None:
        """Give every face a tag of its own, and the places where walls adjoin the tag of the other one."""
        seen: dict[str, int] = defaultdict(int)
        for number, face in enumerate(faces, 1):
            tag = face.tag or f"wall {number}"
            seen[tag] += 1
            if seen[tag] > 1:
                unique = f"{tag} ({seen[tag]})"
                self.notices.note(
                    "tag-in-several-walls",
                    f"Tag {tag} is in more than one wall: outline {face.outline.ring.handle} is "
                    f"called {unique}, and settings are given to it by that name.",
                    NoticePlace(face.outline.ring.handle, wall=unique),
                )
                tag = unique
            face.tag = tag
        tags = {face.outline.ring.handle: str(face.tag) for face in faces}
        for face in faces:
            face.places = [replace(place, wall=tags[place.handle]) for place in face.places]

    def _holes(self, faces: Sequence[Face], outlines: Closed) -> HoleFinder:
        finder = HoleFinder(faces, self.options.gap_in, self.file, self.notices)
        finder.add_rings(outlines.rings)
        finder.add_hatch_holes()
        finder.add_chains(outlines.chains)
        finder.add_blocks(self.found.opening_blocks)
        return finder

    def _shelves(self, faces: Sequence[Face]) -> list[list[float]]:
        """Return the levels of the shelf angles of each wall."""
        return [
            shelf_levels(self.found.strokes[Role.SHELF_ANGLES], f.outline, self.options.gap_in) for f in faces
        ]

    def _walls(self, faces: Sequence[Face], holes: Sequence[Sequence[Hole]]) -> list[Wall]:
        walls = []
        counted = 0
        for face, mine in zip(faces, holes, strict=True):
            kept = tell_apart(mine, self.file, str(face.tag), self.notices)
            openings = self._openings(face, kept, counted)
            counted += len(openings)
            walls.append(wall_of(face, openings))
        contents = Contents(self.found, self.options.gap_in, self.notices, metric=self.unit.metric)
        walls = [contents.put_into(wall, face) for wall, face in zip(walls, faces, strict=True)]
        contents.note_unplaced()
        return with_shared_lines(walls)

    def _openings(self, face: Face, holes: Sequence[Hole], counted: int) -> tuple[Opening, ...]:
        """Give each opening its mark and what the texts in it say."""
        found = []
        for number, (hole, (mark, inside)) in enumerate(
            zip(holes, marks_of_holes(face, holes), strict=True), counted + 1
        ):
            found.append(finished(hole, mark or f"opening {number}", treatment_among(inside), self.options))
        return tuple(found)

    def _note_what_is_not_here(self) -> None:
        for layer, count in sorted(self.found.hidden.items()):
            why = "the layer is frozen or off, or the entities are invisible"
            self.notices.ignore("", f"{count} hidden", layer, why)
        for name in sorted(self.found.external):
            why = f"external reference {name} is not in this file: bind it to have it read"
            self.notices.ignore("", "INSERT", "", why)

    def _doubts_about(self, wall: Wall) -> tuple[Notice, ...]:
        """Return the doubts about a wall; those about the whole of which it is a run go before."""
        whole = self.notices.about_wall(wall.part_of) if wall.part_of else ()
        return (*whole, *self.notices.about_wall(wall.tag))

    def _whole(self, walls: Sequence[Wall]) -> Elevation:
        doc = self.source.doc
        return Elevation(
            path=self.file,
            sha256=hashlib.sha256(self.source.data).hexdigest(),
            dxf_version=str(doc.acad_release),
            units=self.unit.name,
            walls=tuple(replace(wall, doubts=self._doubts_about(wall)) for wall in walls),
            units_why=self.unit.why,
            inches_per_unit=self.unit.inches,
            metric=self.unit.metric,
            notices=counted_ignored(self.notices.about_drawing()),
            layout=self.layout,
        )


__all__ = ["BlockReference", "Reading", "read_drawing", "read_loaded"]
