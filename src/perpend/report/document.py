"""The results document: what one run found and decided, as data another program can read.

`Results` is written as JSON and is the one thing every rendering (terminal text, sheets, tables) is
made from. docs/results.md explains it; docs/results.schema.json is its JSON schema, made from here.

Lengths are inches and their keys end in ``_in``. Places are in a wall's own axes: origin at its left
end and bottom, x along the wall, y up. Lengths are rounded to a millionth of an inch, so that the
same elevation drawn in another unit or at another origin gives the same numbers.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Final, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

SCHEMA_VERSION: Final = "1"
"""Changes when a reader of an older document would misread a newer one."""


def _settled(value: float) -> float:
    """Round to a millionth, and make a negative zero a plain one."""
    return round(value, 6) + 0.0


Number = Annotated[float, AfterValidator(_settled), Field(allow_inf_nan=False)]
Spot = tuple[Number, Number]


class Part(BaseModel):
    """Base of every part: nothing unknown gets in, nothing changes later."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class SourceEntry(Part):
    """Where a number comes from: the row of the rule book, the document and how far to trust it."""

    row: str
    document: str
    clause: str
    standing: Literal["published", "memory", "common practice", "derived", "decision"]
    unverified: bool = Field(description="True when the page itself was never seen (standing: memory).")
    text: str = ""


class DrawingEntry(Part):
    """The drawing that was read."""

    path: str = Field(description="As given on the command line.")
    sha256: str = Field(description="Of the file's bytes as they were read.")
    dxf_version: str
    units: str = Field(description="The drawing's length unit: in, ft, mm, cm or m.")
    units_why: str = Field(description="How the unit was known: header, setting, or a guess and its reason.")
    inches_per_unit: Number
    metric: bool = Field(description="True when lengths are printed in millimetres.")


class RuleBookEntry(Part):
    """The rule book that decided the limits."""

    key: str
    title: str
    version: str
    sha256: str
    note: str = ""


class LimitsEntry(Part):
    """The limits of a wall, at its least height."""

    height_in: Number
    height_basis: Literal["wall", "storey"]
    max_spacing_in: Number | None = Field(
        description="Greatest panel length; null when no joints are needed."
    )
    governing: Literal["ratio", "cap", "none"]
    ratio: Number | None
    cap_in: Number | None
    corner_distance_in: Number | None = Field(
        description="Greatest distance of the first joint from a corner."
    )
    corner_min_in: Number = 0.0
    tightened: str = Field(default="", description="What the settings tightened, in words.")
    ccc: float | None = Field(
        default=None, description="Crack control coefficient used, engineered method only."
    )
    sources: list[SourceEntry]


class SlipPlaneEntry(Part):
    """The level piece of a stepped joint, under the bearing of a lintel."""

    x0_in: Number
    x1_in: Number
    y_in: Number
    opening: str


class JointEntry(Part):
    """One control joint."""

    number: int = Field(description="1, 2, ... from the wall's left end.")
    x_in: Number = Field(description="Station of its foot; at a jamb joint, the jamb.")
    path: list[Spot] = Field(description="The whole line from bottom to top, steps included.")
    kind: Literal["straight", "jamb", "forced", "end", "existing"]
    type: str | None = Field(description="Joint type; null when none was named.")
    reason: str
    state: Literal["new", "existing"] = Field(description="existing: it stood in the drawing already.")
    serves: list[str] = Field(default=[], description="Tags of the openings whose jamb it serves.")
    slip_planes: list[SlipPlaneEntry] = []
    handle: str = Field(default="", description="DXF handle of an existing joint's first entity.")
    sources: list[SourceEntry]


class PanelEntry(Part):
    """The masonry between two joints, or between a joint and an end of the wall."""

    x0_in: Number
    x1_in: Number
    length_in: Number = Field(
        description="Greatest level distance between its two sides on any course. It is more than "
        "x1_in - x0_in where a stepped joint leans away from the panel."
    )
    limit_in: Number | None = Field(description="Greatest length allowed; null when no joints are needed.")
    height_in: Number
    utilisation: Number | None = Field(description="length_in over limit_in; above 1 the panel is too long.")
    at_corner: bool = Field(description="True when the panel ends at a corner.")
    corner_limit_in: Number | None = Field(
        default=None,
        description="Greatest distance of the first joint from that corner, at the height of this panel.",
    )


class LintelEntry(Part):
    """The lintel drawn over an opening. Its design is not ours."""

    x0_in: Number
    x1_in: Number
    y0_in: Number
    y1_in: Number
    bearing_left_in: Number
    bearing_right_in: Number
    note: str = ""


class OpeningEntry(Part):
    """One opening and how it is dealt with."""

    tag: str
    handle: str
    x0_in: Number
    x1_in: Number
    y0_in: Number
    y1_in: Number
    treatment: Literal["reinforced", "unreinforced"]
    boundary_case: bool = Field(description="True when its width falls in neither printed branch.")
    joints: list[int] = Field(description="Numbers of the joints that serve its jambs.")
    lintel: LintelEntry | None
    sources: list[SourceEntry]


class ReinforcementChoiceEntry(Part):
    """One way to meet the horizontal reinforcement."""

    name: str
    area_in2: Number
    max_spacing_in: Number
    source: SourceEntry


class HorizontalReinforcementEntry(Part):
    """What a wall needs between its joints, and the choices that meet it."""

    required_in2_per_ft: Number | None
    source: SourceEntry | None
    chosen: str | None
    choices: list[ReinforcementChoiceEntry]


class WaivedEntry(Part):
    """Who accepted a finding, why, and until when."""

    reason: str
    who: str
    until: date | None = Field(description="Last day it counts; null for good.")


class FindingEntry(Part):
    """One fault or remark."""

    code: str
    fingerprint: str = Field(description="Stays the same when the drawing is shifted or judged again.")
    severity: Literal["required", "advisory"]
    message: str
    measured_in: Number | None
    limit_in: Number | None
    source: SourceEntry | None
    at: list[Spot] = Field(description="Places in the wall's own axes.")
    cure: str
    handle: str
    opening: str = Field(description="Tag of the opening concerned, or empty.")
    waived: WaivedEntry | None = None


class ProposedEntry(Part):
    """What becomes of one joint in the nearest layout that satisfies the rules."""

    change: Literal["kept", "moved", "redrawn", "added", "removed"]
    number: int = Field(description="In the proposed layout; of a removed joint, its own.")
    was: int | None = Field(description="Number of the drawn joint that it was; null when it is added.")
    x_in: Number = Field(description="Station of its foot as it shall stand; as it stood when removed.")
    path: list[Spot] = Field(description="Its line as it shall stand; as it stood when removed.")
    move_in: Number = Field(description="How far its foot moves; 0 unless it is moved.")
    reason: str


class CostEntry(Part):
    """What a layout costs, in the order in which it was minimised (docs/placement.md)."""

    violations: int
    excess_in: Number
    joints: int
    slip_planes: int
    longest_in: Number
    unevenness_in2: Number


class SearchEntry(Part):
    """Work done by the search."""

    candidates: int
    pairs_examined: int


class WallEntry(Part):
    """One wall: its limits, joints, panels, openings, reinforcement and findings."""

    tag: str
    handle: str
    x0_in: Number = Field(description="Left end of the wall in the drawing's axes, inches.")
    y0_in: Number = Field(description="Bottom of the wall in the drawing's axes, inches.")
    angle_deg: Number = Field(description="Direction of the wall in the drawing, counter-clockwise.")
    length_in: Number
    height_in: Number = Field(description="Least height of the whole wall.")
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
    proposed: list[ProposedEntry] = Field(
        default=[], description="The cure: every joint of the nearest layout that satisfies the rules."
    )
    cost: CostEntry | None
    search: SearchEntry


class FoundEntry(Part):
    """How much of one thing was read from the drawing."""

    what: str
    count: int
    layers: list[str]


class IgnoredEntry(Part):
    """Something on a layer of interest that was not used, and why.

    Where its place is known: `at` in drawing axes and drawing units, and the station `x_in` in its `wall`.
    """

    handle: str
    kind: str
    layer: str
    why: str
    at: tuple[float, float] | None = None
    wall: str = ""
    x_in: float | None = None


class NotTestedEntry(Part):
    """A check that could not run, and why."""

    check: str
    wall: str
    why: str


class RuleRunEntry(Part):
    """How one rule ran on one wall."""

    rule: str = Field(description="Code of its findings.")
    wall: str
    tested: int = Field(description="Panels, joints, openings or stations it looked at.")
    failed: int = Field(description="Findings, waived ones included.")
    untested: str = Field(default="", description="What it could not look at and why, or empty.")


class ChecksEntry(Part):
    """How much was tested. "Nothing found" differs from "nothing tested"."""

    ran: int
    passed: int
    could_not_run: list[NotTestedEntry]
    rules: list[RuleRunEntry] = Field(
        default=[], description="One for every rule and wall; empty where the rules were not run one by one."
    )


class WrittenEntry(Part):
    """How the new drawing was written."""

    path: str
    method: Literal["inserted", "saved"] = Field(
        description="inserted: the original's bytes with ours between them; saved: written anew by ezdxf."
    )
    reason: str | None = Field(default=None, description="Why nothing could be inserted; null for inserted.")
    changes: list[str] = Field(description="What a save changed in the original; empty for inserted.")
    notes: list[str] = Field(default=[], description="What else a user should know of the writing.")
    entities: int = Field(default=0, description="Entities of ours in the drawing's modelspace.")
    pieces: dict[str, int] = Field(
        default={}, description="What was drawn, by what it shows; a dimension's lines and text count singly."
    )
    remarks: list[str] = Field(default=[], description="What could not be drawn as wanted.")


class Results(Part):
    """The whole results document of one drawing."""

    schema_version: Literal["1"] = SCHEMA_VERSION
    perpend_version: str
    command: Literal["annotate", "check"]
    drawing: DrawingEntry
    settings_files: list[str] = Field(description="Settings files used, the one that counts most last.")
    settings_sha256: str = Field(description="Of the settings in force, defaults included.")
    rulebook: RuleBookEntry
    walls: list[WallEntry]
    findings: list[FindingEntry] = Field(description="Findings that belong to no single wall.")
    found: list[FoundEntry]
    ignored: list[IgnoredEntry]
    repaired: list[str]
    remarks: list[str] = Field(description="What is worth knowing about this run, one sentence each.")
    numbered_after: tuple[int, int] = Field(
        default=(0, 0), description="V and A numbers of the drawing's plate; a check's go on from there."
    )
    checks: ChecksEntry
    unverified: list[SourceEntry] = Field(description="Every source used whose page was never seen.")
    cautions: list[str]
    written: WrittenEntry | None = Field(description="null when no drawing was written.")

    @property
    def all_findings(self) -> list[FindingEntry]:
        """Every finding, the drawing's own first."""
        return [*self.findings, *(f for wall in self.walls for f in wall.findings)]

    @property
    def violated(self) -> bool:
        """True when something that a rule requires is not met, and nobody waived it."""
        return any(f.severity == "required" and f.waived is None for f in self.all_findings)

    def to_json(self) -> str:
        """Return the document as JSON text that ends with a line end."""
        return self.model_dump_json(indent=2) + "\n"

    @classmethod
    def from_json(cls, text: str) -> Results:
        """Read a document back.

        Raises:
            pydantic.ValidationError: the text is no results document of this schema version.
        """
        return cls.model_validate_json(text)


def schema_of(document: type[Part]) -> dict[str, object]:
    """Return the JSON schema (draft 2020-12) of a document as it is written."""
    schema = document.model_json_schema(mode="serialization")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def results_schema() -> dict[str, object]:
    """Return the JSON schema (draft 2020-12) of the results document."""
    return schema_of(Results)
