"""The lines of a month: free hours used up, reductions taken off, and each amount rounded once."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from clubplanner.domain.money.amounts import rounded
from clubplanner.domain.money.tariffs import Payer, Per

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from clubplanner.domain.money.charging import Charge

MOST_FREE_MINUTES = 60 * 1000
EVERYBODY = ""


@dataclass(frozen=True, slots=True)
class Debtor:
    """Who owes, as reductions look at them.

    Attributes:
        payer: The club, a squad or a hirer.
        key: The squad's key, the hirer's name, or the venue's key where the club pays.
        age: Of a squad: under so many years; None for adults and for all others.
    """

    payer: Payer
    key: str
    age: int | None = None


@dataclass(frozen=True, slots=True)
class Reduction:
    """Hours that are free each month, and what is taken off the rest.

    Attributes:
        number: Its number in the club's records.
        payer: Whose price it takes something off.
        who: The squad's key or the hirer's name; blank for all of them.
        up_to_age: Only for squads up to this age; None for any.
        venue: Only at this venue; blank for any.
        percent: Taken off every line, 0 to 100.
        free_minutes: The first minutes of each month's sessions that cost nothing, whatever part of
            a pitch they are on; what is added to the price, as for floodlights, is still owed.
        name: What people call it; may be blank.
    """

    number: int
    payer: Payer
    who: str = EVERYBODY
    up_to_age: int | None = None
    venue: str = ""
    percent: int = 0
    free_minutes: int = 0
    name: str = ""

    def holds_for(self, debtor: Debtor, venue: str) -> bool:
        """Tell whether it is for somebody's sessions at a venue."""
        if self.payer is not debtor.payer or self.who not in (EVERYBODY, debtor.key):
            return False
        if self.venue not in ("", venue):
            return False
        is_of_age = debtor.age is not None and debtor.age <= (self.up_to_age or 0)
        return self.up_to_age is None or is_of_age

    @property
    def rank(self) -> tuple[bool, int, bool, int]:
        """By what one comes before another: who is named, then the youngest, then the venue."""
        return self.who != EVERYBODY, -(self.up_to_age or 999), self.venue != "", self.number


@dataclass(frozen=True, slots=True)
class Line:
    """A line of a statement.

    Attributes:
        charge: What is charged.
        reduction: What was taken off by; None for nothing.
        free_minutes: How many of its minutes are free.
        amount: In smallest units, rounded.
    """

    charge: Charge
    reduction: Reduction | None
    free_minutes: int
    amount: int


def make_lines(
    charges: Iterable[Charge], reductions: Sequence[Reduction], debtor: Debtor
) -> tuple[Line, ...]:
    """Make the lines of somebody's month.

    One reduction holds for a line: that which names them, before that of their age, before that of
    all; of a venue before that of any. Free minutes are used up in the order of the charges.

    Args:
        charges: Those of one month in order of time.
        reductions: All of the club's.
        debtor: Who owes.
    """
    left = {one.number: one.free_minutes for one in reductions}
    lines: list[Line] = []
    for charge in charges:
        holding = [one for one in reductions if one.holds_for(debtor, charge.use.spot.venue)]
        reduction = max(holding, key=lambda one: one.rank, default=None)
        free = 0
        if reduction is not None and charge.minutes and not charge.tariff.adds:
            free = min(left[reduction.number], charge.minutes)
            left[reduction.number] -= free
        lines.append(Line(charge, reduction, free, rounded(_exact(charge, reduction, free))))
    return tuple(lines)


def exact_amount(charge: Charge) -> Fraction:
    """Return what is charged before reductions and rounding, in smallest units."""
    return _exact(charge, None, 0)


def _exact(charge: Charge, reduction: Reduction | None, free: int) -> Fraction:
    exact = Fraction(charge.tariff.amount * charge.use.percent, 100)
    if charge.tariff.per is Per.HOUR:
        exact *= Fraction(charge.minutes - free, 60) * charge.share
    if reduction is not None:
        exact *= Fraction(100 - reduction.percent, 100)
    return exact
