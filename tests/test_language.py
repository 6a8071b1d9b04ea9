"""The language in which words are told."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner import language
from clubplanner.language import _, figure, isolated, ngettext, speaking, without_isolates

if TYPE_CHECKING:
    from pathlib import Path

    import pytest


def test_words_are_english_unless_another_language_is_spoken() -> None:
    """Values go in by name; words without values may hold a percent sign."""
    assert language.spoken() == "en"
    assert _("Squads") == "Squads"
    assert _("%(squad)s moved", squad="U12 Falcons") == "U12 Falcons moved"
    assert _("100 %") == "100 %"


def test_a_figure_that_rounds_to_nothing_has_no_sign() -> None:
    """Neither "-0" nor "+0"; what is left keeps its sign."""
    assert figure(-0.3, "+.0f") == "0"
    assert figure(0.04, "+.1f") == "0.0"
    assert figure(-0.6, "+.0f") == "-1"
    assert figure(-10.0, "+.0f") == "-10"


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


def test_a_name_from_right_to_left_keeps_its_place_among_words() -> None:
    """It is isolated where it goes into words, once; other names, and what is kept, are not."""
    name = "نجوم العرب"
    told = _("%(holder)s until %(until)s", holder=name, until="19:15")
    assert told == f"\u2068{name}\u2069 until 19:15"
    assert _("%(holder)s until %(until)s", holder=isolated(name), until="19:15") == told
    assert _("%(holder)s until %(until)s", holder="Łódź", until="19:15") == "Łódź until 19:15"
    assert without_isolates(told) == f"{name} until 19:15"
