"""What the reader looks for: layer patterns per role, the drawing's unit, tolerances, budgets.

Glossary:
    role: what a layer's entities stand for (walls, openings, joints, ...).
    pattern: a layer or block name in which ``*`` stands for any run of characters and ``?`` for
        one; upper and lower case count as the same, as they do in DXF.
"""

from __future__ import annotations

import functools
import json
import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from fnmatch import fnmatchcase
from typing import Final

from perpend.dxf.expansion_budget import Budget
from perpend.units import GAP_IN


class Role(StrEnum):
    """What the entities of a layer stand for."""

    WALLS = "walls"
    OPENINGS = "openings"
    TAGS = "tags"
    JOINTS = "joints"
    SUPPORTS = "supports"
    BOND_BEAMS = "bond_beams"
    STRUCTURAL_BOND_BEAMS = "structural_bond_beams"
    PILASTERS = "pilasters"
    THICKNESS_CHANGES = "thickness_changes"
    INTERSECTIONS = "intersections"
    FOUNDATION_JOINTS = "foundation_joints"
    EXPANSION_JOINTS = "expansion_joints"
    BEARINGS = "bearings"
    NO_JOINTS = "no_joints"
    SHELF_ANGLES = "shelf_angles"
    REINFORCED_OPENINGS = "reinforced_openings"
    UNREINFORCED_OPENINGS = "unreinforced_openings"


@dataclass(frozen=True, slots=True)
class NamedWall:
    """A wall that the settings name by where it is.

    Attributes:
        tag: the tag that it is given, or None.
        at: a point in it, drawing coordinates, or None.
        handle: handle of its outline, or None.
        exclude: True when it is left out.
        scale: what its lengths are multiplied by; None where nothing is said.
    """

    tag: str | None
    at: tuple[float, float] | None = None
    handle: str | None = None
    exclude: bool = False
    scale: float | None = None


@dataclass(frozen=True, slots=True)
class ReadingOptions:
    """What to look for in a drawing.

    Attributes:
        walls: layer patterns of wall outlines.
        openings: layer patterns of opening outlines.
        tags: layer patterns of wall and opening marks; any text counts when there are none.
        joints: layer patterns of joints that stand in the drawing already.
        supports: layer patterns of lateral support lines.
        bond_beams: layer patterns of bond beams.
        structural_bond_beams: those among the bond beams that run through joints.
        pilasters: layer patterns of pilasters.
        thickness_changes: layer patterns of changes in wall thickness.
        intersections: layer patterns of intersecting walls.
        foundation_joints: layer patterns of movement joints in the foundation or floor below.
        expansion_joints: layer patterns of expansion joints of the whole building.
        bearings: layer patterns of bearings of beams, joist girders and the like.
        no_joints: layer patterns of parts of a wall in which no joint may stand.
        shelf_angles: layer patterns of shelf angles with a horizontal joint below.
        reinforced_openings: those among the openings that are treated as reinforced.
        unreinforced_openings: those among the openings that are treated as unreinforced.
        ignored: layer patterns on which nothing is looked for.
        opening_blocks: block name patterns of doors and windows, on whatever layer.
        not_opening_blocks: block name patterns that are never doors or windows (their tags).
        units_of_drawing: ``in``, ``ft``, ``mm``, ``cm``, ``m``; None reads the header or guesses.
        gap_in: gaps and overshoots up to this are repaired and reported.
        layout: name of the layout to read; None is modelspace.
        budget: how far blocks are expanded.
        named_walls: walls that are named, or left out, by where they are.
    """

    walls: tuple[str, ...] = ("A-ELEV-WALL*",)
    openings: tuple[str, ...] = ("A-ELEV-OPNG*",)
    tags: tuple[str, ...] = ()
    joints: tuple[str, ...] = ("A-ELEV-JNTC*", "*-CTLJ*", "*-EXPJ*", "CJ")
    supports: tuple[str, ...] = ("A-ELEV-SUPT*",)
    bond_beams: tuple[str, ...] = ("A-ELEV-BBEM*",)
    structural_bond_beams: tuple[str, ...] = ("A-ELEV-BBEM-STRC*",)
    pilasters: tuple[str, ...] = ("A-ELEV-PILR*",)
    thickness_changes: tuple[str, ...] = ("A-ELEV-THCK*",)
    intersections: tuple[str, ...] = ("A-ELEV-INTS*",)
    foundation_joints: tuple[str, ...] = ("A-ELEV-FJNT*",)
    expansion_joints: tuple[str, ...] = ("A-ELEV-EXPJ*",)
    bearings: tuple[str, ...] = ("A-ELEV-BRNG*",)
    no_joints: tuple[str, ...] = ("A-ELEV-NOJT*",)
    shelf_angles: tuple[str, ...] = ("A-ELEV-SHLF*",)
    reinforced_openings: tuple[str, ...] = ("A-ELEV-OPNG-REIN*",)
    unreinforced_openings: tuple[str, ...] = ("A-ELEV-OPNG-UNRE*",)
    ignored: tuple[str, ...] = ()
    opening_blocks: tuple[str, ...] = ("*DOOR*", "*WINDOW*", "*WNDW*", "*OPENING*", "*LOUVER*")
    not_opening_blocks: tuple[str, ...] = ("*TAG*", "*SYM*", "*MARK*", "*NOTE*", "*HDWR*", "*HANDLE*")
    units_of_drawing: str | None = None
    gap_in: float = GAP_IN
    layout: str | None = None
    budget: Budget = field(default_factory=Budget)
    named_walls: tuple[NamedWall, ...] = ()
    _known: dict[str, tuple[frozenset[Role], list[Role]]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def patterns(self, role: Role) -> tuple[str, ...]:
        """Return the layer patterns of a role."""
        found: tuple[str, ...] = getattr(self, role.value)
        return found

    def roles_of(self, layer: str) -> frozenset[Role]:
        """Return every role that a layer plays.

        A layer plays one main role: that of the pattern that names it most closely, so that
        ``A-ELEV-WALL-THCK`` may stand for thickness changes beside ``A-ELEV-WALL*`` for walls. An
        opening may also be reinforced or unreinforced, a bond beam structural, and any layer may
        hold marks. One that is named for both openings and joints plays both; one that is ignored, none.
        """
        return self._look_up(layer)[0]

    def _look_up(self, layer: str) -> tuple[frozenset[Role], list[Role]]:
        """Return the roles of a layer, and those whose patterns name it most closely."""
        known = self._known.get(layer)
        if known is None:
            closest = self._closest(layer)
            known = self._known[layer] = self._find_roles(layer, closest), closest
        return known

    def _find_roles(self, layer: str, closest: list[Role]) -> frozenset[Role]:
        if matches(layer, self.ignored):
            return frozenset()
        found = {Role.TAGS} if matches(layer, self.tags) else set()
        for role in closest if _mains(closest) == _OPENINGS_AND_JOINTS else closest[:1]:
            found |= {role, _MAIN_OF[role]}
            found |= {r for r, main in _MAIN_OF.items() if main in found and matches(layer, self.patterns(r))}
        return frozenset(found)

    def _closest(self, layer: str) -> list[Role]:
        """Return the roles whose patterns name a layer most closely."""
        close = {role: closeness(layer, self.patterns(role)) for role in _MAIN_OF}
        closest = max(close.values())
        return [role for role in _MAIN_OF if close[role] == closest > 0]

    def clash(self, layer: str) -> tuple[Role, ...]:
        """Return the main roles for which a layer is named although it can play only one of them.

        Openings may share one with walls, where an outline inside another is one of them, or with joints,
        where what closes is.
        """
        roles = _mains(self._look_up(layer)[1])
        fine = len(roles) < 2 or roles in ((Role.WALLS, Role.OPENINGS), _OPENINGS_AND_JOINTS)
        return () if fine or matches(layer, self.ignored) else roles

    def is_opening_block(self, name: str) -> bool:
        """Say whether a block's name is that of a door, a window or another opening."""
        return matches(name, self.opening_blocks) and not matches(name, self.not_opening_blocks)


_MAIN_OF: Final[dict[Role, Role]] = {
    Role.WALLS: Role.WALLS,
    Role.OPENINGS: Role.OPENINGS,
    Role.REINFORCED_OPENINGS: Role.OPENINGS,
    Role.UNREINFORCED_OPENINGS: Role.OPENINGS,
    Role.JOINTS: Role.JOINTS,
    Role.SUPPORTS: Role.SUPPORTS,
    Role.BOND_BEAMS: Role.BOND_BEAMS,
    Role.STRUCTURAL_BOND_BEAMS: Role.BOND_BEAMS,
    Role.PILASTERS: Role.PILASTERS,
    Role.THICKNESS_CHANGES: Role.THICKNESS_CHANGES,
    Role.INTERSECTIONS: Role.INTERSECTIONS,
    Role.FOUNDATION_JOINTS: Role.FOUNDATION_JOINTS,
    Role.EXPANSION_JOINTS: Role.EXPANSION_JOINTS,
    Role.BEARINGS: Role.BEARINGS,
    Role.NO_JOINTS: Role.NO_JOINTS,
    Role.SHELF_ANGLES: Role.SHELF_ANGLES,
}
"""Each role that a layer can play by what is drawn on it, and the main role it is a kind of."""


_OPENINGS_AND_JOINTS: Final = (Role.OPENINGS, Role.JOINTS)


def _mains(roles: Iterable[Role]) -> tuple[Role, ...]:
    return tuple(dict.fromkeys(_MAIN_OF[role] for role in roles))


def as_setting(patterns: Iterable[str]) -> str:
    """Return patterns as they are written in a settings file."""
    return f"[{', '.join(json.dumps(pattern, ensure_ascii=False) for pattern in patterns)}]"


_BOUND = re.compile(r"^.+?(?:\||\$\d+\$)")
"""``XREF|LAYER`` of an attached drawing, ``XREF$0$LAYER`` of one that was bound."""


@functools.lru_cache(maxsize=4096)
def matches(name: str, patterns: tuple[str, ...]) -> bool:
    """Say whether a layer or block name fits one of the patterns.

    A name that came in with a bound drawing (``SHEET$0$A-WALL``) fits with or without its prefix.
    """
    upper = name.upper()
    bare = _BOUND.sub("", upper)
    return any(_fits(form, pattern.upper()) for pattern in patterns for form in (upper, bare))


def closeness(name: str, patterns: tuple[str, ...]) -> int:
    """Say how closely the best fitting pattern names a layer: its letters, and 1 more; 0 when none fits."""
    fitting = [p for p in patterns if matches(name, (p,))]
    return max((1 + len(p) - p.count("*") - p.count("?") for p in fitting), default=0)


def _fits(name: str, pattern: str) -> bool:
    return fnmatchcase(name, pattern.replace("[", "[[]"))
