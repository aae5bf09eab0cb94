"""Reads the case files: one folder per code, small walls in text form with the findings expected.

docs/checking.md describes the form. The rule books and the settings are the real ones.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from perpend.checks import check_wall, joints_from_drawn
from perpend.cures.apply import DrawnWall
from perpend.cures.solve import solve
from perpend.decisions.waivers import parse_waivers, waive, waiver_remarks
from perpend.findings import Finding
from perpend.model import (
    BondBeam,
    Box,
    DrawnJoint,
    EndCondition,
    Opening,
    Place,
    PlaceKind,
    Profile,
    Support,
    Treatment,
    Wall,
    Zone,
    ZoneKind,
)
from perpend.rulebook import WallBasis, load_rulebook
from perpend.settings import parse_settings, resolve_wall
from perpend.units import parse_length

_TYPE_NAMED = '[defaults]\njoint_type = "formed-paper"\n'
"""Settings of a case that gives none."""

FOLDER = Path(__file__).parent / "cases"
KEYS = {
    "title", "wall", "settings", "openings", "joints", "places", "beams", "supports",
    "zones", "expect", "untested", "error", "waivers", "today", "tested",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Case:
    """One case file."""

    path: Path
    content: dict[str, Any]

    @property
    def code(self) -> str:
        return self.path.parent.name

    @property
    def kind(self) -> str:
        return self.path.stem.split("-")[0]

    def basis(self) -> WallBasis:
        settings = parse_settings(self.content.get("settings", _TYPE_NAMED), self.path.name)
        return resolve_wall(settings, load_rulebook(settings.rulebook), self.wall())

    def wall(self) -> Wall:
        given = self.content["wall"]
        length, height = _inches(given["length"]), _inches(given.get("height", 200))
        top = Profile(_points(given["top"])) if "top" in given else Profile.level(height, 0.0, length)
        low = Profile.level(0.0, 0.0, length)
        bottom = Profile(_points(given["bottom"])) if "bottom" in given else low
        return Wall(
            tag=given.get("tag", "W1"),
            handle="1A",
            length_in=length,
            top=top,
            bottom=bottom,
            openings=tuple(_opening(o) for o in self.content.get("openings", ())),
            places=tuple(
                Place(
                    _inches(p["x"]),
                    PlaceKind(p["kind"]),
                    "3A",
                    faces_in=tuple(map(_inches, p["faces"])) if "faces" in p else None,
                )
                for p in self.content.get("places", ())
            ),
            zones=tuple(_zone(z) for z in self.content.get("zones", ())),
            drawn_joints=tuple(_joint(j, n) for n, j in enumerate(self.content.get("joints", ()))),
            bond_beams=tuple(_beam(b) for b in self.content.get("beams", ())),
            supports=tuple(Support(_inches(y), 0.0, length, "5A") for y in self.content.get("supports", ())),
            texts=tuple(given.get("texts", ())),
            left_end=EndCondition(given.get("left", "free")),
            right_end=EndCondition(given.get("right", "free")),
        )

    def drawn(self) -> DrawnWall:
        """Return the wall as drawn, judged."""
        basis = self.basis()
        joints = joints_from_drawn(basis)
        return DrawnWall.of(basis, joints, check_wall(basis, joints))

    def judged(self) -> tuple[tuple[Finding, ...], dict[str, str], dict[str, int]]:
        """Return the findings with their cures, why rules could not run, how many places each tested."""
        wall = self.drawn()
        found, report = wall.report.findings, wall.report
        if "waivers" in self.content:
            waivers = parse_waivers(self.content["waivers"], self.path.name)
            found = waive(found, waivers, self.content["today"])
            found += waiver_remarks(found, waivers, self.content["today"])
        found = solve(wall, found).findings
        untested = {run.rule: run.untested_reason for run in report.untested}
        return found, untested, {run.rule: run.places_tested for run in report.runs}


def read_cases() -> list[Case]:
    return [Case(path, _read(path)) for path in sorted(FOLDER.glob("*/*.toml"))]


def _read(path: Path) -> dict[str, Any]:
    content = tomllib.loads(path.read_text(encoding="utf-8"))
    unknown = set(content) - KEYS
    assert not unknown, f"{path}: unknown keys {unknown}"
    return content


def _inches(given: float | str) -> float:
    return parse_length(given)


def _points(given: list[list[float | str]]) -> tuple[tuple[float, float], ...]:
    return tuple((_inches(x), _inches(y)) for x, y in given)


def _opening(given: dict[str, Any]) -> Opening:
    x, sill = _inches(given["x"]), _inches(given.get("sill", 0))
    box = Box(x, sill, x + _inches(given["width"]), sill + _inches(given["height"]))
    treatment = Treatment(given["treatment"]) if "treatment" in given else None
    return Opening(given["tag"], given["tag"], box, treatment=treatment, arched=given.get("arched", False))


def _joint(given: dict[str, Any], number: int) -> DrawnJoint:
    handle = given.get("handle", f"J{number + 1}")
    below, above = (_inches(y) for y in given.get("past", (0, 0)))
    path = _points(given["path"])
    width = _inches(given.get("width", 0))
    return DrawnJoint(
        path, handle, (handle,), joint_type=given.get("type"), past_in=(below, above), width_in=width
    )


def _zone(given: dict[str, Any]) -> Zone:
    box = Box(*(_inches(n) for n in given["box"]))
    return Zone(box, ZoneKind(given["kind"]), "7A", given.get("text", ""))


def _beam(given: dict[str, Any]) -> BondBeam:
    y = _inches(given["y"])
    box = Box(_inches(given["x0"]), y - 4, _inches(given["x1"]), y + 4)
    return BondBeam(box, given.get("structural", False), "6A")
