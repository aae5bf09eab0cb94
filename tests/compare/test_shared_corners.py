"""The row of a wall's own way has the joints that `annotate` places, round the corner of two walls too."""

from __future__ import annotations

from perpend.jobs.compare import options_of
from perpend.jobs.walls_round_corners import plan_walls
from perpend.model import Elevation, Path, Profile, Wall
from perpend.rulebook import load_rulebook
from perpend.settings import Settings, parse_settings

US = load_rulebook("us-cmu")
VENEER = "[defaults]\nmethod = 'veneer'\n"
CORNER = '[[corners]]\nwalls = ["W1", "W2"]\nends = ["right", "left"]\n'


def wall(tag: str, length: float) -> Wall:
    return Wall(tag, tag, length, Profile.level(120.0, 0.0, length), Profile.level(0.0, 0.0, length))


def test_own_rows_have_the_joints_that_annotate_places() -> None:
    """Veneer: one joint serves the corner, at 476 of W1; without it each wall has one of its own."""
    walls = (wall("W1", 480.0), wall("W2", 200.0))

    def own(settings: Settings) -> list[list[Path]]:
        options = [o for n in range(2) for o in options_of(walls, n, settings, US) if o.variant.own]
        return [[j.path for j in o.plan.joints] for o in options if o.plan]

    together = parse_settings(VENEER + CORNER)
    _, plans = plan_walls(Elevation("", "", "", "in", walls), together, US)
    assert own(together) == [[j.path for j in plan.joints] for plan in plans]
    assert own(together)[0][-1][0] == (476.0, 0.0)
    assert own(together)[1] != own(parse_settings(VENEER))[1]
