"""The rule book of a project, with what the office has verified of it."""

from __future__ import annotations

from pathlib import Path

from perpend.rulebook import RuleBook, load_rulebook, read_rulebook
from perpend.settings.settings_schema import Settings


def book_of(settings: Settings, key: str | None = None) -> RuleBook:
    """Return the rule book that counts.

    Args:
        settings: the project's settings.
        key: another rule book than that of the settings, or None. A name that ends in ``.toml`` is a file of
            the office's own, beside the settings file that names it.

    Raises:
        InputError: there is no such book, its file is faulty, or ``[verified]`` does not fit.
    """
    asked = key or settings.rulebook
    book = _own_book(settings, asked) if asked.endswith(".toml") else load_rulebook(asked)
    if not settings.verified:
        return book
    from perpend.rulebook.verified import with_answers

    return with_answers(book, settings.verified, settings.files[-1] if settings.files else "settings")


def _own_book(settings: Settings, name: str) -> RuleBook:
    """Load an office's own rule book, beside the settings file that counts most, or else from here."""
    folder = Path(settings.files[-1]).parent if settings.files else Path()
    return read_rulebook(folder / name)
