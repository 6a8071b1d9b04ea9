"""A proposal for a club of which the search would take an hour: a plan by plain arithmetic."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.keys import ground_key
from clubplanner.domain.times.seasons import training_dates
from clubplanner.domain.times.times import instant_from_wall, minute_from_instant
from clubplanner.services.proposals.proposals import (
    Draft,
    ProposedSession,
    Sort,
    keep_proposal,
    outcome_as_json,
)
from clubplanner.services.proposals.said import in_words
from clubplanner.services.rows.seasons.stretches import find_stretch
from clubplanner.services.rows.snapshot import load_asks, load_breaks
from clubplanner.sharing.values.outcome import Kind, Outcome, Satisfaction
from clubplanner.sharing.values.problem import Effort, Problem
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from clubplanner.store.tables.squad_tables import SquadRow
from tests.builders import LONDON, NOW
from tests.large_club import SEASON_STARTS

if TYPE_CHECKING:
    from datetime import date

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

EVERY = 10
"""Every how many-th session changes its ground with another one of the same time."""


def propose_as_booked(store: Store) -> int:
    """Keep a proposal with what is booked in the season's first week, some of it exchanged.

    Returns:
        Its number.
    """
    with store.write() as session:
        stretch = find_stretch(session, "winter")
        sessions = _exchanged(_as_booked(session))
        days: dict[int, list[date]] = defaultdict(list)
        for day in training_dates(stretch, load_breaks(session)):
            days[day.weekday()].append(day)
        dated = tuple(replace(one, dates=tuple(days[one.weekday])) for one in sessions)
        names = {one.squad: one.squad_name for one in dated}
        outcome = Outcome(
            kind=Kind.GOOD,
            placements=(),
            levels=(),
            refusals=(),
            satisfactions=tuple(Satisfaction(key, names[key], 9, 10, 90) for key in names),
            contradictions=(),
            asked=len(dated),
            seconds=1.0,
            is_repeatable=True,
            problem_digest="",
        )
        extra = outcome_as_json(Problem((), (), ()), outcome, Effort(seconds=1))
        first, last = stretch.starts_on, stretch.ends_on
        kind, words = Kind.GOOD.value, f"All {len(dated)} sessions asked for have a place."
        draft = Draft(Sort.STRETCH, first, last, None, dated, (), kind, in_words(words), extra)
        return keep_proposal(session, stretch, draft, NOW)


def _as_booked(session: Session) -> list[ProposedSession]:
    asks = {ask.squad_key: str(number) for number, ask in load_asks(session)}
    monday = instant_from_wall(SEASON_STARTS, 0, LONDON)
    query = (
        select(BookingRow.starts_at, BookingRow.ends_at, SquadRow, AreaRow, PitchRow)
        .join(SquadRow, SquadRow.id == BookingRow.squad_id)
        .join(AreaRow, AreaRow.id == BookingRow.area_id)
        .join(PitchRow, PitchRow.id == BookingRow.pitch_id)
        .where(BookingRow.starts_at > monday)
        .where(BookingRow.starts_at < monday + timedelta(days=7))
        .order_by(PitchRow.position, AreaRow.position, BookingRow.starts_at)
    )
    found, turns = [], dict[str, int]()
    for starts_at, ends_at, squad, area, pitch in session.execute(query):
        day = starts_at.astimezone(LONDON).date()
        turns[squad.key] = turns.get(squad.key, -1) + 1
        found.append(
            ProposedSession(
                ask=asks[squad.key],
                session=turns[squad.key],
                squad=squad.key,
                squad_name=squad.name,
                ground=ground_key(pitch.key, area.key),
                ground_name=f"{area.name}, {pitch.name}",
                weekday=day.weekday(),
                start_min=minute_from_instant(starts_at, day, LONDON),
                end_min=minute_from_instant(ends_at, day, LONDON),
                dates=(),
            )
        )
    return found


def _exchanged(sessions: list[ProposedSession]) -> list[ProposedSession]:
    """Let some sessions change grounds with others at the same time."""
    at: dict[tuple[int, int], list[int]] = defaultdict(list)
    for number, one in enumerate(sessions):
        at[one.weekday, one.start_min].append(number)
    made = list(sessions)
    for numbers in at.values():
        for a, b in zip(numbers[::EVERY], numbers[1::EVERY], strict=False):
            made[a] = replace(sessions[a], ground=sessions[b].ground,
                              ground_name=sessions[b].ground_name)  # fmt: skip
            made[b] = replace(sessions[b], ground=sessions[a].ground,
                              ground_name=sessions[a].ground_name)  # fmt: skip
    return made
