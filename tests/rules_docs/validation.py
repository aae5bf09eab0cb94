"""docs/validation.md: each published value beside what perpend gives for it.

The values in the second column are typed here from the publications, or come from the second transcription in
``tests/rulebook/*.csv``; those in the third are asked of perpend when the page is made.
"""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path

from perpend.layout import plan_wall
from perpend.model import Opening, Profile, Standing, Wall
from perpend.rulebook import (
    JointChoices,
    SteelChoices,
    bar_area_in2,
    bond,
    joint_width,
    limits,
    load_rulebook,
    max_bar_spacing_in,
    no_joint_steel,
    reinforcement,
    section_of,
    spacing_rule,
)
from perpend.rulebook.movement import strain
from perpend.settings import parse_settings, resolve_wall
from perpend.units import format_length, off_module, parse_length

US = load_rulebook("us-cmu")
RULEBOOK_TESTS = Path(__file__).parents[1] / "rulebook"
TRANSCRIPTIONS = {
    "us-cmu": "limits.csv",
    "us-clay": "limits_us_clay.csv",
    "en-uk": "limits_en_uk.csv",
    "au-ncc": "limits_au_ncc.csv",
}
_INCHES = {"ft": Fraction(12), "in": Fraction(1), "mm": Fraction(10, 254), "m": Fraction(10000, 254)}
PUBLISHED, MEMORY, PRACTICE, DERIVED = (
    Standing.PUBLISHED,
    Standing.MEMORY,
    Standing.COMMON_PRACTICE,
    Standing.DERIVED,
)


@dataclass(frozen=True)
class Value:
    """One published value, how to ask perpend for it, and how its document was seen."""

    what: str
    published: str
    ours: Callable[[], str]
    source: str
    standing: Standing
    access: str = "none"

    @property
    def against(self) -> str:
        """Say what the value was checked against."""
        if self.standing is Standing.PUBLISHED:
            return {"page": "pages seen", "secondary": "secondary copies"}.get(
                self.access, "secondary copies"
            )
        kinds = {Standing.DERIVED: "arithmetic only", Standing.MEMORY: "memory"}
        return kinds.get(self.standing, "practice or decision, without a page")

    @property
    def agrees(self) -> bool:
        return self.ours() == self.published


def _spacing(
    height: str, method: str = "empirical", units: str = "full-height", ccc: float | None = None
) -> str:
    found = limits(US, parse_length(height), method=method, units=units, ccc=ccc).max_spacing_in
    return format_length(found or 0.0)


def spacings() -> Iterator[Value]:
    """Worked spacings, and the heights from which the cap governs."""
    full = (("8'-0\"", "12'-0\""), ("12'-0\"", "18'-0\""), ("16'-8\"", "25'-0\""), ("20'-0\"", "25'-0\""))
    half = (("12'-0\"", "18'-0\""), ("13'-4\"", "20'-0\""), ("20'-0\"", "20'-0\""))
    for height, spacing in full:
        what = f"empirical, full-height units, H = {height}"
        yield Value(what, spacing, lambda h=height: _spacing(h), "TEK 10-2C (2010), Table 1", DERIVED)
    for height, spacing in half:
        what = f"empirical, half-high units, H = {height}"
        ours = lambda h=height: _spacing(h, units="half-high")  # noqa: E731
        yield Value(what, spacing, ours, "TEK 10-2D (2019)", DERIVED)
    for method, ccc, spacing in (
        ("empirical", None, "7'-0\""),
        ("engineered", 0.0015, "9'-4\""),
        ("engineered", 0.0010, "11'-8\""),
    ):
        name = method if ccc is None else f"{method}, CCC {ccc:.4f}"
        ours = lambda m=method, c=ccc: _spacing("4'-8\"", m, ccc=c)  # noqa: E731
        yield Value(f"{name}, low wall, H = 4'-8\"", spacing, ours, "Common practice", PRACTICE)
    for height, cap in (("16'-8\"", "25 ft cap"), ("13'-4\"", "20 ft cap")):
        units = "full-height" if cap.startswith("25") else "half-high"
        ours = lambda u=units: _crossover(u)  # noqa: E731
        yield Value(f"height above which the {cap} governs", height, ours, "cap / ratio", DERIVED)
    metric = lambda: f"{limits(US, 400.0).max_spacing_in * 0.0254:.2f} m"  # type: ignore[operator]  # noqa: E731
    yield Value("the 25 ft cap in metres", "7.62 m", metric, "TEK 10-2B, Table 1", PUBLISHED, "page")


def _crossover(units: str) -> str:
    """Find the greatest height, in inches, at which the ratio still gives no more than the cap."""
    cap = limits(US, 10_000.0, units=units).max_spacing_in or 0.0
    height = max(h for h in range(8, 400) if (limits(US, float(h), units=units).max_spacing_in or 0.0) < cap)
    return format_length(height + 1.0)


def laid_out() -> Iterator[Value]:
    """What the layout does with the limits."""
    for method, panel in (
        ("method = 'empirical'", "6'-8\""),
        ("method = 'engineered'\nccc = 0.0015", "9'-4\""),
        ("method = 'engineered'\nccc = 0.0010", "11'-4\""),
    ):
        name = method.replace("method = ", "").replace("'", "").replace("\nccc = ", ", CCC ")
        ours = lambda m=method: _longest(m)  # noqa: E731
        yield Value(
            f"{name}: longest panel of a wall 4'-8\" high", panel, ours, "limit down to 8 in.", DERIVED
        )


def _longest(method: str) -> str:
    """Lay out a wall that is so long that no panel may be shorter than it must: 40 of the longest panels."""
    settings = parse_settings(f"[defaults]\n{method}\nleft_end = 'free'\nright_end = 'free'\n")
    limit = resolve_wall(settings, US, _wall(800.0, 56.0)).limits(0.0, 800.0).max_spacing_in or 0.0
    plan = plan_wall(resolve_wall(settings, US, _wall(40 * (limit // 8) * 8, 56.0)))
    return format_length(max(panel.length_in for panel in plan.panels))


def _wall(length: float, height: float, *holes: Opening) -> Wall:
    top, bottom = Profile.level(height, 0.0, length), Profile.level(0.0, 0.0, length)
    return Wall("W1", "", length, top, bottom, openings=holes)


BARS = ("No. 6", "No. 5", "No. 4")
TABLE_3 = {
    (6, "hollow"): ("48", "48", "32"),
    (8, "hollow"): ("48", "40", "24"),
    (10, "hollow"): ("48", "32", "16"),
    (12, "hollow"): ("48", "24", "8"),
    (6, "solid"): ("32", "24", "16"),
    (8, "solid"): ("24", "16", "8"),
    (10, "solid"): ("16", "16", "8"),
    (12, "solid"): ("16", "8", "8"),
}
"""TEK 10-3 (2003), Table 3: greatest spacing of one bar per bond beam, in."""


def without_joints() -> Iterator[Value]:
    """Walls without control joints."""
    for (nominal, core), cells in TABLE_3.items():
        for bar, cell in zip(BARS, cells, strict=True):
            ours = lambda n=nominal, c=core, b=bar: _bar_spacing(n, c, b, "before-C90-06")  # noqa: E731
            yield Value(
                f"{nominal} in. {core}, one {bar}", f"{cell} in.", ours, "TEK 10-3 (2003), Table 3", MEMORY
            )
    for nominal, cell in ((10, "40"), (12, "32")):
        ours = lambda n=nominal: _bar_spacing(n, "hollow", "No. 5", "C90-06")  # noqa: E731
        what = f"{nominal} in. hollow, one No. 5, shells of ASTM C90-06"
        yield Value(what, f"{cell} in.", ours, "the formula with shells of TEK 14-1B", DERIVED)
    yield Value(
        "bond beams of an 8 in. wall 4'-8\" high, one No. 4", "3", _beams, "Common practice", PRACTICE
    )
    for beams, needed in ((3, "0.51 in²"), (2, "0.44 in²")):
        ours = lambda n=beams: _needed(n)  # noqa: E731
        yield Value(f"0.002 · An of that wall with {beams} bond beams", needed, ours, "arithmetic", DERIVED)
    yield Value(
        "12 in. solid wall with No. 6: spacing at which it stood",
        "16 in.",
        lambda: _bar_spacing(12, "solid", "No. 6", "C90-06"),
        "Biggs, Masonry Magazine",
        PUBLISHED,
        "page",
    )
    yield Value("0.002 · An of 16 in. of that wall", "0.372 in²", _biggs, "arithmetic", DERIVED)


def _bar_spacing(nominal: int, core: str, bar: str, edition: str) -> str:
    section = section_of(US, SteelChoices(nominal, core, edition=edition))  # type: ignore[arg-type]
    return f"{max_bar_spacing_in(US, section, bar):g} in."


def _beams() -> str:
    return str(len(no_joint_steel(US, _wall(480.0, 56.0), SteelChoices(8, "hollow", "No. 4")).courses))


def _needed(beams: int) -> str:
    return f"{0.002 * section_of(US, SteelChoices(8, 'hollow')).net_area_in2(56.0, beams):.2f} in²"


def _biggs() -> str:
    return f"{0.002 * section_of(US, SteelChoices(12, 'solid')).net_area_in2(16.0, 1):.3f} in²"


def horizontal() -> Iterator[Value]:
    """Horizontal reinforcement: greatest spacing by area, and the table's spacing within it."""
    rows = (
        ("2 wires W1.7 (9 gauge)", "16.3 in.", "16 in.", DERIVED),
        ("2 wires W2.8 (3/16 in.)", "26.4 in.", "24 in.", DERIVED),
        ("one No. 3", "52.8 in.", "48 in.", DERIVED),
        ("one No. 4", "96.0 in.", "96 in.", DERIVED),
        ("one No. 5 or larger", "148.8 in.", "144 in.", DERIVED),
    )
    for name, exact, spacing, standing in rows:
        yield Value(f"{name}: 12 · A / 0.025", exact, lambda n=name: _by_area(n), "arithmetic", DERIVED)
        ours = lambda n=name: f"{_choice(n).max_spacing_in:g} in."  # noqa: E731
        yield Value(f"{name}: at most apart", spacing, ours, "12 · A / 0.025, down to 8 in.", standing)
    metric = lambda: f"{_needs() * 645.16 / 0.3048:.1f} mm²/m"  # noqa: E731
    yield Value(
        "0.025 in² per foot of height in metric units",
        "52.9 mm²/m",
        metric,
        "TEK 10-2B, Table 1",
        PUBLISHED,
        "page",
    )


def _needs() -> float:
    return reinforcement(US, "full-height", "empirical").required_in2_per_ft or 0.0


def _choice(name: str):  # noqa: ANN202 - a row of the table
    found = reinforcement(US, "full-height", "empirical").choices
    return next(choice for choice in found if choice.name == name)


def _by_area(name: str) -> str:
    return f"{12 * _choice(name).area_in2 / _needs():.1f} in."


def module_and_coefficient() -> Iterator[Value]:
    """Modular lengths, the crack control coefficient, areas of bars."""
    lengths = (
        ("21'-4\"", "modular"),
        ("20'-8\"", "modular"),
        ("22'-0\"", "modular"),
        ("19'-8\"", "not modular"),
    )
    for length, says in lengths:
        ours = lambda x=length: "not modular" if _off(x) else "modular"  # noqa: E731
        yield Value(f"a length of {length}", says, ours, "NCARB study post", PUBLISHED, "page")
    yield Value(
        "CCC of shrinkage 0.00048, carbonation 0.00025 and 100 °F",
        "0.00113",
        lambda: f"{0.00048 + _ccc('carbonation') + 100 * _ccc('thermal'):.5f}",
        "sum of the parts, Masonry Magazine, March 2003, p. 50",
        DERIVED,
    )
    yield Value(
        "area of one No. 6",
        "0.44 in²",
        lambda: f"{bar_area_in2(US, 'No. 6'):.2f} in²",
        "ASTM A615",
        PUBLISHED,
    )


def _off(length: str) -> bool:
    return off_module(parse_length(length), bond(US, "full-height").module_in) > 0


def _ccc(part: str) -> float:
    return US.row("ccc.sum").numbers[part].value


def other_materials() -> Iterator[Value]:
    """Worked examples of clay and of the United Kingdom, and an outside check of the thicknesses."""
    clay, uk = load_rulebook("us-clay"), load_rulebook("en-uk")
    page, note = "a consultant's worked page", "BIA Technical Note 18A"
    for width, spacing, source in ((0.375, "208 in.", page), (0.5, "278 in.", note)):
        ours = lambda w=width: f"{_calculated(w):.0f} in."  # noqa: E731
        yield Value(
            f"clay, joint {width:g} in., class 50, 0.0009: spacing", spacing, ours, source, PUBLISHED, "page"
        )
    yield Value(
        "clay, corner: 10 ft in one wall leaves in the other",
        "15'-0\"",
        _round_corner,
        note,
        PUBLISHED,
        "page",
    )
    yield Value(
        "clay, movement by TM 5-809-3 Eq. 4-1 for 100 °F is no more than ours",
        "0.0007 of 0.0009",
        lambda: f"{0.0003 + 0.000004 * 100:.4f} of {strain(clay.row('spacing.calculated')):.4f}",
        "TM 5-809-3, Eq. 4-1",
        PUBLISHED,
        "page",
    )
    width = lambda: f"{(joint_width(uk, 12_000 / 25.4, material='clay').width_in or 0) * 25.4:.0f} mm"  # type: ignore[union-attr]  # noqa: E731
    yield Value(
        "United Kingdom, clay, 12 m: joint width", "16 mm", width, "NHBC, PD 6697", PUBLISHED, "secondary"
    )
    for nominal, area in ((6, "0.135"), (8, "0.183"), (10, "0.231"), (12, "0.279")):
        ours = lambda n=nominal: _gross(n)  # noqa: E731
        what = f"0.002 of the gross section of a {nominal} in. wall, per foot"
        yield Value(
            what, f"{area} in²", ours, "International Residential Code, Table R606.12.3.2", PUBLISHED, "page"
        )


def _gross(nominal: int) -> str:
    thickness = section_of(US, SteelChoices(nominal, "solid")).thickness_in  # type: ignore[arg-type]
    return f"{0.002 * 12 * thickness + 1e-9:.3f} in²"


def _calculated(width: float) -> float:
    rule = spacing_rule(load_rulebook("us-clay"), method="engineered", joint=JointChoices(width))
    return rule.cap_in or 0.0


def _round_corner() -> str:
    rule = spacing_rule(load_rulebook("us-clay"))
    return format_length(rule.round_corner(rule.at(120.0), parse_length("10 ft")) or 0.0)


def second_reading() -> list[dict[str, str]]:
    """Return the rows of the second reading, without the lines at its head."""
    text = (RULEBOOK_TESTS / "second_reading.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


def transcribed() -> Iterator[Value]:
    """Every number of the rule books against its second transcription."""
    for key, name in TRANSCRIPTIONS.items():
        with (RULEBOOK_TESTS / name).open(encoding="utf-8") as file:
            for typed in csv.DictReader(file):
                unit = typed["unit"]
                value = float(Fraction(typed["value"]) * _INCHES.get(unit, 1))
                row = f"{typed['row']}#{typed['number']}"
                yield Value(
                    f"{typed['what']} (`{key}` `{row}`)",
                    _shown(value, unit),
                    lambda k=key, r=typed["row"], n=typed["number"], u=unit: _shown(
                        load_rulebook(k).row(r).numbers[n].value, u
                    ),
                    typed["document"],
                    Standing(typed["standing"]),
                    next(d.access for d in load_rulebook(key).documents if d.name == typed["document"]),
                )


def _shown(value: float, unit: str) -> str:
    plain = value / float(_INCHES[unit]) if unit in _INCHES else value
    return f"{plain:.9g} {unit}".strip()


SECTIONS: tuple[tuple[str, Callable[[], Iterator[Value]]], ...] = (
    ("Joint spacing", spacings),
    ("Laid out", laid_out),
    ("Walls without joints", without_joints),
    ("Horizontal reinforcement", horizontal),
    ("Module, coefficient, bars", module_and_coefficient),
    ("Clay, the United Kingdom, and thicknesses from outside", other_materials),
    ("Every number of the rule books, typed a second time", transcribed),
)


@cache
def values() -> dict[str, tuple[Value, ...]]:
    """Return every value, by section."""
    return {title: tuple(found()) for title, found in SECTIONS}


AGAINST = (
    "pages seen",
    "secondary copies",
    "arithmetic only",
    "memory",
    "practice or decision, without a page",
)


def validation_page() -> str:
    """Return the page."""
    count = sum(len(found) for found in values().values())
    kinds = Counter(value.against for found in values().values() for value in found)
    against = ", ".join(f"{kinds[kind]} against {kind}" for kind in AGAINST)
    differing = sum(not value.agrees for found in values().values() for value in found)
    lines = [
        "# Validation: published values beside ours",
        "",
        f"{count} values were checked: {against}.",
        "",
        "Made by `python -m tests.rules_docs.build`; a test fails where a value differs. The published "
        "values are typed in `tests/rules_docs/validation.py` and, each number twice, in "
        "`tests/rulebook/limits*.csv` and `tests/rulebook/second_reading.csv`. The second reading was typed "
        f"without sight of the rule books or of the first: {_read_where()}. "
        "A page seen is one whose own text was read, here or in a copy kept "
        "by others; a secondary copy is another text that quotes it. `memory` means that the page itself was "
        "not seen: agreement then shows that perpend holds what was remembered, not that it was remembered "
        "rightly. `perpend limits --unverified` lists those numbers for an office to look up.",
        "",
        f"{count} values, {count - differing} agree, {differing} differ.",
        "",
        "Beyond this page: net areas against the `sectionproperties` package "
        "(`tests/rulebook/test_steel.py`), layouts against brute force, integer programs and a referee "
        "(`tests/layout`), drawings against GDAL and LibreCAD (`tests/outside`). The consolidated note "
        "CMU-TEC-009-23 could not be read: no conformity with it is claimed.",
    ]
    for title, found in values().items():
        lines += [
            "",
            f"## {title}",
            "",
            "| what | published | ours | | standing | source |",
            "|---|---|---|---|---|---|",
        ]
        lines += [_line(value) for value in found]
    return "\n".join(lines) + "\n"


def _read_where() -> str:
    """Return how many numbers of the second reading came from a text read for it, and how many did not."""
    seen = Counter(
        row["source"] if row["source"] in ("notes", "memory") else "text" for row in second_reading()
    )
    return (
        f"{seen['text']} of its {seen.total()} numbers from a page or an excerpt read for it, "
        f"{seen['notes']} from the notes that the first typist had too, {seen['memory']} from memory"
    )


def _line(value: Value) -> str:
    standing = "memory: **unverified**" if value.standing is Standing.MEMORY else str(value.standing)
    verdict = "agrees" if value.agrees else "**differs**"
    return f"| {value.what} | {value.published} | {value.ours()} | {verdict} | {standing} | {value.source} |"
