"""The language in which words are told."""

from __future__ import annotations

from clubplanner import language
from clubplanner.language import _, ngettext, speaking


def test_words_are_english_unless_another_language_is_spoken() -> None:
    """Values go in by name; words without values may hold a percent sign."""
    assert language.spoken() == "en"
    assert _("Squads") == "Squads"
    assert _("%(squad)s moved", squad="U12 Falcons") == "U12 Falcons moved"
    assert _("100 %") == "100 %"


def test_numbers_choose_their_words() -> None:
    """One session, three sessions."""
    assert ngettext("%(num)s session", "%(num)s sessions", 1) == "1 session"
    assert ngettext("%(num)s session", "%(num)s sessions", 3) == "3 sessions"


def test_an_unknown_language_is_english() -> None:
    """A language without a catalogue falls back, and the block ends with what was spoken before."""
    with speaking("tlh"):
        assert language.spoken() == "en"
    assert language.spoken() == "en"
