"""The documents say what is there: links lead somewhere, commands, options and keys are described."""

from __future__ import annotations

import re
import subprocess
from dataclasses import fields
from pathlib import Path

import pytest

from cli.harness import perpend
from perpend.checks.registry import CODES
from perpend.report import Results
from perpend.report.results_document import WallEntry
from perpend.settings import Settings
from perpend.settings.settings_schema import Defaults, OpeningEntry
from perpend.settings.settings_schema import WallEntry as WallSettings

ROOT = Path(__file__).parents[2]
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").rglob("*.md"))]
ALLOWED = {"README.md", "DEVELOPERS.md", "pyproject.toml", "src", "tests", "sample_drawings", "docs"}
_LINK = re.compile(r"!?\[[^\]]*\]\(([^)\s]+)\)")
_CODE = re.compile(r"```.*?```|`[^`]*`", re.DOTALL)


def test_the_top_level_holds_only_what_it_may() -> None:
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, timeout=60, check=True
    ).stdout.split("\n")
    top = {name.split("/")[0] for name in listed if name and not name.startswith(".")}
    assert top <= ALLOWED
    assert {"README.md", "DEVELOPERS.md", "pyproject.toml"} <= top


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_link_leads_somewhere(page: Path) -> None:
    text = _CODE.sub("", page.read_text(encoding="utf-8"))
    for target in _LINK.findall(text):
        if "://" in target or target.startswith("mailto:"):
            continue
        path, _, anchor = target.partition("#")
        linked = (page.parent / path).resolve() if path else page
        assert linked.exists(), f"{page.name} links to {target}"
        if anchor and linked.suffix == ".md":
            assert anchor in _anchors(linked), f"{page.name} links to {target}"


def _anchors(page: Path) -> set[str]:
    headings = re.findall(r"^#+ (.+)$", page.read_text(encoding="utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", h.lower()).replace(" ", "-") for h in headings}


def _commands() -> list[str]:
    listed = perpend("--help").out.split("Commands:")[1].split("Examples:")[0]
    return [line.split()[0] for line in listed.splitlines() if line.startswith("  ") and line[2:3].isalpha()]


@pytest.mark.parametrize("command", _commands())
def test_every_command_and_option_is_in_the_readme_or_docs(command: str) -> None:
    text = "\n".join(page.read_text(encoding="utf-8") for page in PAGES)
    assert f"perpend {command}" in text
    shown = perpend(command, "--help").out.split("Examples:")[0]
    options = set(re.findall(r"(?<![\w-])(--[a-z][a-z-]+)", shown)) - {"--help"}
    assert options
    for option in sorted(options):
        assert f"`{option}" in text, f"{command} {option} is documented nowhere"


def test_every_key_of_the_results_document_is_explained() -> None:
    text = (ROOT / "docs" / "results.md").read_text(encoding="utf-8")
    for field in (*fields(Results), *fields(WallEntry)):
        assert f"`{field.name}`" in text, field.name


def test_every_setting_is_explained() -> None:
    text = (ROOT / "docs" / "settings.md").read_text(encoding="utf-8")
    for model in (Settings, Defaults, WallSettings, OpeningEntry):
        for key in model.model_fields:
            assert f"`{key}`" in text, key


def test_every_finding_is_explained() -> None:
    text = (ROOT / "docs" / "results.md").read_text(encoding="utf-8")
    for code in CODES:
        assert f"`{code}`" in text, code


def test_every_folder_of_tests_is_in_the_contributors_guide() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    for folder in (ROOT / "tests").iterdir():
        if any(folder.glob("test_*.py")):
            assert f"`tests/{folder.name}`" in text, folder.name


def test_ci_runs_the_test_command_of_the_readme() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    command = "python3 -m venv .venv && .venv/bin/pip install -q -e '.[test]' && .venv/bin/pytest"
    assert command in readme
    assert command in (ROOT / ".ci" / "run").read_text(encoding="utf-8")
