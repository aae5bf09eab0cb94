"""A rule book of an office's own: a TOML file, and no code. Country, documents and numbers are invented."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

from cli.drawings import add_box, new_drawing
from cli.harness import perpend
from layout import brute, referee
from perpend.checks import check_wall
from perpend.errors import InputError
from perpend.layout.place import place_joints
from perpend.model import Box, EndCondition, Opening, Profile, Wall
from perpend.rulebook import WallBasis
from perpend.settings import book_of, load_settings, resolve_wall

BOOK = Path(__file__).parent / "ruritania.toml"
MM = 1 / 25.4


def basis(
    folder: Path, text: str = "", *holes: Opening, length: float = 30_000, height: float = 3_000
) -> WallBasis:
    (folder / "ruritania.toml").write_bytes(BOOK.read_bytes())
    settings_file = folder / "perpend.toml"
    settings_file.write_text(f"rulebook = 'ruritania.toml'\n[defaults]\n{text}", encoding="utf-8")
    settings = load_settings(settings_file)
    x1 = length * MM
    wall = Wall(
        "W1",
        "",
        x1,
        Profile.level(height * MM, 0, x1),
        Profile.level(0, 0, x1),
        openings=holes,
        left_end=EndCondition.CORNER,
        right_end=EndCondition.CORNER,
    )
    return resolve_wall(settings, book_of(settings), wall, metric=True)


@pytest.mark.parametrize(
    ("text", "spacing", "corner"),
    [
        ("", 7_000, 3_000),
        ("material = 'adobe'\n", 4_500, 3_000),
        ("material = 'adobe'\nparapet = true\n", 1_800, 1_000),
        ("left_return = '2 m'\n", 7_000, 3_600),
        ("method = 'engineered'\n", 5_000, 3_000),
        ("method = 'engineered'\njoint_width = '6 mm'\n", 2_500, 2_500),
    ],
)
def test_every_kind_of_rule_is_read_from_the_file(
    tmp_path: Path, text: str, spacing: float, corner: float
) -> None:
    """Spacing by material, by movement and width, parapets and corners measured round them at 0.8.

    By movement: 12 mm · 0.25 / 0.0006 = 5,000 mm.
    """
    found = basis(tmp_path, text).limits(0.0, 1_000 * MM)
    assert found.max_spacing_in == pytest.approx(spacing * MM)
    assert min(found.corner_distance_in or 0.0, found.max_spacing_in or 0.0) == pytest.approx(corner * MM)


def test_level_joints_notes_scope_and_label(tmp_path: Path) -> None:
    found = basis(tmp_path, "shelf_angles = ['2.4 m']\n")
    assert found.sizes.horizontal is not None
    assert found.sizes.horizontal.levels_in == (pytest.approx(2_400 * MM),)
    assert found.label == "GJ"
    told = " ".join(found.notes)
    assert "8 mm" in told
    assert "Keep it clear of ivy" in told
    assert "earthquake_zone" in told


def test_it_is_laid_out_refereed_and_judged(tmp_path: Path) -> None:
    hole = Opening("D1", "", Box(6_000 * MM, 0.0, 8_000 * MM, 2_100 * MM))
    for text in ("", "material = 'adobe'\n", "left_return = '2 m'\n", "module = '1.2 m'\n"):
        found = basis(tmp_path, text, hole, length=14_400)
        placed = place_joints(found)
        assert placed.cost.violations == 0
        assert referee.judge(found, placed).complaints == []
        assert check_wall(found, placed.joints).required == ()
    report = referee.judge(found, placed)
    assert (*report.cost, report.off_steps, report.feet) == brute.best(found)


def test_the_command_line_takes_it(tmp_path: Path) -> None:
    basis(tmp_path)
    shown = perpend("limits", "--height", "3m", "--settings", tmp_path / "perpend.toml")
    assert shown.code == 0
    assert "7000 mm" in shown.out
    assert "Bylaw of the invented country" in shown.out


@pytest.mark.parametrize(
    ("height", "ledges", "too_high"),
    [(4_900, "", []), (5_100, "", [5_100]), (9_000, "'4 m'", [5_000]), (8_000, "'4 m'", [])],
)
def test_horizontal_joints_are_data_too(
    tmp_path: Path, height: float, ledges: str, too_high: list[float]
) -> None:
    """A ledge every 4 m where a wall is higher than 5 m."""
    found = basis(tmp_path, f"shelf_angles = [{ledges}]\n", height=height)
    report = check_wall(found, place_joints(found).joints)
    advice = [f for f in report.findings if f.code == "no-horizontal-joint"]
    assert [f.measured_in for f in advice] == pytest.approx([h * MM for h in too_high])
    assert all(f.limit_in == pytest.approx(4_000 * MM) and "ledge" in f.message for f in advice)


def test_its_words_are_on_the_plate(tmp_path: Path) -> None:
    """Joint, label, masonry, width, level joints and who decides: all of them from the file.

    7 m of masonry needs 7,000 mm · 0.0006 / 0.25 = 16.8 mm, more than the usual 12 mm.
    """
    basis(tmp_path)
    drawing = new_drawing()
    drawing.header["$INSUNITS"], drawing.header["$MEASUREMENT"] = 4, 1
    add_box(drawing, (0, 0, 14_400, 3_000), "A-ELEV-WALL")
    drawing.saveas(tmp_path / "wall.dxf")
    (tmp_path / "perpend.toml").write_text(
        "rulebook = 'ruritania.toml'\n[defaults]\nshelf_angles = ['2.4 m']\n", encoding="utf-8"
    )
    ending = perpend("annotate", tmp_path / "wall.dxf", "-o", tmp_path / "out.dxf")
    assert ending.code in (0, 1), ending.err
    texts = _lettered(tmp_path / "out.dxf")
    for said in (
        "GJ = GAP JOINT",
        "GAP JOINT SCHEDULE",
        "RUBBLE WALL SCHEDULE",
        "GJ 17 MM WIDE",
        "PROVIDE 8 MM MIN. HORIZ. GJ BELOW LEDGE, 2400 ABOVE FOOT OF WALL",
        "JOINT LAYOUT FOR REVIEW BY MASTER BUILDER",
    ):
        assert said in texts, said
    assert "CONTROL JOINT" not in texts
    assert "ENGINEER" not in texts


def _lettered(path: Path) -> str:
    """Return every text of a drawing, blocks included, in one."""
    doc = ezdxf.readfile(path)
    found = [e for e in doc.entitydb.values() if e.dxftype() in ("TEXT", "MTEXT", "ATTRIB")]
    return " ".join(" ".join(e.plain_text().split()) for e in found)


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    settings_file = tmp_path / "perpend.toml"
    settings_file.write_text("rulebook = 'none.toml'\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"none\.toml: the rule book cannot be read"):
        book_of(load_settings(settings_file))
