"""Passwords that anybody would try first are refused, with what to do."""

from __future__ import annotations

import time

import pytest
from zxcvbn.frequency_lists import FREQUENCY_LISTS

from clubplanner.services.people.ways_in.password_strength import why_weak
from clubplanner.services.people.ways_in.passwords import LEAST_PASSWORD

OWN = ["Kim Ashby", "kim@alderby.example", "Älderby Röwers"]


@pytest.mark.parametrize(
    "password",
    [
        "Kim Ashby 2026",
        "kimashbykimashby",
        "KimAshby1234!!",
        "ashby-ashby-ashby",
        "AlderbyRowers!",
        "alderby-rowers-2026",
        "!!Älderby2026!!",
        "älderbyfc2026",
        "kim@alderby.example",
    ],
)
def test_own_names_make_no_password(password: str) -> None:
    """Whatever capitals, accents, digits and signs are put to them."""
    assert "made of your name or the club's" in why_weak(password, OWN)


@pytest.mark.parametrize(
    "password",
    [
        "passwort1234",
        "Password12345!",
        "P@ssw0rd2026",
        "Ald3rbyR0wers!",
        "qwertyuiop12",
        "qwertzuiop12",
        "fussball2026!",
        "Fußballverein1",
        "liverpoolfc1892",
        "Sommer2026!!",
        "123456789012",
        "abcabcabcabcabc",
        "aaaaaaaaaaaaaaaaaa",
        "x" * 200,
    ],
)
def test_common_passwords_are_refused(password: str) -> None:
    """With their usual variants, in the languages we speak."""
    assert "four unrelated words" in why_weak(password, OWN)


def test_the_commonest_passwords_are_refused() -> None:
    """All that are long enough of the 30,000 commonest (M. Burnett's collection, in zxcvbn)."""
    common = [word for word in FREQUENCY_LISTS["passwords"] if len(word) >= LEAST_PASSWORD]
    assert len(common) > 50
    assert [word for word in common if not why_weak(word, [])] == []


@pytest.mark.parametrize(
    "password",
    [
        "four words make it long",
        "another four long words",
        "blau zebra kanne sieb",
        "38472 99817 22041",
        "kim likes wet otters daily",
        "vX7#qk2LpZ9w",
    ],
)
def test_good_passwords_are_taken(password: str) -> None:
    """Unrelated words, long random digits, and sentences with a name somewhere in them."""
    assert why_weak(password, OWN) == ""


def test_no_password_takes_long_to_judge() -> None:
    """The longest, of the kinds that have most ways to be read, within a second."""
    start = time.process_time()
    for password in ("password" * 25, "1a" * 100, "qwerty123" * 22, "19801980" * 25):
        why_weak(password, OWN)
    assert time.process_time() - start < 4
