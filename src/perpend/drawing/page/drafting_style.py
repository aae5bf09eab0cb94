"""What a plate looks like: scale, text heights, layers, line types, and what the drafting reports.

Glossary:
    plotted: measured on the sheet of paper. A length on the elevation is the plotted length times
        the plot scale (96 for 1/8" = 1'-0").
    layer key: the tail of one of our layer names, such as ``SLIP``; the empty key is the prefix
        itself, which carries the joint lines.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import Final, Literal

from perpend.dxf.xdata import APPLICATION
from perpend.units import DisplaySystem

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


JOINT, SLIP, LINTEL, STEEL, DIMS, NOTE, SCHEDULE, VIOLATION, PROPOSED, CHANGE = (
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
)

LOOKS: Final[dict[str, LayerLook]] = {
    look.key: look
    for look in (
        LayerLook(JOINT, "control joints", 1, "PERPEND-JOINT", 50),
        LayerLook(SLIP, "slip planes", 42, "CONTINUOUS", 80),
        LayerLook(LINTEL, "lintels", 150, "CONTINUOUS", 30),
        LayerLook(STEEL, "reinforcement", 92, "PERPEND-STEEL", 35),
        LayerLook(DIMS, "dimensions", 7, "CONTINUOUS", 18),
        LayerLook(NOTE, "tags, callouts and notes", 7, "CONTINUOUS", 18),
        LayerLook(SCHEDULE, "schedule and legend", 7, "CONTINUOUS", 18),
        LayerLook(VIOLATION, "violations", 6, "CONTINUOUS", 35),
        LayerLook(PROPOSED, "proposed joints", 8, "PERPEND-PROPOSED", 25),
        LayerLook(CHANGE, "changes since an older issue", 132, "CONTINUOUS", 25),
    )
}

LINETYPES: Final[dict[str, tuple[str, tuple[float, ...]]]] = {
    "PERPEND-JOINT": ("Control joint __ . __ .", (0.1875, -0.0469, 0.0313, -0.0469)),
    "PERPEND-STEEL": ("Reinforcement _ _ _", (0.0938, -0.0469)),
    "PERPEND-WIRE": ("Joint reinforcement - - -", (0.0469, -0.0313)),
    "PERPEND-BEAM": ("Bond beam ___ . . ___", (0.2188, -0.0469, 0.0313, -0.0469, 0.0313, -0.0469)),
    "PERPEND-WAS": ("As it was __ __", (0.125, -0.0625)),
    "PERPEND-PROPOSED": ("Proposed joint . . .", (0.0469, -0.0469)),
}
"""Description and pattern of our line types, in plotted inches: dashes positive, gaps negative."""

WIRE, BEAM, WAS, HEAVY = "PERPEND-WIRE", "PERPEND-BEAM", "PERPEND-WAS", "CONTINUOUS"
WEIGHTS: Final[dict[str, int]] = {WIRE: 18, BEAM: 60, WAS: 18, HEAVY: 70}
"""Line weights of what shares the layer of the steel but has a line type of its own."""


@dataclass(frozen=True, slots=True)
class DraftingStyle:
    """Everything the drafting needs besides the plans.

    Attributes:
        layer_prefix: name of the joint layer and start of every other layer name of ours.
        plot_scale: elevation over paper; 96 is 1/8" = 1'-0".
        text_height_plotted_in: height of the letters on paper, inches.
        dimensions: ``true`` for DIMENSION entities, ``plain`` for lines and texts.
        metric: print millimetres.
        inches_per_unit: inches in one drawing unit.
        cautions: sentences that close the note block.
        rulebook_title: as printed in the note block.
        rulebook_version: as printed in the note block.
        generation: who made the plate; no date, so that the same input gives the same output.
        text_style: name of our text style, or of one that the drawing has.
        text_font: font file of our text style; readers without it put another in its place.
        near_limit: a panel whose length over limit exceeds this has the limit beside it.
        app_id: registered application under which the entities are drawn.
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
    near_limit: float = 0.9
    app_id: str = APPLICATION

    @property
    def text_in(self) -> float:
        """Height of the letters on the elevation, inches."""
        return self.text_height_plotted_in * self.plot_scale

    @property
    def display(self) -> DisplaySystem:
        """System in which lengths are printed."""
        return "metric" if self.metric else "imperial"

    def layer(self, key: str) -> str:
        """Return the full name of the layer with this key."""
        return f"{self.layer_prefix}-{key}" if key else self.layer_prefix


@dataclass(slots=True)
class DraftingReport:
    """What was drawn, in numbers and sentences.

    Attributes:
        entities: number of entities by kind.
        layers: names of our layers in use.
        leaders_in: length of every leader, inches of elevation.
        remarks: one sentence each on what could not be drawn as wanted.
    """

    entities: Counter[str] = field(default_factory=Counter)
    layers: tuple[str, ...] = ()
    leaders_in: list[float] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    @property
    def mean_leader_in(self) -> float:
        """Mean length of the leaders, inches of elevation; 0 when there is none."""
        return sum(self.leaders_in) / len(self.leaders_in) if self.leaders_in else 0.0
