"""The documents are written to be read: short lines, short pages, plain American English."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
GENERATED = {
    *DOCS.glob("rules/**/*.md"),
    *DOCS.glob("findings/**/*.md"),
    DOCS / "gallery.md",
    DOCS / "validation.md",
}
"""Made from rule books and case files; their words are those of the program."""
PAGES = sorted({ROOT / "README.md", ROOT / "DEVELOPERS.md", *DOCS.rglob("*.md")} - GENERATED)
LONGEST_LINE = 120
AVOID = {
    "alike": "the same",
    "amiss": "wrong",
    "ask for": "require",
    "asked for": "required",
    "asks for": "requires",
    "be let": "be left",
    "centre": "center",
    "colour": "color",
    "favour": "favor",
    "gravest": "most serious",
    "grey": "gray",
    "hence": "so",
    "is let": "is left",
    "let be": "left as is",
    "mend": "repair",
    "mended": "repaired",
    "mends": "repairs",
    "metre": "meter",
    "millimetre": "millimeter",
    "neighbour": "neighbor",
    "reckon": "calculate",
    "reckoned": "calculated",
    "reckons": "calculates",
    "stands": "is",
    "stood": "was",
    "tell": "report",
    "tells": "reports",
    "thereby": "so",
    "told": "reported",
    "wanted": "required",
    "wants": "requires",
    "whence": "from where",
}
"""Words to avoid in the documents, each with a plainer one."""
_AVOID = re.compile(rf"\b({'|'.join(sorted(AVOID, key=len, reverse=True))})s?\b", re.IGNORECASE)
_MODULE = re.compile(r"`([a-z0-9_/-]+\.(?:py|toml|j2|css|js|lff))`")


def _name(page: Path) -> str:
    return page.relative_to(ROOT).as_posix()


def _prose(text: str) -> Iterator[tuple[int, str]]:
    """Give the lines that are neither code nor part of a code block, with their numbers."""
    fenced = False
    for number, line in enumerate(text.split("\n"), 1):
        if line.lstrip().startswith("```"):
            fenced = not fenced
        elif not fenced and not line.startswith("    "):
            yield number, line


def _without_code(text: str) -> str:
    """Blank the code in a text, inline code that goes on in the next line too; lines keep their numbers."""
    return re.sub(r"`(?:[^`\n]|\n(?!\n))*`", lambda code: "\n" * code[0].count("\n"), text)


@pytest.mark.parametrize("page", PAGES, ids=_name)
def test_no_line_of_prose_is_longer_than_a_reader_likes(page: Path) -> None:
    """Tables stay, and so does a line whose length is that of a link or of a single word."""
    long = [
        number
        for number, line in _prose(page.read_text(encoding="utf-8"))
        if len(line) > LONGEST_LINE
        and not line.startswith("|")
        and len(re.sub(r"\]\([^)]*\)", "]", line)) > LONGEST_LINE
        and not line.startswith("![")
    ]
    assert long == [], f"{_name(page)}: lines longer than {LONGEST_LINE}"


@pytest.mark.parametrize("page", PAGES, ids=_name)
def test_the_words_are_plain(page: Path) -> None:
    text = "\n".join(line for _, line in _prose(page.read_text(encoding="utf-8")))
    quaint = [
        f"{found}, better: {AVOID.get(found.lower()) or AVOID[found.lower()[:-1]]}; in: {line.strip()}"
        for line in _without_code(text).split("\n")
        for found in (match.group(0) for match in _AVOID.finditer(line))
    ]
    assert quaint == [], _name(page)


def test_the_list_of_words_finds_what_it_should() -> None:
    said = "What is wanted stands in two neighbours that were told; `we\ntold` and a standing rule may stay."
    found = [match.group(0) for match in _AVOID.finditer(_without_code(said))]
    assert found == ["wanted", "stands", "neighbours", "told"]


def test_readme_and_contributors_guide_are_short() -> None:
    for name, most in (("README.md", 150), ("DEVELOPERS.md", 200)):
        assert len((ROOT / name).read_text(encoding="utf-8").splitlines()) < most, name


def test_each_entry_of_the_changelog_is_one_line() -> None:
    """Nothing but headings, entries of one line, and the two lines at the top that say what the form is."""
    top, _, entries = (DOCS / "changelog.md").read_text(encoding="utf-8").partition("\n## ")
    assert len(top.splitlines()) < 8
    lines = [line for line in entries.split("\n")[1:] if line]
    assert sum(line.startswith("- ") for line in lines) > 50
    other = [line for line in lines if not line.startswith(("- ", "### ", "## "))]
    assert other == []
    assert [line for line in lines if len(line) > LONGEST_LINE] == []


def test_the_table_of_questions_names_files_that_exist() -> None:
    text = (DOCS / "architecture.md").read_text(encoding="utf-8")
    table = text.split("## Where do I find …")[1].split("\n## ")[0]
    rows = [line for line in table.splitlines() if line.startswith("| Where")]
    assert len(rows) >= 30
    for row in rows:
        named = _MODULE.findall(row)
        assert named, row
        for name in named:
            assert (ROOT / "src" / "perpend" / name).is_file(), row


@pytest.mark.parametrize("page", ["DEVELOPERS.md", "docs/architecture.md"])
def test_the_guides_name_modules_that_exist(page: str) -> None:
    """A path with a folder is a file of src/perpend, or one below the repository's top."""
    text = (ROOT / page).read_text(encoding="utf-8")
    named = {name for name in _MODULE.findall(text) if "/" in name}
    assert len(named) > 20
    missing = [
        name
        for name in sorted(named)
        if not (ROOT / "src" / "perpend" / name).exists() and not (ROOT / name).exists()
    ]
    assert missing == []


@pytest.mark.parametrize("page", ["DEVELOPERS.md", "docs/architecture.md"])
def test_the_guides_name_rooms_that_exist(page: str) -> None:
    text = (ROOT / page).read_text(encoding="utf-8")
    rooms = {name for name in re.findall(r"`([a-z_]+(?:/[a-z_]+)*)/`", text) if "perpend" not in name}
    assert rooms
    bases = (ROOT / "src" / "perpend", ROOT)
    inner = {folder.name for folder in (ROOT / "src" / "perpend").rglob("*") if folder.is_dir()}
    missing = [r for r in sorted(rooms) if r not in inner and not any((base / r).is_dir() for base in bases)]
    assert missing == []
