"""The rule book of a project, with what the office has verified of it."""

from __future__ import annotations

from perpend.rulebook import RuleBook, load_rulebook
from perpend.settings.settings_schema import Settings


def book_of(settings: Settings, key: str | None = None) -> RuleBook:
    """Return the rule book that counts.

    Args:
        settings: the project's settings.
        key: another rule book than that of the settings, or None.

    Raises:
        InputError: there is no such book, or ``[verified]`` does not fit.
    """
    book = load_rulebook(key or settings.rulebook)
    if not settings.verified:
        return book
    from perpend.rulebook.verified import Answer, with_answers

    answers = {k: Answer(v.source, v.value, v.corrects) for k, v in settings.verified.items()}
    return with_answers(book, answers, settings.files[-1] if settings.files else "settings")
