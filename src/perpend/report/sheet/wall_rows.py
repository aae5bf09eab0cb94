"""From one wall of the results document to the rows and the picture that the sheet shows of it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from perpend.model import WallPlan
from perpend.report.change_entries import ProposedEntry
from perpend.report.lengths import Lengths
from perpend.report.results_document import (
    JointEntry,
    OpeningEntry,
    PanelEntry,
    WallEntry,
)
from perpend.report.sheet.sheet_view import (
    Fact,
    FindingRow,
    JointRow,
    OpeningRow,
    PanelRow,
    ProposalRow,
    WallView,
)
from perpend.report.sheet.source_list import SourceList
from perpend.report.sheet.wall_picture import picture_of
from perpend.report.spacing_words import corner_words, governing_words, range_words
from perpend.units import exceeds, same

_KINDS = {
    "straight": "straight",
    "jamb": "at a jamb",
    "forced": "where the wall changes",
    "end": "at the wall's end",
    "existing": "as drawn",
}
_SIGNS = {"moved": "→", "redrawn": "↕", "added": "+", "removed": "×"}
_ENDS = {"corner": "corner", "free": "free", "continues": "continues", "joint": "adjoining wall"}


def wall_view(
    wall: WallEntry,
    key: str,
    plan: WallPlan | None,
    rows: Sequence[FindingRow],
    lengths: Lengths,
    sources: SourceList,
) -> WallView:
    """Gather what the sheet says of one wall.

    Args:
        wall: the wall.
        key: its key in the sheet.
        plan: its plan, or None.
        rows: every finding of the sheet.
        lengths: how lengths are printed.
        sources: the sources of the sheet, added to.
    """
    facts = tuple(_facts(wall, lengths, sources))
    findings = tuple(row for row in rows if row.wall_key == key)
    joints = tuple(_joint(joint, f"{key}-j{n}", lengths, sources) for n, joint in enumerate(wall.joints, 1))
    panels = tuple(_panel(panel, f"{key}-p{n}", n, lengths) for n, panel in enumerate(wall.panels, 1))
    openings = tuple(
        _opening(opening, f"{key}-o{n}", lengths, sources) for n, opening in enumerate(wall.openings, 1)
    )
    changed = [entry for entry in wall.proposed if entry.change != "kept"]
    proposals = tuple(_proposal(p, wall, f"{key}-c{n}", lengths) for n, p in enumerate(changed, 1))
    heading = f"{lengths.plain(wall.length_in)} long, {lengths.plain(wall.height_in)} high"
    if exceeds(wall.greatest_height_in, wall.height_in):
        heading += f" at its lowest, {lengths.plain(wall.greatest_height_in)} overall"
    return WallView(
        key=key,
        tag=wall.tag,
        heading=heading,
        svg=picture_of(wall, key, findings, joints, panels, openings, proposals, lengths, plan),
        facts=facts,
        findings=findings,
        joints=joints,
        panels=panels,
        openings=openings,
        proposals=proposals,
        notes=tuple(wall.notes),
    )


def _facts(wall: WallEntry, lengths: Lengths, sources: SourceList) -> Iterable[Fact]:
    limits = wall.limits
    basis = "lowest height of the wall" if limits.height_basis == "wall" else "least storey height"
    if wall.basis:
        yield Fact("Method", wall.basis)
    yield Fact("Height H", f"{lengths.plain(limits.height_in)} ({basis})")
    yield Fact("Joint spacing", _spacing(wall, lengths), sources.of(limits.sources))
    corner = corner_words(wall, lengths.limit)
    if corner:
        yield Fact("First joint", corner)
    if limits.tightened:
        yield Fact("Tightened", limits.tightened)
    yield Fact("Ends", f"left: {_ENDS[wall.left_end]}; right: {_ENDS[wall.right_end]}")
    yield Fact("Module", lengths.plain(wall.module_in))
    yield Fact("Joint type", wall.joint_type_name or wall.joint_type or "none named")
    steel = wall.horizontal_reinforcement
    if steel.required_in2_per_ft is not None:
        chosen = f"; chosen: {steel.chosen}" if steel.chosen else ""
        yield Fact(
            "Horizontal reinforcement",
            f"at least {steel.required_in2_per_ft:g} in²/ft of height{chosen}",
            sources.of([steel.source] if steel.source else []),
        )
    for choice in steel.choices:
        text = f"{choice.area_in2:g} in², at most {lengths.limit(choice.max_spacing_in)} apart"
        yield Fact(choice.name, text, sources.of([choice.source]))


def _spacing(wall: WallEntry, lengths: Lengths) -> str:
    limits = wall.limits
    if limits.max_spacing_in is None:
        return "no joints are needed for shrinkage"
    terms = []
    if limits.ratio is not None:
        terms.append(f"{limits.ratio:g} × H")
    if limits.cap_in is not None:
        terms.append(f"cap {lengths.limit(limits.cap_in)}")
    rule = f"lesser of {' and '.join(terms)}" if len(terms) > 1 else " ".join(terms)
    varied = range_words(wall, lengths.limit)
    if varied:
        return f"{varied} ({rule})"
    governs = f"{rule}: {governing_words(limits)}" if len(terms) > 1 else governing_words(limits)
    return f"at most {lengths.limit(limits.max_spacing_in)} ({governs})"


def _joint(joint: JointEntry, key: str, lengths: Lengths, sources: SourceList) -> JointRow:
    foot, head = joint.path[0][0], joint.path[-1][0]
    leans = f", head at {lengths.plain(head)}" if not same(head, foot) else ""
    planes = [f"{lengths.plain(s.x1_in - s.x0_in)} at {s.opening}" for s in joint.slip_planes]
    serves = f" of {', '.join(joint.serves)}" if joint.serves else ""
    return JointRow(
        key=key,
        number=joint.mark or str(joint.number),
        x_in=joint.x_in,
        station=f"{lengths.plain(joint.x_in)}{leans}",
        runs=f"{_KINDS.get(joint.kind, joint.kind)}{serves}",
        state="held" if joint.held else "drawn" if joint.state == "existing" else "new",
        joint_type=joint.type or "none named",
        slip_planes=", ".join(planes),
        reason=joint.reason,
        handle=joint.handle,
        sources=sources.of(joint.sources),
    )


def _proposal(entry: ProposedEntry, wall: WallEntry, key: str, lengths: Lengths) -> ProposalRow:
    """Say what becomes of a joint; a moved one says which way it goes."""
    old = next((joint for joint in wall.joints if joint.number == entry.was), None)
    leftwards = entry.change == "moved" and old is not None and entry.x_in < old.x_in
    by = f" by {lengths.plain(entry.move_in)}" if entry.change == "moved" else ""
    return ProposalRow(
        key=key,
        change=entry.change,
        name=f"Joint {entry.was if entry.change == 'removed' else entry.number} {entry.change}{by}",
        sign="←" if leftwards else _SIGNS[entry.change],
        station="" if entry.change == "removed" else lengths.plain(entry.x_in),
        was="" if old is None else f"joint {old.number} at {lengths.plain(old.x_in)}",
        reason=entry.reason,
    )


def _panel(panel: PanelEntry, key: str, index: int, lengths: Lengths) -> PanelRow:
    share = panel.utilisation
    return PanelRow(
        key=key,
        number=index,
        span=f"{lengths.plain(panel.x0_in)} to {lengths.plain(panel.x1_in)}",
        dimension=lengths.bare(panel.x1_in - panel.x0_in),
        length=lengths.plain(panel.length_in),
        limit="" if panel.limit_in is None else lengths.limit(panel.limit_in),
        height=lengths.plain(panel.height_in),
        percent="" if share is None else f"{100 * share:.0f} %",
        too_long=panel.limit_in is not None and exceeds(panel.length_in, panel.limit_in),
        length_in=panel.length_in,
        share=share or 0.0,
    )


def _opening(opening: OpeningEntry, key: str, lengths: Lengths, sources: SourceList) -> OpeningRow:
    width, height = opening.x1_in - opening.x0_in, opening.y1_in - opening.y0_in
    lintel = opening.lintel
    bearing = "none drawn"
    if lintel is not None:
        ends = f"{lengths.plain(lintel.bearing_left_in)} left, {lengths.plain(lintel.bearing_right_in)} right"
        bearing = f"past the jambs {ends}{'; ' + lintel.note if lintel.note else ''}"
    return OpeningRow(
        key=key,
        tag=opening.tag,
        x_in=opening.x0_in,
        width_in=width,
        size=f"{lengths.plain(width)} × {lengths.plain(height)}",
        place=f"{lengths.plain(opening.x0_in)} to {lengths.plain(opening.x1_in)}, "
        f"sill at {lengths.plain(opening.y0_in)}",
        treatment=opening.treatment,
        joints=", ".join(str(number) for number in opening.joints) or "none",
        lintel=bearing,
        boundary_case=opening.boundary_case,
        handle=opening.handle,
        sources=sources.of(opening.sources),
    )
