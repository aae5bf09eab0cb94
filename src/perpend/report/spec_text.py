"""A project's joints as three-part specification text: general, products, execution.

The words are ours. Only what the project uses is spoken of; what it still has to decide is in brackets.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

from perpend.model import PlaceKind
from perpend.report.spec_facts import SpecFacts

_WIDTH = 92


@dataclass(frozen=True, slots=True)
class Article:
    """One numbered article and its paragraphs."""

    title: str
    paragraphs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Specification:
    """The whole text.

    Attributes:
        title: of the section.
        cautions: sentences before part 1.
        parts: name and articles of each of the three parts.
    """

    title: str
    cautions: tuple[str, ...]
    parts: tuple[tuple[str, tuple[Article, ...]], ...]


def specification(facts: SpecFacts) -> Specification:
    """Return the text for what a project uses."""
    return Specification(
        f"MASONRY {facts.name.upper()}S ({facts.label})",
        facts.cautions,
        (
            ("GENERAL", tuple(_general(facts))),
            ("PRODUCTS", tuple(_products(facts))),
            ("EXECUTION", tuple(_execution(facts))),
        ),
    )


def _general(f: SpecFacts) -> Iterator[Article]:
    walls = ", ".join([*(tag for w in f.walls for tag in w.walls), *f.no_joints])
    yield Article(
        "SUMMARY",
        (
            f"Provide {f.name}s ({f.label}) in the masonry of {walls}, as shown on the Drawings.",
            "Related sections: unit masonry [SECTION], joint sealants [SECTION], firestopping [SECTION].",
        ),
    )
    yield Article(
        "REFERENCES",
        (
            "Comply with the codes and the editions adopted by [AUTHORITY HAVING JURISDICTION].",
            "Where the Drawings, this section and the codes differ, obtain a written decision from "
            "[ENGINEER OF RECORD] before proceeding.",
        ),
    )
    data = ["sealant and primer", "backer rod"] if f.sealed else []
    data += ["gaskets and sash units"] if _uses(f, "preformed-gasket") else []
    data += ["control joint units"] if _uses(f, "tongue-and-groove") else []
    data += ["slip plane material"] if f.slip_planes else []
    data += ["joint reinforcement"] if f.steel else []
    if data:
        yield Article(
            "SUBMITTALS",
            (
                f"Submit product data for: {', '.join(data)}.",
                "Submit sealant color samples for selection by [ARCHITECT].",
            ),
        )
    yield Article("LOCATION OF JOINTS", tuple(_locations(f)))


def _locations(f: SpecFacts) -> Iterator[str]:
    if f.joints:
        yield "Build joints only where the Drawings show them."
        yield "Do not add, move or omit a joint without written acceptance by [ENGINEER OF RECORD]."
    for wall in f.walls:
        corner = f"; first joint not more than {wall.corner}" if wall.corner else ""
        yield f"{', '.join(wall.walls)}: joint spacing not more than {wall.spacing}{corner}."
    for tag in f.no_joints:
        yield f"{tag}: no {f.name}s. Provide the horizontal reinforcement shown."


_TYPE_PRODUCTS = {
    "formed-paper": (
        "Bond breaker: asphalt-saturated felt or building paper, full height of the joint.",
        "Grout for the joint core: [GROUT MIX], see unit masonry section.",
    ),
    "preformed-gasket": (
        "Gasket: preformed, of rubber or PVC, shaped to the sash groove. Material and hardness: [SELECT].",
        "Sash units: grooved to receive the gasket, of the same class as the adjacent units.",
    ),
    "tongue-and-groove": (
        "Control joint units: mating tongue and groove, full-length and half-length, of the same class as "
        "the adjacent units.",
    ),
    "raked": ("No filler in the joint other than backer rod and sealant.",),
}


def _products(f: SpecFacts) -> Iterator[Article]:
    for kind in f.types:
        known: dict[bool | None, str] = {
            True: "Transfer of out-of-plane shear: required.",
            False: "No transfer of shear is provided.",
        }
        shear = known.get(kind.transfers_shear, "Transfer of out-of-plane shear: [VERIFY WITH MANUFACTURER].")
        fire = (
            "Do not use where a fire rating is required."
            if kind.fire_rating == "none"
            else "Fire rating, where the Drawings require one: [TESTED ASSEMBLY]."
        )
        yield Article(kind.name.upper(), (*_TYPE_PRODUCTS.get(kind.key, ()), shear, fire))
    if f.joints and not f.types:
        yield Article("JOINT TYPE", ("Joint type: [SELECT]. The Drawings leave it open.",))
    if f.sealed:
        grade = "Class 50" if f.veneer else "[CLASS 25] [CLASS 50]"
        yield Article(
            "SEALANT AND BACKER ROD",
            (
                f"Sealant: elastomeric, {f.sealant}, {grade}, non-staining. Color: [SELECT].",
                "Backer rod: closed-cell or as the sealant manufacturer recommends, larger than the joint so "
                "that it stays compressed.",
            ),
        )
    if f.slip_planes:
        yield Article(
            "SLIP PLANE",
            (
                "Slip plane under a lintel's bearing: bond breaker or noncorroding plate, as long as the "
                "bearing and as wide as the wall. Material: [SELECT].",
            ),
        )
    if f.steel:
        choice = (*(f"Provide {steel}, or as the structural drawings show." for steel in f.steel),)
        pick = () if f.steel_chosen else ("[CONFIRM SIZE AND SPACING WITH ENGINEER OF RECORD.]",)
        yield Article("HORIZONTAL REINFORCEMENT", (*choice, *pick))


def _execution(f: SpecFacts) -> Iterator[Article]:
    if f.joints:
        yield Article("JOINTS", tuple(_joints(f)))
    if f.slip_planes:
        yield Article(
            "JOINTS AT OPENINGS",
            (
                "Run the joint up the jamb, out along the slip plane, and up from the lintel's end.",
                "Lay the slip plane on a smooth, level bearing. Keep it free of mortar.",
                "Do not tie the lintel to the masonry below the slip plane.",
                f"Bear lintels not less than {f.bearing.rstrip('.')}.",
                _see("Follow detail {}.", f, "slip-plane"),
            ),
        )
    if f.reinforced:
        near = (
            f"Keep joints not less than {f.clear} from the jamb and clear of the lintel." if f.clear else ""
        )
        yield Article(
            "REINFORCED OPENINGS",
            tuple(
                filter(
                    None,
                    (
                        f"Openings: {', '.join(f.reinforced)}.",
                        "Grout the cells beside the opening and place the bars full height, as the "
                        "structural drawings show.",
                        "Extend lintels past the jamb bars as shown.",
                        near,
                        _see("Follow details {}.", f, "lintel-bearing", "reinforced-jamb"),
                    ),
                )
            ),
        )
    steel = tuple(_steel_at_joints(f))
    if steel:
        yield Article("REINFORCEMENT AT JOINTS", steel)
    if f.veneer:
        yield Article(
            "VENEER",
            (
                "Keep joints in veneer clear of mortar for the full depth of the wythe.",
                "Place anchors on both sides of each joint, as the structural drawings show.",
                "Do not carry reinforcement across a joint.",
            ),
        )
    if f.sealed:
        yield Article("SEALING", tuple(_sealing(f)))
    yield Article(
        "FIELD QUALITY CONTROL",
        (
            "Before sealing, have [ENGINEER OF RECORD] [SPECIAL INSPECTOR] observe that joints are clean, "
            "continuous and located as shown.",
            "Correct joints that mortar or reinforcement bridges.",
        ),
    )


_AT_PLACES = {
    PlaceKind.PILASTER: (
        "At pilasters, build the joint at one face. Do not run it through the pilaster.",
        "pilaster",
    ),
    PlaceKind.INTERSECTION: ("At intersecting walls, separate the walls as shown.", "intersection"),
    PlaceKind.HEIGHT_CHANGE: ("At changes in wall height, build the joint where the height changes.", ""),
    PlaceKind.THICKNESS_CHANGE: (
        "At changes in wall thickness, build the joint where the thickness changes.",
        "",
    ),
    PlaceKind.FOUNDATION_JOINT: ("Align joints with the movement joints of the structure below.", ""),
}


def _joints(f: SpecFacts) -> Iterator[str]:
    width = f"{f.widths[0]} wide" if f.widths[0] else "[WIDTH] wide"
    yield f"Build joints {width}, plumb, straight, and through the full thickness of the wythe."
    yield "Make each joint continuous from bottom to top of the wall as shown."
    for kind in f.types:
        if kind.key == "formed-paper":
            yield "Line one side of the joint with the bond breaker, then grout the core solid."
        elif kind.key == "preformed-gasket":
            yield "Set the gasket as the units are laid. Butt or lap its ends as the manufacturer requires."
        elif kind.key == "tongue-and-groove":
            yield "Alternate full-length and half-length units so that the joint stays vertical."
            yield "Do not bond the tongue."
        yield _see("Follow detail {}.", f, kind.key)
    for place in f.places:
        text, key = _AT_PLACES.get(place, ("", ""))
        if text:
            yield f"{text} {_see('Follow detail {}.', f, key)}".strip() if key else text


def _steel_at_joints(f: SpecFacts) -> Iterator[str]:
    if f.joints and f.steel:
        yield "Stop joint reinforcement at each side of every joint."
    if f.bond_beams and f.joints:
        yield "Stop the bars of bond beams that are not structural at each joint."
    if f.through:
        yield "Run the bars of structural bond beams through the joint. Debond them on one side as shown."
        yield _see("Follow detail {}.", f, "bond-beam-through")


def _sealing(f: SpecFacts) -> Iterator[str]:
    _, outside, inside = f.widths
    if outside:
        yield f"Rake joints {outside} deep on the exterior face."
    if inside:
        yield f"Rake joints {inside} deep on interior faces that stay exposed."
    yield "Clean and dry the joint. Prime where the sealant manufacturer requires it."
    yield "Install backer rod at an even depth. Do not stretch or puncture it."
    yield "Make the sealant half as deep as it is wide, unless its manufacturer requires otherwise."
    yield "Bond sealant to the two sides of the joint only. Tool it concave."
    yield _see("Follow detail {}.", f, "sealant")


def _uses(f: SpecFacts, key: str) -> bool:
    return any(kind.key == key for kind in f.types)


def _see(text: str, f: SpecFacts, *keys: str) -> str:
    """Return a reference to details by number; one without a number is left for the project to name."""
    return text.format(" and ".join(f.details.get(key, "[NUMBER]") for key in keys))


def markdown(spec: Specification) -> str:
    """Return the text as Markdown."""
    lines = [f"# SECTION [NUMBER] - {spec.title}", ""]
    lines += [f"> {caution}" for caution in spec.cautions]
    for number, (name, articles) in enumerate(spec.parts, start=1):
        lines += ["", f"## PART {number} - {name}"]
        for row, article in enumerate(articles, start=1):
            lines += ["", f"### {number}.{row} {article.title}", ""]
            lines += [f"{letter} {text}  " for letter, text in _lettered(article)]
    return "\n".join(lines).replace("  \n\n", "\n\n").rstrip() + "\n"


def plain_text(spec: Specification) -> str:
    """Return the text without any marks, in lines that fit a page."""
    import textwrap

    lines = [f"SECTION [NUMBER] - {spec.title}", ""]
    for caution in spec.cautions:
        lines += textwrap.wrap(caution, _WIDTH)
    for number, (name, articles) in enumerate(spec.parts, start=1):
        lines += ["", f"PART {number} - {name}"]
        for row, article in enumerate(articles, start=1):
            lines += ["", f"{number}.{row}  {article.title}"]
            for letter, text in _lettered(article):
                lines += textwrap.wrap(text, _WIDTH, initial_indent=f"  {letter} ", subsequent_indent="     ")
    return "\n".join(lines) + "\n"


def _lettered(article: Article) -> Iterator[tuple[str, str]]:
    """Yield each paragraph with its letter; after Z come AA, AB."""
    singles = [chr(c) for c in range(ord("A"), ord("Z") + 1)]
    letters = itertools.chain(singles, (a + b for a in singles for b in singles))
    for text in dict.fromkeys(filter(None, article.paragraphs)):
        yield f"{next(letters)}.", text
