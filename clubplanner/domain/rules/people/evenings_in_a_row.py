"""Evenings in a row: a squad trains on no more days one after the other than its ask says."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.rules.case import Hindrance
from clubplanner.language import marked, ngettext

if TYPE_CHECKING:
    from datetime import date

    from clubplanner.domain.rules.case import Case

NAME = marked("evenings in a row")


def evenings_in_a_row(case: Case) -> Hindrance | None:
    """Refuse a training with which the squad would train on too many days one after the other."""
    if not case.is_training or case.squad is None:
        return None
    told = [ask.most_in_a_row for ask in case.asks_of_squad()]
    most = min((number for number in told if number is not None), default=None)
    if most is None:
        return None
    on_days = [
        (one.during.starts_at.astimezone(case.zone).date(), one)
        for one in case.others_of(case.squad.key)
        if one.purpose is Purpose.TRAINING
    ]
    row = days_in_a_row({day for day, _one in on_days}, case.day)
    if len(row) <= most:
        return None
    return Hindrance(
        NAME,
        ngettext(
            "%(squad)s train on no more than %(num)s evening in a row.",
            "%(squad)s train on no more than %(num)s evenings in a row.",
            most,
            squad=case.holder,
        ),
        holders=tuple(one for day, one in on_days if day in row),
    )


def days_in_a_row(days: set[date], day: date) -> set[date]:
    """Return a date with those that follow one another before and after it, among some dates."""
    row = {day}
    for step in (timedelta(days=1), timedelta(days=-1)):
        other = day + step
        while other in days:
            row.add(other)
            other += step
    return row
