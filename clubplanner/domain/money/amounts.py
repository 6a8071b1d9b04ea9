"""Amounts of money: typed, told, written for files, and rounded."""

from __future__ import annotations

import re
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING

from babel.numbers import format_currency, get_currency_precision, list_currencies

from clubplanner.language import _, figure, spoken

if TYPE_CHECKING:
    from collections.abc import Mapping
    from fractions import Fraction

MOST = 10**9
"""Most smallest units that an amount may be: ten million of a currency with cents."""
USUAL_DIGITS = 2
"""Digits behind the point as long as nobody has said which currency it is."""
_TYPED = re.compile(r"(\d{1,10})(?:[.,](\d{1,4}))?")
SIGNS: Mapping[str, str] = {"€": "EUR", "£": "GBP", "$": "USD", "¥": "JPY"}
"""Signs that people write in place of a code; each stands for other currencies, too."""


@cache
def currencies() -> frozenset[str]:
    """Return the codes of all currencies (ISO 4217), as the Unicode locale data lists them."""
    return frozenset(list_currencies())


def currency_from_words(text: str) -> str:
    """Return the code of what somebody calls a currency: "eur" or "€" is EUR; blank where unknown.

    Args:
        text: A code of ISO 4217 in any letters, or one of the signs of `SIGNS`.
    """
    code = SIGNS.get(text.strip(), text.strip().upper())
    return code if code in currencies() else ""


def digits_of(currency: str) -> int:
    """Return how many digits stand behind the point: 2 for EUR, 0 for JPY, 3 for KWD.

    Source: ISO 4217's minor units, as the Unicode locale data (CLDR) carries them.

    Args:
        currency: Its code; blank for not known, of which two are taken.
    """
    return get_currency_precision(currency) if currency else USUAL_DIGITS


def amount_from_text(text: str, currency: str) -> int:
    """Read an amount such as "12.50" or "12,5" as smallest units.

    Raises:
        ValueError: If it is none, has more digits than the currency, or is too large; in words.
    """
    found = _TYPED.fullmatch(text.strip())
    digits = digits_of(currency)
    if found is None or len((found[2] or "").rstrip("0")) > digits:
        raise ValueError(
            _("Enter an amount like %(example)s.", example=figure(12.5, f".{digits}f"))
        )
    behind = (found[2] or "").ljust(digits, "0")[:digits]
    amount = int(f"{found[1]}{behind}")
    if amount > MOST:
        raise ValueError(_("Enter at most %(most)s.", most=plain_amount(MOST, currency)))
    return amount


def plain_amount(amount: int, currency: str) -> str:
    """Write an amount for files and forms: "12.50", exact, with a point in every language."""
    return f"{Decimal(amount).scaleb(-digits_of(currency)):f}"


def tell_amount(amount: int, currency: str) -> str:
    """Write an amount for people, as the language spoken now has it: "€12.50", "12,50 €"."""
    value = Decimal(amount).scaleb(-digits_of(currency))
    if not currency:
        return figure(float(value), f",.{USUAL_DIGITS}f")
    return format_currency(value, currency, locale=spoken())


def rounded(exact: Fraction) -> int:
    """Round to a whole smallest unit, a half up: the one rounding there is.

    Args:
        exact: In smallest units, 0 or more.
    """
    return int((2 * exact + 1) // 2)
