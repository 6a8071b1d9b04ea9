"""Rest: days between a squad's trainings, and none on the eve or the morrow of its match days."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.rules.case import Hindrance
from clubplanner.language import _, marked, ngettext, weekday_in_words

if TYPE_CHECKING:
    from clubplanner.domain.rules.case import Case

NAME = marked("rest")


def rest(case: Case) -> Hindrance | None:
    """Refuse a training too few days from another, or next to a weekday the squad keeps free."""
    if not case.is_training or case.squad is None:
        return None
    return _next_to_match_day(case) or _too_near(case)


def _next_to_match_day(case: Case) -> Hindrance | None:
    if case.ask is None:
        return None
    morrow, eve = (case.day.weekday() + 1) % 7, (case.day.weekday() - 1) % 7
    if morrow in case.ask.no_day_before:
        words = _(
            "%(squad)s do not train on the day before %(weekday)s.",
            squad=case.holder,
            weekday=weekday_in_words(morrow),
        )
        return Hindrance(NAME, words)
    if eve in case.ask.no_day_after:
        words = _(
            "%(squad)s do not train on the day after %(weekday)s.",
            squad=case.holder,
            weekday=weekday_in_words(eve),
        )
        return Hindrance(NAME, words)
    return None


def _too_near(case: Case) -> Hindrance | None:
    """Refuse a second training on one day where two asks are meant for two, or with little rest."""
    needed = max((ask.rest_days for ask in case.asks_of_squad()), default=0)
    if needed == 0 or case.squad is None:
        return None
    for one in case.others_of(case.squad.key):
        if one.purpose is not Purpose.TRAINING:
            continue
        day = one.during.starts_at.astimezone(case.zone).date()
        if abs((day - case.day).days) - 1 < needed:
            words = ngettext(
                "%(squad)s also train on %(weekday)s; between two trainings they want "
                "%(num)s day of rest.",
                "%(squad)s also train on %(weekday)s; between two trainings they want "
                "%(num)s days of rest.",
                needed,
                squad=case.holder,
                weekday=weekday_in_words(day.weekday()),
            )
            return Hindrance(NAME, words, holders=(one,))
    return None
