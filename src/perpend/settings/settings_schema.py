"""What a project's settings may hold, and nothing else.

Lengths are inches, given as numbers or texts (``2'-0"``, ``610 mm``). Empty means the rule book's own.
"""

from __future__ import annotations

import fnmatch
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, PrivateAttr, model_validator

from perpend.model import EndCondition, HeightBasis, Treatment
from perpend.rulebook.book_schema import Method, Units, Verified
from perpend.settings.corner_entry import CornerEntry
from perpend.settings.reading_bounds import Bounds
from perpend.settings.setting_values import (
    Bearing,
    DrawingUnits,
    FewestChanges,
    Groups,
    LayerPrefix,
    Length,
    Patterns,
    PlottedHeight,
    PositiveLength,
    ReturnLength,
    Spacing,
    Weight,
    as_tuple,
)
from perpend.units import GAP_IN


def matches(text: str, patterns: tuple[str, ...]) -> bool:
    """Say whether a name fits one of the patterns (``*`` and ``?``), whatever its case."""
    return any(fnmatch.fnmatchcase(text.lower(), p.lower().replace("[", "[[]")) for p in patterns)


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True, allow_inf_nan=False)


class Layers(_Strict):
    """Which layers play which role: patterns, in any case; without `tags` any text is a tag."""

    walls: Patterns = ("A-ELEV-WALL*",)
    openings: Patterns = ("A-ELEV-OPNG*",)
    reinforced_openings: Patterns = ("A-ELEV-OPNG-REIN*",)
    unreinforced_openings: Patterns = ("A-ELEV-OPNG-UNRE*",)
    tags: Patterns = ()
    joints: Patterns = ("A-ELEV-JNTC*", "*-CTLJ*", "*-EXPJ*", "CJ")
    supports: Patterns = ("A-ELEV-SUPT*",)
    bond_beams: Patterns = ("A-ELEV-BBEM*",)
    structural_bond_beams: Patterns = ("A-ELEV-BBEM-STRC*",)
    pilasters: Patterns = ("A-ELEV-PILR*",)
    thickness_changes: Patterns = ("A-ELEV-THCK*",)
    intersections: Patterns = ("A-ELEV-INTS*",)
    foundation_joints: Patterns = ("A-ELEV-FJNT*",)
    expansion_joints: Patterns = ("A-ELEV-EXPJ*",)
    bearings: Patterns = ("A-ELEV-BRNG*",)
    no_joints: Patterns = ("A-ELEV-NOJT*",)
    shelf_angles: Patterns = ("A-ELEV-SHLF*",)
    ignored: Patterns = ()

    def plays(self, role: str, layer: str) -> bool:
        """Say whether a layer plays a role.

        Raises:
            AttributeError: there is no such role.
        """
        return matches(layer, getattr(self, role))


class Blocks(_Strict):
    """Which block names are doors, windows and other openings, and which never are."""

    openings: Patterns = ("*DOOR*", "*WINDOW*", "*WNDW*", "*OPENING*", "*LOUVER*")
    not_openings: Patterns = ("*TAG*", "*SYM*", "*MARK*", "*NOTE*", "*HDWR*", "*HANDLE*")


class OpeningOptions(_Strict):
    """What may be said of an opening, anywhere."""

    wide_opening_from: PositiveLength | None = None
    lintel_bearing: Bearing | None = None
    lintel_depth: PositiveLength | None = None
    lintel_support: Literal["loose", "anchored"] | None = None
    joint_clear_of_opening: PositiveLength | None = None
    joint_clear_reason: Annotated[str, Field(min_length=1)] | None = None


class WallOptions(OpeningOptions):
    """What may be said of a wall, or of every wall.

    The last block serves walls without joints and the comparison of lintel loads: `bond` of the units,
    nominal `wall_thickness` (inches), `core` (hollow, or every core grouted), edition of the `shells`,
    bar of each bond beam, joint reinforcement counted with it, and the masonry's weight (lb/ft³, or the class
    of its units).
    """

    method: Method | None = None
    units: Units | None = None
    material: str | None = None
    parapet: bool | None = None
    ccc: float | None = None
    local_experience: Annotated[str, Field(min_length=1)] | None = None
    spacing_ratio: float | None = None
    spacing_cap: Spacing | None = None
    height_basis: HeightBasis | None = None
    left_end: EndCondition | None = None
    right_end: EndCondition | None = None
    left_return: ReturnLength | None = None
    right_return: ReturnLength | None = None
    shelf_angles: Annotated[tuple[PositiveLength, ...], BeforeValidator(as_tuple)] = ()
    openings: Treatment | FewestChanges | None = None
    opening_corner_reinforcement: bool | None = None
    joint_type: str | None = None
    joint_width: PositiveLength | None = None
    sealant_movement: Annotated[float, Field(gt=0, le=100)] | None = None
    temperature_change: Annotated[float, Field(ge=0)] | None = None
    horizontal_reinforcement: str | None = None
    draw_horizontal_reinforcement: bool | None = None
    module: Spacing | None = None
    bond_origin: Length | None = None
    bond: Literal["running", "stack"] | None = None
    wall_thickness: Literal[4, 6, 8, 10, 12] | None = None
    core: Literal["hollow", "solid"] | None = None
    shells: str | None = None
    bond_beam_bar: str | None = None
    joint_reinforcement: str | None = None
    joint_reinforcement_spacing: Spacing | None = None
    masonry_weight: Weight | None = None
    least_panel: Length | None = None
    narrow_pier_under: Length | None = None
    ganged_up_to: Length | None = None
    one_lintel_over: Groups = ()
    height_change_over: Length | None = None
    strip_window_over: PositiveLength | None = None
    strip_steel_under: Length | None = None
    bearing_clear: Length | None = None
    intersections: Literal["joint", "unbonded", "bonded"] | None = None
    pilasters: Literal["bonded", "unbonded"] | None = None
    joints_at_openings: Literal["jambs", "away"] | None = None
    fire_rating: str | None = None


class Defaults(WallOptions):
    """What counts for every wall unless something nearer says otherwise."""

    method: Method = "empirical"
    units: Units = "full-height"
    height_basis: HeightBasis = HeightBasis.WALL
    left_end: EndCondition = EndCondition.CORNER
    right_end: EndCondition = EndCondition.CORNER
    openings: Treatment | FewestChanges = Treatment.REINFORCED
    opening_corner_reinforcement: bool = True
    joint_type: str = "formed-paper"
    draw_horizontal_reinforcement: bool = True
    lintel_support: Literal["loose", "anchored"] = "loose"
    bond_origin: Length = 0.0
    bond: Literal["running", "stack"] = "running"


class WallEntry(WallOptions):
    """One ``[[walls]]`` entry: which walls, and what is different there.

    Attributes:
        tag: pattern of the walls' tags; with `at` or `handle`, the tag that the one wall there is given.
        at: a point in the wall, in the drawing's own coordinates.
        handle: handle of the wall's outline.
        exclude: the wall at `at` or `handle` is no wall: leave it out.
        scale: with `at` or `handle`, what its lengths are multiplied by: 2 where it is drawn half as large.
    """

    tag: Annotated[str, Field(min_length=1)] | None = None
    at: tuple[float, float] | None = None
    handle: Annotated[str, Field(min_length=1)] | None = None
    exclude: bool = False
    scale: Annotated[float, Field(gt=0.0, le=100.0)] | None = None

    @model_validator(mode="after")
    def _names_a_wall(self) -> WallEntry:
        placed = self.at is not None or self.handle is not None
        if self.exclude and not placed:
            raise ValueError("exclude leaves out one wall: name it by at = [x, y] or by its handle")
        if self.scale is not None and not placed:
            raise ValueError("scale is that of one wall: name it by at = [x, y] or by its handle")
        if self.tag is None and not self.exclude:
            raise ValueError('tag is missing: say which walls are meant, such as tag = "W1"')
        return self

    @property
    def options(self) -> dict[str, Any]:
        """What is different there, as far as it is said."""
        named = ("tag", "at", "handle", "exclude", "scale")
        return {key: getattr(self, key) for key in self.model_fields_set if key not in named}


class OpeningEntry(OpeningOptions):
    """One ``[[openings]]`` entry: which openings, and what is different there.

    Attributes:
        tag: pattern of the opening's tag.
        layer: pattern of its layer.
        wall: pattern of its wall's tag; narrows the others.
        width_from: least width it counts for.
        width_to: greatest width it counts for.
        treatment: how the opening is dealt with.
    """

    tag: Annotated[str, Field(min_length=1)] | None = None
    layer: Annotated[str, Field(min_length=1)] | None = None
    wall: Annotated[str, Field(min_length=1)] | None = None
    width_from: PositiveLength | None = None
    width_to: PositiveLength | None = None
    treatment: Treatment | None = None


class NoteTexts(_Strict):
    """``[text.note]``: the project's own words for a general note; an empty text leaves the note out."""

    joints: str | None = None
    spacing: str | None = None
    reinforcement: str | None = None
    width: str | None = None
    horizontal_joints: str | None = None
    slip_planes: str | None = None
    places: str | None = None
    openings: str | None = None
    clearance: str | None = None
    lintels: str | None = None
    structure: str | None = None


class JointEntry(_Strict):
    """One ``[[joints]]`` entry: what is decided of one joint, or of one station.

    Attributes:
        wall: pattern of the wall's tag.
        station: of the joint's foot, from the wall's left end.
        decision: ``held``: a joint stands there; ``none-here``: none does; without it, what follows is said
            of the joint that stands there.
        type: joint type, one of the rule book's.
        detail: the project's detail that shows it, such as ``5/A-501``.
        number: the number on the drawing, such as ``4A``.
    """

    wall: Annotated[str, Field(min_length=1)]
    station: ReturnLength
    decision: Literal["held", "none-here"] | None = None
    type: str | None = None
    detail: str = ""
    number: Annotated[str, Field(pattern=r"^[0-9]+[A-Z]*$")] | None = None


class TextStyle(_Strict):
    """Lettering: plotted sizes, the scale they are plotted at, and what the sheet shows.

    Attributes:
        plot_scale: drawing inches to one plotted inch (96: 1/8" = 1'-0"); without it the scale of a viewport
            or of the title counts, where the drawing has one.
        height: plotted text height, inches; 3/32 in. is the common height of notes on drawings.
        font: font file of our text style.
        style: name of the text style; one that the drawing has already is used as it is.
        label: what a joint is called on the sheet; without it the rule book's, such as ``CJ``.
        steel: draw reinforcement; `lintels`, `dimensions`, `schedule`, `notes` and `legend` likewise.
        sources: list sources and rule book on a layer that does not plot.
        plot_findings: let the layer of the findings plot.
        record_note: write issues, deleted joints and numbers that are gone in a note that does not plot.
        note: own words for the general notes.
        more_notes: notes that follow them.
        lists_at: upper left corner of notes and schedules, units of the drawing, or of their layout.
        lists_in: name of the layout that takes them, ``Model`` for modelspace; without it the only layout of
            paper space that shows all walls.
        dimensions_from_grid: dimension joints from the grid lines.
    """

    label: Annotated[str, Field(pattern=r"^[A-Z]{1,4}$")] | None = None
    steel: bool = True
    lintels: bool = True
    dimensions: bool = True
    schedule: bool = True
    notes: bool = True
    legend: bool = True
    sources: bool = False
    plot_findings: bool = False
    record_note: bool = True
    note: NoteTexts = NoteTexts()
    more_notes: Patterns = ()
    lists_at: tuple[float, float] | None = None
    lists_in: Annotated[str, Field(min_length=1)] | None = None
    dimensions_from_grid: bool = False
    plot_scale: Annotated[float, Field(ge=0.01, le=100_000)] = 96.0
    height: PlottedHeight = 3 / 32
    font: str = "simplex.shx"
    style: str = "PERPEND"

    @property
    def height_in(self) -> float:
        """Text height in the model, inches."""
        return self.height * self.plot_scale


class DetailNumbers(_Strict):
    """``[details]``: the project's own numbers, such as ``5/A-501``, for what our typical details show.

    Attributes:
        sheet: name of the sheet that our own details go on, such as ``A-501``.
        sheet_size: sheet of ``perpend details``; without it ARCH D, or A1 where lengths are metric.
        joint: detail of the joint's type, in plan; each of the others is named after what it shows.
    """

    sheet: str = ""
    sheet_size: Literal["arch-d", "a1"] | None = None
    joint: str = ""
    sealant: str = ""
    slip_plane: str = ""
    slip_plane_section: str = ""
    lintel: str = ""
    lintel_section: str = ""
    jamb: str = ""
    corner: str = ""
    pilaster: str = ""
    intersection: str = ""
    bond_beam: str = ""
    reinforcement: str = ""
    veneer: str = ""


class Tolerances(_Strict):
    """How much drafting slack is forgiven while reading."""

    gap: PositiveLength = GAP_IN


def _verified(given: Any) -> Any:  # noqa: ANN401
    return {"source": given} if isinstance(given, str) else given


class Settings(_Strict):
    """A project's settings.

    `files` and `sha256` say where they came from; both are set by `load_settings`.
    """

    rulebook: str = "us-cmu"
    units_of_drawing: DrawingUnits | None = None
    layout: str | None = None
    layer_prefix: LayerPrefix = "A-ELEV-JNTC"
    dimensions: Literal["true", "plain"] = "true"
    layers: Layers = Layers()
    blocks: Blocks = Blocks()
    defaults: Defaults = Defaults()
    walls: Annotated[tuple[WallEntry, ...], BeforeValidator(as_tuple)] = ()
    openings: Annotated[tuple[OpeningEntry, ...], BeforeValidator(as_tuple)] = ()
    joints: Annotated[tuple[JointEntry, ...], BeforeValidator(as_tuple)] = ()
    corners: Annotated[tuple[CornerEntry, ...], BeforeValidator(as_tuple)] = ()
    renumber: Literal["always", "until-issued", "never"] = "until-issued"
    same_joint_within: PositiveLength = 48.0
    text: TextStyle = TextStyle()
    details: DetailNumbers = DetailNumbers()
    tolerances: Tolerances = Tolerances()
    bounds: Bounds = Bounds()
    site: dict[str, str] = {}
    verified: dict[str, Annotated[Verified, BeforeValidator(_verified)]] = {}
    severities: dict[str, Literal["required", "advisory"]] = {}

    _files: tuple[str, ...] = PrivateAttr(default=())
    _sha256: str = PrivateAttr(default="")

    @property
    def files(self) -> tuple[str, ...]:
        """The files the settings came from, the one that counts most last."""
        return self._files

    @property
    def sha256(self) -> str:
        """Hash of the settings in force, defaults included; empty before `load_settings` set it."""
        return self._sha256
