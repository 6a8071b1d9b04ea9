"""What if the secretary insists on one session of a proposal: who pays, with proof, at once.

Nothing is changed by asking. What was shown can be taken as a new proposal in one step: just those
changes, held once more to every rule.
"""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import MINUTES_A_DAY
from clubplanner.errors import MissingError, OutdatedError, RefusedError
from clubplanner.language import _
from clubplanner.services.problem.stretch_problem import with_pins
from clubplanner.services.proposals.said import said_insisted
from clubplanner.services.share_out.broken_off import told_when_broken_off
from clubplanner.services.share_out.by_hand.by_hand import keep_changed
from clubplanner.services.share_out.by_hand.starting_from import load_plan
from clubplanner.services.share_out.by_hand.what_if_words import what_it_costs
from clubplanner.sharing.again.what_if import insist, stakes
from clubplanner.sharing.checks.checking import check
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.placements import rows_of_placements, with_lost_dates
from clubplanner.sharing.reasons.telling.places import day_told
from clubplanner.sharing.reasons.telling.telling import tell_reason
from clubplanner.sharing.solving.process import reshare_in_child
from clubplanner.sharing.values.facts import day_name
from clubplanner.sharing.values.problem import Effort, Placement

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import datetime

    from clubplanner.services.share_out.by_hand.starting_from import Base
    from clubplanner.services.share_out.by_hand.what_if_words import WhatIf
    from clubplanner.sharing.values.problem import Ask, Problem
    from clubplanner.store.engine import Store

MINUTES = dict(enumerate(range(MINUTES_A_DAY)))
"""Minutes at which something can start."""
USUAL_SECONDS = 4.0
"""So long is tried where nobody says otherwise: a person waits for it."""


@dataclass(frozen=True, slots=True)
class Wish:
    """The session that is insisted on.

    Attributes:
        ask: Key of the ask.
        day: Index of the day, as in `Choices`.
        start_min: Minute at which it starts.
        ground: Key of the ground.
    """

    ask: str
    day: int
    start_min: int
    ground: str


@dataclass(frozen=True, slots=True)
class Choices:
    """What can be chosen for a wish.

    Attributes:
        asks: Key and words of each ask.
        days: Number and words of each day.
        grounds: Key and words of each area.
    """

    asks: tuple[tuple[str, str], ...]
    days: tuple[tuple[int, str], ...]
    grounds: tuple[tuple[str, str], ...]


def choices(store: Store, number: int, now: datetime) -> Choices:
    """List what can be chosen for a wish about a proposal.

    Raises:
        MissingError: If there is no such proposal.
        RefusedError: If it is one of turns.
    """
    problem = _load(store, number, now).problem
    of_squad = Counter(ask.squad for ask in problem.asks)
    asks = tuple(
        (ask.key, _ask_in_words(ask, of_squad)) for ask in sorted(problem.asks, key=_by_name)
    )
    return Choices(
        asks,
        tuple((day.index, day_told(day_name(day))) for day in problem.days),
        tuple((ground.key, ground.name) for ground in problem.grounds),
    )


def what_if(
    store: Store, number: int, wish: Wish, now: datetime, seconds: float = USUAL_SECONDS
) -> WhatIf:
    """Say who pays if a session is insisted on. Nothing is changed.

    Args:
        store: The database.
        number: Which proposal.
        wish: The session.
        now: The present instant.
        seconds: About how long to try.

    Raises:
        MissingError: If there is no such proposal, day or ground.
        RefusedError: If the session cannot stand whoever makes room, or its squad asks for it no
            more.
    """
    return _look(_load(store, number, now), wish, seconds)


def take_what_if(store: Store, number: int, wish: Wish, taken: str, now: datetime) -> int:
    """Keep what was shown as a new proposal, the session pinned; nothing is booked yet.

    Nothing is searched for again: the changes that were shown are made, and held to every rule.

    Args:
        store: The database.
        number: Which proposal.
        wish: The session.
        taken: The changes that were shown, as `WhatIf.changes` has them.
        now: The present instant.

    Raises:
        MissingError: As `what_if`.
        OutdatedError: If the changes do not fit any more what is recorded.
        RefusedError: As `what_if`.
    """
    base = _load(store, number, now)
    problem = with_pins(base.problem, base.pinned)
    pin = _pin(problem, base.placements, wish)
    pins = [p for p in base.pinned if (p.ask, p.session) != (pin.ask, pin.session)]
    changed = with_pins(base.problem, [*pins, pin])
    placements = _with_changes(changed, base.placements, taken)
    known = {(fault.code, fault.placements) for fault in check(problem, base.placements)}
    faults = [
        fault for fault in check(changed, placements) if (fault.code, fault.placements) not in known
    ]
    if faults or pin not in placements:
        raise OutdatedError(
            _("Something has changed since this was shown, so it does not fit. Look at it again.")
        )
    said = said_insisted(problem, pin)
    return keep_changed(store, base, changed, placements, said, now)


def _with_changes(
    problem: Problem, standing: Sequence[Placement], taken: str
) -> tuple[Placement, ...]:
    """Make the changes that were shown: sessions with new places, or without one.

    Raises:
        OutdatedError: If they are none.
    """
    lengths = {ask.key: ask.minutes for ask in problem.asks}
    places = {(item.ask, item.session): item for item in standing}
    grounds = {ground.key: ground.key for ground in problem.grounds}
    days = {day.index: day.index for day in problem.days}
    try:
        for ask, session, ground, day, start in json.loads(taken):
            places.pop((ask, session), None)
            if ground is None:
                continue
            places[ask, session] = Placement(
                ask,
                session,
                grounds[ground],
                days[day],
                MINUTES[start],
                start + lengths[ask],
            )
    except (ValueError, TypeError, KeyError, RecursionError) as fault:
        raise OutdatedError(
            _("Something has changed since this was shown, so it does not fit. Look at it again.")
        ) from fault
    return with_lost_dates(survey(problem), tuple(sorted(places.values(), key=_order)))


def _order(place: Placement) -> tuple[int, int, str, str, int]:
    return place.day, place.start_min, place.ground, place.ask, place.session


def _load(store: Store, number: int, now: datetime) -> Base:
    with store.read() as session:
        return load_plan(session, number, now)


def _look(base: Base, wish: Wish, seconds: float) -> WhatIf:
    problem = with_pins(base.problem, base.pinned)
    pin = _pin(problem, base.placements, wish)
    insisted = insist(problem, base.placements, pin)
    with told_when_broken_off(RefusedError):
        done = reshare_in_child(
            insisted.problem, base.placements, insisted.alteration, Effort(seconds=seconds)
        )
    if done.outcome.contradictions:
        raise RefusedError(" ".join(map(tell_reason, done.outcome.contradictions)))
    touched = stakes(problem, base.placements, done)
    return what_it_costs(problem, pin, done, touched, is_everybody=insisted.is_everybody)


def _pin(problem: Problem, placements: Sequence[Placement], wish: Wish) -> Placement:
    """Put a wish as a session of its ask: the one of that day, else a missing one, else the worst.

    Raises:
        MissingError: If there is no such day or ground.
        RefusedError: If nobody asks for it any more, or it does not end on its day.
    """
    ask = next((one for one in problem.asks if one.key == wish.ask), None)
    if ask is None:
        raise RefusedError(_("The squad asks for this session no more; share out anew."))
    if not any(day.index == wish.day for day in problem.days):
        raise MissingError(_("There is no such day in this proposal; choose one of its days."))
    if not any(ground.key == wish.ground for ground in problem.grounds):
        raise MissingError(
            _("There is no ground “%(ground)s”; choose one of the club's.", ground=wish.ground)
        )
    end = wish.start_min + ask.minutes
    if end > MINUTES_A_DAY:
        raise RefusedError(_("A session ends on its day; choose an earlier start."))
    own = [item for item in placements if item.ask == ask.key]
    session = _which(problem, ask, own, wish.day)
    draft = Placement(ask.key, session, wish.ground, wish.day, wish.start_min, end)
    return with_lost_dates(survey(problem), (draft,))[0]


def _which(problem: Problem, ask: Ask, own: Sequence[Placement], day: int) -> int:
    same = [item.session for item in own if item.day == day]
    if same:
        return same[0]
    missing = set(range(ask.sessions)) - {item.session for item in own}
    if missing:
        return min(missing)
    scores = rows_of_placements(survey(problem), own).score.tolist()
    worst: int = own[scores.index(min(scores))].session
    return worst


def _ask_in_words(ask: Ask, of_squad: Mapping[str, int]) -> str:
    """Name an ask by its squad, and by its length where a squad has several.

    Args:
        ask: The ask.
        of_squad: How many asks each squad has.
    """
    if of_squad[ask.squad] == 1:
        return ask.squad_name
    return _("%(squad)s (%(minutes)s minutes)", squad=ask.squad_name, minutes=ask.minutes)


def _by_name(ask: Ask) -> tuple[str, int]:
    return ask.squad_name, ask.minutes


def find_wish(
    store: Store, number: int, squad: str, day: str, start_min: int, area: str, now: datetime
) -> Wish:
    """Read a wish from words: a squad's name or an ask's key, a day's name, an area's name or key.

    Raises:
        MissingError: If one of them is not there, with those that are.
    """
    known = choices(store, number, now)
    wanted = squad.strip().casefold()
    asks = [key for key, name in known.asks if squad == key or name.casefold() == wanted]
    if len(asks) != 1:
        raise MissingError(
            _("There is no one ask “%(squad)s”; write a squad's name or an ask's key.", squad=squad)
        )
    days = [n for n, name in known.days if name.casefold() == day.strip().casefold()]
    if not days:
        names = ", ".join(name for _number, name in known.days)
        raise MissingError(
            _("There is no day “%(day)s”; write one of %(names)s.", day=day, names=names)
        )
    place = area.strip().casefold()
    grounds = [key for key, name in known.grounds if area == key or name.casefold() == place]
    if not grounds:
        raise MissingError(
            _("There is no ground “%(ground)s”; choose one of the club's.", ground=area)
        )
    return Wish(asks[0], days[0], start_min, grounds[0])
