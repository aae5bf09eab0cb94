"""Which typical detail shows what, and by which number a drawing refers to it.

Numbers run from 1 in the order of `DETAILS`; joint types that the rule book does not know are left out, and
so is what no rule of it is about. A project's own numbers (``[details] joint = "5/A-501"``) take the place
of ours.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from perpend.model import Joint, JointKind, PlaceKind
from perpend.rulebook import RuleBook
from perpend.settings.settings_schema import DetailNumbers, Settings


@dataclass(frozen=True, slots=True)
class DetailKind:
    """One typical detail.

    Attributes:
        key: such as ``slip-plane``; a joint type's detail has the key of the type.
        title: as lettered below it; ``{cj}`` stands for the joint's label.
        setting: key of ``[details]`` that gives the project's own number.
        view: ``PLAN``, ``ELEVATION`` or ``SECTION``.
        rests_on: id of the row without which a rule book has nothing to draw it by.
    """

    key: str
    title: str
    setting: str
    view: str
    rests_on: str = ""


JOINT_TYPES: Final = ("formed-paper", "preformed-gasket", "tongue-and-groove", "raked")

DETAILS: Final = (
    DetailKind("formed-paper", "{cj}: FORMED PAPER", "joint", "PLAN"),
    DetailKind("preformed-gasket", "{cj}: PREFORMED GASKET", "joint", "PLAN"),
    DetailKind("tongue-and-groove", "{cj}: TONGUE-AND-GROOVE UNIT", "joint", "PLAN"),
    DetailKind("raked", "{cj}: RAKED, BACKER ROD AND SEALANT", "joint", "PLAN"),
    DetailKind("sealant", "SEALANT AT {cj}", "sealant", "PLAN"),
    DetailKind("slip-plane", "{cj} AND SLIP PLANE AT LINTEL", "slip_plane", "ELEVATION"),
    DetailKind("slip-plane-section", "SLIP PLANE UNDER LINTEL", "slip_plane_section", "SECTION"),
    DetailKind(
        "lintel-bearing", "LINTEL AT REINFORCED OPENING", "lintel", "ELEVATION", "opening.reinforced-bars"
    ),
    DetailKind(
        "lintel-bearing-section", "LINTEL BEARING", "lintel_section", "SECTION", "opening.reinforced-bars"
    ),
    DetailKind("reinforced-jamb", "REINFORCED JAMB", "jamb", "PLAN", "opening.reinforced-bars"),
    DetailKind("corner", "{cj} NEAR CORNER", "corner", "PLAN"),
    DetailKind("pilaster", "{cj} AT PILASTER", "pilaster", "PLAN", "place.pilaster"),
    DetailKind("intersection", "{cj} AT INTERSECTING WALL", "intersection", "PLAN", "place.intersection"),
    DetailKind(
        "bond-beam-through",
        "STRUCTURAL BOND BEAM AT {cj}",
        "bond_beam",
        "ELEVATION",
        "reinforcement.structural",
    ),
    DetailKind(
        "bond-beam-stopped", "HORIZ. REINF. AT {cj}", "reinforcement", "ELEVATION", "reinforcement.at-joint"
    ),
    DetailKind("veneer", "JOINT IN ANCHORED VENEER", "veneer", "PLAN", "spacing.veneer"),
)

_BY_PLACE: Final = {PlaceKind.PILASTER: "pilaster", PlaceKind.INTERSECTION: "intersection"}


_OF_BRICK: Final = ("sealant", "slip-plane", "veneer")
"""What shows no hollow units: the details of a rule book that knows none of our types of joints in block."""


def details_of(book: RuleBook) -> tuple[DetailKind, ...]:
    """Return the details that suit a rule book, in the order of their numbers."""
    known = {row.says["key"] for row in book.find("joint-type")} or set(JOINT_TYPES)
    if not known & set(JOINT_TYPES):
        return tuple(kind for kind in DETAILS if kind.key in _OF_BRICK)
    others = (kind for kind in DETAILS if kind.key not in JOINT_TYPES or kind.key in known)
    return tuple(kind for kind in others if not kind.rests_on or book.has(kind.rests_on))


def left_out(book: RuleBook) -> list[str]:
    """Return the titles of the details that show what the rule book has no rule for."""
    missing = (kind for kind in DETAILS if kind.rests_on and not book.has(kind.rests_on))
    return [kind.title.format(cj=book.label or "CJ") for kind in missing]


def detail_numbers(book: RuleBook, own: DetailNumbers) -> dict[str, str]:
    """Return the number of every detail, by key: the project's own, or ours with the sheet's name.

    Args:
        book: the rule book in use.
        own: ``[details]`` of the settings.
    """
    sheet = f"/{own.sheet}" if own.sheet else ""
    return {
        kind.key: getattr(own, kind.setting) or f"{number}{sheet}"
        for number, kind in enumerate(details_of(book), start=1)
    }


JOINT_NAMES: Final = {
    "CJ": "control joint",
    "MJ": "movement joint",
    "EJ": "expansion joint",
    "AJ": "articulation joint",
}
"""What joints of a label are called, written out."""


def joint_label(settings: Settings, book: RuleBook) -> str:
    """Return what a joint is called on a sheet: the project's label, else the rule book's, else ``CJ``."""
    return settings.text.label or getattr(book, "label", "") or "CJ"


def detail_for(joint: Joint, method: str, numbers: dict[str, str]) -> str:
    """Return the number of the detail that shows a joint, or an empty text.

    What the project says of the joint itself comes first. A joint in veneer is shown by the veneer's detail,
    one at a pilaster or an intersecting wall by that of the place, one with a slip plane by that of the slip
    plane, any other one by that of its type.

    Args:
        joint: the joint.
        method: the wall's method, such as ``empirical`` or ``veneer``.
        numbers: as `detail_numbers` returns them.
    """
    if joint.detail:
        return joint.detail
    if method == "veneer":
        key = "veneer"
    elif joint.place in _BY_PLACE:
        key = _BY_PLACE[joint.place]
    elif joint.kind is JointKind.JAMB and joint.slip_planes:
        key = "slip-plane"
    else:
        key = joint.joint_type or ""
    return numbers.get(key, "")
