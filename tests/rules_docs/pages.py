"""One page for each rule of each rule book, and the pages that list them, as Markdown text.

Everything on a page comes from the rule book's file; only `DOES` says in words what perpend does with a kind
of row. `python -m tests.rules_docs.build` writes the pages, `test_rules_docs.py` compares them.
"""

from __future__ import annotations

from collections.abc import Iterator

from perpend.rulebook import RuleBook, book_keys, load_rulebook, reinforcement, spacing_rule
from perpend.rulebook.book_schema import VOCABULARY, LedgerEntry, Row
from perpend.units import format_length

DOES = {
    "spacing": "Sets the greatest length of a panel: the lesser of ratio × height and the cap.",
    "interpolation": "Says what counts between, outside and without the printed coefficients.",
    "tightening": "Lets a setting ask for less than the book allows; for more only where the row says so.",
    "definition": "Says how a thing is done or read; no number of it binds a wall.",
    "coefficient": "Data for the designer, who adds the coefficient up.",
    "corner": "Sets how near to a corner the first joint stands.",
    "parapet": "Sets the spacing and the corner distance of a wall that the settings call a parapet.",
    "horizontal-joint": (
        "Asks for a horizontal joint below every support that the drawing or the settings show, and says how "
        "high masonry may rise from one to the next."
    ),
    "place": "Forces a joint at every such place in the drawing.",
    "opening-treatment": "Says which one treatment of openings the book knows.",
    "opening-jambs": "Asks for joints at the jambs of every opening of that treatment.",
    "opening-corners": "Draws joint reinforcement in the bed joints at the opening's corners.",
    "opening-clear": "Keeps joints away from the jambs of every opening of that treatment.",
    "opening-near": "Asks for a joint near every opening of that size.",
    "opening-bars": "Draws jamb bars, the bar below the sill and the end of the lintel.",
    "opening-arched": "Keeps joints away from every arched opening.",
    "veneer-lintel": "Decides whether a veneer's joint steps around the lintel or runs straight up.",
    "lintel-bearing": "Sets the bearing of lintels: the length of a slip plane.",
    "lintel-bearing-by-span": "Sets the bearing of lintels where the settings ask for it by span.",
    "lintel-depth": "Sets the depth of the lintel drawn.",
    "arching": "Tests whether the masonry above a lintel arches, and weighs it either way; a comparison.",
    "reinforcement-required": "Asks for horizontal reinforcement between joints.",
    "reinforcement": "Offers one way to meet the horizontal reinforcement; drawn where the settings ask.",
    "joint-type": "Names a way to build the joint, in schedule, notes and findings.",
    "joint-width": "Sets the width of a joint for the notes; the joint is drawn as a line.",
    "sealant": "Sets how much of its width a joint may close or open.",
    "bed-reinforcement": "Names the reinforcement of panels that are long for their height, in the notes.",
    "joint-ties": "Names the ties beside a joint, in the notes.",
    "joint-rake": "Data for notes; the joint is drawn as a line.",
    "module": "Sets the stations where a joint may stand.",
    "course": "Sets the heights on which reinforcement lies.",
    "thickness": "Data of the wall's section.",
    "bars": "Data of steel.",
    "wire": "Data of steel.",
    "shells": "Data of the wall's section, by edition of ASTM C90.",
    "no-joint-steel": "Reckons the bond beams that let a wall go without joints.",
    "material-assumed": "Says which material counts where the settings are silent.",
    "scope": "Asks whether the book holds for the site, and refuses a site for which it does not.",
    "wall-assumed": "Says what counts where the settings are silent.",
    "comparison": "Says what `perpend compare` weighs.",
    "weight": "Weighs masonry and steel in comparisons.",
    "least-panel": "Reports masonry that is narrower, and places joints so that none is. Up to the "
    "wider limit, masonry between two joints is an advisory that moves no joint; the engineer confirms it.",
    "narrow-pier": "Allows one joint at such a pier, for both openings, and asks the engineer to confirm.",
    "ganged-openings": "Reads openings with such a pier between them as one.",
    "strip-opening": "Measures the masonry below and above such an opening as panels of their own.",
    "footing-step": "Remarks on such a step; it forces no joint.",
    "recess": "Asks for a joint at one edge, or at both.",
    "intersections": "Says what an intersecting wall asks of the face of the wall that it meets.",
    "pilasters": "Asks for a joint at one face of a pilaster, or at both of an unbonded one.",
    "bearing": "Keeps joints away from what is drawn on the layers of bearings.",
    "no-joint-zone": "Keeps joints out of what is drawn on the layers of such parts.",
    "short-return": "Asks for no joint in such a return, and says how far the next ones may be.",
    "shared-corner": "Measures masonry round a corner where both walls are drawn (`[[corners]]`).",
    "joints-away": "Keeps joints away from every opening where the settings ask for it.",
    "solid-grouted": "Remarks on the method where the settings say that the wall is grouted solid.",
    "joint-default": "Names the joint type where the project names none.",
    "caution": "Is in every output.",
}
"""What perpend does with a row, by kind."""

MADE = "Made from the rule book by `python -m tests.rules_docs.build`; a test compares them."
_HEIGHTS_IN = (56.0, 96.0, 144.0, 160.0, 200.0, 240.0)


def pages() -> dict[str, str]:
    """Return every page by its path below ``docs/rules``."""
    books = [load_rulebook(key) for key in book_keys()]
    found = {"README.md": _index(books)}
    for book in books:
        found |= {f"{book.key}/{row.id}.md": _page(book, row) for row in book.rows}
    return found


def _index(books: list[RuleBook]) -> str:
    lines = ["# The rules, one page each", "", MADE, ""]
    lines += [
        "A rule is a row of a rule book: what is asked, where it counts, its numbers, its source, and how "
        "far to trust it. `published` was read in the document or in a text that quotes it; `memory` was "
        "typed from memory, the page itself not seen, and is marked **unverified** in every output that "
        "used it; `common practice` has no citable source; `decision` settles what the documents leave "
        "open. How values compare: [validation](../validation.md).",
    ]
    for book in books:
        lines += ["", f"## {book.key}", "", f"{book.title}, version {book.version}. {book.note}".strip(), ""]
        lines += ["| rule | | standing | document |", "|---|---|---|---|"]
        lines += [_line(book, row) for row in book.rows]
        lines += ["", f"### What became of the documents of {book.key}", ""]
        lines += ["| document | clause | state | |", "|---|---|---|---|"]
        lines += [_ledger(book, entry) for entry in book.ledger]
    return "\n".join(lines) + "\n"


def _line(book: RuleBook, row: Row) -> str:
    standing = (
        f"{row.standing}{', **unverified** in part' if row.unverified and row.standing != 'memory' else ''}"
    )
    standing = "memory: **unverified**" if row.standing == "memory" else standing
    return f"| [`{row.id}`]({book.key}/{row.id}.md) | {row.title} | {standing} | {_document(book, row)} |"


def _document(book: RuleBook, row: Row) -> str:
    return book.document(row.source.document).name


def _ledger(book: RuleBook, entry: LedgerEntry) -> str:
    rows = ", ".join(f"[`{r}`]({book.key}/{r}.md)" for r in entry.rows)
    why = f"{entry.why} {rows}".strip()
    return f"| {book.document(entry.document).name} | {entry.clause} | {entry.state} | {why} |"


def _page(book: RuleBook, row: Row) -> str:
    lines = [
        f"# {row.title}",
        "",
        f"`{row.id}` in the rule book [{book.key}](../README.md#{book.key}) {book.version}",
    ]
    lines += ["", f"> {row.text}", "", DOES[row.kind]]
    lines += _where(row)
    lines += _numbers(book, row)
    lines += _facts(row)
    lines += _worked(book, row)
    lines += ["", "## Source", ""]
    lines += [f"- {source}" for source in dict.fromkeys(_sources(book, row))]
    lines += _mentions(book, row)
    return "\n".join([*lines, "", MADE, ""])


def _where(row: Row) -> Iterator[str]:
    applies = row.applies
    said = [f"{', '.join(applies.methods)} method" if applies.methods else ""]
    said += [f"{', '.join(applies.units)} units" if applies.units else ""]
    said += [f"{', '.join(applies.treatments)} openings" if applies.treatments else ""]
    said += [", ".join(applies.places) if applies.places else ""]
    said += [", ".join(applies.materials) if applies.materials else ""]
    said += [f"{', '.join(applies.supports)} lintels" if applies.supports else ""]
    said += [f"{applies.openings_from} openings or more" if applies.openings_from else ""]
    said += [f"crack control coefficient {applies.ccc:.4f}" if applies.ccc is not None else ""]
    if applies.large_openings is not None:
        said.append("walls with large openings" if applies.large_openings else "walls without large openings")
    known = "; ".join(word for word in said if word) or "everywhere"
    yield ""
    yield f"**Where it counts:** {known}{f'; {row.when}' if row.when else ''}."


def _numbers(book: RuleBook, row: Row) -> Iterator[str]:
    computed = list(_computed(book, row))
    if not row.numbers and not computed:
        return
    yield from ("", "| number | value | inches | standing | source |", "|---|---|---|---|---|")
    for name, number in row.numbers.items():
        source = book.source(row, name)
        inches = f"{number.value:g}" if number.unit == "in" else ""
        printed = number.printed if number.unit in ("in", "1") else f"{number.printed} {number.unit}"
        mark = "memory: **unverified**" if source.unverified else str(source.standing)
        place = f"{source.document}, {source.clause}" if source.clause else source.document
        yield f"| {name.replace('_', ' ')} | {printed} | {inches} | {mark} | {place} |"
    yield from computed


def _computed(book: RuleBook, row: Row) -> Iterator[str]:
    """Yield the numbers of a way to reinforce that are not typed but follow from others."""
    if row.kind != "reinforcement":
        return
    units = row.applies.units[0] if row.applies.units else "full-height"
    choices = reinforcement(book, units, row.applies.methods[0]).choices
    (choice,) = [choice for choice in choices if choice.source.row == row.id]
    if "area" not in row.numbers:
        yield f"| area | {choice.area_in2:g} in² |  | computed | bar or wire of that size |"
    if "spacing" not in row.numbers:
        length = choice.max_spacing_in
        yield f"| spacing | {length:g} in | {length:g} | computed | 12 · A / 0.025, down to 8 in. |"


def _facts(row: Row) -> Iterator[str]:
    if row.says:
        yield from ("", "| fact | |", "|---|---|")
        yield from (f"| {name} | {said} |" for name, said in row.says.items())


def _worked(book: RuleBook, row: Row) -> Iterator[str]:
    """Show what a spacing comes to at usual heights."""
    applies = row.applies
    if row.kind != "spacing" or "cap" not in row.numbers:
        return
    units = applies.units[0] if applies.units else "full-height"
    rule = spacing_rule(
        book,
        method=applies.methods[0],
        units=units,
        ccc=applies.ccc,
        large_openings=bool(applies.large_openings),
        openings=applies.openings_from,
        material=applies.materials[0] if applies.materials else "",
    )
    metric = book.need("module").numbers["module"].printed.endswith("mm")
    show = (lambda x: f"{format_length(x, 'metric')} mm") if metric else format_length
    yield from (
        "",
        "| wall height | spacing | governed by | first joint from a corner |",
        "|---|---|---|---|",
    )
    for height in _HEIGHTS_IN:
        limits = rule.at(height)
        assert limits.max_spacing_in is not None
        corner = "" if limits.corner_distance_in is None else f"within {show(limits.corner_distance_in)}"
        yield f"| {show(height)} | {show(limits.max_spacing_in)} | {limits.governing} | {corner} |"


def _sources(book: RuleBook, row: Row) -> Iterator[str]:
    for source, key in [
        (row.source, row.standing),
        *((n, n.standing) for n in row.numbers.values() if n.document),
    ]:
        document = book.document(source.document or "")
        place = f"{document.name}, {source.clause}" if source.clause else document.name
        mark = "memory: **unverified**" if key == "memory" else str(key)
        yield f"{place} ({mark}). {document.about}; {document.seen}."


def _mentions(book: RuleBook, row: Row) -> Iterator[str]:
    entries = [entry for entry in book.ledger if row.id in entry.rows]
    if entries:
        yield from ("", "## In the ledger", "")
        for entry in entries:
            why = f": {entry.why}" if entry.why else ""
            yield f"- {book.document(entry.document).name}, {entry.clause}: {entry.state}{why}"


assert set(DOES) == set(VOCABULARY), "a kind of row without a word on what perpend does with it"
