"""A rule book of an office's own: a TOML file, and no code. Country, documents and numbers are invented."""

from __future__ import annotations

from pathlib import Path

import pytest

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


def basis(folder: Path, text: str = "", *holes: Opening, length: float = 30_000) -> WallBasis:
    (folder / "ruritania.toml").write_bytes(BOOK.read_bytes())
    settings_file = folder / "perpend.toml"
    settings_file.write_text(f"rulebook = 'ruritania.toml'\n[defaults]\n{text}", encoding="utf-8")
    settings = load_settings(settings_file)
    x1 = length * MM
    wall = Wall(
        "W1",
        "",
        x1,
        Profile.level(3_000 * MM, 0, x1),
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


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    settings_file = tmp_path / "perpend.toml"
    settings_file.write_text("rulebook = 'none.toml'\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"none\.toml: the rule book cannot be read"):
        book_of(load_settings(settings_file))
