"""What is known of each layer before anything on it is looked at."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from perpend.errors import InputError
from perpend.reading.gather.layer_names import hint_of, says_nothing
from perpend.reading.reading_options import ReadingOptions, Role, as_setting, matches

if TYPE_CHECKING:
    from ezdxf.document import Drawing

_CURES: Final = {
    "": "",
    "frozen": "thaw the layer",
    "off": "turn the layer on",
    "frozen and off": "thaw the layer and turn it on",
}
"""What makes a layer show, by how it is hidden."""


@dataclass(frozen=True, slots=True)
class Layer:
    """What is known of a layer.

    Attributes:
        name: its name.
        roles: the roles that it plays.
        frozen: True when it is frozen.
        off: True when it is off.
        hint: without a role, whether its name says openings or joints; else None.
        unassigned: True when it has no role, and its name says nothing at all of what is on it.
        ignored: True when the settings say that nothing is looked for on it.
    """

    name: str
    roles: frozenset[Role]
    frozen: bool
    off: bool
    hint: Role | None
    unassigned: bool
    ignored: bool

    @property
    def visible(self) -> bool:
        """Whether what is on it shows."""
        return not (self.frozen or self.off)

    @property
    def joints_alone(self) -> bool:
        """Whether joints are on it and no openings."""
        return Role.JOINTS in self.roles and Role.OPENINGS not in self.roles

    @property
    def hidden_as(self) -> str:
        """How it is hidden: ``frozen``, ``off`` or ``frozen and off``; nothing if it shows."""
        return " and ".join(state for state, hides in (("frozen", self.frozen), ("off", self.off)) if hides)

    @property
    def named(self) -> str:
        """Its name, and how it is hidden if it is."""
        return f"{self.name} ({self.hidden_as})" if self.hidden_as else self.name

    @property
    def name_it(self) -> str:
        """What makes it show, if it doesn't, and a role for it: the beginning of a cure."""
        return f"{self.cure}, and name it" if self.cure else "name the layer"

    @property
    def cure(self) -> str:
        """What makes it show; nothing if it does."""
        return _CURES[self.hidden_as]


class LayerIndex:
    """Looks at each layer once, when it is first needed."""

    def __init__(self, doc: Drawing, options: ReadingOptions) -> None:
        self._doc = doc
        self._options = options
        self._known: dict[str, Layer] = {}

    def get(self, name: str) -> Layer:
        """Return what is known of a layer, whether it is in the layer table or not."""
        known = self._known.get(name)
        if known is None:
            known = self._known[name] = self._look_at(name)
        return known

    def have(self, role: Role) -> bool:
        """Say whether any layer that was met plays a role."""
        return any(role in layer.roles for layer in self._known.values())

    def refuse_clashes(self, file: str) -> None:
        """Refuse layers with something on them that the settings name for roles that exclude each other.

        Raises:
            InputError: nothing tells what is on a layer.
        """
        for name in self._known:
            roles = self._options.clash(name)
            if roles:
                named = " and ".join(map(self._said, roles))
                raise InputError(
                    f"{file}: the settings name layer {name} for {named}, but it can only be read as "
                    "one of them: take it out of the others, or put what is one of them on a layer of its "
                    "own."
                )

    def _said(self, role: Role) -> str:
        return f"{role.value} = {as_setting(self._options.patterns(role))}"

    def _look_at(self, name: str) -> Layer:
        frozen = off = False
        if name in self._doc.layers:
            record = self._doc.layers.get(name)
            frozen, off = record.is_frozen(), record.is_off()
        roles = self._options.roles_of(name)
        ignored = matches(name, self._options.ignored)
        hint = None if roles or ignored else hint_of(name)
        unassigned = not (roles or ignored or hint) and says_nothing(name)
        return Layer(name, roles, frozen, off, hint, unassigned, ignored)
