"""What somebody is recognised by in records: names, mail addresses, telephone numbers.

A name counts wherever it stands as words of its own, however it is capitalised. A name of one word
(“Robin”) counts only where it is all that stands there: inside a sentence it may be a street.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from collections.abc import Iterator


FEWEST_DIGITS = 6
"""A shorter number counts only where it is all that stands there."""
CODE_DIGITS = (1, 2, 3)
"""How long the code of a country is (ITU-T E.164)."""
_BETWEEN = r"[\s()/.\-]*"
_ZERO = rf"{_BETWEEN}(?:0{_BETWEEN})?"
"""What stands between the code of a country and the number: “+44 (0) 1632”."""
_FORMS: tuple[Literal["NFC", "NFD"], ...] = ("NFC", "NFD")


@dataclass(frozen=True)
class Traces:
    """What somebody is recognised by; none of it is blank.

    Attributes:
        names: As the club wrote them.
        addresses: Of mails.
        phones: As they were typed.
    """

    names: tuple[str, ...] = ()
    addresses: tuple[str, ...] = ()
    phones: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        """Tell whether there is anything to go by."""
        return bool(self.names or self.addresses or self.phones)

    def are_in(self, text: str) -> bool:
        """Tell whether a text speaks of them."""
        return self.rewrite(text, "\0") != text

    def are_all_of(self, text: str) -> bool:
        """Tell whether a text is one of them and nothing besides."""
        return self._whole is not None and self._whole.fullmatch(text) is not None

    def rewrite(self, text: str, instead: str) -> str:
        """Return a text without them, with other words in their place."""
        if self.are_all_of(text):
            return instead
        return text if self._within is None else self._within.sub(lambda _: instead, text)

    def rewrite_all(self, value: Any, instead: str) -> Any:
        """Return a value of JSON without them, in keys as well."""
        if isinstance(value, str):
            return self.rewrite(value, instead)
        if isinstance(value, list):
            return [self.rewrite_all(one, instead) for one in value]
        if isinstance(value, dict):
            return {
                self.rewrite(key, instead): self.rewrite_all(one, instead)
                for key, one in value.items()
            }
        return value

    def patterns(self) -> tuple[str, ...]:
        """Return what any text that speaks of them is like: patterns of SQL, capitals alike.

        Whatever is no plain letter or digit may be anything, so that text as JSON writes it, with
        signs of other scripts spelled out, is found as well.
        """
        needles = (*self.names, *self.addresses, *(" ".join(_core(p)) for p in self.phones))
        return tuple(dict.fromkeys(f"%{'%'.join(_plain_runs(one))}%" for one in needles))

    @cached_property
    def _within(self) -> re.Pattern[str] | None:
        parts = [
            *(rf"(?<!\w){_words(name)}(?:s)?(?!\w)" for name in _longest(self._told_names)),
            *(rf"(?<![\w.+-]){re.escape(one)}(?!\w|[.-]\w)" for one in _longest(self.addresses)),
            *(_phone(one) for one in self.phones if len(_digits(one)) >= FEWEST_DIGITS),
        ]
        return re.compile("|".join(parts), re.IGNORECASE) if parts else None

    @cached_property
    def _whole(self) -> re.Pattern[str] | None:
        parts = [_words(name) for name in self.names for name in _spelled(name)]
        parts += [re.escape(one) for one in self.addresses]
        parts += [_phone(one) for one in self.phones]
        return re.compile(rf"\s*(?:{'|'.join(parts)})\s*", re.IGNORECASE) if parts else None

    @property
    def _told_names(self) -> tuple[str, ...]:
        return tuple(s for name in self.names if len(name.split()) > 1 for s in _spelled(name))


def _spelled(name: str) -> Iterator[str]:
    """Yield a name as it may be stored: with signs of their own, or with marks put to letters."""
    yield from dict.fromkeys(unicodedata.normalize(form, name) for form in _FORMS)


def _words(name: str) -> str:
    return r"\s+".join(re.escape(word) for word in name.split())


def _phone(number: str) -> str:
    """Return what a number is like as it is dialled at home and from abroad (ITU-T E.123)."""
    digits, core = _digits(number), _core(number)
    if number.strip().startswith("+"):
        heads = [rf"(?:\+|00)?{_spaced(digits[:n])}{_ZERO}" for n in CODE_DIGITS]
        tails = [digits[n:] for n in CODE_DIGITS]
        home = [rf"0{_BETWEEN}{_spaced(tail)}" for tail in tails if len(tail) >= FEWEST_DIGITS]
        whole = [*home, *(head + _spaced(tail) for head, tail in zip(heads, tails, strict=True))]
    elif core != digits:
        abroad = rf"(?:\+|00)\d{{1,3}}{_ZERO}"
        whole = [rf"(?:0{_BETWEEN}|{abroad}){_spaced(core)}"]
    else:
        whole = [rf"\+?{_spaced(digits)}"]
    return rf"(?<!\d)(?:{'|'.join(whole)})(?!\d)"


def _core(number: str) -> str:
    """Return the digits that stand there however a number is dialled."""
    digits = _digits(number)
    if number.strip().startswith("+"):
        return digits[max(CODE_DIGITS) :] or digits
    is_national = digits.startswith("0") and len(digits) > FEWEST_DIGITS
    return digits.removeprefix("0") if is_national else digits


def _spaced(digits: str) -> str:
    return _BETWEEN.join(digits)


def _digits(number: str) -> str:
    return "".join(letter for letter in number if letter.isdigit())


def _longest(words: tuple[str, ...]) -> list[str]:
    """Longer ones first: one may begin like another."""
    return sorted(words, key=len, reverse=True)


def _plain_runs(text: str) -> list[str]:
    return re.findall(r"[A-Za-z0-9]+", unicodedata.normalize("NFC", text))
