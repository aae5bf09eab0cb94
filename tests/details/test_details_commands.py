"""``perpend details`` and ``annotate --details``: what they write, and what they refuse."""

from __future__ import annotations

import io
from pathlib import Path

import ezdxf
import pytest

from cli.harness import perpend
from details.sheets import APPLICATION, details, measured, said
from perpend.rulebook import book_keys

SAMPLES = Path(__file__).parents[2] / "sample_drawings"
TITLE_WORDS = ("PERPEND", "RULE BOOK", "UNVERIFIED", "RECALLED", "MEMORY")


def test_the_sheet_is_written_and_written_again_the_same(tmp_path: Path) -> None:
    out = tmp_path / "details.dxf"
    assert perpend("details", "-o", out).code == 0
    first = out.read_bytes()
    assert perpend("details", "-o", out).code == 0
    assert out.read_bytes() == first
    assert not ezdxf.readfile(out).audit().errors


@pytest.mark.parametrize("book", book_keys())
def test_every_rule_book_has_its_details(book: str, tmp_path: Path) -> None:
    out = tmp_path / "details.dxf"
    ending = perpend("details", "-o", out, "--rulebook", book)
    assert ending.code == 0
    assert ("REINFORCED JAMB" in ending.out) == (book != "us-cmu"), "what is left out is named"
    doc = ezdxf.readfile(out)
    assert len(details(doc)) == {"us-clay": 4, "en-uk": 4, "us-cmu": 17, "au-ncc": 11}[book], "and the border"
    assert measured(doc)


def test_work_of_others_is_not_replaced(tmp_path: Path) -> None:
    out = tmp_path / "details.dxf"
    out.write_text("somebody's", encoding="utf-8")
    assert perpend("details", "-o", out).code == 2
    assert out.read_text(encoding="utf-8") == "somebody's"
    assert perpend("details", "-o", out, "--overwrite").code == 0


@pytest.mark.parametrize("name", ["details.dwg", "nowhere/details.dxf"])
def test_places_where_nothing_can_be_written(name: str, tmp_path: Path) -> None:
    ended = perpend("details", "-o", tmp_path / name)
    assert ended.code == 2
    assert not list(tmp_path.iterdir())


def test_the_sheet_speaks_as_an_office_letters_and_carries_the_caution(tmp_path: Path) -> None:
    out = tmp_path / "details.dxf"
    perpend("details", "-o", out)
    doc = ezdxf.readfile(out)
    texts = [t.dxf.text for block in doc.blocks for t in block.query("TEXT")]
    assert not [t for t in texts for word in TITLE_WORDS if word in t]
    assert [t for t in texts if "NOT A DESIGN" in t and "SEE STRUCT." in t]
    assert all(t == t.upper() for t in texts)


def test_the_project_s_sheet_and_size_come_from_its_settings(tmp_path: Path) -> None:
    settings = tmp_path / "office.toml"
    settings.write_text('[details]\nsheet = "A-501"\nsheet_size = "a1"\n', encoding="utf-8")
    out = tmp_path / "details.dxf"
    assert perpend("details", "-o", out, "--settings", settings).code == 0
    doc = ezdxf.readfile(out)
    border = details(doc)["sheet"].block()
    assert "A-501" in [t.dxf.text for t in border.query("TEXT")]
    assert max(p[0] for line in border.query("LWPOLYLINE") for p in line) == pytest.approx(841 / 25.4)


@pytest.mark.parametrize("name", ["shopfront-south", "sheet-courtyard", "stepped-east"])
def test_details_go_below_the_drawing_and_come_out_to_the_byte(name: str, tmp_path: Path) -> None:
    drawing, out, back = SAMPLES / f"{name}.dxf", tmp_path / "out.dxf", tmp_path / "back.dxf"
    settings = SAMPLES / "perpend.toml"
    assert perpend("annotate", drawing, "-o", out, "--details", "--settings", settings).code in (0, 1)
    doc = ezdxf.readfile(out)
    ours = [i for i in doc.modelspace().query("INSERT") if i.has_xdata(APPLICATION)]
    placed = [i for i in ours if said(i)["kind"].startswith("detail-")]
    assert len(placed) == 16
    others = [e for e in doc.modelspace() if e.dxftype() in ("LINE", "LWPOLYLINE", "TEXT")]
    lowest = min(_low(e) for e in others)
    assert max(i.dxf.insert.y for i in placed) < lowest
    assert perpend("annotate", out, "--clean", "-o", back).code == 0
    assert back.read_bytes() == drawing.read_bytes()


def _low(entity: object) -> float:
    if entity.dxftype() == "LINE":  # type: ignore[attr-defined]
        return min(entity.dxf.start.y, entity.dxf.end.y)  # type: ignore[attr-defined]
    if entity.dxftype() == "TEXT":  # type: ignore[attr-defined]
        return float(entity.dxf.insert.y)  # type: ignore[attr-defined]
    return min(p[1] for p in entity)  # type: ignore[attr-defined]


def test_details_do_not_change_the_joints_or_what_a_check_finds(tmp_path: Path) -> None:
    drawing, settings = SAMPLES / "shopfront-south.dxf", SAMPLES / "perpend.toml"
    with_details, without = tmp_path / "a.dxf", tmp_path / "b.dxf"
    perpend("annotate", drawing, "-o", with_details, "--details", "--settings", settings)
    perpend("annotate", drawing, "-o", without, "--settings", settings)
    found = [
        perpend("check", path, "-o", tmp_path / "c.dxf", "--overwrite", "--settings", settings)
        for path in (with_details, without)
    ]
    assert found[0].code == found[1].code == 0
    lines = [[line for line in f.out.splitlines() if ".dxf" not in line] for f in found]
    assert lines[0] == lines[1]


def test_dimensions_keep_their_sizes_at_the_scale_of_a_plate(tmp_path: Path) -> None:
    out = tmp_path / "out.dxf"
    perpend("annotate", SAMPLES / "shopfront-south.dxf", "-o", out, "--details")
    doc = ezdxf.read(io.StringIO(out.read_text(encoding="utf-8")))
    sizes = {}
    for insert in doc.modelspace().query("INSERT"):
        if insert.has_xdata(APPLICATION):
            for d in insert.block().query("DIMENSION"):
                factor = doc.dimstyles.get(d.dxf.dimstyle).dxf.dimlfac
                sizes.setdefault(d.dxf.text, set()).add(round(d.get_measurement() * factor, 4))
    assert sizes['3/8"'] == {0.375}
    assert sizes['7 5/8"'] == {7.625}
