"""docs/findings/ is what the case files say, and its pictures are well-formed and show every mark."""

from __future__ import annotations

import xml.etree.ElementTree as ET

from checks.build_pages import FOLDER, strays, wanted
from checks.cases import read_cases

REMAKE = "run python -m tests.checks.build_pages"
SVG = "{http://www.w3.org/2000/svg}"


def test_the_pages_are_those_that_the_case_files_make() -> None:
    for path, text in wanted().items():
        assert path.is_file(), f"{path} is missing: run python -m tests.checks.build_pages"
        assert path.read_text(encoding="utf-8") == text, (
            f"{path} is old: run python -m tests.checks.build_pages"
        )
    assert strays() == []


def test_every_place_of_every_finding_is_marked_in_its_picture() -> None:
    for case in read_cases():
        picture = ET.fromstring((FOLDER / case.code / f"{case.path.stem}.svg").read_text(encoding="utf-8"))
        marks = picture.findall(f"{SVG}circle")
        expected = case.content.get("expect", [])
        assert len(marks) == sum(len(e["at"]) for e in expected if "at" in e), case.path
        assert len(picture.findall(f"{SVG}polyline")) >= len(case.content.get("joints", []))
