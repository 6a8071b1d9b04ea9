"""Tariffs, reductions and the club's terms of money: read from rows, written as rows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import joinedload

from clubplanner.domain.money.lines import Reduction
from clubplanner.domain.money.tariffs import InLight, Payer, Per, Spot, Tariff
from clubplanner.domain.money.terms import MoneyTerms
from clubplanner.store.tables.ground_tables import PitchRow
from clubplanner.store.tables.money_tables import MoneyRow, ReductionRow, TariffRow

if TYPE_CHECKING:
    from sqlalchemy.orm import Session


def load_terms(session: Session) -> MoneyTerms:
    """Return what the club settled; nothing is settled where nobody has said anything."""
    row = session.get(MoneyRow, 1)
    if row is None:
        return MoneyTerms()
    return MoneyTerms(row.currency, row.notice_hours, row.late_percent, row.note)


def save_terms(session: Session, terms: MoneyTerms) -> None:
    """Write what the club settled."""
    row = session.get(MoneyRow, 1)
    if row is None:
        row = MoneyRow(id=1)
        session.add(row)
    row.currency, row.note = terms.currency, terms.note
    row.notice_hours, row.late_percent = terms.notice_hours, terms.late_percent


def load_tariffs(session: Session) -> tuple[Tariff, ...]:
    """Return all tariffs, their ground by keys, in the order in which they came."""
    within = (joinedload(TariffRow.venue), joinedload(TariffRow.pitch), joinedload(TariffRow.area))
    rows = session.scalars(select(TariffRow).order_by(TariffRow.id).options(*within))
    return tuple(_tariff(row) for row in rows)


def _tariff(row: TariffRow) -> Tariff:
    pitch = "" if row.pitch is None else row.pitch.key
    return Tariff(
        number=row.id,
        payer=Payer(row.payer),
        spot=Spot(row.venue.key, pitch, "" if row.area is None else row.area.key),
        amount=row.amount,
        per=Per(row.per),
        name=row.name,
        adds=row.adds,
        light=InLight(row.light),
        weekdays=frozenset(row.weekdays),
        from_min=row.from_min,
        to_min=row.to_min,
        season_from=row.season_from,
        season_to=row.season_to,
        starts_on=row.starts_on,
        ends_on=row.ends_on,
    )


def write_tariff(
    row: TariffRow, tariff: Tariff, venue_id: int, pitch_id: int | None, area_id: int | None
) -> None:
    """Write a tariff to its row; its ground is given by numbers."""
    row.payer, row.name, row.amount = tariff.payer.value, tariff.name, tariff.amount
    row.venue_id, row.pitch_id, row.area_id = venue_id, pitch_id, area_id
    row.per, row.adds, row.light = tariff.per.value, tariff.adds, tariff.light.value
    row.weekdays = sorted(tariff.weekdays)
    row.from_min, row.to_min = tariff.from_min, tariff.to_min
    row.season_from, row.season_to = tariff.season_from, tariff.season_to
    row.starts_on, row.ends_on = tariff.starts_on, tariff.ends_on


def load_reductions(session: Session) -> tuple[Reduction, ...]:
    """Return all reductions, squads and venues by keys, in the order in which they came."""
    within = (joinedload(ReductionRow.squad), joinedload(ReductionRow.venue))
    rows = session.scalars(select(ReductionRow).order_by(ReductionRow.id).options(*within))
    return tuple(
        Reduction(
            number=row.id,
            payer=Payer(row.payer),
            who=row.hirer if row.squad is None else row.squad.key,
            up_to_age=row.up_to_age,
            venue="" if row.venue is None else row.venue.key,
            percent=row.percent,
            free_minutes=row.free_minutes,
            name=row.name,
        )
        for row in rows
    )


def write_reduction(
    row: ReductionRow, reduction: Reduction, squad_id: int | None, venue_id: int | None
) -> None:
    """Write a reduction to its row; squad and venue are given by numbers."""
    row.payer, row.name = reduction.payer.value, reduction.name
    row.squad_id, row.venue_id = squad_id, venue_id
    row.hirer = reduction.who if reduction.payer is Payer.HIRER else ""
    row.up_to_age, row.percent = reduction.up_to_age, reduction.percent
    row.free_minutes = reduction.free_minutes


def pitch_called(session: Session, venue_id: int, words: str) -> PitchRow | None:
    """Return a venue's pitch by its key or its name, capitals and blanks aside; None for none."""
    plain = " ".join(words.split()).casefold()
    rows = session.scalars(
        select(PitchRow)
        .where(PitchRow.venue_id == venue_id)
        .order_by(PitchRow.position, PitchRow.id)
    ).all()
    by_key = [row for row in rows if row.key == words]
    by_name = [row for row in rows if " ".join(row.name.split()).casefold() == plain]
    return next(iter((*by_key, *by_name)), None)
