"""The joint type that a wall has by its settings, or that they leave open: `none`, or `none: words`."""

from __future__ import annotations

from perpend.rulebook import JointType
from perpend.settings.settings_schema import Defaults

_NO_TYPE = "none"
"""The joint type of a project that leaves it open: reported as missing."""


def words_left_open(typed: str) -> str | None:
    """Return the words behind a joint type that is left open.

    Args:
        typed: the setting `joint_type`.

    Returns:
        The words behind ``none:``, empty where there are none; None where a type is named.
    """
    head, _, words = typed.partition(":")
    return words.strip() if head.strip().lower() == _NO_TYPE else None


def key_and_name(kind: JointType | None, options: Defaults) -> tuple[str | None, str]:
    """Return the key of a wall's joint type and its name as printed.

    Args:
        kind: the type, where the rule book knows it.
        options: of the wall; in a book without types the settings' own words are key and name.

    Returns:
        The key, None where the type is left open, and the name; then the words behind ``none:``.
    """
    if kind is not None:
        return kind.key, kind.printed(options.fire_rating)
    words = words_left_open(options.joint_type)
    return (options.joint_type, options.joint_type) if words is None else (None, words)
