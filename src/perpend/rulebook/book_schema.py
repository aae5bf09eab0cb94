"""What a rule book's file may hold, and nothing else.

Glossary:
    row: one rule, with the text of the limit, where it applies, what it asks for, and its source.
    number: one value of a row; it inherits the row's standing and source unless it has its own.
    kind: what a row is about; each kind allows certain numbers and facts, listed in `VOCABULARY`.
    ledger: what of each document is here, in part, or not, and why.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from perpend.model import Standing
from perpend.rulebook.validation_words import nearest, read_length

Method = Literal["empirical", "engineered", "veneer", "no-joints"]
Units = Literal["full-height", "half-high"]
LedgerState = Literal["implemented", "partial", "out of scope"]
PlaceName = Literal[
    "height-change",
    "thickness-change",
    "pilaster",
    "intersection",
    "foundation-joint",
    "adjoining-wall",
    "expansion-joint",
    "existing",
]
Text = Annotated[str, Field(min_length=1)]
Name = Annotated[str, Field(pattern=r"^[a-z0-9-]+$")]
Access = Literal["page", "secondary", "none"]
"""Whether the text of a document was read, was quoted by others, or was not seen at all."""


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class Citation(_Strict):
    """A document of the book, and the place in it."""

    document: Text
    clause: str = ""


class Number(_Strict):
    """One value of a row.

    Attributes:
        value: the value; a length in inches when `unit` is ``in``.
        unit: ``in``, or the unit as printed; ``1`` for a plain number.
        printed: the value as the file has it.
        standing: of this number, when it differs from its row's.
        document: likewise.
        clause: likewise.
        ask: what an office has to look up, where the number was typed from memory.
    """

    value: float
    unit: Text = "1"
    printed: str = ""
    standing: Standing | None = None
    document: str | None = None
    clause: str | None = None
    ask: str = ""

    @model_validator(mode="before")
    @classmethod
    def _read(cls, given: Any) -> Any:  # noqa: ANN401  (whatever the file holds)
        fields = dict(given) if isinstance(given, dict) else {"value": given}
        value = fields.get("value")
        if isinstance(value, bool):
            raise ValueError("a number or a length is required")
        if isinstance(value, str):
            if "unit" in fields:
                raise ValueError(f"{value!r} is a length already: leave its unit out")
            fields |= {"value": read_length(value), "unit": "in"}
        return fields | {"printed": str(value)}

    @model_validator(mode="after")
    def _whole_source(self) -> Self:
        if (self.document is None) != (self.standing is None):
            raise ValueError("a number with a standing of its own names its document too, and the other way")
        return self


class Applies(_Strict):
    """Where a row counts; an empty list means everywhere.

    Attributes:
        methods: as the settings name them.
        units: height of the units.
        treatments: of openings.
        places: kinds of place.
        materials: of the units, in the book's own words, such as ``clay``.
        supports: how a lintel is held: ``loose`` bears on the masonry, ``anchored`` does not.
        ccc: crack control coefficient.
        large_openings: True for walls with openings that the book counts as large, False for others.
        openings_from: least number of openings in the wall; of rows that differ in it the greatest counts.
    """

    methods: tuple[Method, ...] = ()
    units: tuple[Units, ...] = ()
    treatments: tuple[Literal["reinforced", "unreinforced"], ...] = ()
    places: tuple[PlaceName, ...] = ()
    materials: tuple[Name, ...] = ()
    supports: tuple[Literal["loose", "anchored"], ...] = ()
    ccc: float | None = None
    large_openings: bool | None = None
    openings_from: Annotated[int, Field(ge=0)] = 0


class Vocabulary(_Strict):
    """The numbers and facts a kind of row must have, and may have."""

    numbers: tuple[str, ...] = ()
    may: tuple[str, ...] = ()
    says: tuple[str, ...] = ()
    may_say: tuple[str, ...] = ()


_NOTHING = Vocabulary()
WEIGHT_CLASSES = ("lightweight", "medium-weight", "normal-weight")
_ANY_DIGIT = tuple(f"no{n}" for n in range(3, 10))

MOVEMENT = ("moisture", "thermal", "temperature_change")
"""Numbers of a spacing that is calculated: strain, strain per degree, degrees (one scale for both)."""

VOCABULARY: dict[str, Vocabulary] = {
    "spacing": Vocabulary(may=("ratio", "cap", "crack_width", *MOVEMENT)),
    "interpolation": _NOTHING,
    "tightening": Vocabulary(may=("ratio", "cap")),
    "definition": _NOTHING,
    "coefficient": Vocabulary(numbers=("carbonation", "thermal")),
    "corner": Vocabulary(may=("fraction", "at_most", "at_least", "around"), may_say=("legs",)),
    "shared-corner": Vocabulary(numbers=("around",), says=("legs",)),
    "parapet": Vocabulary(may=("factor", "at_most", "corner_at_most")),
    "horizontal-joint": Vocabulary(may=("width", "at_most", "at_gable", "free_to"), says=("under",)),
    "place": Vocabulary(may=("change_over", "rise_over")),
    "opening-treatment": Vocabulary(says=("treatment",)),
    "opening-jambs": Vocabulary(numbers=("jambs",), may=("wide_over", "jambs_wide", "may", "clear")),
    "opening-corners": Vocabulary(numbers=("past", "beds")),
    "opening-clear": Vocabulary(numbers=("clear",), may=("bar_diameters",)),
    "opening-near": Vocabulary(numbers=("over_width", "over_height", "within")),
    "opening-bars": Vocabulary(numbers=("bar_offset", "lintel_past_bar")),
    "veneer-lintel": Vocabulary(says=("support",)),
    "lintel-bearing": Vocabulary(numbers=("at_least", "usual")),
    "lintel-bearing-by-span": Vocabulary(numbers=("per_foot", "at_least")),
    "lintel-depth": Vocabulary(numbers=("depth",)),
    "arching": Vocabulary(numbers=("angle", "apex_cover", "bearing")),
    "reinforcement-required": Vocabulary(numbers=("area_per_foot",)),
    "reinforcement": Vocabulary(may=("area", "spacing"), says=("key", "name")),
    "joint-type": Vocabulary(may=("fire_hours",), says=("key", "name", "shear", "fire")),
    "joint-width": Vocabulary(numbers=("width",), may=("at_most", "per_length")),
    "sealant": Vocabulary(may=("movement", "alternative", "depth_per_width")),
    "bed-reinforcement": Vocabulary(numbers=("over_ratio", "spacing")),
    "joint-ties": Vocabulary(numbers=("spacing",)),
    "joint-rake": Vocabulary(numbers=("exterior", "interior")),
    "module": Vocabulary(numbers=("module", "unit_length", "metric_module")),
    "course": Vocabulary(numbers=("course", "metric_course")),
    "thickness": Vocabulary(numbers=("t4", "t6", "t8", "t10", "t12")),
    "bars": Vocabulary(numbers=_ANY_DIGIT),
    "wire": Vocabulary(numbers=("per_w",)),
    "shells": Vocabulary(numbers=("t6", "t8", "t10", "t12"), says=("edition",)),
    "no-joint-steel": Vocabulary(numbers=("steel_ratio", "grout_height", "step", "at_most")),
    "material-assumed": Vocabulary(says=("material",)),
    "scope": Vocabulary(says=("setting", "allowed")),
    "wall-assumed": Vocabulary(numbers=("thickness",), says=("core", "bar", "edition")),
    "comparison": Vocabulary(says=("bar", "wire")),
    "weight": Vocabulary(may=("masonry", *WEIGHT_CLASSES, "steel")),
    "opening-arched": Vocabulary(numbers=("clear",)),
    "least-panel": Vocabulary(numbers=("least", "advisory_under", "advisory_taller_than")),
    "narrow-pier": Vocabulary(numbers=("under",)),
    "ganged-openings": Vocabulary(numbers=("up_to",)),
    "strip-opening": Vocabulary(numbers=("over", "times_height", "steel_under")),
    "footing-step": Vocabulary(numbers=("part_over",)),
    "recess": Vocabulary(numbers=("up_to",)),
    "intersections": Vocabulary(numbers=("bonded_clear",), says=("usual",)),
    "pilasters": Vocabulary(says=("usual",)),
    "bearing": Vocabulary(numbers=("clear",)),
    "no-joint-zone": _NOTHING,
    "short-return": _NOTHING,
    "joints-away": Vocabulary(numbers=("clear",)),
    "solid-grouted": _NOTHING,
    "joint-default": Vocabulary(says=("key",)),
    "caution": _NOTHING,
}


class Row(_Strict):
    """One rule of the book.

    Attributes:
        id: stable key, such as ``spacing.empirical-full``.
        kind: one of `VOCABULARY`.
        title: a few words.
        text: what the rule says.
        when: the condition in words, where `applies` cannot say it.
        applies: where the row counts.
        standing: how far it can be trusted.
        source: the document and the place in it.
        numbers: what it asks for.
        says: its facts in words.
        note: True where every wall to which the row applies is told of it in its notes.
    """

    id: Annotated[str, Field(pattern=r"^[a-z0-9-]+\.[a-z0-9-]+$")]
    kind: str
    title: Text
    text: Text
    when: str = ""
    applies: Applies = Applies()
    standing: Standing
    source: Citation
    numbers: dict[str, Number] = {}
    says: dict[str, str] = {}
    note: bool = False

    @model_validator(mode="after")
    def _speaks_its_kind(self) -> Self:
        if self.kind not in VOCABULARY:
            raise ValueError(
                f"row {self.id!r}: the kind {self.kind!r} is not known; {nearest(self.kind, VOCABULARY)}"
            )
        words = VOCABULARY[self.kind]
        _match(self.id, "number", set(self.numbers), set(words.numbers), set(words.may))
        _match(self.id, "fact", set(self.says), set(words.says), set(words.may_say))
        return self

    @property
    def unverified(self) -> bool:
        """True when the row or one of its numbers comes from memory."""
        return Standing.MEMORY in {self.standing, *(n.standing for n in self.numbers.values())}


def _match(row: str, what: str, given: set[str], must: set[str], may: set[str]) -> None:
    for name in sorted(given - must - may):
        hint = nearest(name, must | may) if must | may else "its kind has none"
        raise ValueError(f"row {row!r}: unknown {what} {name!r}; {hint}")
    for name in sorted(must - given):
        raise ValueError(f"row {row!r}: the {what} {name!r} is missing; add it")


class Document(_Strict):
    """One document that rows cite, and how its text was known."""

    key: Text
    title: Text
    edition: str = ""
    about: Text
    seen: Text
    access: Access = "none"

    @property
    def name(self) -> str:
        """Title and edition in one text, such as ``TEK 10-2C (2010)``."""
        return (
            f"{self.title} ({self.edition})"
            if self.edition and self.edition not in self.title
            else self.title
        )


class LedgerEntry(_Strict):
    """What became of one clause of a document."""

    document: Text
    clause: Text
    state: LedgerState
    why: str = ""
    rows: tuple[str, ...] = ()

    @model_validator(mode="after")
    def _explained(self) -> Self:
        if self.state != "implemented" and not self.why:
            raise ValueError(f"ledger entry {self.document!r}, {self.clause!r} is {self.state}: say why")
        if self.state == "implemented" and not self.rows:
            raise ValueError(f"ledger entry {self.document!r}, {self.clause!r} is implemented: name its rows")
        return self


class Verified(_Strict):
    """What an office read in its own copy of a document for one number of a rule book.

    Attributes:
        source: document, table, who looked and when.
        value: what it says, where that is not what the rule book has.
        corrects: True where that value is looser than the rule book's, which the office answers for.
    """

    model_config = ConfigDict(allow_inf_nan=False)

    source: Text
    value: float | str | None = None
    corrects: bool = False


class Head(_Strict):
    """What the book is, on which documents it stands, and what its joints are called on a sheet.

    Attributes:
        key: such as ``us-cmu``.
        title: in words.
        version: edition of the file.
        basis: keys of the documents it stands on.
        note: remark that belongs in every report.
        label: what a joint is called on a sheet, such as ``CJ``.
        joint: the same in words.
        masonry: what a sheet calls the walls, such as ``CMU``; empty says nothing.
        engineer: who decides, as a sheet says it.
        engineer_short: the same in a note.
        methods_called: a method and what a schedule calls it; a method that is not here is called by its key.
        cap_called: what a schedule calls the greatest spacing whatever the height; empty leaves it out.
    """

    key: Annotated[str, Field(pattern=r"^[a-z0-9-]+$")]
    title: Text
    version: Text
    basis: tuple[str, ...]
    note: str = ""
    label: Annotated[str, Field(pattern=r"^[A-Z]{1,4}$")] = "CJ"
    joint: Text = "control joint"
    masonry: str = ""
    engineer: Text = "Engineer of Record"
    engineer_short: Text = "EOR"
    methods_called: dict[str, Text] = {}
    cap_called: str = "cap"


class BookFile(_Strict):
    """A whole rule-book file."""

    book: Head
    documents: tuple[Document, ...]
    rows: tuple[Row, ...]
    ledger: tuple[LedgerEntry, ...]

    @model_validator(mode="after")
    def _hangs_together(self) -> Self:
        documents = {d.key for d in self.documents}
        rows = [row.id for row in self.rows]
        for key in (*self.book.basis, *(e.document for e in self.ledger)):
            if key not in documents:
                raise ValueError(f"the document {key!r} is not listed under [[documents]]")
        for row in self.rows:
            _cited(row, documents)
            if rows.count(row.id) > 1:
                raise ValueError(f"the row {row.id!r} stands in the book twice")
        for entry in self.ledger:
            for row_id in entry.rows:
                if row_id not in rows:
                    raise ValueError(f"the ledger names the row {row_id!r}, which does not exist")
        return self


def _cited(row: Row, documents: set[str]) -> None:
    cited = [row.source.document, *(n.document for n in row.numbers.values() if n.document)]
    for key in cited:
        if key not in documents:
            raise ValueError(
                f"row {row.id!r} is uncited: its document {key!r} is not listed under [[documents]]"
            )
