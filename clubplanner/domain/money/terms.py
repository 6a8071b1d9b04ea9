"""What the club settled about money: its currency, late withdrawals, and the treasurer's note."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime

MOST_HOURS = 24 * 60
LONGEST_NOTE = 1000


@dataclass(frozen=True, slots=True)
class MoneyTerms:
    """The club's own terms; without any, nothing that is withdrawn before it begins is owed.

    Attributes:
        currency: Its code (ISO 4217); blank as long as nobody has said.
        notice_hours: A session counts as withdrawn in time so many hours before it begins.
        late_percent: How much of the price is owed of what was withdrawn later, 0 to 100.
        note: What stands on every statement: to whom, by when, under which number. May be blank.
    """

    currency: str = ""
    notice_hours: int = 0
    late_percent: int = 100
    note: str = ""

    def percent_owed(self, starts_at: datetime, withdrawn_at: datetime | None) -> int:
        """Return how much of a session's price is owed, 0 to 100.

        Args:
            starts_at: When it was to begin, UTC.
            withdrawn_at: When it was withdrawn; None where it took place.
        """
        if withdrawn_at is None:
            return 100
        in_time = starts_at - withdrawn_at >= timedelta(hours=self.notice_hours)
        return 0 if in_time else self.late_percent
