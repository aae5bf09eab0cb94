"""The pages of docs/findings/: one for each code, made from its case files, with a picture of each wall."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from itertools import pairwise

from checks.cases import Case, read_cases
from perpend.checks.registry import CODES
from perpend.cures.words import sentence_of
from perpend.errors import InputError
from perpend.findings import Finding
from perpend.model import Path, Wall
from perpend.rulebook import WallBasis, book_keys, load_rulebook
from perpend.units import format_length

MADE_BY = "Made from the case files in `tests/checks/cases/` by `python -m tests.checks.build_pages`."
_INK, _FAINT, _MARK = "#222", "#888", "#b00020"
_KINDS = {"pass": "Passes", "fail": "Fails", "invalid": "Can't be judged"}


def pages() -> dict[str, str]:
    """Return every page and picture by its place below docs/findings/."""
    cases = read_cases()
    found = {"README.md": _contents(cases)}
    for code in CODES:
        own = [c for c in cases if c.code == code]
        own.sort(key=lambda c: (list(_KINDS).index(c.kind), c.path.stem))
        found[f"{code}.md"] = "\n".join(_page(code, own)) + "\n"
        found |= {f"{code}/{c.path.stem}.svg": picture(c) for c in own}
    return found


def _contents(cases: list[Case]) -> str:
    lines = [
        "# What perpend finds",
        "",
        f"{MADE_BY} How each is measured: [checking](../checking.md).",
        "",
        "| finding | | severity | walls shown |",
        "|---|---|---|---|",
    ]
    for code, entry in CODES.items():
        count = sum(c.code == code for c in cases)
        lines.append(f"| [`{code}`]({code}.md) | {entry.title} | {entry.severity} | {count} |")
    return "\n".join(lines) + "\n"


def _page(code: str, cases: list[Case]) -> Iterator[str]:
    entry = CODES[code]
    yield f"# `{code}`"
    yield ""
    yield f"{entry.title}. Severity: {entry.severity}, unless a project's settings say otherwise."
    yield ""
    yield f"{MADE_BY} How it is measured: [checking](../checking.md#rules)."
    for case in cases:
        yield from _section(case)


def _section(case: Case) -> Iterator[str]:
    title = case.content["title"]
    yield ""
    yield f"## {_KINDS[case.kind]}: {title[0].lower()}{title[1:]}"
    yield ""
    yield f"![{case.path.stem}]({case.code}/{case.path.stem}.svg)"
    yield ""
    try:
        found, untested, _ = case.judged()
    except InputError as error:
        yield f"Refused: {error}"
        return
    if case.kind == "invalid":
        for rule in case.content.get("untested", {}):
            yield f"- `{rule}` could not be tested: {untested[rule]}."
    if not found and case.kind == "pass":
        yield "Nothing is found."
    for number, finding in enumerate(found, start=1):
        yield from _told(number, finding)


def _told(number: int, finding: Finding) -> Iterator[str]:
    waived = f" Waived by {finding.waived.who}: {finding.waived.reason}" if finding.waived else ""
    yield f"{number}. **{finding.code}** ({finding.severity}): {finding.message}{waived}"
    measured = [
        f"{name} {format_length(value)}"
        for name, value in (("measured", finding.measured_in), ("limit", finding.limit_in))
        if value is not None
    ]
    if measured:
        yield f"   - {', '.join(measured)}"
    if finding.source is not None:
        yield f"   - Source: {_linked(finding.source.row, finding.source.cite())}"
    if finding.cure is not None:
        yield f"   - Cure: {sentence_of(finding.cure)}"


def _linked(row: str, cited: str) -> str:
    plain = row.split("#")[0]
    book = next((k for k in ("us-cmu", *book_keys()) if load_rulebook(k).has(plain)), None)
    return f"[{cited}](../rules/{book}/{plain}.md)" if book else cited


# ------------------------------------------------------------------------------------------- pictures


def picture(case: Case) -> str:
    """Draw a wall with its joints and the marks of its findings, as SVG."""
    basis = case.basis()
    wall = basis.wall
    try:
        found = case.judged()[0]
    except InputError:
        found = ()
    high = wall.greatest_height_in
    body = [*_masonry(basis), *_joints(wall), *_marks(found, high)]
    box = f"-24 -44 {_n(wall.length_in + 48)} {_n(high + 68)}"
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" width="640" role="img">'
    title = f"<title>{escape(case.content['title'])}</title>"
    paper = f'<rect x="-24" y="-44" width="{_n(wall.length_in + 48)}" height="{_n(high + 68)}" fill="#fff"/>'
    return "\n".join([head, title, paper, *(_flipped(line, high) for line in body), "</svg>"]) + "\n"


def _flipped(shape: tuple[str, Path, str], high: float) -> str:
    kind, points, style = shape
    if kind == "text":
        (x, y), label = points[0], style
        font = 'font-family="sans-serif" font-size="15" text-anchor="middle"'
        return f'<text x="{_n(x)}" y="{_n(high - y)}" {font} fill="{_MARK}">{label}</text>'
    if kind == "circle":
        x, y = points[0]
        return f'<circle cx="{_n(x)}" cy="{_n(high - y)}" r="9" {style}/>'
    flat = " ".join(f"{_n(x)},{_n(high - y)}" for x, y in points)
    return f'<{kind} points="{flat}" {style}/>'


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _masonry(basis: WallBasis) -> Iterator[tuple[str, Path, str]]:
    wall = basis.wall
    outline = (*wall.bottom.points, *reversed(wall.top.points))
    yield "polygon", outline, f'fill="#f4f1ea" stroke="{_INK}" stroke-width="2"'
    for beam in wall.bond_beams:
        style = f'fill="none" stroke="{_FAINT}" stroke-width="1.5" stroke-dasharray="10 4"'
        yield "polygon", _corners(beam.box.x0, beam.box.y0, beam.box.x1, beam.box.y1), style
    for place in wall.places:
        points = ((place.x_in, -16.0), (place.x_in, wall.greatest_height_in + 8))
        yield "polyline", points, f'stroke="{_FAINT}" stroke-width="1" stroke-dasharray="2 4"'
    for rule in basis.openings:
        box = rule.opening.box
        if rule.lintel is not None:
            lintel = rule.lintel.box
            style = f'fill="none" stroke="{_FAINT}" stroke-width="1"'
            yield "polygon", _corners(lintel.x0, lintel.y0, lintel.x1, lintel.y1), style
        style = f'fill="#fff" stroke="{_INK}" stroke-width="1"'
        yield "polygon", _corners(box.x0, box.y0, box.x1, box.y1), style


def _corners(x0: float, y0: float, x1: float, y1: float) -> Path:
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def _joints(wall: Wall) -> Iterator[tuple[str, Path, str]]:
    for joint in wall.drawn_joints:
        yield "polyline", joint.path, f'fill="none" stroke="{_INK}" stroke-width="4"'


def _marks(found: tuple[Finding, ...], high: float) -> Iterator[tuple[str, Path, str]]:
    """Mark every place of a finding with its number; marks at one place stand beside each other."""
    taken: list[tuple[float, float]] = []
    for number, finding in enumerate(found, start=1):
        for a, b in pairwise(finding.at):
            yield "polyline", (a, b), f'stroke="{_MARK}" stroke-width="1.5" stroke-dasharray="6 4"'
        for x, y in finding.at:
            while any(abs(x - u) < 20 and abs(y - v) < 20 for u, v in taken):
                y = y + 21 if y + 21 < high + 30 else y - 63
            taken.append((x, y))
            yield "circle", ((x, y),), f'fill="#fff" stroke="{_MARK}" stroke-width="2"'
            yield "text", ((x, y - 5.5),), str(number)
