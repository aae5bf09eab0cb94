"""The results document: what one run found and decided, as data another program can read.

`Results` is written as JSON and is the one thing every rendering (terminal text, sheets, tables) is
made from. docs/results.md explains it; docs/results.schema.json is its JSON schema, made from here.

Lengths are inches and their keys end in ``_in``. Places are in a wall's own axes: origin at its left
end and bottom, x along the wall, y up. Lengths are rounded to a millionth of an inch, so that the
same elevation drawn in another unit or at another origin gives the same numbers.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Annotated, Literal

from perpend.findings import Waived
from perpend.model import HorizontalReinforcement, Limits, Panel, ReinforcementChoice, SlipPlane, Source
from perpend.report.change_entries import ChangeEntry, ProposedEntry
from perpend.report.corner_entries import CornerEntry
from perpend.report.decision_entries import DecisionEntry, IssueEntry
from perpend.report.document_parts import SCHEMA_VERSION, Document, Number, Part, Spot, described, part_of
from perpend.report.notice_entries import IgnoredEntry, NoticeEntry
from perpend.report.search_entries import CostEntry, SearchEntry


@part_of(Source)
@dataclass(frozen=True, slots=True, kw_only=True)
class SourceEntry(Part):
    """Where a number comes from: the row of the rule book, the document and how far to trust it."""

    row: str
    document: str
    clause: str
    standing: Literal["published", "memory", "common practice", "derived", "decision", "verified"]
    unverified: Annotated[bool, described("True when the page itself was never seen (standing: memory).")]
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingEntry(Part):
    """The drawing that was read."""

    path: Annotated[str, described("As given on the command line.")]
    sha256: Annotated[str, described("Of the file's bytes as they were read.")]
    dxf_version: str
    units: Annotated[str, described("The drawing's length unit: in, ft, mm, cm or m.")]
    units_why: Annotated[
        str, described("How the unit was known: header, setting, or a guess and its reason.")
    ]
    inches_per_unit: Number
    metric: Annotated[bool, described("True when lengths are printed in millimetres.")]
    feet_beside: Annotated[
        bool,
        described("True when feet and inches are printed beside millimeters."),
    ] = True


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleBookEntry(Part):
    """The rule book that decided the limits."""

    key: str
    title: str
    version: str
    sha256: str
    note: str = ""
    label: Annotated[str, described("What its joints are called on a sheet, such as CJ.")] = "CJ"
    joint: Annotated[str, described("The same in words, such as control joint.")] = "control joint"


@part_of(Limits)
@dataclass(frozen=True, slots=True, kw_only=True)
class LimitsEntry(Part):
    """The limits of a wall, at its least height."""

    height_in: Number
    height_basis: Literal["wall", "storey"]
    max_spacing_in: Annotated[
        Number | None, described("Greatest panel length; null when no joints are needed.")
    ]
    governing: Literal["ratio", "cap", "none"]
    ratio: Number | None
    cap_in: Number | None
    corner_distance_in: Annotated[
        Number | None, described("Greatest distance of the first joint from a corner.")
    ]
    corner_min_in: Number = 0.0
    tightened: Annotated[str, described("What the settings tightened, in words.")] = ""
    ccc: Annotated[float | None, described("Crack control coefficient used, engineered method only.")] = None
    sources: list[SourceEntry]


@part_of(SlipPlane)
@dataclass(frozen=True, slots=True, kw_only=True)
class SlipPlaneEntry(Part):
    """The level piece of a stepped joint, under the bearing of a lintel."""

    x0_in: Number
    x1_in: Number
    y_in: Number
    opening: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JointEntry(Part):
    """One control joint."""

    number: Annotated[int, described("1, 2, ... from the wall's left end.")]
    x_in: Annotated[Number, described("Station of its foot; at a jamb joint, the jamb.")]
    path: Annotated[list[Spot], described("The whole line from bottom to top, steps included.")]
    kind: Literal["straight", "jamb", "partial", "forced", "end", "existing"]
    type: Annotated[str | None, described("Joint type; null when none was named.")]
    reason: str
    state: Annotated[Literal["new", "existing"], described("existing: it stood in the drawing already.")]
    serves: Annotated[list[str], described("Tags of the openings whose jamb it serves.")] = field(
        default_factory=list
    )
    slip_planes: list[SlipPlaneEntry] = field(default_factory=list)
    handle: Annotated[str, described("DXF handle of an existing joint's first entity.")] = ""
    sources: list[SourceEntry]
    mark: Annotated[str, described("Its number on the drawing, such as 4 or 4A.")] = ""
    held: Annotated[bool, described("True when it is where a person decided.")] = False
    detail: Annotated[str, described("The project's detail that shows it, where the settings name one.")] = ""


@part_of(Panel)
@dataclass(frozen=True, slots=True, kw_only=True)
class PanelEntry(Part):
    """The masonry between two joints, or between a joint and an end of the wall."""

    x0_in: Number
    x1_in: Number
    length_in: Annotated[
        Number,
        described(
            "Greatest level distance between its two sides on any course. It is more than "
            "x1_in - x0_in where a stepped joint leans away from the panel."
        ),
    ]
    limit_in: Annotated[Number | None, described("Greatest length allowed; null when no joints are needed.")]
    height_in: Number
    utilisation: Annotated[
        Number | None, described("length_in over limit_in; above 1 the panel is too long.")
    ]
    at_corner: Annotated[bool, described("True when the panel ends at a corner.")]
    corner_limit_in: Annotated[
        Number | None,
        described("Greatest distance of the first joint from that corner, at the height of this panel."),
    ] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LintelEntry(Part):
    """The lintel drawn over an opening. Its design is not ours."""

    x0_in: Number
    x1_in: Number
    y0_in: Number
    y1_in: Number
    bearing_left_in: Number
    bearing_right_in: Number
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OpeningEntry(Part):
    """One opening and how it is dealt with."""

    tag: str
    handle: str
    x0_in: Number
    x1_in: Number
    y0_in: Number
    y1_in: Number
    treatment: Literal["reinforced", "unreinforced"]
    boundary_case: Annotated[bool, described("True when its width falls in neither printed branch.")]
    joints: Annotated[list[int], described("Numbers of the joints that serve its jambs.")]
    lintel: LintelEntry | None
    sources: list[SourceEntry]


@part_of(ReinforcementChoice)
@dataclass(frozen=True, slots=True, kw_only=True)
class ReinforcementChoiceEntry(Part):
    """One way to meet the horizontal reinforcement."""

    name: str
    area_in2: Number
    max_spacing_in: Number
    source: SourceEntry


@part_of(HorizontalReinforcement)
@dataclass(frozen=True, slots=True, kw_only=True)
class HorizontalReinforcementEntry(Part):
    """What a wall needs between its joints, and the choices that meet it."""

    required_in2_per_ft: Number | None
    source: SourceEntry | None
    chosen: str | None
    choices: list[ReinforcementChoiceEntry]


@part_of(Waived)
@dataclass(frozen=True, slots=True, kw_only=True)
class WaivedEntry(Part):
    """Who accepted a finding, why, and until when."""

    reason: str
    who: str
    until: Annotated[date | None, described("Last day it counts; null for good.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingEntry(Part):
    """One fault or remark."""

    code: str
    fingerprint: Annotated[str, described("Stays the same when the drawing is shifted or judged again.")]
    severity: Literal["required", "advisory"]
    message: str
    measured_in: Number | None
    limit_in: Number | None
    source: SourceEntry | None
    at: Annotated[list[Spot], described("Places in the wall's own axes.")]
    cure: Annotated[str, described("The changes in words; empty for a waived finding.")]
    handle: str
    opening: Annotated[str, described("Tag of the opening concerned, or empty.")]
    waived: WaivedEntry | None = None
    changes: Annotated[list[ChangeEntry], described("What cures it, as data: all of them together.")] = field(
        default_factory=list
    )
    complies: Annotated[
        bool, described("True when the judge confirmed: with the changes it is gone, no new one is made.")
    ] = False
    other_changes: Annotated[list[list[ChangeEntry]], described("Other sets of changes that comply too.")] = (
        field(default_factory=list)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class WallEntry(Part):
    """One wall: its limits, joints, panels, openings, reinforcement and findings."""

    tag: str
    handle: str
    x0_in: Annotated[Number, described("Left end of the wall in the drawing's axes, inches.")]
    y0_in: Annotated[Number, described("Bottom of the wall in the drawing's axes, inches.")]
    angle_deg: Annotated[Number, described("Direction of the wall in the drawing, counter-clockwise.")]
    length_in: Number
    height_in: Annotated[Number, described("Least height of the whole wall.")]
    greatest_height_in: Number
    top: list[Spot]
    bottom: list[Spot]
    left_end: Literal["corner", "free", "continues", "joint"]
    right_end: Literal["corner", "free", "continues", "joint"]
    method: str
    units: str
    module_in: Number
    joint_type: str | None
    joint_type_name: str
    limits: LimitsEntry
    joints: list[JointEntry]
    panels: list[PanelEntry]
    openings: list[OpeningEntry]
    horizontal_reinforcement: HorizontalReinforcementEntry
    notes: list[str]
    findings: list[FindingEntry]
    proposed: Annotated[
        list[ProposedEntry],
        described("The cure: every joint of the nearest layout that satisfies the rules."),
    ] = field(default_factory=list)
    cost: CostEntry | None
    search: SearchEntry


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundEntry(Part):
    """How much of one thing was read from the drawing."""

    what: str
    count: int
    layers: list[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class NotTestedEntry(Part):
    """A check that could not run, and why."""

    check: str
    wall: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleRunEntry(Part):
    """How one rule ran on one wall."""

    rule: Annotated[str, described("Code of its findings.")]
    wall: str
    tested: Annotated[int, described("Panels, joints, openings or stations it looked at.")]
    failed: Annotated[int, described("Findings, waived ones included.")]
    untested: Annotated[str, described("What it could not look at and why, or empty.")] = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChecksEntry(Part):
    """How much was tested. "Nothing found" differs from "nothing tested"."""

    ran: int
    passed: int
    could_not_run: list[NotTestedEntry]
    rules: Annotated[
        list[RuleRunEntry],
        described("One for every rule and wall; empty where the rules were not run one by one."),
    ] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenEntry(Part):
    """How the new drawing was written."""

    path: str
    method: Annotated[
        Literal["inserted", "saved"],
        described("inserted: the original's bytes with ours between them; saved: written anew by ezdxf."),
    ]
    reason: Annotated[str | None, described("Why nothing could be inserted; null for inserted.")] = None
    changes: Annotated[list[str], described("What a save changed in the original; empty for inserted.")]
    notes: Annotated[list[str], described("What else a user should know of the writing.")] = field(
        default_factory=list
    )
    entities: Annotated[int, described("Entities of ours in the drawing's modelspace.")] = 0
    pieces: Annotated[
        dict[str, int],
        described("What was drawn, by what it shows; a dimension's lines and text count singly."),
    ] = field(default_factory=dict)
    remarks: Annotated[list[str], described("What could not be drawn as intended.")] = field(
        default_factory=list
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Results(Document):
    """The whole results document of one drawing."""

    schema_version: Literal["1"] = SCHEMA_VERSION
    perpend_version: str
    command: Literal["annotate", "check"]
    drawing: DrawingEntry
    settings_files: Annotated[list[str], described("Settings files used, the one that counts most last.")]
    settings_sha256: Annotated[str, described("Of the settings in force, defaults included.")]
    rulebook: RuleBookEntry
    walls: list[WallEntry]
    corners: Annotated[list[CornerEntry], described("Corners at which two drawn walls meet.")] = field(
        default_factory=list
    )
    findings: Annotated[list[FindingEntry], described("Findings that belong to no single wall.")]
    found: list[FoundEntry]
    ignored: list[IgnoredEntry]
    repaired: list[str]
    remarks: Annotated[list[str], described("What is worth knowing about this run, one sentence each.")]
    notices: Annotated[
        list[NoticeEntry],
        described("The doubts of the walls, what was repaired and the remarks once more, with their codes."),
    ] = field(default_factory=list)
    decisions: Annotated[
        list[DecisionEntry],
        described("What people decided about the joints, and what became of it; annotate alone."),
    ] = field(default_factory=list)
    issues: Annotated[list[IssueEntry], described("Issues of the drawing on record, in order.")] = field(
        default_factory=list
    )
    numbered_after: Annotated[
        tuple[int, int],
        described("V and A numbers of the drawing's plate; a check's go on from there."),
    ] = (0, 0)
    checks: ChecksEntry
    unverified: Annotated[list[SourceEntry], described("Every source used whose page was never seen.")]
    cautions: list[str]
    written: Annotated[WrittenEntry | None, described("null when no drawing was written.")]

    @property
    def all_findings(self) -> list[FindingEntry]:
        """Every finding, the drawing's own first."""
        return [*self.findings, *(f for wall in self.walls for f in wall.findings)]

    @property
    def violated(self) -> bool:
        """True when something that a rule requires is not met, and nobody waived it."""
        return any(f.severity == "required" and f.waived is None for f in self.all_findings)

    @property
    def needs_look(self) -> bool:
        """True when joints are in wrong places if something was read wrongly that a person can settle."""
        return any(notice.severity == "grave-doubt" for notice in self.notices)
