"""What a question starts from: a proposal or a booking, as a problem and a plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from clubplanner.domain.keys import ground_key
from clubplanner.domain.times.times import minute_from_instant
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _
from clubplanner.services.problem.standing_plans import (
    Disruption,
    Scope,
    load_dated,
    load_weekly,
    placements_by_place,
)
from clubplanner.services.problem.stretch_problem import load_stretch_problem
from clubplanner.services.proposals.kept_proposals import load_proposal
from clubplanner.services.proposals.proposals import Sort
from clubplanner.services.rows.seasons.stretches import stretch_or_day
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.services.share_out.again.again import alteration_of
from clubplanner.sharing.again.alteration import alter
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.placements import with_lost_dates
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.times.seasons import Stretch
    from clubplanner.services.proposals.proposals import GroundClosed, Proposal
    from clubplanner.sharing.values.problem import Ask, Placement, Problem


@dataclass(frozen=True, slots=True)
class Spot:
    """Which session a question is about.

    Attributes:
        proposal: Number of the proposal, or None for a booking.
        place: The session's place in the proposal, or None for one that is missing.
        ask: Key of the ask that misses a session.
        booking: Number of the booking.
    """

    proposal: int | None = None
    place: int | None = None
    ask: str = ""
    booking: int | None = None


@dataclass(frozen=True, slots=True)
class Base:
    """What a question starts from: a plan, and which session it is about."""

    stretch: Stretch
    sort: Sort
    first: date
    last: date
    squads: frozenset[str] | None
    closures: tuple[GroundClosed, ...]
    problem: Problem
    placements: tuple[Placement, ...]
    pinned: tuple[Placement, ...]
    ask: Ask
    session: int
    saved: dict[str, Any]

    @property
    def now(self) -> Placement | None:
        """Where the session is."""
        own = (self.ask.key, self.session)
        return next((p for p in self.placements if (p.ask, p.session) == own), None)


def load_plan(session: Session, number: int, now: datetime, like: Base | None = None) -> Base:
    """Load a proposal as a problem and a plan, about none of its sessions in particular.

    Args:
        session: A reading session.
        number: Which proposal.
        now: The present instant.
        like: A plan loaded just before: the problem of the same part of the season is its own.

    Raises:
        MissingError: If there is no such proposal, or nothing is asked for any more.
        RefusedError: If it is one of turns.
    """
    proposal = load_proposal(session, number)
    is_like = like is not None and _part_of(like) == _part_of(proposal)
    problem = like.problem if like and is_like else _problem_of(session, proposal, now)
    found = placements_by_place(proposal.sessions, problem)
    placed = with_lost_dates(survey(problem), tuple(found.values()))
    if not problem.asks:
        raise MissingError(_("No squad asks for anything; load the squads file first."))
    return _base_of(proposal, problem, dict(zip(found, placed, strict=True)), problem.asks[0], 0)


def _part_of(plan: Base | Proposal) -> tuple[object, ...]:
    """Return what `_problem_of` makes the problem of: for a stretch, no more than which."""
    if plan.sort is Sort.STRETCH:
        return plan.sort, plan.stretch
    return plan.sort, plan.stretch, plan.first, plan.last, plan.closures


def load_spot(session: Session, spot: Spot, now: datetime) -> Base:
    """Load the plan that a session is of, and which session of it is meant.

    Raises:
        MissingError: If there is no such proposal or booking, or no such session in it.
        RefusedError: If it is over, fixed by hand, asked for no more, or one of a plan of turns.
    """
    if spot.booking is not None:
        return _from_booking(session, spot.booking, now)
    proposal = load_proposal(session, spot.proposal or 0)
    problem = _problem_of(session, proposal, now)
    found = placements_by_place(proposal.sessions, problem)
    current = with_lost_dates(survey(problem), tuple(found.values()))
    places = dict(zip(found, current, strict=True))
    if spot.place is None:
        ask = _ask_of(proposal, problem, places.values(), spot.ask)
        return _base_of(proposal, problem, places, ask, _missing(ask, places.values())[0])
    if spot.place >= len(proposal.sessions):
        raise MissingError(_("Choose a session on the page of its proposal."))
    if spot.place not in places:
        raise RefusedError(
            _("This session is over, or its squad asks for it no more; share out anew.")
        )
    own = places[spot.place]
    ask = next(ask for ask in problem.asks if ask.key == own.ask)
    return _base_of(proposal, problem, places, ask, own.session)


def _base_of(
    proposal: Proposal, problem: Problem, places: Mapping[int, Placement], ask: Ask, number: int
) -> Base:
    return Base(
        stretch=proposal.stretch,
        sort=proposal.sort,
        first=proposal.first,
        last=proposal.last,
        squads=proposal.squads,
        closures=proposal.closures,
        problem=problem,
        placements=tuple(places.values()),
        pinned=tuple(p for n, p in places.items() if proposal.sessions[n].is_pinned),
        ask=ask,
        session=number,
        saved=dict(proposal.saved),
    )


def _from_booking(session: Session, number: int, now: datetime) -> Base:
    row = session.get(BookingRow, number)
    if row is None or row.is_withdrawn or row.squad is None:
        raise MissingError(_("This booking is no squad's session, or it has been withdrawn."))
    if row.is_fixed:
        raise RefusedError(
            _(
                "This session is fixed by hand. Move it with the form on its page, or let "
                "share-outs move it first."
            )
        )
    zone = load_zone(session)
    day = row.starts_at.astimezone(zone).date()
    stretch = stretch_or_day(session, day)
    standing = load_dated(session, stretch, Scope(Sort.EVENING, day), Disruption(), now)
    start = minute_from_instant(row.starts_at, day, zone)
    ground = ground_key(row.pitch.key, row.area.key)
    own = [p for p in standing.placements if (p.ground, p.start_min) == (ground, start)]
    if not own:
        raise RefusedError(_("This session has begun or is over; it can no longer go elsewhere."))
    asks = {ask.key: ask for ask in standing.problem.asks}
    return Base(
        stretch=stretch,
        sort=Sort.EVENING,
        first=day,
        last=day,
        squads=standing.squads,
        closures=(),
        problem=standing.problem,
        placements=standing.placements,
        pinned=(),
        ask=asks[own[0].ask],
        session=own[0].session,
        saved={},
    )


def _problem_of(session: Session, proposal: Proposal, now: datetime) -> Problem:
    """Put the part of the season that a proposal is for as a problem, closures included."""
    if proposal.sort is Sort.TURNS:
        raise RefusedError(_("Turns are changed by planning them again, with squads kept still."))
    if proposal.sort is Sort.STRETCH:
        return load_stretch_problem(session, proposal.stretch)
    scope = Scope(proposal.sort, proposal.first)
    load = load_weekly if proposal.sort is Sort.REST else load_dated
    problem = load(session, proposal.stretch, scope, Disruption(), now).problem
    return alter(problem, alteration_of(problem, Disruption(closures=proposal.closures)))


def _ask_of(proposal: Proposal, problem: Problem, placements: Iterable[Placement], key: str) -> Ask:
    """Find the ask of a proposal that misses a session.

    What a squad asks for has another number once it was changed or a change was taken back: then
    it is one of the same squad that misses a session.

    Raises:
        MissingError: If the proposal tells of no such ask.
        RefusedError: If its squad asks for nothing any more, or has all its sessions by now.
    """
    squad = proposal.who_asked(key)
    same = [ask for ask in problem.asks if ask.key == key]
    if squad is None and not same:
        raise MissingError(_("Choose a session on the page of its proposal."))
    own = same or [ask for ask in problem.asks if ask.squad_name == squad]
    if not own:
        raise RefusedError(_("The squad asks for this session no more; share out anew."))
    there = tuple(placements)
    without = next((ask for ask in own if _missing(ask, there)), None)
    if without is None:
        raise RefusedError(
            _("%(squad_name)s have all their sessions by now.", squad_name=own[0].squad_name)
        )
    return without


def _missing(ask: Ask, placements: Iterable[Placement]) -> list[int]:
    """Number the sessions of an ask that have no place."""
    had = {p.session for p in placements if p.ask == ask.key}
    return [n for n in range(ask.sessions) if n not in had]
