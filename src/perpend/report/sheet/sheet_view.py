"""What the sheet's template reads: rows of printed texts, with the numbers to sort them by.

Glossary:
    key: what ties a row of a table to its shape on the elevation; unique in the sheet and safe as an
        identifier (tags are not: a drafter may write anything).
"""

from __future__ import annotations

from dataclasses import dataclass

from perpend.model import Point


@dataclass(frozen=True, slots=True)
class SourceRow:
    """One source, numbered for the whole sheet."""

    number: int
    document: str
    clause: str
    standing: str
    unverified: bool
    row: str
    text: str


@dataclass(frozen=True, slots=True)
class FindingRow:
    """One finding: texts to print, numbers to sort by, places in the wall's axes (inches).

    Attributes:
        difference: by how much the limit is missed, such as ``2'-8" over``.
        place: stations along the wall, in words.
        waived: who accepted it and why, or empty.
    """

    key: str
    severity: str
    wall_key: str
    wall: str
    code: str
    title: str
    message: str
    measured: str
    limit: str
    difference: str
    measured_in: float | None
    limit_in: float | None
    place: str
    at: tuple[Point, ...]
    source: SourceRow | None
    cure: str
    handle: str
    opening: str
    fingerprint: str
    waived: str

    @property
    def state(self) -> str:
        """``waived``, or its severity."""
        return "waived" if self.waived else self.severity

    @property
    def spoken(self) -> str:
        """What a screen reader says of its mark."""
        parts = [f"{self.key}, {STATE_WORDS[self.state]}", self.title]
        parts += [f"measured {self.measured}"] if self.measured else []
        parts += [f"limit {self.limit}"] if self.limit else []
        return "; ".join(parts)


STATE_WORDS = {"required": "violation", "advisory": "advisory", "waived": "waived"}


@dataclass(frozen=True, slots=True)
class JointRow:
    """One joint of a wall."""

    key: str
    number: str
    x_in: float
    station: str
    runs: str
    state: str
    joint_type: str
    slip_planes: str
    reason: str
    handle: str
    sources: tuple[SourceRow, ...]


@dataclass(frozen=True, slots=True)
class PanelRow:
    """One panel of a wall; ``dimension`` is the distance between its feet, ``length`` what is compared."""

    key: str
    number: int
    span: str
    dimension: str
    length: str
    limit: str
    height: str
    percent: str
    too_long: bool
    length_in: float
    share: float


@dataclass(frozen=True, slots=True)
class OpeningRow:
    """One opening of a wall."""

    key: str
    tag: str
    x_in: float
    width_in: float
    size: str
    place: str
    treatment: str
    joints: str
    lintel: str
    boundary_case: bool
    handle: str
    sources: tuple[SourceRow, ...]


@dataclass(frozen=True, slots=True)
class ProposalRow:
    """One change of the cure: a joint moved, added or removed."""

    key: str
    change: str
    name: str
    sign: str
    station: str
    was: str
    reason: str


@dataclass(frozen=True, slots=True)
class Fact:
    """One line about a wall: a label, a text and the sources it rests on."""

    label: str
    text: str
    sources: tuple[SourceRow, ...] = ()


def wall_named(tag: str) -> str:
    """Return ``wall W1``; a tag that says so itself, as ``wall 2`` without a tag, is left alone."""
    return tag if tag.lower().startswith("wall") else f"wall {tag}"


@dataclass(frozen=True, slots=True)
class WallView:
    """One wall: its picture and everything said about it."""

    key: str
    tag: str
    heading: str
    svg: str
    facts: tuple[Fact, ...]
    findings: tuple[FindingRow, ...]
    joints: tuple[JointRow, ...]
    panels: tuple[PanelRow, ...]
    openings: tuple[OpeningRow, ...]
    proposals: tuple[ProposalRow, ...]
    notes: tuple[str, ...]

    @property
    def name(self) -> str:
        """What it is called within a sentence."""
        return wall_named(self.tag)

    @property
    def title(self) -> str:
        """What it is called in a heading."""
        return self.name[:1].upper() + self.name[1:]


@dataclass(frozen=True, slots=True)
class TotalRow:
    """Counts of one wall, or of the whole drawing."""

    key: str
    name: str
    length: str
    joints: int
    slip_planes: int
    longest: str
    required: int
    advisory: int
    waived: int


@dataclass(frozen=True, slots=True)
class RuleRow:
    """One rule over all walls: how much it looked at, what it found, what it could not look at."""

    code: str
    title: str
    tested: int
    failed: int
    untested: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class UntestedRow:
    """One check that could not run, and why."""

    name: str
    wall: str
    why: str


@dataclass(frozen=True, slots=True)
class SheetView:
    """The whole sheet."""

    title: str
    drawing: str
    kind: str
    verdict: str
    violated: bool
    metric: bool
    particulars: tuple[Fact, ...]
    walls: tuple[WallView, ...]
    findings: tuple[FindingRow, ...]
    totals: tuple[TotalRow, ...]
    whole: TotalRow
    ran: int
    passed: int
    untested: tuple[UntestedRow, ...]
    rules: tuple[RuleRow, ...]
    left_out: bool
    sources: tuple[SourceRow, ...]
    unverified: int
    cautions: tuple[str, ...]
    remarks: tuple[str, ...]
    generator: str
