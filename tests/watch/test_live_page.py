"""The page of a watched folder: what can be had from it, and by whom."""

from __future__ import annotations

import http.client
import json
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from perpend.errors import InputError
from perpend.folders.find_drawings import order_for
from perpend.folders.live_page import LivePage, live_page
from perpend.folders.orders import Order, Outcome, State


def ask(page: LivePage, path: str, host: str | None = None) -> tuple[int, str, dict[str, str]]:
    port = int(page.address.rstrip("/").rpartition(":")[2])
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    connection.request("GET", path, headers={"Host": host} if host else {})
    answer = connection.getresponse()
    text = answer.read().decode("utf-8")
    connection.close()
    return answer.status, text, dict(answer.getheaders())


def order(folder: Path, name: str) -> Order:
    made = order_for(Path(name), folder, folder, "annotate")
    made.sheet.write_text(f"sheet of {name}", encoding="utf-8")
    return made


def test_sheets_and_their_versions(tmp_path: Path) -> None:
    north, south = order(tmp_path, "north.dxf"), order(tmp_path, "south.dxf")
    with live_page(tmp_path) as page:
        assert json.loads(ask(page, "/state")[1]) == {"latest": -1, "drawings": []}
        page.update(south, Outcome("south.dxf", State.CLEAN), "south.dxf: clean")
        page.update(north, Outcome("north.dxf", State.CLEAN), "north.dxf: clean")
        page.update(north, Outcome("north.dxf", State.CLEAN), "north.dxf: clean again")
        page.update(south, Outcome("south.dxf", State.REFUSED, "no"), "south.dxf: refused: no")
        assert json.loads(ask(page, "/state")[1]) == {
            "latest": 0,
            "drawings": [
                {"name": "north.dxf", "line": "north.dxf: clean again", "version": 2},
                {"name": "south.dxf", "line": "south.dxf: refused: no", "version": 1},
            ],
        }
        status, text, headers = ask(page, "/sheet/1?v=1")
        assert (status, text) == (200, "sheet of south.dxf")
        assert headers["Cache-Control"] == "no-store"
        status, text, headers = ask(page, "/")
        assert status == 200
        assert "default-src 'none'" in headers["Content-Security-Policy"]
        assert '<script src="/live_page.js">' in text


@pytest.mark.parametrize(
    "path",
    ["/sheet/2", "/sheet/-1", "/sheet/x", "/sheet/", "/../north.dxf", "/north.dxf", "/sheet/0/../../x"],
)
def test_nothing_else_can_be_had(tmp_path: Path, path: str) -> None:
    (tmp_path / "north.dxf").write_text("secret")
    with live_page(tmp_path) as page:
        page.update(order(tmp_path, "south.dxf"), Outcome("south.dxf", State.CLEAN), "")
        status, text, _ = ask(page, path)
        assert (status, "secret" in text) == (404, False)


def test_only_under_the_names_of_this_machine(tmp_path: Path) -> None:
    with live_page(tmp_path) as page:
        assert ask(page, "/state", host="example.org")[0] == 403
        port = page.address.rstrip("/").rpartition(":")[2]
        assert ask(page, "/state", host=f"localhost:{port}")[0] == 200


def test_names_are_no_markup(tmp_path: Path) -> None:
    folder = tmp_path / "<b>x"
    folder.mkdir()
    with live_page(folder) as page:
        text = ask(page, "/")[1]
        assert "<b>" not in text
        assert "&lt;b&gt;x" in text


def test_a_port_that_is_taken(tmp_path: Path) -> None:
    with live_page(tmp_path) as page:
        port = int(page.address.rstrip("/").rpartition(":")[2])
        with pytest.raises(InputError, match="--port"), live_page(tmp_path, port):
            pass


def test_the_browser_reloads_the_sheet(tmp_path: Path, browser: Browser) -> None:
    """In a real browser: the sheet that was written anew is shown without a hand on the browser."""
    made = order(tmp_path, "north.dxf")
    with live_page(tmp_path) as page:
        tab = browser.new_page()
        problems: list[str] = []
        tab.on("pageerror", lambda error: problems.append(str(error)))
        tab.goto(page.address)
        page.update(made, Outcome("north.dxf", State.CLEAN), "north.dxf: clean")
        tab.frame_locator("#sheet").get_by_text("sheet of north.dxf").wait_for(timeout=10_000)
        made.sheet.write_text("the second sheet", encoding="utf-8")
        page.update(made, Outcome("north.dxf", State.CLEAN), "north.dxf: 1 violation")
        tab.frame_locator("#sheet").get_by_text("the second sheet").wait_for(timeout=10_000)
        assert tab.locator("#line").inner_text() == "north.dxf: 1 violation"
        assert problems == []
        tab.close()
