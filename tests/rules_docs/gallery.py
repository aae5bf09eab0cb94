"""The gallery: one annotated elevation for every method and opening treatment, made from a sample drawing.

``python -m tests.rules_docs.gallery`` from the top folder writes docs/gallery.md and its pictures. Each
picture carries the fingerprint of the layout that it shows: a test tells a stale one without drawing it.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "sample_drawings" / "shopfront-south.dxf"
PAGE = ROOT / "docs" / "gallery.md"
IMAGES = ROOT / "docs" / "images"
FINGERPRINT = "layout"
"""Key of the PNG's text that holds the fingerprint."""
LARGEST_BYTES = 200_000

_MARGIN_MM = 6.0
"""Margin of the picture around modelspace, as `perpend.drawing.picture` leaves it."""
_AROUND_IN = (154.0, 69.0, 190.0, 105.0)
"""What is shown left of, below, right of and above the wall, inches of elevation."""
_DOTS_PER_INCH = 150


@dataclass(frozen=True)
class Plate:
    """One elevation of the gallery: its name, its settings, and what is worth seeing on it."""

    key: str
    title: str
    settings: str
    look: str


_US = "[defaults]\njoint_type = 'formed-paper'\n"
_METHODS = (
    (
        "empirical-full",
        "Empirical, full-height units",
        _US,
        "1.5 × H governs below 16'-8\", the 25 ft cap above.",
    ),
    ("empirical-half", "Empirical, half-high units", _US + "units = 'half-high'\n", "The cap is 20 ft."),
    (
        "engineered-0010",
        "Engineered, crack control coefficient 0.0010",
        _US + "method = 'engineered'\nccc = 0.0010\n",
        "2.5 × H, at most 25 ft†: units that shrink little.",
    ),
    (
        "engineered-0015",
        "Engineered, crack control coefficient 0.0015",
        _US + "method = 'engineered'\nccc = 0.0015\n",
        "2.0 × H, at most 20 ft†: units that shrink most.",
    ),
    (
        "veneer-loose",
        "Veneer on loose lintels",
        _US + "method = 'veneer'\nlintel_support = 'loose'\n",
        "At most 20 ft†; a joint stands a wythe, 4 in., from each corner.",
    ),
    (
        "veneer-anchored",
        "Veneer, lintels anchored to the backup",
        _US + "method = 'veneer'\nlintel_support = 'anchored'\n",
        "The lintels do not bear on the veneer, so joints run straight up at the jambs.",
    ),
    (
        "no-joints",
        "No joints, with steel",
        _US + "method = 'no-joints'\nbond_beam_bar = 'No. 5'\n",
        "Bond beams on their courses, as many as 0.002 · An asks for in every strip between jambs.",
    ),
)
_TREATMENTS = {
    "reinforced": "Jamb bars, lintels 16 in. past the jamb, joints 24 in.† away.",
    "unreinforced": "Joints at the jambs, stepped under the lintels; joint reinforcement at the corners.",
}
_OTHERWISE = {
    ("veneer-anchored", "reinforced"): "Jamb bars, joints 24 in.† away.",
    ("veneer-anchored", "unreinforced"): "Joint reinforcement at the corners.",
    ("no-joints", "reinforced"): "Jamb bars, lintels 16 in. past the jamb, a bar below each sill.",
    ("no-joints", "unreinforced"): "Lintels on their bearings, joint reinforcement at the corners.",
}
"""What is to be seen of the openings, where a method does it otherwise."""


def plates() -> Iterator[Plate]:
    """Yield every method with every treatment, and the other rule book."""
    for key, title, text, look in _METHODS:
        for treatment, usual in _TREATMENTS.items():
            how = _OTHERWISE.get((key, treatment), usual)
            settings = f"{text}openings = '{treatment}'\n"
            yield Plate(f"{key}-{treatment}", f"{title}; openings {treatment}", settings, f"{look} {how}")
    yield Plate(
        "au-ncc",
        "The Australian rule book",
        "rulebook = 'au-ncc'\n[defaults]\nmodule = 8\n",
        "5 m between joints where openings are large, a joint within 1.2 m of each large opening, and one "
        "between 470 mm and 4.5 m from each corner. The book does not tell treatments "
        "apart; the drawing's 8 in. module is kept.",
    )
    yield Plate(
        "us-clay-loose",
        "Clay brick veneer, loose lintels",
        "rulebook = 'us-clay'\n",
        "20 ft between joints where there are several openings, whatever the height; a joint within 10 ft of "
        "each corner; at a jamb it runs on a slip plane under the angle, elsewhere it keeps away.",
    )
    yield Plate(
        "us-clay-hung",
        "Clay brick veneer, lintels hung from the frame",
        "rulebook = 'us-clay'\n[defaults]\nlintel_support = 'anchored'\n",
        "Joints at both sides of every opening, straight up.",
    )
    yield Plate(
        "en-uk-clay",
        "The rule book of the United Kingdom, clay",
        "rulebook = 'en-uk'\n[defaults]\nmaterial = 'clay'\nmodule = 8\n",
        "12 m (39'-4\") between joints, the first within 6 m of each corner; the drawing's 8 in. module is "
        "kept.",
    )
    yield Plate(
        "en-uk-concrete",
        "The rule book of the United Kingdom, aggregate concrete",
        "rulebook = 'en-uk'\n[defaults]\nmaterial = 'aggregate-concrete'\nmodule = 8\n",
        "6 m (19'-8\") between joints and 3 × H; bed joint reinforcement above and below the openings.",
    )


@cache
def laid_out(plate: Plate) -> Any:  # noqa: ANN401 - a piece of the results document
    """Return the wall of the results document, laid out without drawing it."""
    from perpend.jobs.annotate import lay_out
    from perpend.jobs.read_revision import read_with_decisions
    from perpend.jobs.settings_to_options import reading_options
    from perpend.report import build_results
    from perpend.rulebook import load_rulebook
    from perpend.settings import parse_settings

    settings = parse_settings(plate.settings)
    book = load_rulebook(settings.rulebook)
    elevation = read_with_decisions(SAMPLE, reading_options(settings), settings)
    results = build_results(elevation, lay_out(elevation, settings, book), book)
    (wall,) = json.loads(results.to_json())["walls"]
    return wall


def fingerprint(plate: Plate) -> str:
    """Return a hash of all that the picture shows of the layout."""
    wall = laid_out(plate)
    shown = {
        "joints": [(joint["path"], joint["slip_planes"]) for joint in wall["joints"]],
        "panels": [(panel["length_in"], panel["limit_in"]) for panel in wall["panels"]],
        "openings": [(opening["treatment"], opening["lintel"]) for opening in wall["openings"]],
        "method": (wall["method"], wall["units"]),
    }
    return hashlib.sha256(json.dumps(shown, sort_keys=True).encode()).hexdigest()[:16]


def image(plate: Plate) -> Path:
    """Return where the picture of a plate stands."""
    return IMAGES / f"gallery-{plate.key}.png"


def page() -> str:
    """Return docs/gallery.md."""
    lines = [
        "# Gallery: every method, every treatment of openings",
        "",
        "One wall, the farm shop's south side (`sample_drawings/shopfront-south.dxf`, 120'-0\" × 16'-0\"), "
        "annotated once for each. How to choose: [the guide](guide.md); the numbers: `perpend compare`.",
        "",
        "Made by `python -m tests.rules_docs.gallery`; a test compares the text, and each picture with "
        "today's layout. What is marked † was typed from memory, the page itself not seen: "
        "[rules](rules/README.md). Every layout is an aid, not a design: the licensed professional of "
        "record and the local codes decide. A1 marks a remark: N1 is 6'-0\" wide, which falls in neither "
        "printed branch.",
        "",
        "| | joints | slip planes | spacing allowed | longest panel | of the limit |",
        "|---|---|---|---|---|---|",
    ]
    lines += [_row(plate) for plate in plates()]
    for plate in plates():
        lines += ["", f"## {plate.title}", "", f"{plate.look} {_got(plate)}", ""]
        lines += [f"![{plate.title}](images/{image(plate).name})"]
        lines += ["", "```toml", plate.settings.rstrip(), "```"]
    return "\n".join(lines) + "\n"


def _anchor(title: str) -> str:
    kept = "".join(c for c in title.lower() if c.isalnum() or c in "-_ ")
    return kept.replace(" ", "-")


def _numbers(plate: Plate) -> tuple[int, int, str, str, str]:
    from perpend.units import format_length

    wall = laid_out(plate)
    allowed = wall["limits"]["max_spacing_in"]
    longest = max(panel["length_in"] for panel in wall["panels"])
    used = max((p["utilisation"] for p in wall["panels"] if p["utilisation"] is not None), default=None)
    return (
        len(wall["joints"]),
        sum(len(joint["slip_planes"]) for joint in wall["joints"]),
        "no limit" if allowed is None else format_length(allowed),
        format_length(longest),
        "" if used is None else f"{100 * used:.0f} %",
    )


def _row(plate: Plate) -> str:
    joints, slips, allowed, longest, used = _numbers(plate)
    name = f"[{plate.title}](#{_anchor(plate.title)})"
    return f"| {name} | {joints} | {slips} | {allowed} | {longest} | {used} |"


def _got(plate: Plate) -> str:
    joints, _, allowed, longest, used = _numbers(plate)
    if not used:
        beams = next(n for n in laid_out(plate)["notes"] if n.startswith("No control joints"))
        return f"**No joints allowed for, none drawn**: {beams}"
    found = [f["code"] for f in laid_out(plate)["findings"] if f["severity"] == "required"]
    broken = f" Not met: {', '.join(sorted(set(found)))}." if found else " Every rule is met."
    return f"**Allowed {allowed}; got {longest}** ({used}), with {joints} joints.{broken}"


def draw(plate: Plate) -> None:
    """Annotate the sample with the settings of a plate and save the part of the picture around its wall."""
    import ezdxf
    from ezdxf import bbox
    from PIL.PngImagePlugin import PngInfo

    from cli.harness import perpend

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shutil.copy(SAMPLE, folder / "a.dxf")
        (folder / "perpend.toml").write_text(plate.settings, encoding="utf-8")
        ending = perpend("annotate", folder / "a.dxf", "-o", folder / "b.dxf", "--picture", folder / "b.png")
        assert ending.code in (0, 1), ending.err
        sheet = bbox.extents(ezdxf.readfile(folder / "b.dxf").modelspace(), fast=True)
        picture = _crop(folder / "b.png", (*sheet.extmin.vec2, *sheet.extmax.vec2), laid_out(plate))
    text = PngInfo()
    text.add_text(FINGERPRINT, fingerprint(plate))
    picture.save(image(plate), pnginfo=text, optimize=True)


def _crop(path: Path, sheet: tuple[float, ...], wall: dict[str, Any]) -> Any:  # noqa: ANN401 - a Pillow image
    """Cut the neighbourhood of the wall out of a picture of the whole sheet; few colours keep it small."""
    from PIL import Image

    with Image.open(path) as opened:
        whole = opened.convert("RGB")
    margin = _MARGIN_MM / 25.4 * _DOTS_PER_INCH
    scale = (whole.width - 2 * margin) / (sheet[2] - sheet[0])
    left, below, right, above = _AROUND_IN
    x0, y0 = wall["x0_in"], wall["y0_in"]
    box = (
        margin + (x0 - left - sheet[0]) * scale,
        margin + (sheet[3] - (y0 + wall["greatest_height_in"] + above)) * scale,
        margin + (x0 + wall["length_in"] + right - sheet[0]) * scale,
        margin + (sheet[3] - (y0 - below)) * scale,
    )
    return whole.crop(tuple(round(v) for v in box)).quantize(64, dither=Image.Dither.NONE)


def main() -> None:
    """Draw every picture, take away those of no plate, and write the page."""
    IMAGES.mkdir(exist_ok=True)
    wanted = {image(plate) for plate in plates()}
    for path in IMAGES.glob("gallery-*"):
        if path not in wanted:
            path.unlink()
    for plate in plates():
        draw(plate)
    PAGE.write_text(page(), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT / "tests"))
    main()
