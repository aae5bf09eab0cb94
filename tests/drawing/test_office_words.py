"""No plate, summary or review sheet uses words that no office would letter: all samples, all case files."""

from __future__ import annotations

import html
import re
from pathlib import Path

import ezdxf
import pytest

from checks.cases import Case, read_cases
from cli.harness import perpend
from drawing.seen import entities
from perpend import annotate, check, details, layers, spec
from perpend.cli.app import COMMANDS
from perpend.decisions.accepted import Accepted
from perpend.drawing import DraftingStyle, draw_plans
from perpend.drawing.review.draw_review import Review, draw_review
from perpend.errors import InputError
from perpend.jobs.annotate import drafting_style
from perpend.jobs.judge_plan import judged_plan
from perpend.layout import plan_wall
from perpend.model import Elevation
from perpend.report import Results, SettingsUsed, WallOutcome, build_results
from perpend.report.sheet import render_sheet
from perpend.report.summary import summary
from perpend.rulebook import load_rulebook
from perpend.settings import Settings

SAMPLES = Path(__file__).parents[2] / "sample_drawings"
EVERYWHERE = re.compile(
    r"recalled|page not seen|page itself not seen|or equal\b|has less room than it wants|asked for"
    r"|neither printed branch"
    r"|^h of each panel|first joint within|schedule of walls|max\. from corner|head of a control joint"
    r"|drawn before, kept|stops at joints|through joint, debond|bearing ea\. end"
    r"|any of these frees|frees the wall|leave no station free|is wanted|stand a joint|pieces? of advice"
    r"|stands here|meets this one here|designer's look|sticks out of|nothing to measure|somebody worked in"
    r"|own reading|practice of the trade \(common|look a limit up|with the words|to the byte, ours"
    r"|\btold\b|\bmended\b|\breckoned\b|\balike\b",
    re.IGNORECASE,
)
"""The left column of the table of words."""
ON_A_PLATE = re.compile(
    r"perpend|rule ?book|unverified|not verified|\bTEK\b|\bTMS\b|design assumption|fire rating"
    r"|common practice|joint to joint|2 wires|one no\. \d|source",
    re.IGNORECASE,
)
"""What belongs in results, summary and review sheet, and never on a sheet that is plotted."""


def plotted(doc: ezdxf.document.Drawing, app: str = "PERPEND", *, plot: bool = True) -> list[str]:
    """Return the texts of perpend's on layers that plot, or on those that do not, dimensions' included."""
    found = []
    for entity in entities(doc):
        if not entity.has_xdata(app) or bool(doc.layers.get(entity.dxf.layer).dxf.plot) is not plot:
            continue
        parts = entity.virtual_entities() if entity.dxftype() == "DIMENSION" else (entity,)
        found += [part.dxf.text for part in parts if part.dxftype() == "TEXT"]
        found += [" ".join(part.plain_text().split()) for part in parts if part.dxftype() == "MTEXT"]
    return found


def seen(page: str) -> str:
    """Return what a reader sees of a page; the list of sources quotes the rule book."""
    page = re.sub(r'<tr id="source-.*?</tr>', " ", page, flags=re.DOTALL)
    bare = re.sub(r"<(script|style)\b.*?</\1>", " ", page, flags=re.DOTALL)
    return html.unescape(re.sub(r"<[^>]+>", " ", bare))


def wrong(words: str, *, plate: bool) -> list[str]:
    found = [match[0] for match in EVERYWHERE.finditer(words)]
    return found + [match[0] for match in ON_A_PLATE.finditer(words)] * plate


def without_rating(words: str) -> str:
    """Return words without a reference to the fire rating that others state, as details and text have it."""
    return re.sub(
        r"fire rating(: see\b|,? where the drawings require| is required)", "", words, flags=re.IGNORECASE
    )


def told(results: Results) -> str:
    """Return what the results document says in sentences of perpend's own."""
    walls = results.walls
    findings = [*results.findings, *(f for wall in walls for f in wall.findings)]
    sentences = [*results.remarks, *results.repaired, *(n.words for n in results.notices)]
    sentences += [text for f in findings for text in (f.message, f.cure)]
    sentences += [text for wall in walls for text in (*wall.notes, *(j.reason for j in wall.joints))]
    return " ".join(sentences)


def summed(results: Results) -> str:
    return " ".join(" ".join(line.text for line in summary(results)).split())


@pytest.mark.parametrize("name", sorted(str(path.relative_to(SAMPLES)) for path in SAMPLES.rglob("*.dxf")))
def test_a_sample_is_lettered_as_an_office_letters(name: str, tmp_path: Path) -> None:
    made = annotate(SAMPLES / name, tmp_path / "a.dxf", sheet=tmp_path / "a.html")
    settings = (SAMPLES / name).parent / "perpend.toml"
    judged = check(tmp_path / "a.dxf", tmp_path / "c.dxf", sheet=tmp_path / "c.html", settings=settings)
    plate = ezdxf.readfile(made.output)
    texts = plotted(plate)
    assert len(texts) > 20
    assert [(text, found) for text in plotted(plate, plot=False) if (found := wrong(text, plate=False))] == []
    assert [(text, found) for text in texts if (found := wrong(text, plate=True))] == []
    review = " ".join(plotted(ezdxf.readfile(judged.output), "PERPEND-CHECK"))
    pages = [seen((tmp_path / f"{n}.html").read_text(encoding="utf-8")) for n in "ac"]
    said = [say(run.results) for run in (made, judged) for say in (summed, told)]
    for words in (review, *pages, *said):
        assert wrong(words, plate=False) == []


BOOKS = ("us-cmu", "us-clay", "en-uk", "au-ncc")


@pytest.mark.parametrize("book", BOOKS)
def test_typical_details_are_lettered_as_an_office_letters(book: str, tmp_path: Path) -> None:
    details(tmp_path / "details.dxf", rulebook=book)
    doc = ezdxf.readfile(tmp_path / "details.dxf")
    texts = [e.dxf.text for block in doc.blocks for e in block if e.dxftype() == "TEXT"]
    assert len(texts) > 20
    assert [(text, found) for text in texts if (found := wrong(without_rating(text), plate=True))] == []


@pytest.mark.parametrize("name", sorted(str(path.relative_to(SAMPLES)) for path in SAMPLES.rglob("*.dxf")))
def test_specification_and_draft_of_settings_are_in_plain_words(name: str, tmp_path: Path) -> None:
    text = spec(SAMPLES / name)
    assert wrong(without_rating(text), plate=True) == []
    layers(SAMPLES / name, write=tmp_path / "draft.toml")
    assert wrong((tmp_path / "draft.toml").read_text(encoding="utf-8"), plate=False) == []


@pytest.mark.parametrize("command", ["", *COMMANDS])
def test_help_is_in_plain_words(command: str) -> None:
    assert wrong(" ".join(perpend(*filter(None, (command, "--help"))).out.split()), plate=False) == []


CASES = [case for case in read_cases() if "error" not in case.content]


@pytest.mark.parametrize("part", range(4))
def test_every_case_file_is_lettered_as_an_office_letters(part: int) -> None:
    found: dict[str, list[str]] = {}
    for case in CASES[part::4]:
        if hits := _hits(case):
            found[f"{case.code}/{case.path.stem}"] = hits
    assert found == {}


def _hits(case: Case) -> list[str]:
    try:
        basis = case.basis()
        plan = plan_wall(basis)
    except InputError:
        return []
    book = load_rulebook("us-cmu")
    judged = judged_plan(basis, plan, {}, Accepted())
    elevation = Elevation("case.dxf", "0" * 64, "R2010", "in", (basis.wall,))
    outcome = WallOutcome(basis, plan, (*judged.findings, *case.judged()[0]), judged.runs)
    results = build_results(elevation, [outcome], book, settings=SettingsUsed((), ""))
    style = drafting_style(Settings(), elevation, book)
    plate, review = ezdxf.new("R2010"), ezdxf.new("R2010")
    draw_plans(plate, [plan], judged.findings, style)
    draw_review(review, [plan], Review(outcome.findings, (), ()), DraftingStyle())
    hits = [hit for text in plotted(plate) for hit in wrong(text, plate=True)]
    for words in (" ".join(plotted(review)), summed(results), seen(render_sheet(results, [plan]))):
        hits += wrong(words, plate=False)
    return hits
