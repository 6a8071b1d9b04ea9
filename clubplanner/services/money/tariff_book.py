"""The club's tariffs, reductions and terms: shown, added, changed, taken out."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.club.comparing_names import is_called
from clubplanner.domain.money.amounts import amount_from_text, currency_from_words, plain_amount
from clubplanner.domain.money.checking import reduction_faults, tariff_faults
from clubplanner.domain.money.tariffs import Payer
from clubplanner.domain.money.terms import LONGEST_NOTE, MOST_HOURS
from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError, MissingError
from clubplanner.language import _, term
from clubplanner.services.money.tariff_words import (
    PAYERS,
    amount_words,
    for_whom,
    reduction_words,
    when_words,
)
from clubplanner.services.money.uses import load_places
from clubplanner.services.rows.club.money_rows import (
    load_reductions,
    load_tariffs,
    load_terms,
    save_terms,
    write_reduction,
    write_tariff,
)
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow, VenueRow
from clubplanner.store.tables.money_tables import ReductionRow, TariffRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from sqlalchemy.orm import Session

    from clubplanner.domain.money.lines import Reduction
    from clubplanner.domain.money.tariffs import Spot, Tariff
    from clubplanner.domain.money.terms import MoneyTerms
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class TariffLine:
    """A tariff in the list: its number, for what ground, how much and when, in words."""

    number: int
    name: str
    place: str
    amount: str
    when: str


@dataclass(frozen=True, slots=True)
class ReductionLine:
    """A reduction in the list: for whom and how much, in words."""

    number: int
    name: str
    whom: str
    words: str


@dataclass(frozen=True, slots=True)
class TariffBook:
    """Everything that is settled about money.

    Attributes:
        terms: Currency, late withdrawals and the note.
        tariffs: By who pays, in words, in order.
        reductions: In the order in which they came.
        grounds: Venues, and each one's pitches and parts, for a form.
        squads: Keys and names, for a form.
        venues: Keys and names, for a form.
    """

    terms: MoneyTerms
    tariffs: tuple[tuple[str, tuple[TariffLine, ...]], ...]
    reductions: tuple[ReductionLine, ...]
    grounds: tuple[tuple[str, tuple[Choice, ...]], ...]
    squads: tuple[Choice, ...]
    venues: tuple[Choice, ...]

    @property
    def spots(self) -> tuple[Choice, ...]:
        """All ground as one list, each with its venue as its group."""
        return tuple(replace(one, group=venue) for venue, held in self.grounds for one in held)


def see_tariffs(store: Store) -> TariffBook:
    """Return everything that is settled about money, in words."""
    with store.read() as session:
        terms = load_terms(session)
        names = _names(session)
        lines: dict[Payer, list[TariffLine]] = {payer: [] for payer in Payer}
        for one in load_tariffs(session):
            lines[one.payer].append(
                TariffLine(
                    one.number,
                    one.name,
                    names[spot_value(one.spot)],
                    amount_words(one, terms.currency),
                    when_words(one),
                )
            )
        venues = session.scalars(select(VenueRow).order_by(VenueRow.position, VenueRow.id)).all()
        squads = session.scalars(select(SquadRow).order_by(SquadRow.position, SquadRow.id)).all()
        return TariffBook(
            terms=terms,
            tariffs=tuple((term(PAYERS[p]), tuple(rows)) for p, rows in lines.items() if rows),
            reductions=_reduction_lines(session, venues, squads),
            grounds=_grounds(session),
            squads=tuple(Choice(row.key, row.name, also=row.age_group) for row in squads),
            venues=tuple(Choice(row.key, row.name) for row in venues),
        )


def load_tariff(store: Store, number: int) -> tuple[Tariff, str]:
    """Return a tariff and its amount as forms have it.

    Raises:
        MissingError: If there is no such tariff.
    """
    with store.read() as session:
        found = next((one for one in load_tariffs(session) if one.number == number), None)
        if found is None:
            raise _no_tariff()
        return found, plain_amount(found.amount, load_terms(session).currency)


def save_tariff(store: Store, tariff: Tariff, amount: str) -> int:
    """Add a tariff, or change one.

    Args:
        store: The database.
        tariff: As it is to be; its number is 0 for a new one, its amount is not looked at.
        amount: What it costs, as typed in the club's currency.

    Returns:
        Its number.

    Raises:
        FaultyInputError: With every fault; `where` is a field of `Tariff`.
        MissingError: If there is no such tariff (any more).
    """
    with store.write() as session:
        problems = [Problem(field, "form", words) for field, words in tariff_faults(tariff)]
        currency = load_terms(session).currency
        try:
            tariff = replace(tariff, amount=amount_from_text(amount, currency))
        except ValueError as fault:
            problems.append(Problem("amount", "form", str(fault)))
        venue, pitch, area = _rows_of(session, tariff.spot)
        if venue is None or (tariff.spot.pitch and pitch is None):
            problems.append(Problem("spot", "form", _("Choose the ground.")))
        if problems or venue is None:
            raise FaultyInputError(problems)
        row = session.get(TariffRow, tariff.number) if tariff.number else TariffRow()
        if row is None:
            raise _no_tariff()
        write_tariff(
            row,
            tariff,
            venue.id,
            None if pitch is None else pitch.id,
            None if area is None else area.id,
        )
        session.add(row)
        session.flush()
        words = amount_words(tariff, currency)
        place = _names(session)[spot_value(tariff.spot)]
        describe_change(session, _("tariff: %(place)s, %(words)s", place=place, words=words))
        return row.id


def take_tariff_out(store: Store, number: int) -> None:
    """Take a tariff out; statements that were issued stay as they are.

    Raises:
        MissingError: If there is no such tariff (any more).
    """
    with store.write() as session:
        row = session.get(TariffRow, number)
        if row is None:
            raise _no_tariff()
        session.delete(row)


def save_reduction(store: Store, reduction: Reduction) -> int:
    """Add a reduction, or change one.

    Args:
        store: The database.
        reduction: As it is to be, squad and venue by key; its number is 0 for a new one.

    Returns:
        Its number.

    Raises:
        FaultyInputError: With every fault; `where` is a field of `Reduction`.
        MissingError: If there is no such reduction (any more).
    """
    with store.write() as session:
        problems = [Problem(field, "form", words) for field, words in reduction_faults(reduction)]
        squad = venue = None
        if reduction.who and reduction.payer is Payer.SQUAD:
            squad = _squad_called(session, reduction.who)
            if squad is None:
                problems.append(Problem("who", "form", _("Choose a squad.")))
        if reduction.venue:
            venue = session.scalars(select(VenueRow).where(VenueRow.key == reduction.venue)).first()
            if venue is None:
                problems.append(Problem("venue", "form", _("Choose a venue.")))
        if problems:
            raise FaultyInputError(problems)
        row = session.get(ReductionRow, reduction.number) if reduction.number else ReductionRow()
        if row is None:
            raise no_reduction()
        write_reduction(
            row,
            reduction,
            None if squad is None else squad.id,
            None if venue is None else venue.id,
        )
        session.add(row)
        session.flush()
        return row.id


def take_reduction_out(store: Store, number: int) -> None:
    """Take a reduction out; statements that were issued stay as they are.

    Raises:
        MissingError: If there is no such reduction (any more).
    """
    with store.write() as session:
        row = session.get(ReductionRow, number)
        if row is None:
            raise no_reduction()
        session.delete(row)


def settle_terms(store: Store, terms: MoneyTerms) -> None:
    """Settle the club's terms.

    Another currency leaves the figures of tariffs as they are, digit by digit.

    Raises:
        FaultyInputError: With every fault; `where` is a field of `MoneyTerms`.
    """
    problems = []
    currency = currency_from_words(terms.currency) if terms.currency.strip() else ""
    if terms.currency.strip() and not currency:
        words = _("Write a currency by its code of three letters, like EUR.")
        problems.append(Problem("currency", "form", words))
    if not 0 <= terms.notice_hours <= MOST_HOURS:
        words = _("Enter 0 to %(most)s hours.", most=MOST_HOURS)
        problems.append(Problem("notice_hours", "form", words))
    if not 0 <= terms.late_percent <= 100:
        problems.append(Problem("late_percent", "form", _("Enter 0 to 100 %.")))
    if len(terms.note) > LONGEST_NOTE:
        words = _("Use at most %(most)s characters here.", most=LONGEST_NOTE)
        problems.append(Problem("note", "form", words))
    if problems:
        raise FaultyInputError(problems)
    with store.write() as session:
        save_terms(session, replace(terms, currency=currency))


def spot_value(spot: Spot) -> str:
    """Write ground for a form: its keys with slashes between."""
    return "/".join(part for part in (spot.venue, spot.pitch, spot.area) if part)


def _rows_of(
    session: Session, spot: Spot
) -> tuple[VenueRow | None, PitchRow | None, AreaRow | None]:
    venue = session.scalars(select(VenueRow).where(VenueRow.key == spot.venue)).first()
    if venue is None or not spot.pitch:
        return venue, None, None
    pitch = next((row for row in venue.pitches if row.key == spot.pitch), None)
    if pitch is None or not spot.area:
        return venue, pitch, None
    area = next((row for row in pitch.areas if row.key == spot.area), None)
    return venue, None if area is None else pitch, area


def _names(session: Session) -> Mapping[str, str]:
    places = load_places(session)
    found = {row.key: row.name for row in session.scalars(select(VenueRow))}
    for key, (venue, pitch) in places.pitches.items():
        found[f"{venue.key}/{key}"] = f"{pitch.name}, {venue.name}"
        for area in pitch.areas:
            name = places.names[key, area.key]
            found[f"{venue.key}/{key}/{area.key}"] = f"{name}, {venue.name}"
    return found


def _grounds(session: Session) -> tuple[tuple[str, tuple[Choice, ...]], ...]:
    """Return each venue, and beneath it its pitches and their parts."""
    venues = session.scalars(select(VenueRow).order_by(VenueRow.position, VenueRow.id))
    names = _names(session)
    return tuple(
        (
            venue.name,
            (
                Choice(venue.key, _("%(venue)s, all of it", venue=venue.name)),
                *(
                    Choice(value, words.removesuffix(f", {venue.name}"))
                    for value, words in names.items()
                    if value.startswith(f"{venue.key}/") and not value.endswith("/whole")
                ),
            ),
        )
        for venue in venues
    )


def _reduction_lines(
    session: Session, venues: Sequence[VenueRow], squads: Sequence[SquadRow]
) -> tuple[ReductionLine, ...]:
    called = {row.key: row.name for row in squads}
    at = {row.key: row.name for row in venues}
    return tuple(
        ReductionLine(
            one.number,
            one.name,
            for_whom(
                one,
                called.get(one.who, "") if one.payer is Payer.SQUAD else one.who,
                at.get(one.venue, ""),
            ),
            reduction_words(one),
        )
        for one in load_reductions(session)
    )


def _squad_called(session: Session, words: str) -> SquadRow | None:
    rows = session.scalars(select(SquadRow).order_by(SquadRow.position, SquadRow.id))
    return next((row for row in rows if is_called(words, row.key, row.name)), None)


def _no_tariff() -> MissingError:
    return MissingError(_("There is no such tariff (any more); look at the list of tariffs."))


def no_reduction() -> MissingError:
    """Return the fault that there is no such reduction."""
    return MissingError(_("There is no such reduction (any more); look at the list of tariffs."))
