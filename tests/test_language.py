"""The language in which words are told."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner import language
from clubplanner.language import _, ngettext, speaking

if TYPE_CHECKING:
    from pathlib import Path

    import pytest


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


CATALOGUE = """
msgid ""
msgstr ""
"Content-Type: text/plain; charset=utf-8\\n"
"Plural-Forms: nplurals=2; plural=(n != 1);\\n"

msgid "%(squad)s moved"
msgstr "%(squad)s verlegt"

msgid "%(num)s session"
msgid_plural "%(num)s sessions"
msgstr[0] "%(num)s Einheit"
msgstr[1] "%(num)s Einheiten"
"""


def test_a_catalogue_is_read_as_it_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What it has is told in it, numbers by its own plurals, the rest in English."""
    (tmp_path / "languages").mkdir()
    (tmp_path / "languages" / "de.po").write_text(CATALOGUE, encoding="utf-8")
    monkeypatch.setattr(language, "resource_folder", lambda _name: tmp_path)
    kept = (language.languages, language._catalogue)
    for cached in kept:
        cached.cache_clear()
    try:
        with speaking("de"):
            assert _("%(squad)s moved", squad="U12") == "U12 verlegt"
            assert ngettext("%(num)s session", "%(num)s sessions", 1) == "1 Einheit"
            assert ngettext("%(num)s session", "%(num)s sessions", 3) == "3 Einheiten"
            assert _("Squads") == "Squads"
    finally:
        for cached in kept:
            cached.cache_clear()
