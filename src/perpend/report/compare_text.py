"""The comparison for a person: one table for each wall, at most `WIDTH` columns wide."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from perpend.report.comparison import ArchingEntry, CompareResults, LayoutEntry, OptionEntry, WallComparison
from perpend.report.finding_numbers import unverified_words
from perpend.report.results_document import FindingEntry, RuleBookEntry
from perpend.report.summary import WIDTH, cite, wrapped
from perpend.report.text_lines import Line, Tone
from perpend.units import SAME_IN, format_length, same, system_of
from perpend.wording import counted

_FEET, _METRES = 1 / 12, 0.0254
_KILOGRAMS: Final = 0.45359237
_COLUMNS: Final = (21, 13, 8, 7, 7, 7, 7, 7, 7, 10, 6)
"""Widths, together `WIDTH`; the first two are set left, the others right."""
_NONE = "–"


def compare_text(results: CompareResults) -> list[Line]:
    """Print the comparison of a drawing."""
    metric = results.drawing.metric
    lines = [
        Line(f"{Path(results.drawing.path).name}: {_what(results)} side by side", "title"),
        *wrapped(
            f"drawing unit {results.drawing.units} ({results.drawing.units_why}); "
            f"rule book {', '.join(f'{b.key} {b.version}' for b in _books(results))}"
        ),
    ]
    if results.settings_files:
        lines += wrapped(f"settings {', '.join(results.settings_files)}")
    for wall in results.walls:
        lines += [Line(""), *_wall(wall, metric)]
    lines.append(Line(""))
    lines += _legend(results)
    return lines


def _books(results: CompareResults) -> list[RuleBookEntry]:
    return [results.rulebook, *results.other_rulebooks]


def _what(results: CompareResults) -> str:
    return "every rule book and method" if results.other_rulebooks else "every method"


def _wall(wall: WallComparison, metric: bool) -> Iterator[Line]:
    count = counted(wall.openings, "opening", none="no")
    size = f"{_length(wall.length_in, metric)} long, {_length(wall.height_in, metric)} high"
    yield Line(f"{wall.tag}: {size}, {count}, {wall.own.units} units", "title")
    for head in _heads(metric):
        yield Line(_cells(head), "quiet")
    for option in wall.options:
        yield Line(_cells(_option(option, metric, wall.own.rulebook)), _tone(option))
    yield from _changed(wall)
    yield from _panels(wall, metric)
    yield from _troubles(wall)
    yield from _lintels(wall.own, metric)


def _heads(metric: bool) -> tuple[tuple[str, ...], tuple[str, ...]]:
    run, weight = ("m", "kg") if metric else ("ft", "lb")
    return (
        (
            "  method",
            "openings",
            "spacing",
            "joints",
            "slip",
            "joint",
            "lintel",
            "beam",
            "steel",
            "fullest",
            "of",
        ),
        ("", "", "allowed", "", "planes", run, run, run, weight, "panel", "limit"),
    )


def _cells(cells: tuple[str, ...]) -> str:
    """Set one line; a name without a second cell may run over that cell's room."""
    left = _COLUMNS[0] + _COLUMNS[1]
    lead = f"{cells[0]:<{_COLUMNS[0]}}{cells[1]}" if cells[1] else cells[0]
    shown = [f"{cell:>{width}}" for cell, width in zip(cells[2:], _COLUMNS[2:], strict=True)]
    return f"{lead:<{left}}{''.join(shown)}".rstrip()[:WIDTH]


def _option(option: OptionEntry, metric: bool, own_book: str) -> tuple[str, ...]:
    mark = ">" if option.own else " "
    star = "*" if option.unverified else ""
    name = f"{mark} {option_name(option)}{star}"
    treated = _openings(option)
    if option.rulebook != own_book or option.material:
        name, treated = f"{mark} {option.rulebook} {option_name(option)}{star}", ""
    layout = option.layout
    if layout is None:
        return (name, treated and _openings(option, one=False), "not possible", *[""] * (len(_COLUMNS) - 3))
    run = _METRES if metric else _FEET
    full, used = layout.fullest_panel_in, layout.greatest_utilisation
    return (
        name,
        treated,
        _NONE if layout.max_spacing_in is None else _in_cell(layout.max_spacing_in, metric),
        str(layout.joints),
        str(layout.slip_planes),
        f"{layout.joint_length_in * run:.0f}",
        f"{layout.lintel_length_in * run:.0f}",
        f"{layout.bond_beam_length_in * run:.0f}",
        f"{layout.steel.total_lb * (_KILOGRAMS if metric else 1):.0f}",
        _in_cell(layout.longest_panel_in if full is None else full, metric),
        _NONE if used is None else f"{100 * used:.0f} %",
    )


def _changed(wall: WallComparison) -> Iterator[Line]:
    """Name the openings whose treatment changes where the fewest do."""
    for option in wall.options:
        if option.changed:
            words = f"{_named(option)}: {', '.join(option.changed)}, the fewest changes that comply."
            yield from wrapped(words, first="  treatment: ", then=" " * 13)


def _panels(wall: WallComparison, metric: bool) -> Iterator[Line]:
    """Name the longest panel where it isn't the fullest, and the fullest one's limit where it is its own."""
    said: dict[str, list[str]] = {}
    for option in wall.options:
        words = _panel_words(option.layout, metric) if option.layout else ""
        if words:
            said.setdefault(words, []).append(_named(option))
    for words, names in said.items():
        yield from wrapped(f"{'; '.join(names)}: {words}", first="  panels: ", then=" " * 10)


def _panel_words(layout: LayoutEntry, metric: bool) -> str:
    full, limit, longest = layout.fullest_panel_in, layout.fullest_panel_limit_in, layout.longest_panel_in
    if full is None or limit is None:
        return ""
    own_limit = layout.max_spacing_in is None or not same(limit, layout.max_spacing_in)
    if same(full, longest) and not own_limit:
        return ""
    words = f"the fullest is {_length(full, metric)} of its {_length(limit, metric)}"
    if same(full, longest):
        return f"{words}."
    most = layout.longest_panel_limit_in
    return f"{words}; the longest is {_length(longest, metric)}" + (
        f" of its {_length(most, metric)}." if most is not None else ", without a limit."
    )


def _named(option: OptionEntry) -> str:
    return f"{option_name(option)}, {_openings(option)}" if option.openings != "none" else option_name(option)


def option_name(option: OptionEntry) -> str:
    """Name an option's method, or its material: ``engineered 0.0010``, ``veneer, loose``, ``clay``."""
    if option.material:
        return option.material if option.method == "empirical" else f"{option.method}, {option.material}"
    if option.ccc is not None:
        return f"{option.method} {option.ccc:.4f}"
    return f"{option.method}, {option.lintel_support}" if option.lintel_support else option.method


def _openings(option: OptionEntry, *, one: bool = True) -> str:
    """Name the treatment; where all openings have the same, that one where one is asked for."""
    if option.openings == "as set" and one and option.all_alike:
        return option.all_alike
    return {"none": _NONE, "fewest-changes": "mixed"}.get(option.openings, option.openings)


def _tone(option: OptionEntry) -> Tone:
    if option.not_met or option.why_not:
        return "required"
    return "good" if option.own else "plain"


def _troubles(wall: WallComparison) -> Iterator[Line]:
    """Say what the options can't meet: once what none of them meets, once what several share."""
    common = _common(wall)
    said: dict[str, list[str]] = {}
    for option in wall.options:
        if option.why_not:
            text = f"{_named(option)}: {option.why_not}"
            yield from wrapped(text, first="  not possible: ", then=" " * 16, tone="required")
        own = [finding for finding in option.not_met if _told(finding) not in common]
        if own:
            said.setdefault(_not_met(own), []).append(_named(option))
    if common:
        every = _not_met([f for f in wall.own.not_met if _told(f) in common])
        said = {every: ["every option"]} | said
    for text, names in said.items():
        yield from wrapped(f"{'; '.join(names)}: {text}", first="  not met: ", then=" " * 11, tone="required")


def _common(wall: WallComparison) -> set[tuple[str, str]]:
    """Return what none of several options meets, in the same words: no choice helps there."""
    told = [{_told(f) for f in option.not_met} for option in wall.options if option.layout is not None]
    return set.intersection(*told) if len(told) > 1 else set()


def _told(finding: FindingEntry) -> tuple[str, str]:
    return finding.fingerprint, finding.message


def _not_met(findings: Sequence[FindingEntry]) -> str:
    """Say how much of each kind, and the first in full with its source."""
    counts = Counter(finding.code for finding in findings)
    listed = ", ".join(f"{code} × {n}" if n > 1 else code for code, n in counts.items())
    first = findings[0]
    source = f" [{cite(first.source)}]" if first.source else ""
    rest = "" if len(findings) == 1 else " First:"
    return f"{listed}.{rest} {first.message}{source}"


def _lintels(option: OptionEntry, metric: bool) -> Iterator[Line]:
    if not option.arching:
        return
    yield Line("  Masonry on its lintels as set, a comparison, never a design")
    for arching in option.arching:
        yield from wrapped(_load(arching, metric), first="    ", then=" " * 12)


def _load(arching: ArchingEntry, metric: bool) -> str:
    full, arched = _weight(arching.full_lb, metric), _weight(arching.arched_lb, metric)
    span = _length(arching.span_in, metric)
    text = f"{arching.opening:<7} span {span}: all of it {full}; if it arches {arched}"
    failed = [c.says for c in arching.conditions if c.met is False]
    open_ones = [c.name for c in arching.conditions if c.met is None]
    if failed:
        return f"{text}. It can't: {failed[0]}"
    return f"{text}. To verify: {', '.join(open_ones)}." if open_ones else f"{text}."


def _weight(pounds: float, metric: bool) -> str:
    return f"{pounds * _KILOGRAMS:,.0f} kg" if metric else f"{pounds:,.0f} lb"


def _length(inches: float, metric: bool) -> str:
    return format_length(inches, system_of(metric=metric))


def _in_cell(inches: float, metric: bool) -> str:
    """Print a length; one whose fraction leaves no space before it is cut down to the inch."""
    shown = _length(inches, metric)
    return shown if len(shown) < _COLUMNS[2] else _length(math.floor(inches + SAME_IN), metric)


def _legend(results: CompareResults) -> Iterator[Line]:
    yield Line("> as the settings have it")
    for text in results.counted:
        yield from wrapped(text, tone="quiet")
    for remark in results.remarks:
        yield from wrapped(remark, first="- ", then="  ")
    yield Line("")
    options = [option for wall in results.walls for option in wall.options]
    used = dict.fromkeys(cite(s) for option in options for s in option.sources)
    for number, text in enumerate(used):
        head = "Sources     " if number == 0 else " " * 12
        yield from wrapped(text, first=head, then=" " * 12)
    if results.unverified:
        said = f"* not verified against the source: {unverified_words(results.unverified)}"
        yield from wrapped(said, then="  ", tone="advisory")
    yield Line("")
    for caution in results.cautions:
        yield from wrapped(caution, tone="quiet")
