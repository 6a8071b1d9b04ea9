"""German as it is written: quotation marks, numbers before nouns, nothing left in English."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from clubplanner.language import quoted, speaking
from tests.languages.messages import CATALOGUES, TEMPLATES
from tests.languages.test_catalogues import TAG, forms, read

if TYPE_CHECKING:
    from babel.messages.catalog import Catalog

EXAMPLE = re.compile(r"\{[^}]*\}")
"""What somebody is to type into a file, letter by letter."""
QUOTED = re.compile(r"„[^„“”]*“")
NUMBER_AND_NOUN = re.compile(
    r"%\((\w+)\)s (?:[a-zäöüß]+ )?"
    r"(Spiele|Einheiten|Mannschaften|Plätze|Flächen|Belegungen|Buchungen|Termine|Tage|Wochen|"
    r"Stunden|Minuten|Sekunden|Punkte|Gruppen|Zeiten|Zeilen|Spalten|Zellen|Stücke|Teile|Anfragen|"
    r"Änderungen|Personen|Torleute|Tore|Mails|Adressen|Anlagen|Sperrungen|Wünsche|Spieler/innen|"
    r"Ortswechseln|Schritten|Zeichen|Einträge|Runden|Ruhetage|Meter)\b"
)
NEVER_ONE = {
    "allowed", "cells", "changes", "count", "cut", "entries", "events_limit",
    "flash_seconds", "goalkeepers",
    "groups", "hours", "longest", "longest_days", "longest_holder", "longest_name",
    "longest_stretch_days", "minutes", "minutes_a_turn", "most", "most_password", "most_rows",
    "most_waiting", "n", "name", "pieces", "players", "rest_days", "rests_minutes", "sessions",
    "times_limit", "turns", "value", "wait_minutes", "weeks", "wider", "width_m",
}  # fmt: skip
"""Limits, and numbers of which there are two or more wherever the message is told."""
ENGLISH_WORDS = re.compile(
    r"\b(the|of|and|is|are|with|for|signal|not|from|to|at|by|on|or|this|that|has|have|it|be|"
    r"session|week|time|share|swap|booking)\b"
)
SAME_IN_BOTH = re.compile(
    r"[\W\d_]*(?:(?:h|m|yd|min|in|Name|Mails|Fairness|Training|Gini|Webhooks|Region|Coach"
    r"|MMM|MMMM y)"
    r"[\W\d_]*)*"
)


@pytest.fixture(scope="module")
def german() -> Catalog:
    """Read the German catalogue once."""
    return read(CATALOGUES / "de.po")


def told(catalog: Catalog) -> list[str]:
    """Return every translation, without tags and examples."""
    return [
        EXAMPLE.sub("", TAG.sub("", words))
        for message in catalog
        if message.id
        for _unused, words in forms(message)
    ]


def test_german_quotation_marks(german: Catalog) -> None:
    """„So“ and in no other way: each opens below and closes above."""
    for words in told(german):
        left = QUOTED.sub("", words)
        assert not re.search("[\"„“”‘’']", left), words


def test_names_are_quoted_as_the_reader_does() -> None:
    """One function puts what a person wrote in the marks of the language spoken."""
    assert quoted("Nord") == "“Nord”"
    with speaking("de"):
        assert quoted("Nord") == "„Nord“"


def test_one_is_one(german: Catalog) -> None:
    """The form for one has no noun in the plural after its number."""
    for message in german:
        if isinstance(message.string, tuple):
            one, many = message.string
            assert not NUMBER_AND_NOUN.search(re.sub(r"von %\(\w+\)s", "", one)), one
            assert many, message.id


def test_a_number_that_may_be_one_decides_the_words(german: Catalog) -> None:
    """A noun in the plural stands after a number only where that number is never one."""
    faults = [
        message.string
        for message in german
        if message.id and isinstance(message.id, str)
        for number, _unused in NUMBER_AND_NOUN.findall(str(message.string))
        if number not in NEVER_ONE
    ]
    assert faults == []


def test_nothing_is_left_in_english(german: Catalog) -> None:
    """No English words outside what somebody types or a name in quotation marks."""
    for message in german:
        if not message.id:
            continue
        for words, translated in forms(message):
            left = QUOTED.sub("", TAG.sub("", re.sub(r"%\(\w+\)s", "", translated)))
            assert not ENGLISH_WORDS.search(left), translated
            plain = re.sub(r"%\(\w+\)s", "", words)
            assert words != translated or SAME_IN_BOTH.fullmatch(plain), words


def test_no_macro_has_words_of_its_own() -> None:
    """A default is written where no language is known: the words are told inside the macro."""
    for file in sorted(TEMPLATES.rglob("*.html")):
        heads = re.findall(r"{%-? *macro (.*?)%}", file.read_text(encoding="utf-8"), re.DOTALL)
        for head in heads:
            assert not re.search(r"""=["'][A-Z]""", head), f"{file.name}: {head}"
