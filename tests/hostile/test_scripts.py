"""Names that carry scripts, opened in headless Chromium: no page and no picture runs one."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from cli.drawings import save_elevation
from cli.harness import perpend
from perpend import check

if TYPE_CHECKING:
    from playwright.sync_api import Browser

IMAGE = '"><img src=x onerror=alert(1)>'
BREAKOUT = "</script></title></style><svg onload=alert(2)>'`${alert(3)}"
NAME = f"{IMAGE}-->" + "<svg onload=alert(4)>{{7*7}}"

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="such file names exist on POSIX alone")


@pytest.fixture
def drawing(tmp_path: Path) -> Path:
    """An elevation whose folder, name, layers, tags, notes, settings and waivers carry scripts."""
    folder = tmp_path / NAME
    folder.mkdir()
    tagged = [("TAGTAG", (0, 0, 624, 200))]
    plain = save_elevation(tmp_path / "plain.dxf", tagged, [("D1", (240, 0, 288, 88))])
    data = plain.read_bytes().replace(b"TAGTAG", b"<svg onload=alert(5)>")
    data = data.replace(b"A-ELEV-WALL", b"A-ELEV-WALL" + (IMAGE + BREAKOUT).encode())
    hostile = folder / f"{NAME}.dxf"
    hostile.write_bytes(data)
    words = json.dumps(IMAGE + BREAKOUT)
    (folder / "perpend.toml").write_text(
        f"[[walls]]\ntag = {words}\nmethod = 'engineered'\n", encoding="utf-8"
    )
    fingerprints = [f.fingerprint for f in check(hostile, tmp_path / "first.dxf").results.all_findings]
    (folder / f"{NAME}.waivers.toml").write_text(
        "".join(
            f'[[waivers]]\nfingerprint = "{each}"\nreason = {words}\nwho = {words}\n'
            for each in [*fingerprints[:1], "0123456789abcdef"]
        ),
        encoding="utf-8",
    )
    return hostile


def test_no_page_and_no_picture_runs_a_script(drawing: Path, tmp_path: Path, browser: Browser) -> None:
    """What a script of theirs would do first is watched: a dialog, an element that is none of ours."""
    out = tmp_path / "out"
    out.mkdir()
    newer = drawing.with_name(f"newer{NAME}.dxf")
    newer.write_bytes(drawing.read_bytes().replace(b"\n288.0\n", b"\n296.0\n"))
    sides = ("--sheet", out / "a.html", "--picture", out / "a.svg")
    assert perpend("annotate", drawing, "-o", out / "a.dxf", *sides).code < 2
    sides = ("--sheet", out / "c.html", "--picture", out / "c.svg", "--propose")
    assert perpend("check", drawing, "-o", out / "c.dxf", *sides).code == 1
    assert perpend("changes", drawing, newer, "--sheet", out / "d.html").code == 1
    assert perpend("batch", drawing.parent, "--out", out / "b", "--jobs", "1", "--check").code == 1
    pages = sorted(path for path in out.rglob("*") if path.suffix in (".html", ".svg"))
    assert len(pages) >= 7
    page = browser.new_page()
    dialogs: list[str] = []
    page.on("dialog", lambda dialog: (dialogs.append(dialog.message), dialog.dismiss()))
    try:
        for number, place in enumerate(pages):
            plain = tmp_path / f"{number}{place.suffix}"
            os.link(place, plain)
            page.goto(plain.as_uri())
            page.wait_for_timeout(100)
            assert dialogs == [], place.name
            assert page.locator("[onload], [onerror], img[src=x]").count() == 0, place.name
            assert "49" not in page.title(), "no template was filled twice"
    finally:
        page.close()
    assert any("onerror=alert(1)" in path.read_text(encoding="utf-8") for path in pages), "they were there"
