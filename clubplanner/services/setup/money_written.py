"""Money between records and settings files: names to rows, and rows to names."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.club.comparing_names import is_called
from clubplanner.domain.money.amounts import MOST, amount_from_text
from clubplanner.domain.money.tariffs import Payer, Spot
from clubplanner.domain.problems import Problem
from clubplanner.inputs.club_files.settings_file import MoneyWritten
from clubplanner.language import _
from clubplanner.services.rows.club.money_rows import (
    load_reductions,
    load_tariffs,
    load_terms,
    pitch_called,
    save_terms,
    write_reduction,
    write_tariff,
)
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow, VenueRow
from clubplanner.store.tables.money_tables import MoneyRow, ReductionRow, TariffRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from sqlalchemy.orm import Session

    from clubplanner.inputs.club_files.money import ReductionRead, TariffRead
    from clubplanner.inputs.club_files.settings import SettingsRead


def money_in_names(session: Session) -> MoneyWritten:
    """Return all of it with names in place of keys, as `write_money` takes it in again."""
    venues = {row.key: row.name for row in session.scalars(select(VenueRow))}
    squads = {row.key: row.name for row in session.scalars(select(SquadRow))}
    rows = session.scalars(select(PitchRow)).all()
    counts = Counter((row.venue_id, row.name) for row in rows)
    pitches = {
        row.key: row.name if counts[row.venue_id, row.name] == 1 else row.key for row in rows
    }
    has_terms = session.get(MoneyRow, 1) is not None
    return MoneyWritten(
        load_terms(session) if has_terms else None,
        tuple(
            replace(
                one,
                spot=Spot(venues[one.spot.venue], pitches.get(one.spot.pitch, ""), one.spot.area),
            )
            for one in load_tariffs(session)
        ),
        tuple(
            replace(
                one,
                who=squads[one.who] if one.who and one.payer is Payer.SQUAD else one.who,
                venue=venues.get(one.venue, ""),
            )
            for one in load_reductions(session)
        ),
    )


def write_money(session: Session, settings: SettingsRead) -> list[Problem]:
    """Write what a settings file says of money; what it has no word for stays.

    Args:
        session: The open write session; venues, pitches and squads are there.
        settings: What was read.

    Returns:
        What names nothing, or is no amount of the currency.
    """
    if settings.terms is not None:
        save_terms(session, settings.terms)
    problems: list[Problem] = []
    if settings.tariffs is not None:
        tariffs = list(session.scalars(select(TariffRow).order_by(TariffRow.id)))
        _drop_all(session, tariffs[len(settings.tariffs) :])
        currency = load_terms(session).currency
        for number, tariff in enumerate(settings.tariffs):
            row = tariffs[number] if number < len(tariffs) else TariffRow()
            problems += _write_tariff(session, tariff, currency, row)
    if settings.reductions is not None:
        known = list(session.scalars(select(ReductionRow).order_by(ReductionRow.id)))
        _drop_all(session, known[len(settings.reductions) :])
        for number, reduction in enumerate(settings.reductions):
            own = known[number] if number < len(known) else ReductionRow()
            problems += _write_reduction(session, reduction, own)
    session.flush()
    return problems


def _drop_all(session: Session, rows: Sequence[TariffRow] | Sequence[ReductionRow]) -> None:
    for row in rows:
        session.delete(row)
    session.flush()


def _write_tariff(
    session: Session, read: TariffRead, currency: str, row: TariffRow
) -> Iterator[Problem]:
    """Write a tariff into a row, which is one that was there: the same again changes nothing."""
    spot, pitch, area = read.tariff.spot, None, None
    venue = _venue_called(session, spot.venue)
    if venue is None:
        yield Problem(f"{read.place} venue", "no-such-venue", _no_venue(session, spot.venue))
        return
    if spot.pitch:
        pitch = pitch_called(session, venue.id, spot.pitch)
        if pitch is None:
            known = ", ".join(row.name for row in venue.pitches) or _("none yet")
            words = _(
                "There is no pitch “%(pitch)s” at %(venue)s; write one of: %(known)s.",
                pitch=spot.pitch,
                venue=venue.name,
                known=known,
            )
            yield Problem(f"{read.place} pitch", "no-such-pitch", words)
            return
    if spot.area and pitch is not None:
        area = _area_called(pitch, spot.area)
        if area is None:
            words = _(
                "“%(found)s” has no area “%(wanted)s”; write one of: %(names)s.",
                found=pitch.name,
                wanted=spot.area,
                names=", ".join(a.name for a in pitch.areas),
            )
            yield Problem(f"{read.place} part", "no-such-area", words)
            return
    try:
        is_text = isinstance(read.amount, str)
        amount = amount_from_text(str(read.amount), currency) if is_text else int(read.amount)
    except ValueError as fault:
        yield Problem(f"{read.place} amount", "not-an-amount", str(fault))
        return
    write_tariff(
        row,
        replace(read.tariff, amount=min(amount, MOST)),
        venue.id,
        None if pitch is None else pitch.id,
        None if area is None else area.id,
    )
    session.add(row)
    session.flush()  # their numbers follow the order of the file


def _write_reduction(session: Session, read: ReductionRead, row: ReductionRow) -> Iterator[Problem]:
    reduction, squad, venue = read.reduction, None, None
    if reduction.venue:
        venue = _venue_called(session, reduction.venue)
        if venue is None:
            words = _no_venue(session, reduction.venue)
            yield Problem(f"{read.place} venue", "no-such-venue", words)
            return
    if reduction.who and reduction.payer is Payer.SQUAD:
        squads = session.scalars(select(SquadRow).order_by(SquadRow.position, SquadRow.id))
        squad = next((row for row in squads if is_called(reduction.who, row.name)), None)
        if squad is None:
            words = _("There is no squad “%(squad)s”; correct the name.", squad=reduction.who)
            yield Problem(f"{read.place} squad", "no-such-squad", words)
            return
    write_reduction(
        row,
        reduction,
        None if squad is None else squad.id,
        None if venue is None else venue.id,
    )
    session.add(row)
    session.flush()


def _venue_called(session: Session, name: str) -> VenueRow | None:
    venues = session.scalars(select(VenueRow).order_by(VenueRow.position, VenueRow.id))
    return next((row for row in venues if is_called(name, row.name)), None)


def _no_venue(session: Session, name: str) -> str:
    known = ", ".join(session.scalars(select(VenueRow.name).order_by(VenueRow.position)))
    return _(
        "There is no venue “%(venue)s”; write one of: %(known)s.",
        venue=name,
        known=known or _("none yet"),
    )


def _area_called(pitch: PitchRow, words: str) -> AreaRow | None:
    by_key = [area for area in pitch.areas if area.key == words]
    by_name = [area for area in pitch.areas if is_called(words, area.name)]
    return next(iter((*by_key, *by_name)), None)
