"""Settings files: found beside and above the drawing, read strictly, and refused in one sentence."""

from __future__ import annotations

from pathlib import Path

import pytest

from perpend.errors import InputError
from perpend.model import EndCondition, Treatment
from perpend.settings import Settings, load_settings, parse_settings


def write(file: Path, text: str) -> Path:
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(text, encoding="utf-8")
    return file


def test_without_a_file_the_defaults_of_the_design_count() -> None:
    settings = load_settings()
    assert settings.rulebook == "us-cmu"
    assert settings.layers.walls == ("A-ELEV-WALL*",)
    assert settings.defaults.method == "empirical"
    assert settings.defaults.openings is Treatment.REINFORCED
    assert settings.defaults.left_end is EndCondition.CORNER
    assert settings.defaults.joint_type == "formed-paper"
    assert (settings.text.plot_scale, settings.text.height_in) == (96.0, 9.0)
    assert (settings.layer_prefix, settings.dimensions, settings.files) == ("A-ELEV-JNTC", "true", ())


def test_lengths_are_numbers_or_texts() -> None:
    settings = parse_settings(
        '[defaults]\nspacing_cap = "20\'-0\\""\njoint_clear_of_opening = "610 mm"\nlintel_bearing = 6\n'
        "wide_opening_from = 60.5\n[[walls]]\ntag = 'W1'\nlintel_bearing = 'by-span'\n"
    )
    assert settings.defaults.spacing_cap == 240.0
    assert settings.defaults.joint_clear_of_opening == pytest.approx(24.0157, abs=1e-4)
    assert (settings.defaults.lintel_bearing, settings.defaults.wide_opening_from) == (6.0, 60.5)
    assert settings.walls[0].lintel_bearing == "by-span"


def test_one_pattern_may_stand_without_a_list_and_case_does_not_count() -> None:
    layers = parse_settings("[layers]\nwalls = 'Masonry-*'\n").layers
    assert layers.plays("walls", "MASONRY-EXT")
    assert not layers.plays("walls", "X-MASONRY")
    assert layers.plays("openings", "a-elev-opng-dr")


def test_the_project_file_is_found_above_and_the_sidecar_overrides_it(tmp_path: Path) -> None:
    project = write(
        tmp_path / "perpend.toml",
        "[defaults]\nmethod = 'engineered'\nccc = 0.001\n[layers]\nwalls = ['A*']\n"
        "[[walls]]\ntag = 'W1'\nleft_end = 'free'\n",
    )
    sidecar = write(
        tmp_path / "sheets" / "north.perpend.toml",
        "[defaults]\nccc = 0.0015\n[layers]\nwalls = ['B*']\n[[walls]]\ntag = 'W1'\nleft_end = 'continues'\n",
    )
    settings = load_settings(None, tmp_path / "sheets" / "north.dxf")
    assert settings.files == (str(project), str(sidecar))
    assert (settings.defaults.method, settings.defaults.ccc) == ("engineered", 0.0015)
    assert settings.layers.walls == ("B*",)
    assert [entry.left_end for entry in settings.walls] == [EndCondition.FREE, EndCondition.CONTINUES]
    assert load_settings(None, tmp_path / "sheets" / "south.dxf").files == (str(project),)


def test_the_nearest_project_file_counts_alone(tmp_path: Path) -> None:
    write(tmp_path / "perpend.toml", "[defaults]\nmethod = 'veneer'\n")
    near = write(tmp_path / "a" / "perpend.toml", "[text]\nplot_scale = 48\n")
    settings = load_settings(None, tmp_path / "a" / "b" / "x.dxf")
    assert settings.files == (str(near),)
    assert settings.defaults.method == "empirical"


def test_a_named_file_is_used_alone(tmp_path: Path) -> None:
    write(tmp_path / "x.perpend.toml", "[defaults]\nmethod = 'veneer'\n")
    named = write(tmp_path / "mine.toml", "[text]\nplot_scale = 48\n")
    settings = load_settings(named, tmp_path / "x.dxf")
    assert (settings.files, settings.defaults.method) == ((str(named),), "empirical")


def test_the_hash_is_that_of_what_is_in_force() -> None:
    plain = parse_settings("")
    assert (
        parse_settings("# a remark\nrulebook = 'us-cmu'\n").sha256 == plain.sha256 == load_settings().sha256
    )
    assert parse_settings("[text]\nplot_scale = 48\n").sha256 != plain.sha256
    assert len(plain.sha256) == 64


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "[defaults]\nmetod = 'veneer'\n",
            "line 2: unknown key 'defaults, metod'; the nearest known one is 'method'",
        ),
        ("[layer]\nwalls = 'A'\n", "unknown key 'layer'; the nearest known one is 'layers'"),
        ("[layers]\nwals = 'A'\n", "the nearest known one is 'walls'"),
        ("rulebok = 'x'\n", "the nearest known one is 'rulebook'"),
        (
            "[[walls]]\ntag = 'W1'\nleftend = 'free'\n",
            "unknown key 'walls 1, leftend'; the nearest known one is 'left_end'",
        ),
        ("[[openings]]\ntag = 'D1'\ntreatmnt = 'reinforced'\n", "the nearest known one is 'treatment'"),
        (
            "[defaults]\nmethod = 'emperical'\n",
            "method = 'emperical' is not known; the nearest known one is 'empirical'",
        ),
        ("[defaults]\nopenings = 'reinforce'\n", "the nearest known one is 'reinforced'"),
        ("[defaults]\nleft_end = 'x'\n", "known are continues, corner, free, joint"),
        ("[defaults]\nspacing_cap = 'long'\n", "'long' is not a length"),
        ("[defaults]\nspacing_cap = true\n", "a length is required"),
        ("[defaults]\nlintel_depth = 0\n", "greater than 0"),
        ("[text]\nplot_scale = 0\n", "greater than"),
        ("[text]\nheight = '-1/8\"'\n", "can't be meant"),
        ("[[walls]]\nmethod = 'veneer'\n", "walls 1: tag is missing"),
        ("[[openings]]\ntreatment = 'reinforced'\n", "openings 1 does not say which openings"),
        ("[severities]\npanel-to-long = 'advisory'\n", "the nearest known one is 'panel-too-long'"),
        ("[defaults\n", "line 1"),
        ("a = 'x'\na = 'y'\n", "not valid TOML"),
        ("walls = 3\n", "walls = 3"),
        ("files = ['x']\n", "unknown key 'files'"),
    ],
)
def test_a_wrong_file_is_refused_with_one_sentence(tmp_path: Path, text: str, said: str) -> None:
    file = write(tmp_path / "perpend.toml", text)
    with pytest.raises(InputError) as caught:
        load_settings(None, tmp_path / "x.dxf")
    assert said in str(caught.value)
    assert str(file) in str(caught.value)
    assert "\n" not in str(caught.value)


def test_the_fault_is_named_with_the_file_it_stands_in(tmp_path: Path) -> None:
    write(tmp_path / "perpend.toml", "rulebook = 'us-cmu'\n")
    sidecar = write(tmp_path / "x.perpend.toml", "[text]\nplotscale = 3\n")
    with pytest.raises(InputError, match=rf"{sidecar.name}, line 2: .*'plot_scale'"):
        load_settings(None, tmp_path / "x.dxf")


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        load_settings(tmp_path / "none.toml")
    with pytest.raises(InputError, match="cannot be read"):
        load_settings(tmp_path)
    (tmp_path / "utf16.toml").write_bytes("rulebook = 'us-cmu'".encode("utf-16"))
    with pytest.raises(InputError, match="not UTF-8"):
        load_settings(tmp_path / "utf16.toml")
    (tmp_path / "bom.toml").write_bytes("rulebook = 'us-cmu'\r\n".encode("utf-8-sig"))
    assert load_settings(tmp_path / "bom.toml").rulebook == "us-cmu"


def test_settings_are_frozen() -> None:
    with pytest.raises(ValueError, match="frozen"):
        Settings().rulebook = "other"  # type: ignore[misc]
