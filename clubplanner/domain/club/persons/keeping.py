"""For how long a club keeps what is over, and whom people ask about what is kept of them."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import timedelta
from enum import StrEnum

from clubplanner.language import marked

LONGEST_ASK = 200
"""Letters of whom to ask."""
MOST_DAYS = 3650


class Period(StrEnum):
    """What is pruned by a period of its own."""

    MAILS = "mails"
    ADDRESSES = "addresses"
    JOURNAL = "journal"
    CALENDARS = "calendars"
    HIRERS = "hirers"
    REMARKS = "remarks"
    PROPOSALS = "proposals"


WORDS = {
    Period.MAILS: marked("Mails, after they went out"),
    Period.ADDRESSES: marked("Addresses, after they were withdrawn or ended"),
    Period.JOURNAL: marked("The list of changes"),
    Period.CALENDARS: marked("What others' calendars say, after the date"),
    Period.HIRERS: marked("Whom to call for a hire, after its last date"),
    Period.REMARKS: marked("Remarks on bookings, asks and matches, after the date"),
    Period.PROPOSALS: marked("Proposals that were not published"),
}
"""What a period is of, and from when it counts."""

FEWEST_DAYS = {
    Period.MAILS: 60,
    Period.ADDRESSES: 30,
    Period.JOURNAL: 400,
    Period.CALENDARS: 1,
    Period.HIRERS: 30,
    Period.REMARKS: 30,
    Period.PROPOSALS: 60,
}
"""Mails are followed until sessions are 60 days over, and compared with. A change can be taken back
as long as any of it is to come, and what a stretch of 400 days began with may be."""


@dataclass(frozen=True, slots=True)
class Keeping:
    """What the club chose; days, each from its least to `MOST_DAYS`.

    The usual values are common practice, no source: a season and what follows from it can be looked
    at and explained, and no more. A club goes by the law where it is.

    Attributes:
        ask: Whom people ask, a line; blank for the club's secretary without a name.
    """

    ask: str = ""
    mails_days: int = 180
    addresses_days: int = 365
    journal_days: int = 1095
    calendars_days: int = 30
    hirers_days: int = 730
    remarks_days: int = 730
    proposals_days: int = 400

    def days_of(self, period: Period) -> int:
        """Return for how many days something is kept."""
        return int(getattr(self, field_of(period)))

    def time_of(self, period: Period) -> timedelta:
        """Return for how long something is kept."""
        return timedelta(days=self.days_of(period))


def field_of(period: Period) -> str:
    """Return how a period is called among the settings."""
    return f"{period.value}_days"


USUAL = Keeping()
SETTINGS = tuple(one.name for one in fields(Keeping))
"""The names of all settings, in order, as files and forms call them."""
