"""What the name of a layer says about the role that it plays.

Glossary:
    word: letters in a layer's name that the trade uses for one role, in some language.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Iterator
from typing import Final

from perpend.reading.reading_options import Role

_OPENINGS: Final = (
    r"OPNG|OPEN|DOOR|WIND|\bWIN|WNDW|GLAZ|GLASS|FENES|FENST|\bT[UÜ]R|TÜR|TUER|PORTE|FENET|\bBAIE|PUERTA|VENTANA"
    r"|\bVANO|HUECO|INFISS|SERRAMENT|FINESTR|\bPORTA\b|MENUISERIE|CARPINTER[IÍ]A|STOREFRONT|LOUV|\bLVR"
)
_WORDS: Final[tuple[tuple[Role, str], ...]] = (
    (
        Role.JOINTS,
        r"JNTC|JOINT|\bJNT|CTRL|CONTROL|MOVEMENT|EXPANSION|\b[CEM]J(?:S|NT)?\d*\b|(?<!RE)FUGE|DEHNF|DILAT|JUNTA",
    ),
    (Role.BOND_BEAMS, r"BBEM|BOND.?B"),
    (Role.PILASTERS, r"PILR|PILAS"),
    (Role.SUPPORTS, r"SUPT|SUPPORT|DIAPH"),
    (Role.THICKNESS_CHANGES, r"THCK|THICK"),
    (Role.INTERSECTIONS, r"INTS|INTERSECT"),
    (Role.FOUNDATION_JOINTS, r"FJNT"),
    (Role.EXPANSION_JOINTS, r"EXPJ|\bBEJ"),
    (Role.BEARINGS, r"BRNG|BEARING"),
    (Role.NO_JOINTS, r"NOJT|NO.?JOINT"),
    (Role.SHELF_ANGLES, r"SHLF|SHELF"),
    (Role.OPENINGS, _OPENINGS),
    (
        Role.WALLS,
        r"WALL|CMU|MASON|MASN|MSNR?Y|MA[ÇC]ONN|BLOCKWORK|BLKW|BRICK|BRCK|BRIQUE|LADRILLO|MURATUR|PARETE|ZIEGEL|KLINKER|MURS?\b|WAND"
        r"|MAUER|MURO|FACADE|PARED|VENEER",
    ),
    (
        Role.TAGS,
        r"IDEN|\bTAG|MARK|ANNO|TEXT|NOTE|LABEL|NMBR|NUMBER|NUMMER|N[UÚ]MERO|REP[EÈ]RE|STEMPEL",
    ),
)
_BESIDE_OPENINGS: Final = re.compile(r"SHUTTER|AWNING|\bAWNG|CANOPY|CNPY|\bSIGN|L[ÄA]E?DEN\b|VOLET|PERSIANA")
"""What goes with doors and windows but is none."""
_MARKED: Final = (Role.OPENINGS, Role.JOINTS)
"""What has marks of its own beside it."""

_NOT_FACES: Final = re.compile(
    rf"PATT|HATCH|HTCH|DIMS|\bDIM|SYMB|GRID|TTLB|TITLE|BORDER|VPRT|DEFPOINTS|^(?!.*(?:{_OPENINGS})).*FILL"
)
"""Fills are faces of nothing but doors and windows."""

_BEFORE_WALLS: Final = re.compile(
    r"FURN|EQPM|EQUIP|FIXT|LITE|LIGHT|LAMP|ELEC|ELEK|SIGN|PLNT|PLANT|TREE|PEOPLE|ENTOUR|VEHIC|\bCAR\b|DETL|DETAIL"
    r"|\bCOND|PIPE|PIPING|PLUMB|ROHR|DUCT|HVAC|MECH|CABLE|WIRE|WIRING|SPOUT|\bDNSP|DOWNP|\bRWP|RAINW|BAJANTE|DESCENTE|GUTTER|GUTR|RAIL|LADDER"
    r"|CENTER|CENTRE|CNTR|HIDDEN|HIDD\b|PHANTOM|ACHSE|\bAXES?\b|\bEJES?\b|VERDECKT"
)
"""What is on layers with such names is in front of a wall, or is drawn across it, but not in it."""

_BOUNDARIES: Final = re.compile(
    r"GRAD(?:E|\b)|GROUND|GRND|TOPO|TERR(?:AIN|ENO)|\bTN\b|GEL[ÄA]E?NDE|ERDREICH|\bSOL\b|ROOF|COPING|COPG|CPNG|PARAPET"
    r"|EAVE|RAKE"
    r"|DACH|TRAUFE|ATTIKA|TOIT|TOITURE|ACROT|CUBIERTA|TECHO|TEJADO|FOOTING|FOUND|FNDN|\bFTNG|OUTLINE|\bOTLN"
)
"""What bounds a wall below and above, where it is drawn on a layer of its own."""


def words_in(name: str) -> Iterator[tuple[Role, str]]:
    """Yield the roles that a layer's name says, each with the word that does; the likeliest first.

    Marks of openings or joints are marks alone: a circle round a door's number is no opening.
    """
    upper = re.sub(r"[_\W]+", " ", name.upper())
    if _NOT_FACES.search(upper):
        return
    found = [(role, match.group(0).strip()) for role, words in _WORDS if (match := re.search(words, upper))]
    if found and found[0][0] in _MARKED and any(role is Role.TAGS for role, _ in found):
        found = [each for each in found if each[0] is Role.TAGS]
    elif _BESIDE_OPENINGS.search(upper):
        found = [each for each in found if each[0] is not Role.OPENINGS]
    yield from found


def is_no_face(name: str) -> bool:
    """Say whether a layer's name is that of patterns, dimensions, borders and the like."""
    return bool(_NOT_FACES.search(name.upper()))


@functools.lru_cache(maxsize=4096)
def hint_of(name: str) -> Role | None:
    """Return what a layer's name says when it is openings or joints, and not their marks; else None."""
    role, _ = next(words_in(name), (None, ""))
    return role if role in _MARKED else None


@functools.lru_cache(maxsize=4096)
def says_nothing(name: str) -> bool:
    """Say whether a layer's name leaves open what is on it: openings, for all we know."""
    if is_no_face(name) or says_before_walls(name):
        return False
    return all(role is Role.WALLS for role, _ in words_in(name))


@functools.lru_cache(maxsize=4096)
def says_before_walls(name: str) -> bool:
    """Say whether the name of a layer or a block is that of what is in front of a wall or across it."""
    upper = name.upper().replace("_", " ")
    return bool(_BEFORE_WALLS.search(upper) or _BESIDE_OPENINGS.search(upper))


@functools.lru_cache(maxsize=4096)
def says_boundary(name: str) -> bool:
    """Say whether a layer's name is that of lines where walls begin or end: grade, a roof, a coping."""
    return not is_no_face(name) and bool(_BOUNDARIES.search(re.sub(r"[_\W]+", " ", name.upper())))
