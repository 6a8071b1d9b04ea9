"""Whether a password would be among the first that anybody tries.

How many guesses one takes is worked out by the library zxcvbn (MIT licence, one wheel for every
Python; D. L. Wheeler, "zxcvbn: Low-Budget Password Strength Estimation", USENIX Security 2016),
which carries the commonest passwords (of a published collection of ten million, by M. Burnett),
names, words, keyboard rows, dates and their usual variants. Ours are added: the names of the person
and the club, and words of clubs in the languages we speak (common practice, no source).
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from zxcvbn import zxcvbn

from clubplanner.domain.searching import without_accents
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Iterable

LEAST_GUESSES = 10**10
"""From here on zxcvbn calls a password very unguessable."""
LONGEST_JUDGED = 64
"""Letters that are looked at; the work grows faster than their number."""
LEAST_OTHER = 6
"""Different letters that must be left beside names of club and person (our own choice)."""
SHORTEST_WORD = 3
CLUB_WORDS = (
    "club verein sport football fussball fußball fusball fotball soccer rugby hockey handball "
    "training trainer coach team mannschaft secretary sekretariat geschäftsstelle pitch platz "
    "spielplan sportverein fussballverein fussballclub sportplatz passwort kennwort geheim "
    "password secret hallo willkommen welcome schalke dortmund bayern liverpool arsenal chelsea "
    "sommer winter herbst frühling summer autumn spring january februar märz oktober dezember"
)


def why_weak(password: str, own_names: Iterable[str]) -> str:
    """Say why a password is too easy to guess, and what to do; blank when it is not.

    Args:
        password: As typed.
        own_names: Names that anybody knows: the person's, their e-mail address, the club's.
    """
    own = list(dict.fromkeys(word for name in own_names for word in _words(name)))
    if _is_made_of(password, own):
        return _(
            "This password is made of your name or the club's, which are tried first; choose four "
            "words that have nothing to do with either."
        )
    words = [*own, *without_accents(CLUB_WORDS).split()]
    if (
        zxcvbn(without_accents(password)[:LONGEST_JUDGED], user_inputs=words)["guesses"]
        < LEAST_GUESSES
    ):
        return _(
            "This password is among those that are tried first: common passwords and words, with "
            "digits or signs after them. Choose four unrelated words."
        )
    return ""


def _is_made_of(password: str, own: list[str]) -> bool:
    """Tell whether a password holds own words, and few different letters besides."""
    whole = left = without_accents(password)
    for word in sorted(own, key=len, reverse=True):
        left = left.replace(word, " ")
    return left != whole and len(set(re.findall(r"[^\W\d_]", left))) < LEAST_OTHER


def _words(name: str) -> list[str]:
    """Return the words of a name, and all of them in one."""
    words = [
        word for word in re.findall(r"[^\W_]+", without_accents(name)) if len(word) >= SHORTEST_WORD
    ]
    return [*words, "".join(words)] if words else []
