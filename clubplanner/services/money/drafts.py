"""A month's lines for everybody who owes something, as they would be stated today."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import asdict, dataclass
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.squads import age_from_group
from clubplanner.domain.money.charging import charge, charge_floodlights
from clubplanner.domain.money.lines import Debtor, make_lines
from clubplanner.domain.money.tariffs import Payer
from clubplanner.domain.times.times import clock_in_zone, end_clock_in_zone
from clubplanner.services.money.uses import Charged, burning, load_places, load_used
from clubplanner.services.rows.club.money_rows import load_reductions, load_tariffs, load_terms
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.tables.ground_tables import VenueRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.money.charging import Charge
    from clubplanner.domain.money.lines import Line, Reduction
    from clubplanner.domain.money.tariffs import Tariff
    from clubplanner.services.money.uses import Places, Used

FLOODLIGHTS = "floodlights"
"""What a line is of that is no booking's."""


@dataclass(frozen=True, slots=True)
class StatedLine:
    """A line as it is kept: figures, and the names of that day; no sentences.

    Attributes:
        day: Local date, ISO 8601.
        start: Local clock time at which it begins.
        end: At which it ends.
        place: The part and its pitch.
        purpose: Of the booking, or `FLOODLIGHTS`.
        who: Who was there, where that is not who owes; blank else.
        tariff: What the tariff is called; may be blank.
        per: For an hour or an opening.
        adds: Whether it came on top.
        rate: Of the tariff, in smallest units.
        minutes: That passed; 0 for an opening.
        free_minutes: How many of them were free.
        share: Of the pitch, such as "1/2".
        percent_owed: 100, or less for what was withdrawn late.
        reduction: What the reduction is called; may be blank.
        percent_off: What it took off.
        amount: In smallest units, rounded.
    """

    day: str
    start: str
    end: str
    place: str
    purpose: str
    who: str
    tariff: str
    per: str
    adds: bool
    rate: int
    minutes: int
    free_minutes: int
    share: str
    percent_owed: int
    reduction: str
    percent_off: int
    amount: int

    def kept(self) -> dict[str, Any]:
        """Return it as plain values."""
        return asdict(self)


@dataclass(frozen=True, slots=True)
class Draft:
    """What somebody owes for a month, not issued.

    Attributes:
        payer: The club, a squad or a hirer.
        key: The squad's or venue's key, or the hirer's name.
        name: What they are called.
        number: The squad's or venue's number in the records; None for a hirer.
        month: Its first date.
        currency: The club's; may be blank.
        lines: By time.
    """

    payer: Payer
    key: str
    name: str
    number: int | None
    month: date
    currency: str
    lines: tuple[StatedLine, ...]

    @property
    def total(self) -> int:
        """The sum of the lines, in smallest units."""
        return sum(line.amount for line in self.lines)


class _Month:
    """Everything that a month's lines are made of, loaded once."""

    def __init__(
        self,
        session: Session,
        days: tuple[date, date],
        until: datetime,
        only: tuple[Payer, str] | None,
    ) -> None:
        self.month = days[0]
        self.zone: ZoneInfo = load_zone(session)
        self.places: Places = load_places(session)
        self.tariffs: Sequence[Tariff] = load_tariffs(session)
        self.reductions: Sequence[Reduction] = load_reductions(session)
        self.currency = load_terms(session).currency
        self.used = load_used(session, self.places, days, until, Charged(self.tariffs, only))
        self.by_number = {one.use.number: one for one in self.used}
        self.only = only
        self.squads = session.execute(
            select(SquadRow.key, SquadRow.name, SquadRow.id, SquadRow.age_group).order_by(
                SquadRow.id
            )
        ).all()
        self.venues = session.execute(
            select(VenueRow.key, VenueRow.name, VenueRow.id).order_by(
                VenueRow.position, VenueRow.id
            )
        ).all()

    def drafts(self) -> Iterable[Draft]:
        """Yield a draft for everybody who was on priced ground: venues, squads, hirers."""
        payers = Payer if self.only is None else (self.only[0],)
        if Payer.CLUB in payers:
            yield from self._of_venues()
        if Payer.SQUAD in payers:
            yield from self._of_squads()
        if Payer.HIRER in payers:
            yield from self._of_hirers()

    def _of_venues(self) -> Iterable[Draft]:
        by_venue: dict[str, list[Used]] = defaultdict(list)
        for one in self.used:
            by_venue[one.use.spot.venue].append(one)
        for venue in self.venues:
            if own := by_venue.get(venue.key):
                charges = [*self._charges(own, Payer.CLUB), *self._floodlights(own)]
                charges.sort(
                    key=lambda one: (one.during.starts_at, one.use.number, one.tariff.adds)
                )
                yield self._draft(Debtor(Payer.CLUB, venue.key), venue.name, venue.id, charges)

    def _of_squads(self) -> Iterable[Draft]:
        by_squad: dict[str, list[Used]] = defaultdict(list)
        for one in self.used:
            if one.squad_key:
                by_squad[one.squad_key].append(one)
        for squad in self.squads:
            if own := by_squad.get(squad.key):
                debtor = Debtor(Payer.SQUAD, squad.key, age_from_group(squad.age_group))
                charges = self._charges(own, Payer.SQUAD)
                yield self._draft(debtor, squad.name, squad.id, charges)

    def _of_hirers(self) -> Iterable[Draft]:
        by_hirer: dict[str, list[Used]] = defaultdict(list)
        for one in self.used:
            if not one.squad_key and one.purpose is Purpose.HIRE:
                by_hirer[one.holder].append(one)
        for name in sorted(by_hirer):
            charges = self._charges(by_hirer[name], Payer.HIRER)
            yield self._draft(Debtor(Payer.HIRER, name), name, None, charges)

    def _charges(self, used: Iterable[Used], payer: Payer) -> list[Charge]:
        return list(charge((one.use for one in used), self.tariffs, payer, self.zone))

    def _floodlights(self, used: Iterable[Used]) -> tuple[Charge, ...]:
        spans = burning(used, self.places, self.zone)
        return charge_floodlights(spans, self.tariffs, self.zone)

    def _draft(
        self, debtor: Debtor, name: str, number: int | None, charges: Sequence[Charge]
    ) -> Draft:
        made = make_lines(charges, self.reductions, debtor)
        lines = tuple(self._stated(line, debtor) for line in made)
        return Draft(debtor.payer, debtor.key, name, number, self.month, self.currency, lines)

    def _stated(self, line: Line, debtor: Debtor) -> StatedLine:
        charge, reduction = line.charge, line.reduction
        spot, tariff = charge.use.spot, charge.tariff
        booked = self.by_number.get(charge.use.number)
        _venue, pitch = self.places.pitches[spot.pitch]
        is_club = debtor.payer is Payer.CLUB
        return StatedLine(
            day=charge.during.starts_at.astimezone(self.zone).date().isoformat(),
            start=clock_in_zone(charge.during.starts_at, self.zone),
            end=end_clock_in_zone(charge.during.ends_at, self.zone),
            place=self.places.names.get((spot.pitch, spot.area), pitch.name),
            purpose=FLOODLIGHTS if booked is None else booked.purpose.value,
            who=booked.holder if booked is not None and is_club else "",
            tariff=tariff.name,
            per=tariff.per.value,
            adds=tariff.adds,
            rate=tariff.amount,
            minutes=charge.minutes,
            free_minutes=line.free_minutes,
            share=str(charge.share),
            percent_owed=charge.use.percent,
            reduction="" if reduction is None else reduction.name,
            percent_off=0 if reduction is None else reduction.percent,
            amount=line.amount,
        )


def month_of(day: date) -> date:
    """Return the first date of a date's month."""
    return day.replace(day=1)


def next_month(month: date) -> date:
    """Return the first date of the month after."""
    return month_of(month + timedelta(days=31))


def load_drafts(
    session: Session, month: date, until: datetime, only: tuple[Payer, str] | None = None
) -> tuple[Draft, ...]:
    """Return what everybody owes for a month: what the club owes its venues, then squads, hirers.

    Those of whom nothing is charged are left out. A session is of the month in which it begins.

    Args:
        session: An open session.
        month: Its first date.
        until: What is not over by then is left out, UTC.
        only: The only one asked about: who pays, and the key of the squad or venue or the hirer's
            name; None for everybody.
    """
    last = next_month(month) - timedelta(days=1)
    drafts = _Month(session, (month, last), until, only).drafts()
    return tuple(
        draft for draft in drafts if draft.lines and only in (None, (draft.payer, draft.key))
    )
