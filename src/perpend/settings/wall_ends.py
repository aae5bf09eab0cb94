"""What a wall meets at its ends: what its entry says, what the drawing shows, what counts in general.

Two walls that adjoin share one joint. The entry of one of them alone can't take it away, or the wall beyond
would be laid out for a joint that stands nowhere.
"""

from __future__ import annotations

from typing import Final

from perpend.model import EndCondition, PlaceKind, Side, Wall
from perpend.settings.settings_schema import Settings, matches
from perpend.units import same

OTHER_SIDE: Final[dict[Side, Side]] = {"left": "right", "right": "left"}
"""The end of a wall that meets an end of its neighbour."""


def end_of(settings: Settings, wall: Wall, side: Side) -> EndCondition:
    """Return the condition of an end of a wall."""
    drawn: EndCondition | None = getattr(wall, f"{side}_end")
    if wall.part_of and drawn is EndCondition.FREE:
        return drawn
    given = None if keepers(settings, wall, side) else given_end(settings, wall.names[-1], side)
    usual: EndCondition = getattr(settings.defaults, f"{side}_end")
    return given or drawn or usual


def given_end(settings: Settings, tag: str, side: Side) -> EndCondition | None:
    """Return what the entries of a wall say of one of its ends, the last one's word, or None."""
    ends = (end for corner in settings.corners for end in corner.named)
    if any(end == side and matches(tag, (named,)) for named, end in ends):
        return EndCondition.CORNER
    entries = (
        getattr(entry, f"{side}_end") for entry in settings.walls if entry.tag and matches(tag, (entry.tag,))
    )
    return next((given for given in reversed(list(entries)) if given is not None), None)


def adjoining(wall: Wall, side: Side) -> tuple[str, ...]:
    """Return the tags of the walls that adjoin at an end."""
    end_in = 0.0 if side == "left" else wall.length_in
    places = (p for p in wall.places if p.kind is PlaceKind.ADJOINING_WALL)
    return tuple(p.wall for p in places if same(p.x_in, end_in))


def keepers(settings: Settings, wall: Wall, side: Side) -> tuple[str, ...]:
    """Return the walls that keep the joint at an end although this wall's entry would do without it.

    Args:
        settings: the project's settings.
        wall: the wall whose entry is asked.
        side: which end.

    Returns:
        Tags of the walls that adjoin there and whose entries say nothing, or ask for the joint.
    """
    if not gives_up(settings, wall.names[-1], side):
        return ()
    return tuple(tag for tag in adjoining(wall, side) if not gives_up(settings, tag, OTHER_SIDE[side]))


def gives_up(settings: Settings, tag: str, side: Side) -> bool:
    """Say whether the entries of a wall do without the joint at one of its ends, in whatever words."""
    return given_end(settings, tag, side) not in (None, EndCondition.JOINT)
