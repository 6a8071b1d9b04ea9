"""Reading money from the settings: `[money]`, `[[tariffs]]`, `[[reductions]]`.

Places and squads are named as people say them, and found when they are written; an amount is read
then, too, as it is the currency that says how many digits it may have.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, TypeVar

from clubplanner.domain.money.amounts import currency_from_words
from clubplanner.domain.money.checking import reduction_faults, tariff_faults
from clubplanner.domain.money.lines import MOST_FREE_MINUTES, Reduction
from clubplanner.domain.money.tariffs import InLight, Payer, Per, Spot, Tariff
from clubplanner.domain.money.terms import LONGEST_NOTE, MOST_HOURS, MoneyTerms
from clubplanner.domain.times.windows import parse_days
from clubplanner.inputs.reading.faults import list_words, show_value
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Iterable

    from clubplanner.inputs.reading.toml_tables import TomlTable

_Word = TypeVar("_Word", bound=StrEnum)
_KEYS = {"from_min": "from", "to_min": "to", "who": "squad"}
"""What fields are called in the file, where otherwise."""
_NO_AGE = 0


@dataclass(frozen=True, slots=True)
class TariffRead:
    """A tariff as the file says it.

    Attributes:
        place: Where it stands, for telling of faults.
        tariff: Its ground by names as people say them, its amount still 0.
        amount: As written ("12.50"), or a whole number of smallest units where the file is older.
    """

    place: str
    tariff: Tariff
    amount: str | int


@dataclass(frozen=True, slots=True)
class ReductionRead:
    """A reduction as the file says it; squad, hirer and venue by names as people say them."""

    place: str
    reduction: Reduction


def read_terms(table: TomlTable) -> MoneyTerms | None:
    """Read `[money]`."""
    words = table.text("currency", "")
    currency = currency_from_words(words) if words else ""
    if words and not currency:
        table.fault(
            "currency",
            "unknown",
            _(
                "%(value)s is no currency; write its code of three letters, like EUR",
                value=show_value(words),
            ),
        )
    note = table.text("note", "")
    if len(note) > LONGEST_NOTE:
        table.fault("note", "too-long", _("Write at most %(most)s letters", most=LONGEST_NOTE))
    terms = MoneyTerms(
        currency=currency,
        notice_hours=table.whole("notice_hours", 0, MOST_HOURS, 0),
        late_percent=table.whole("late_percent", 0, 100, 100),
        note=note,
    )
    return terms if table.done() else None


def read_tariff(table: TomlTable) -> TariffRead | None:
    """Read one of `[[tariffs]]`."""
    spot = Spot(table.name("venue"), table.text("pitch", ""), table.text("part", ""))
    if spot.area and not spot.pitch:
        table.fault("pitch", "missing", _("Write the pitch of the part, too"))
    weekdays: frozenset[int] = frozenset()
    days = table.text("days", "")
    try:
        weekdays = frozenset(parse_days(days)) if days else weekdays
    except ValueError as fault:
        table.fault("days", "not-a-day", str(fault))
    tariff = Tariff(
        number=0,
        payer=_word(table, "payer", Payer, Payer.CLUB),
        spot=spot,
        amount=0,
        per=_word(table, "per", Per, Per.HOUR),
        name=table.text("name", ""),
        adds=table.flag("adds"),
        light=_word(table, "light", InLight, InLight.ANY),
        weekdays=weekdays,
        from_min=table.clock("from", "00:00"),
        to_min=table.clock("to", "24:00"),
        season_from=table.text("season_from", ""),
        season_to=table.text("season_to", ""),
        starts_on=table.day("starts") if table.has("starts") else None,
        ends_on=table.day("ends") if table.has("ends") else None,
    )
    amount = table.text("amount")
    _note(table, tariff_faults(tariff))
    return TariffRead(table.place, tariff, amount) if table.done() else None


def read_price(table: TomlTable) -> list[TariffRead] | None:
    """Read one of `[[prices]]`, as files said what venues charge before there were tariffs.

    Its amounts are whole numbers of the smallest coin.
    """
    spot = Spot(table.name("venue"), table.text("pitch", ""))
    per_hour = table.whole("per_hour", 0, 10**7, 0)
    per_opening = table.whole("per_opening", 0, 10**7, 0)
    if spot.pitch and per_opening:
        table.fault(
            "per_opening", "contradiction", _("A venue opens, not a pitch; leave pitch out")
        )
    found = [
        TariffRead(table.place, Tariff(0, Payer.CLUB, spot, 0, per), amount)
        for per, amount in ((Per.HOUR, per_hour), (Per.OPENING, per_opening))
        if amount or (spot.pitch and per is Per.HOUR)
    ]
    return found if table.done() else None


def read_reduction(table: TomlTable) -> ReductionRead | None:
    """Read one of `[[reductions]]`."""
    payer = _word(table, "payer", Payer, Payer.SQUAD)
    squad, hirer = table.text("squad", ""), table.text("hirer", "")
    for key, value, whose in (("squad", squad, Payer.SQUAD), ("hirer", hirer, Payer.HIRER)):
        if value and payer is not whose:
            words = _("Write payer = “%(payer)s” for a %(key)s", payer=whose.value, key=key)
            table.fault(key, "contradiction", words)
    age = table.whole("up_to_age", 0, 99, _NO_AGE)
    reduction = Reduction(
        number=0,
        payer=payer,
        who=squad or hirer,
        up_to_age=age or None,
        venue=table.text("venue", ""),
        percent=table.whole("percent", 0, 100, 0),
        free_minutes=table.whole("free_minutes", 0, MOST_FREE_MINUTES, 0),
        name=table.text("name", ""),
    )
    _note(table, reduction_faults(reduction))
    return ReductionRead(table.place, reduction) if table.done() else None


def _note(table: TomlTable, faults: Iterable[tuple[str, str]]) -> None:
    for field, words in faults:
        table.fault(_KEYS.get(field, field), "contradiction", words)


def _word(table: TomlTable, key: str, words: type[_Word], usual: _Word) -> _Word:
    text = table.text(key, usual.value).casefold()
    found = next((word for word in words if word.value == text), None)
    if found is None:
        known = list_words([word.value for word in words])
        table.fault(
            key,
            "unknown",
            _("%(value)s is not known; write %(known)s", value=show_value(text), known=known),
        )
        return usual
    return found
