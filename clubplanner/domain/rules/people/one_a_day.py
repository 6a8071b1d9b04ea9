"""One a day: the trainings that a squad asks for are each on another day.

A squad with several asks may have as many trainings a day as it has asks. What it asks for on top,
for one day, is one more. A session that moves within its day is none more.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.rules.case import Hindrance
from clubplanner.language import marked, ngettext

if TYPE_CHECKING:
    from clubplanner.domain.rules.case import Case

NAME = marked("one training a day")


def one_a_day(case: Case) -> Hindrance | None:
    """Refuse one training more on a day than its squad has asks; without an ask there is no rule.

    Which ask a training that is booked answers is not known, so they are counted together.
    """
    if not case.is_training or case.squad is None or _moves_within_its_day(case):
        return None
    asks = case.asks_of_squad()
    is_on_top = case.ask is not None and case.ask not in asks
    most = len(asks) + is_on_top
    booked = tuple(
        one
        for one in case.others_of(case.squad.key)
        if one.purpose is Purpose.TRAINING
        and one.during.starts_at.astimezone(case.zone).date() == case.day
    )
    if not asks or len(booked) < most:
        return None
    return Hindrance(
        NAME,
        ngettext(
            "%(squad)s have %(num)s training that day already and ask for no more.",
            "%(squad)s have %(num)s trainings that day already and ask for no more.",
            len(booked),
            squad=case.holder,
        ),
        is_own=True,
        holders=booked,
    )


def _moves_within_its_day(case: Case) -> bool:
    return case.was is not None and case.was.starts_at.astimezone(case.zone).date() == case.day
