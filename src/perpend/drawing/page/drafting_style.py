"""What a plate looks like: scale, text heights, layers, line types, and what the drafting reports.

Glossary:
    plotted: measured on the sheet of paper. A length on the elevation is the plotted length times
        the plot scale (96 for 1/8" = 1'-0").
    layer key: the tail of one of our layer names, such as ``SLIP``; the empty key is the prefix
        itself, which carries the joint lines.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final, Literal

from perpend.decisions.moved_labels import HandLabel
from perpend.dxf.xdata import APPLICATION
from perpend.settings.detail_references import JOINT_NAMES
from perpend.units import DisplaySystem

_METRE: Final = 1000 / 25.4
XDATA_VERSION: Final = "2"

DIMENSION_STYLE: Final = "PERPEND"
TEXT_STYLE: Final = "PERPEND"


@dataclass(frozen=True, slots=True)
class LayerLook:
    """How one of our layers shows: colour index, line type and line weight.

    Attributes:
        key: tail of the layer's name.
        title: what stands on it.
        color: colour index; chosen to read on a dark screen and on white paper.
        linetype: one of `LINETYPES`, or ``CONTINUOUS``.
        lineweight: hundredths of a millimetre, so that black prints still tell them apart.
    """

    key: str
    title: str
    color: int
    linetype: str
    lineweight: int


JOINT, SLIP, LINTEL, STEEL, DIMS, NOTE, SCHEDULE, VIOLATION, PROPOSED, CHANGE, BASIS = (
    "",
    "SLIP",
    "LINT",
    "STEL",
    "DIMS",
    "NOTE",
    "SCHD",
    "VIOL",
    "PROP",
    "CHNG",
    "BASS",
)

LOOKS: Final[dict[str, LayerLook]] = {
    look.key: look
    for look in (
        LayerLook(JOINT, "control joints", 1, "CENTER", 50),
        LayerLook(SLIP, "slip planes", 42, "CONTINUOUS", 80),
        LayerLook(LINTEL, "lintels", 150, "CONTINUOUS", 30),
        LayerLook(STEEL, "reinforcement", 92, "DASHED", 35),
        LayerLook(DIMS, "dimensions", 7, "CONTINUOUS", 18),
        LayerLook(NOTE, "tags, callouts and notes", 7, "CONTINUOUS", 18),
        LayerLook(SCHEDULE, "schedule and legend", 7, "CONTINUOUS", 18),
        LayerLook(VIOLATION, "violations", 6, "CONTINUOUS", 35),
        LayerLook(PROPOSED, "proposed joints", 8, "DOT", 25),
        LayerLook(CHANGE, "changes since an older issue", 132, "CONTINUOUS", 25),
        LayerLook(BASIS, "basis and sources, not plotted", 8, "CONTINUOUS", 18),
    )
}

LINETYPES: Final[dict[str, tuple[str, tuple[float, ...]]]] = {
    "CENTER": ("Center ____ _ ____ _", (0.1875, -0.0469, 0.0469, -0.0469)),
    "DASHED": ("Dashed __ __ __", (0.0938, -0.0469)),
    "HIDDEN": ("Hidden _ _ _", (0.0469, -0.0313)),
    "DIVIDE": ("Divide ____ . . ____", (0.2188, -0.0469, 0.0156, -0.0469, 0.0156, -0.0469)),
    "DOT": ("Dot . . .", (0.0156, -0.0469)),
}
"""Description and pattern by standard name, in plotted inches: dashes positive, gaps negative."""

FAMILIES: Final = {"CENTER": ("DASHDOT",), "HIDDEN": ("DASHED",), "DASHED": ("HIDDEN",)}
"""Standard line types that serve where a drawing has ours with another pattern."""

WIRE, BEAM, WAS = "HIDDEN", "DIVIDE", "DASHED"
HEAVY: Final = 70
"""Weight of the brackets of a review."""
WEIGHTS: Final[dict[str, int]] = {WIRE: 18, BEAM: 60, WAS: 18}
"""Line weights of what shares the layer of the steel but has a line type of its own."""


@dataclass(frozen=True, slots=True)
class Content:
    """What goes on the sheet, and in whose words.

    Attributes:
        label: what a joint is called, such as ``CJ``.
        joint_name: the rule book's name of it, written out, where the label is none of those in general use.
        material: of the walls, as the title of their schedule says it; empty says nothing.
        engineer: who decides.
        engineer_short: the same in a note.
        methods_called: what the schedule calls a method; one that is not here is called by its key.
        cap_called: what it calls the greatest spacing whatever the height; empty leaves it out.
        feet_beside: print feet and inches beside millimeters in sentences.
        several_methods: the schedule names the method.
        several_units: the schedule names the height of the units where it has no material to name.
        steel: draw bars, joint reinforcement and bond beams.
        lintels: draw lintels.
        dimensions: draw the panel dimensions.
        schedule: draw the schedules of joints and walls.
        notes: draw the general notes.
        legend: draw the legend.
        sources: list sources and rule book on a layer that does not plot.
        plots_findings: True when the layer of the findings plots.
        own_notes: by key of a note, the project's own words; an empty text leaves the note out.
        more_notes: notes of the project's own that follow.
        details: number of the typical detail by its key; without them the plate refers to none.
        lists_at: upper left corner of the lists, units of the drawing or of the layout that takes them; None
            looks for room.
        lists_in: name of the layout that takes the lists; None takes the only one that shows all walls.
        from_grid: dimensions run from grid line to joint to grid line.
    """

    label: str = "CJ"
    joint_name: str = "control joint"
    material: str = "CMU"
    engineer: str = "Engineer of Record"
    engineer_short: str = "EOR"
    feet_beside: bool = True
    methods_called: Mapping[str, str] = field(default_factory=dict)
    cap_called: str = "cap"
    several_methods: bool = True
    several_units: bool = True
    steel: bool = True
    lintels: bool = True
    dimensions: bool = True
    schedule: bool = True
    notes: bool = True
    legend: bool = True
    sources: bool = False
    plots_findings: bool = False
    own_notes: Mapping[str, str] = field(default_factory=dict)
    more_notes: tuple[str, ...] = ()
    details: Mapping[str, str] = field(default_factory=dict)
    lists_at: tuple[float, float] | None = None
    lists_in: str | None = None
    from_grid: bool = False

    @property
    def joint(self) -> str:
        """The joint's name, written out."""
        return (JOINT_NAMES.get(self.label) or self.joint_name).upper()


@dataclass(frozen=True, slots=True)
class DraftingStyle:
    """Everything the drafting needs besides the plans.

    Attributes:
        layer_prefix: name of the joint layer and start of every other layer name of ours.
        plot_scale: elevation over paper; 96 is 1/8" = 1'-0".
        text_height_plotted_in: height of the letters on paper, inches.
        dimensions: ``true`` for DIMENSION entities, ``plain`` for lines and texts.
        metric: print millimetres, or metres in a drawing in metres.
        inches_per_unit: inches in one drawing unit.
        cautions: sentences that close the notes of a review, and the basis that does not plot.
        rulebook_title: as printed with the basis.
        rulebook_version: as printed with the basis.
        generation: who made the plate; no date, so that the same input gives the same output.
        text_style: name of our text style, or of one that the drawing has.
        text_font: font file of our text style; readers without it put another in its place.
        app_id: registered application under which the entities are drawn.
        content: what goes on the sheet.
        doubts: what may have been read wrongly, listed on the layer that does not plot.
        scale_source: where the plot scale was read in the drawing; empty for a setting or the default.
        layout: name of the layout on which the walls are drawn; None is modelspace.
    """

    layer_prefix: str = "A-ELEV-JNTC"
    plot_scale: float = 96.0
    text_height_plotted_in: float = 3 / 32
    dimensions: Literal["true", "plain"] = "true"
    metric: bool = False
    inches_per_unit: float = 1.0
    cautions: tuple[str, ...] = ()
    rulebook_title: str = ""
    rulebook_version: str = ""
    generation: str = ""
    text_style: str = TEXT_STYLE
    text_font: str = "simplex.shx"
    app_id: str = APPLICATION
    content: Content = field(default_factory=Content)
    doubts: tuple[str, ...] = ()
    scale_source: str = ""
    layout: str | None = None

    def plots(self, key: str) -> bool:
        """Say whether the layer with this key plots."""
        return key != BASIS and (key != VIOLATION or self.content.plots_findings)

    @property
    def text_in(self) -> float:
        """Height of the letters on the elevation, inches."""
        return self.text_height_plotted_in * self.plot_scale

    @property
    def display(self) -> DisplaySystem:
        """System in which lengths are printed."""
        if not self.metric:
            return "imperial"
        return "metres" if math.isclose(self.inches_per_unit, _METRE, rel_tol=1e-6) else "metric"

    def measured_by(self, inches_per_unit: float) -> DraftingStyle:
        """Return the style for walls drawn at another size; letters are as high on paper as all others."""
        if inches_per_unit == self.inches_per_unit:
            return self
        scale = self.plot_scale * inches_per_unit / self.inches_per_unit
        return replace(self, plot_scale=scale, inches_per_unit=inches_per_unit)

    def layer(self, key: str) -> str:
        """Return the full name of the layer with this key."""
        return f"{self.layer_prefix}-{key}" if key else self.layer_prefix


@dataclass(frozen=True, slots=True)
class Revised:
    """What a plate takes over from the one before.

    Attributes:
        by_hand: labels that stay where a person put them, if they fit there.
        note: lines of the note on issues and deleted joints; none draws no note.
    """

    by_hand: Sequence[HandLabel] = ()
    note: Sequence[str] = ()


@dataclass(slots=True)
class DraftingReport:
    """What was drawn, in numbers and sentences.

    Attributes:
        entities: number of entities by kind.
        layers: names of our layers in use.
        leaders_in: length of every leader, inches of elevation.
        remarks: one sentence each on what could not be drawn as intended.
        schedule: the joint schedule as CSV.
        by_hand: labels that a person moved: which, what it says, and whether it fits there.
    """

    entities: Counter[str] = field(default_factory=Counter)
    layers: tuple[str, ...] = ()
    leaders_in: list[float] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    schedule: str = ""
    by_hand: list[tuple[HandLabel, str, bool]] = field(default_factory=list)
