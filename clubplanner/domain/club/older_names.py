"""What a squad is called, and of which age it is, a year on; a rule or a question, never a guess.

Age marks are read where they are plain: "U12", "Under 12s", "12U", "Sub-12", "E-Jugend". A year of
birth stays with its squad. Whatever else a name says of age, in whatever script, is left as it is,
and somebody has to say what it becomes.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Iterator

OLDEST = 18
"""Under so many years, a squad is among the oldest youth of most leagues: what follows is said by
the club. Youth football of the FA ends with under 18s,
that of the DFB with under 19s (both from memory)."""
OPEN_AGE = 20
"""Under so many years and more, as "U23", a squad plays among adults and is called so every year
(common practice, no source)."""
_MARK = re.compile(
    r"(?<![^\W_])(?:u|under|unter|sub|onder|jo|mo)[\s.\-]*(?P<after>[0-9]{1,2})(?![0-9])"
    r"|(?<![0-9])(?P<before>[0-9]{1,2})u(?![^\W_])",
    re.IGNORECASE,
)
_CLASS = re.compile(
    r"(?<![^\W_])(?P<letter>[A-G])(?P<team>[0-9]*)(?=[\s\-]*(?:jugend|junior))", re.IGNORECASE
)
_BORN = re.compile(
    r"(?<![^\W_])(?:jahrgang|jg\.?|born(?: in)?|birth year|année|ann[ée]e de naissance)"
    r"\s*(?:19|20)[0-9]{2}(?![0-9])"
    r"|(?<![0-9])(?:19|20)[0-9]{2}(?:er|ers|s)(?![^\W_])",
    re.IGNORECASE,
)
_AGE_WORDS = re.compile(
    r"(?<![^\W_])(?:bambini|minis?|babies|juniors?|junioren|juniorinnen|jugend|cadets?|kadetten"
    r"|benjamins?|poussins?|minimes?|pupill\w*|knirpse|zwerge|tots|toddlers)(?![^\W_])",
    re.IGNORECASE,
)
_DIGITS = re.compile(r"\d+")
CLASSES = {"G": (0, 7), "F": (8, 9), "E": (10, 11), "D": (12, 13), "C": (14, 15), "B": (16, 17)}
"""Under how many years the letters of German youth football stand for, both included; A follows up
to under 19 (DFB-Jugendordnung, section 5, from memory)."""


@dataclass(frozen=True, slots=True)
class Older:
    """What a squad is a year on.

    Attributes:
        name: What it is called; as it was where no rule is clear.
        age_group: Likewise.
        doubt: Why somebody has to say it, a sentence; blank where a rule is clear.
    """

    name: str
    age_group: str
    doubt: str = ""

    def differs(self, name: str, age_group: str) -> bool:
        """Tell whether it is called otherwise, or of another age, than now."""
        return (self.name, self.age_group) != (name, age_group)


@dataclass(frozen=True, slots=True)
class _Moved:
    text: str
    age: int | None
    doubt: str = ""


def a_year_older(name: str, age_group: str, years: int = 1) -> Older:
    """Say what a squad is called a year on, and of which age it is.

    Args:
        name: As people say it.
        age_group: As written, such as "U12" or "Adult".
        years: How many years on, 1 or more.

    Returns:
        The same name and age for adults; where no rule is clear, the same name, with the doubt.
    """
    group = _moved(age_group, _age_of(name), years)
    called = _moved(name, _age_of(age_group), years)
    doubt = group.doubt or called.doubt
    if not doubt and group.age is None and called.age is None:
        return Older(name, age_group, _doubt_of_adults(name, age_group))
    if not doubt and called.age is None:
        doubt = _doubt_of_name(name)
    if doubt:
        return Older(name, age_group if group.doubt else group.text, doubt)
    return Older(called.text, group.text)


def _moved(text: str, other_age: int | None, years: int) -> _Moved:
    """Move the age marks of a text.

    Args:
        text: A name or an age group.
        other_age: The age that the squad's other words give, for letters that need one.
        years: How many years on.
    """
    marks = list(_MARK.finditer(text))
    classes = list(_CLASS.finditer(text))
    age = _age_in(marks)
    doubt = _doubt_of_marks(text, marks, classes)
    if doubt:
        return _Moved(text, age, doubt)
    if age is not None and age >= OPEN_AGE:
        return _Moved(text, None)
    if age is not None and age >= OLDEST:
        words = _(
            "Under %(age)s is among the oldest youth: say what becomes of the squad.", age=age
        )
        return _Moved(text, age, words)
    pieces = [(match.span(_which(match)), str(age + years)) for match in marks if age is not None]
    for match in classes:
        letter = _next_letter(match["letter"], age or other_age, years)
        if letter is None or match["team"]:
            return _Moved(text, age or other_age, _doubt_of_letter(match[0]))
        pieces.append(
            (match.span("letter"), letter if match["letter"].isupper() else letter.lower())
        )
    for (start, end), new in sorted(pieces, reverse=True):
        text = text[:start] + new + text[end:]
    return _Moved(text, age if marks else (other_age if classes else None))


def _age_of(text: str) -> int | None:
    return _age_in(list(_MARK.finditer(text)))


def _age_in(marks: list[re.Match[str]]) -> int | None:
    return int(marks[0][_which(marks[0])]) if len(marks) == 1 else None


def _which(mark: re.Match[str]) -> str:
    return "before" if mark["after"] is None else "after"


def _doubt_of_marks(text: str, marks: list[re.Match[str]], classes: list[re.Match[str]]) -> str:
    """Say what a text says of age besides one mark that is plain; blank for nothing."""
    if len(marks) > 1 or len(classes) > 1:
        return _("“%(words)s” speaks of several ages: say what it becomes.", words=text)
    left = _BORN.sub(" ", text)
    left = _MARK.sub(" ", left)
    if marks:
        numbers = [int(digits) for digits in _DIGITS.findall(left)]
        if any(number > 9 for number in numbers) or _is_range(text, marks[0]):
            return _(
                "“%(words)s” has another number beside its age: say what it becomes.", words=text
            )
    return ""


def _is_range(text: str, mark: re.Match[str]) -> bool:
    """Tell whether a mark goes on to the next year: "U9/10", "U12-13"."""
    follows = re.match(r"\s*[/&+–-]\s*([0-9]{1,2})(?![0-9])", text[mark.end() :])
    return follows is not None and abs(int(follows[1]) - int(mark[_which(mark)])) == 1


def _doubt_of_letter(words: str) -> str:
    return _(
        "“%(words)s” stands for two years: say what it becomes, or give the age as “U12”.",
        words=words,
    )


def _doubt_of_adults(name: str, age_group: str) -> str:
    """Say why words without a plain age may be about one all the same."""
    for text in (age_group, name):
        if _AGE_WORDS.search(text) or not _is_latin(text):
            return _(
                "What “%(words)s” says of age is not known here: say what it becomes.", words=text
            )
    return ""


def _doubt_of_name(name: str) -> str:
    """Say why the name of a squad with an age may have to change, though it gives none."""
    if _BORN.search(name):
        return ""
    left = [int(digits) for digits in _DIGITS.findall(name)]
    if _AGE_WORDS.search(name) or not _is_latin(name) or any(number > 9 for number in left):
        return _(
            "Whether “%(name)s” says how old they are is not known here: say what the squad "
            "is called.",
            name=name,
        )
    return ""


def _is_latin(text: str) -> bool:
    return all("LATIN" in unicodedata.name(sign, "") for sign in _letters(text))


def _letters(text: str) -> Iterator[str]:
    return (sign for sign in text if sign.isalpha())


def _next_letter(letter: str, age: int | None, years: int) -> str | None:
    """Return the letter of a year on; None where the age is not known or is not the letter's."""
    if age is None or _letter_of(age) != letter.upper() or age >= OLDEST:
        return None
    return _letter_of(age + years)


def _letter_of(age: int) -> str:
    return next((letter for letter, (_low, high) in CLASSES.items() if age <= high), "A")
