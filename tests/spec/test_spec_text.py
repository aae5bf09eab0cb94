"""Specification text: its structure, what it speaks of and what not; never its sentences."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from cli.harness import perpend
from perpend.jobs.write_spec import specify
from perpend.model import PlaceKind
from perpend.report.spec_facts import SpecFacts, WallLimits, in_ranges, written
from perpend.report.spec_text import Specification, markdown, plain_text, specification
from perpend.rulebook import joint_types, load_rulebook

SAMPLES = Path(__file__).parents[2] / "sample_drawings"
TYPES = {kind.key: kind for kind in joint_types(load_rulebook("us-cmu"))}
FACTS = SpecFacts(
    drawing="a.dxf",
    label="CJ",
    name="control joint",
    walls=(WallLimits(("W1",), "24 ft 0 in.", "12 ft 0 in. from a corner"),),
    joints=3,
    types=(TYPES["formed-paper"],),
    widths=("3/8 in.", "3/4 in.", "1/4 in."),
    bearing="4 in.",
    clear="24 in.",
    slip_planes=False,
    reinforced=(),
    places=(),
    steel=(),
    steel_chosen=False,
    bond_beams=False,
    through=False,
    veneer=False,
    no_joints=(),
    sealant="ASTM C920",
    details={"formed-paper": "1", "slip-plane": "6/A-501", "pilaster": "12"},
    cautions=load_rulebook("us-cmu").cautions,
)


def titles(spec: Specification) -> dict[str, list[str]]:
    return {name: [article.title for article in articles] for name, articles in spec.parts}


def whole(spec: Specification) -> str:
    return "\n".join(p for _, articles in spec.parts for a in articles for p in a.paragraphs)


def test_the_least_text_has_three_parts_and_only_what_is_used() -> None:
    assert titles(specification(FACTS)) == {
        "GENERAL": ["SUMMARY", "REFERENCES", "SUBMITTALS", "LOCATION OF JOINTS"],
        "PRODUCTS": ["FORMED PAPER JOINT", "SEALANT AND BACKER ROD"],
        "EXECUTION": ["JOINTS", "SEALING", "FIELD QUALITY CONTROL"],
    }


@pytest.mark.parametrize(
    ("used", "part", "article"),
    [
        ({"slip_planes": True}, "PRODUCTS", "SLIP PLANE"),
        ({"slip_planes": True}, "EXECUTION", "JOINTS AT OPENINGS"),
        ({"reinforced": ("D1",)}, "EXECUTION", "REINFORCED OPENINGS"),
        ({"steel": ("2 wires",)}, "PRODUCTS", "HORIZONTAL REINFORCEMENT"),
        ({"steel": ("2 wires",)}, "EXECUTION", "REINFORCEMENT AT JOINTS"),
        ({"through": True}, "EXECUTION", "REINFORCEMENT AT JOINTS"),
        ({"veneer": True}, "EXECUTION", "VENEER"),
        ({"types": (TYPES["raked"],)}, "PRODUCTS", "RAKED JOINT WITH BACKER ROD AND SEALANT"),
        ({"types": ()}, "PRODUCTS", "JOINT TYPE"),
    ],
)
def test_what_a_project_uses_brings_its_article(used: dict[str, object], part: str, article: str) -> None:
    assert article not in titles(specification(FACTS))[part]
    assert article in titles(specification(replace(FACTS, **used)))[part]


def test_numbers_of_the_project_are_in_the_text() -> None:
    text = whole(
        specification(replace(FACTS, slip_planes=True, reinforced=("D1", "D2"), places=(PlaceKind.PILASTER,)))
    )
    for number in (
        "24 ft 0 in.",
        "12 ft 0 in.",
        "3/8 in.",
        "3/4 in.",
        "1/4 in.",
        "4 in.",
        "24 in.",
        "D1, D2",
        "6/A-501",
    ):
        assert number in text, number
    assert "pilaster" in text


def test_a_wall_without_joints_has_nothing_to_seal() -> None:
    spec = specification(replace(FACTS, joints=0, types=(), walls=(), no_joints=("W1",), steel=("No. 4",)))
    assert titles(spec)["PRODUCTS"] == ["HORIZONTAL REINFORCEMENT"]
    assert titles(spec)["EXECUTION"] == ["FIELD QUALITY CONTROL"]
    assert "W1" in whole(spec)


def test_what_is_open_is_in_brackets_and_a_fire_rating_is_never_made_up() -> None:
    text = whole(specification(replace(FACTS, types=(TYPES["preformed-gasket"], TYPES["raked"]))))
    assert "[VERIFY WITH MANUFACTURER]" in text
    assert "[ENGINEER OF RECORD]" in text
    assert not re.search(r"\d\s*(h|hours?|hr)\b", text)


def test_every_caution_comes_first() -> None:
    for text in (markdown(specification(FACTS)), plain_text(specification(FACTS))):
        head = " ".join(text.split("PART 1")[0].replace(">", " ").split())
        for caution in FACTS.cautions:
            assert caution in head


@pytest.mark.parametrize("name", ["shopfront-south", "sheet-courtyard", "stepped-east", "wainscot-west"])
def test_sections_are_numbered_without_gaps_and_sentences_are_short(name: str) -> None:
    spec = specify(SAMPLES / f"{name}.dxf")
    for text, pattern in ((markdown(spec), r"^### (\d)\.(\d+) "), (plain_text(spec), r"^(\d)\.(\d+)  ")):
        found = [(int(a), int(b)) for a, b in re.findall(pattern, text, re.MULTILINE)]
        assert {part for part, _ in found} == {1, 2, 3}
        for part in (1, 2, 3):
            rows = [row for p, row in found if p == part]
            assert rows == list(range(1, len(rows) + 1))
    sentences = re.split(r"(?<=[a-z\])]\.)\s", whole(spec).replace("\n", " "))
    assert max(len(s.split()) for s in sentences) <= 32
    assert max(map(len, plain_text(spec).splitlines())) <= 92


def test_paragraphs_are_lettered_from_a() -> None:
    text = plain_text(specification(FACTS))
    for block in re.split(r"^\d\.\d+  .*$", text, flags=re.MULTILINE)[1:]:
        letters = re.findall(r"^  ([A-Z]+)\. ", block, re.MULTILINE)
        assert letters == [chr(ord("A") + i) for i in range(len(letters))]
        assert letters


def test_nothing_on_it_speaks_of_the_program() -> None:
    text = markdown(specify(SAMPLES / "shopfront-south.dxf")).lower()
    for word in ("perpend", "rule book", "unverified", "memory"):
        assert word not in text


@pytest.mark.parametrize("ending", [".md", ".txt"])
def test_the_command_writes_a_file_once(ending: str, tmp_path: Path) -> None:
    out = tmp_path / f"joints{ending}"
    assert perpend("spec", SAMPLES / "shopfront-south.dxf", "-o", out).code == 0
    text = out.read_text(encoding="utf-8")
    assert text.startswith("# SECTION" if ending == ".md" else "SECTION")
    out.write_text("edited", encoding="utf-8")
    assert perpend("spec", SAMPLES / "shopfront-south.dxf", "-o", out).code == 2
    assert out.read_text(encoding="utf-8") == "edited"
    assert perpend("spec", SAMPLES / "shopfront-south.dxf", "-o", out, "--overwrite").code == 0
    assert out.read_text(encoding="utf-8") == text


def test_without_a_file_the_text_goes_to_the_terminal() -> None:
    ended = perpend("spec", SAMPLES / "shopfront-south.dxf")
    assert ended.code == 0
    assert ended.out == plain_text(specify(SAMPLES / "shopfront-south.dxf"))


def test_other_kinds_of_files_are_refused(tmp_path: Path) -> None:
    assert perpend("spec", SAMPLES / "shopfront-south.dxf", "-o", tmp_path / "joints.docx").code == 2
    assert not list(tmp_path.iterdir())


def test_metric_drawings_are_written_in_millimetres() -> None:
    assert [written(x, True) for x in (10 / 25.4, 24.0)] == ["10 mm", "610 mm"]
    assert [written(x, False) for x in (0.375, 12.5, 48, 288, 302)] == [
        "3/8 in.",
        "12 1/2 in.",
        "48 in.",
        "24 ft 0 in.",
        "25 ft 2 in.",
    ]


@pytest.mark.parametrize(
    ("tags", "said"),
    [
        (["N1", "N2", "N3", "D1", "D2"], ("N1 to N3", "D1", "D2")),
        (["N3", "N1", "N1", "N9"], ("N1", "N3", "N9")),
        (["A", "B", "A"], ("A", "B")),
        (["N08", "N09", "N10"], ("N08", "N09", "N10")),
        ([], ()),
    ],
)
def test_runs_of_tags(tags: list[str], said: tuple[str, ...]) -> None:
    assert in_ranges(tags) == said
