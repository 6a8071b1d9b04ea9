"""The language in which words are told to a person.

Whoever builds words writes them in English inside `_("…")`, at the moment they are needed and
never at import, so that the language of the reader counts. Names, times and numbers go in by name:
`_("%(squad)s moved to %(place)s", squad=squad, place=place)`. Templates use the same two functions.

A language is a catalogue `web/languages/<code>.po`, an open format (GNU gettext) that translators'
tools read. In templates `{% trans %}` wraps whole paragraphs, and a percent sign inside `_('…')`
is written twice. Words without a translation are told in English. Constants and words that records
hold are marked with `marked("…")` where they are written and told with `term(…)` where they are
needed. Dates are written by patterns of the Unicode locale data, which are translated like words.

Words are gettext messages. English inside `_("…", name=value)` (`language.py`), called when the
words are needed, never at import; templates use `{{ _('…') }}` and `{% trans %}`. Catalogues are
`web/languages/<code>.po`, read as they are: nothing to compile. Sentences are whole messages, with
`ngettext` where a number decides. Constants are `marked("…")` and told by `term(…)`, as are the
English words that records hold (`domain/terms.py`). Numbers go through `figure`, dates through
patterns of the Unicode locale data, which are messages themselves. The language is a context
variable: a request speaks its reader's (a cookie, else Accept-Language, else the club's:
`webapp/serving/languages.py`), a process that shares out that of whoever started it, a worker and
all that goes to everybody the club's, the command line English. What is kept in words (the
journal) stays in the language in which it was said; a proposal's reasons are kept as values and
told when read. Parts of a pitch without a name of their own are called in the club's language
whoever saves them (`PitchPlan.language`), or bookings by name would lose their ground. Places in
files ("row 4, column minutes") are kept in English and told when shown (`domain/problems.py`),
because forms find their fields by them. Files keep their English words; forms show and take those
of the reader (`inputs/club_files/spoken_cells.py`).
"""

from __future__ import annotations

from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache, lru_cache
from gettext import GNUTranslations, NullTranslations
from io import BytesIO
from typing import TYPE_CHECKING
from unicodedata import bidirectional

from babel import Locale
from babel.dates import format_date
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po

from clubplanner.resources import resource_folder

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date
    from decimal import Decimal

ENGLISH = "en"
ISOLATE, END_OF_ISOLATE = "\u2068", "\u2069"
CAPITAL_NOUNS = ("de", "lb")
"""Languages in which a noun keeps its capital letter within a sentence."""

_spoken: ContextVar[str] = ContextVar("spoken", default=ENGLISH)


@cache
def languages() -> tuple[str, ...]:
    """Return the codes of the languages that words can be told in, English first."""
    folder = resource_folder("web") / "languages"
    return (ENGLISH, *sorted(path.stem for path in folder.glob("*.po")))


def spoken() -> str:
    """Return the code of the language that words are told in now."""
    return _spoken.get()


@contextmanager
def speaking(code: str) -> Iterator[None]:
    """Tell words in a language within the block; an unknown code means English."""
    token = _spoken.set(code if code in languages() else ENGLISH)
    try:
        yield
    finally:
        _spoken.reset(token)


def _(text: str, **values: object) -> str:
    """Return words in the language spoken now.

    Args:
        text: The English words, with a place such as `%(squad)s` for each value; without values
            the words are taken as they are, so that a percent sign needs no doubling.
        values: What goes into the places.
    """
    told = look_up(text)
    return told % _apart(values) if values else told


def ngettext(one: str, many: str, number: int, **values: object) -> str:
    """Return the words that fit a number; `%(num)s` in them is the number itself."""
    return look_up_number(one, many, number) % {"num": number, **_apart(values)}


def isolated(words: str) -> str:
    """Keep words with letters written from right to left apart from those around them.

    Else digits and marks beside a name in Arabic or Hebrew change places (Unicode Standard Annex
    #9, first strong isolate). Other words come back as they are.
    """
    if words.isascii() or words.startswith(ISOLATE):
        return words
    if any(bidirectional(letter) in ("R", "AL") for letter in words):
        return f"{ISOLATE}{words}{END_OF_ISOLATE}"
    return words


def without_isolates(words: str) -> str:
    """Return words as they are kept and compared."""
    return words.replace(ISOLATE, "").replace(END_OF_ISOLATE, "")


def _apart(values: dict[str, object]) -> dict[str, object]:
    return {k: isolated(v) if isinstance(v, str) else v for k, v in values.items()}


def quoted(words: str) -> str:
    """Put a name or what somebody wrote in the quotation marks of the language spoken now."""
    return _("“%(words)s”", words=words)


def marked(text: str) -> str:
    """Mark words that are told later, by `term`: constants, and names that records hold."""
    return text


def term(word: str) -> str:
    """Return marked words in the language spoken now; any other word comes back as it is."""
    return look_up(word) if word else ""


def figure(value: float | Decimal, spec: str = "") -> str:
    """Write a number by a format of Python's, with the signs of the language spoken now.

    What is nothing once it is rounded has no sign: "0", never "-0" or "+0".
    """
    text = format(value, spec)
    if not text.strip("+-0.,"):
        text = text.lstrip("+-")
    code = _spoken.get()
    if code == ENGLISH:
        return text
    signs = Locale.parse(code).number_symbols["latn"]
    return text.translate({ord("."): signs["decimal"], ord(","): signs["group"]})


def date_in_words(day: date, pattern: str) -> str:
    """Write a date by a pattern such as "EEEE d MMMM y", as the language spoken now has it."""
    return _date(day, look_up(pattern), _spoken.get())


@lru_cache(maxsize=8192)
def _date(day: date, pattern: str, code: str) -> str:
    return format_date(day, pattern, locale=code)


def weekday_in_words(weekday: int) -> str:
    """Return a weekday's name; 0 is Monday."""
    return str(_weekdays(_spoken.get(), "wide")[weekday])


def short_weekday(weekday: int) -> str:
    """Return a weekday's short name: "Mon"; 0 is Monday."""
    return str(_weekdays(_spoken.get(), "abbreviated")[weekday])


@cache
def _weekdays(code: str, width: str) -> tuple[str, ...]:
    names = Locale.parse(code).days["stand-alone"][width]
    return tuple(names[day].removesuffix(".") for day in range(7))


def sentence(words: str) -> str:
    """Begin words with a capital letter and leave the rest as it is."""
    return words[:1].upper() + words[1:]


def in_running_text(words: str) -> str:
    """Begin words with a small letter for the middle of a sentence, where a language does so."""
    return words if _spoken.get() in CAPITAL_NOUNS else words[:1].lower() + words[1:]


def language_name(code: str) -> str:
    """Return what a language calls itself: "Deutsch"."""
    return str(Locale.parse(code).get_display_name(code)).capitalize()


def country_name(code: str) -> str:
    """Return a country's name in the language spoken now; its code (ISO 3166-1) where unknown."""
    return str(Locale.parse(_spoken.get()).territories.get(code, code))


def look_up(text: str) -> str:
    """Return the translation of words, their places still empty; templates fill them."""
    code = _spoken.get()
    return text if code == ENGLISH else _catalogue(code).gettext(text)


def look_up_number(one: str, many: str, number: int) -> str:
    """Return the translation that fits a number, its places still empty."""
    return _catalogue(_spoken.get()).ngettext(one, many, number)


@cache
def _catalogue(code: str) -> NullTranslations:
    """Return the words of a language, read once a process."""
    if code == ENGLISH:
        return NullTranslations()
    with (resource_folder("web") / "languages" / f"{code}.po").open("rb") as file:
        catalogue = read_po(file, locale=code)
    compiled = BytesIO()
    write_mo(compiled, catalogue)
    compiled.seek(0)
    return GNUTranslations(compiled)
