"""What will go wrong, said before a stretch is shared out: who finds no ground, and what helps."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.domain.rules.ground.load import limits_of_pitches
from clubplanner.errors import NoClubError, RefusedError
from clubplanner.language import ngettext
from clubplanner.services.problem.stretch_problem import load_stretch_problem
from clubplanner.services.rows.seasons.stretches import find_stretch
from clubplanner.services.rows.snapshot import (
    load_asks,
    load_club,
    load_squads,
    load_stretches,
    load_venues,
)
from clubplanner.services.share_out.anew.beforehand_words import (
    outcome_in_words,
    short_in_words,
    supply_in_words,
    then,
)
from clubplanner.sharing.reasons.beforehand.foresight import Foresight

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.squads import Ask as ClubAsk
    from clubplanner.domain.times.seasons import Stretch
    from clubplanner.sharing.values.foreseen import Remedy, Trouble
    from clubplanner.sharing.values.problem import Problem
    from clubplanner.store.engine import Store

MOST_EXPLAINED = 12
"""So many different troubles are explained where a page must be quick; the others are counted."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where something is changed.

    Attributes:
        kind: "pitch", "venue", "squad", "evening" (what is booked), "grass" (limits of use) or
            "rules" (the club's rules of sharing out).
        venue: Key of the venue, for "pitch", "venue" and "evening".
        pitch: Key of the pitch, for "pitch".
        squad: Key of the squad, for "squad".
        day: For "evening".
    """

    kind: str
    venue: str = ""
    pitch: str = ""
    squad: str = ""
    day: date | None = None


@dataclass(frozen=True, slots=True)
class RemedyShown:
    """One thing that would change it.

    Attributes:
        code: As in `Remedy`.
        words: What to do.
        then: Where and when there is ground then, and for how many; may be blank.
        at: Where it is done.
    """

    code: str
    words: str
    then: str
    at: Place


@dataclass(frozen=True, slots=True)
class TroubleShown:
    """A squad that finds too little ground even with the whole club to itself.

    Attributes:
        ask: Key of the ask.
        squad: Key of the squad.
        squad_name: As people say it.
        missing: How many sessions find no ground.
        sessions: How many are asked for.
        cause: Why, a sentence; blank where it was not looked into.
        remedies: What would change it, each by itself, tried; the best first.
    """

    ask: str
    squad: str
    squad_name: str
    missing: int
    sessions: int
    cause: str
    remedies: tuple[RemedyShown, ...]


@dataclass(frozen=True, slots=True)
class Beforehand:
    """What can be said before a stretch is shared out.

    Attributes:
        stretch_key: Which stretch.
        stretch_name: As people say it.
        fault: Why nothing can be shared out; blank when it can. All that follows is blank then.
        supply: How much is asked for against how much ground there is, in a sentence.
        is_short: Whether there is less ground than is asked for.
        short: When it is short; blank when that is not known.
        outcome: How many squads find too little ground, in a sentence.
        common: What would help several squads at once, with the number of them in `then`.
        troubles: The squads in trouble that are explained, in the order of the asks.
        unexplained: Names of the other squads in trouble.
        idle: Key and name of the squads that ask for nothing.
        asked_hours: Training asked for in a week.
        room_hours: For about how much of it there is ground; None where that is not known.
    """

    stretch_key: str
    stretch_name: str
    fault: str = ""
    supply: str = ""
    is_short: bool = False
    short: str = ""
    outcome: str = ""
    common: tuple[RemedyShown, ...] = ()
    troubles: tuple[TroubleShown, ...] = ()
    unexplained: tuple[str, ...] = ()
    idle: tuple[tuple[str, str], ...] = ()
    asked_hours: float = 0.0
    room_hours: float | None = None

    @property
    def together(self) -> tuple[tuple[TroubleShown, ...], ...]:
        """The troubles, those with the same cause and remedies together."""
        groups: dict[tuple[str, tuple[str, ...]], list[TroubleShown]] = {}
        for one in self.troubles:
            key = one.cause, tuple(f"{r.words} {r.then}" for r in one.remedies)
            groups.setdefault(key, []).append(one)
        return tuple(tuple(group) for group in groups.values())

    @property
    def is_well(self) -> bool:
        """Whether nothing stands in the way of anybody."""
        return not (self.fault or self.is_short or self.troubles or self.idle)


def current_stretch(stretches: Sequence[Stretch], today: date) -> Stretch | None:
    """Return the stretch that is shared out next: the first that is not over."""
    return next((one for one in stretches if one.ends_on >= today), None)


def look_before(store: Store, stretch_key: str, *, most: int | None = MOST_EXPLAINED) -> Beforehand:
    """Look at a stretch before it is shared out, by the share-out's own rules.

    Args:
        store: The database.
        stretch_key: Which stretch, by key or name.
        most: How many different troubles to explain; None for all of them.

    Raises:
        MissingError: If there is no such stretch.
    """
    with store.read() as session:
        stretch = find_stretch(session, stretch_key)
        return _look(session, stretch, most)


def look_before_next(store: Store, today: date) -> Beforehand | None:
    """Look at the stretch that is shared out next; None where there is none."""
    with store.read() as session:
        stretch = current_stretch(load_stretches(session), today)
        return None if stretch is None else _look(session, stretch, MOST_EXPLAINED)


def remedies_in_records(
    store: Store, stretch_key: str, asks: Collection[str]
) -> dict[str, tuple[RemedyShown, ...]]:
    """Return, for refused asks, what could be changed in the records of the ground.

    Args:
        store: The database.
        stretch_key: Which stretch.
        asks: Keys of the asks.

    Returns:
        By ask, the remedies; asks that ground as it is recorded satisfies are left out.
    """
    with store.read() as session:
        found = _look(session, find_stretch(session, stretch_key), None, asks)
    remedies = {
        one.ask: tuple(r for r in one.remedies if r.at.kind not in ("squad", "rules"))
        for one in found.troubles
    }
    return {ask: told for ask, told in remedies.items() if told}


def _look(
    session: Session, stretch: Stretch, most: int | None, only: Collection[str] | None = None
) -> Beforehand:
    empty = Beforehand(stretch.key, stretch.name)
    try:
        problem = load_stretch_problem(session, stretch, knows_past=False)
    except (RefusedError, NoClubError) as fault:
        return replace(empty, fault=str(fault))
    places = _Places(session, problem)
    foresight = Foresight(problem, places.names)
    all_troubles = [t for t in foresight.troubles() if only is None or t.ask in only]
    explained = foresight.explained(all_troubles, most)
    told = [one for one in explained if one.text]
    if only is not None:
        return replace(empty, troubles=tuple(places.trouble(one) for one in told))
    supply = foresight.supply()
    return replace(
        empty,
        supply=supply_in_words(supply),
        is_short=supply.is_short,
        short=short_in_words(problem, supply),
        outcome=outcome_in_words(all_troubles),
        common=tuple(
            RemedyShown(
                one.code,
                one.text,
                ngettext(
                    "This would help %(num)s squad.",
                    "This would help %(num)s squads.",
                    len(one.squads),
                ),
                places.of_ground(one.code, one.pitch, one.venue),
            )
            for one in foresight.common(explained)
        ),
        troubles=tuple(places.trouble(one) for one in told),
        unexplained=tuple(dict.fromkeys(one.squad_name for one in explained if not one.text)),
        idle=places.idle(),
        asked_hours=supply.asked_minutes / 60,
        room_hours=None if supply.room_minutes is None else supply.room_minutes / 60,
    )


class _Places:
    """Knows where what is recorded is changed."""

    def __init__(self, session: Session, problem: Problem) -> None:
        venues = load_venues(session)
        self.names = {venue.key: venue.name for venue in venues}
        self.names |= {pitch.key: pitch.name for venue in venues for pitch in venue.pitches}
        self._venue_of = {pitch.key: v.key for v in venues for pitch in v.pitches}
        self._first_booked = {one.pitch: one.date for one in reversed(problem.standing)}
        self._asks: Mapping[str, ClubAsk] = {str(n): ask for n, ask in load_asks(session)}
        self._finishes = {ask.key: ask.latest_finish_min for ask in problem.asks}
        self._squads = load_squads(session)
        self._limited = limits_of_pitches(load_club(session).rules, {}, venues)

    def trouble(self, trouble: Trouble) -> TroubleShown:
        """Show a trouble."""
        return TroubleShown(
            ask=trouble.ask,
            squad=trouble.squad,
            squad_name=trouble.squad_name,
            missing=trouble.missing,
            sessions=trouble.sessions,
            cause=trouble.text,
            remedies=tuple(
                RemedyShown(one.code, one.text, then(one, trouble), self._at(one, trouble))
                for one in trouble.remedies
            ),
        )

    def idle(self) -> tuple[tuple[str, str], ...]:
        """Return key and name of the squads that ask for nothing."""
        asking = {ask.squad_key for ask in self._asks.values()}
        return tuple((one.key, one.name) for one in self._squads if one.key not in asking)

    def of_ground(self, code: str, pitch: str, venue: str) -> Place:
        """Tell where something about the ground is changed."""
        if code == "booked":
            day = self._first_booked.get(pitch)
            return Place("evening", venue=self._venue_of[pitch], day=day)
        if code == "limit":
            return Place("rules" if pitch in self._limited else "grass")
        if pitch:
            return Place("pitch", venue=self._venue_of[pitch], pitch=pitch)
        return Place("venue", venue=venue)

    def _at(self, remedy: Remedy, trouble: Trouble) -> Place:
        if not remedy.is_of_ask:
            return self.of_ground(remedy.code, remedy.pitch, remedy.venue)
        own = self._asks[trouble.ask].latest_finish_min
        is_of_age = remedy.code == "later finish" and own != self._finishes[trouble.ask]
        if remedy.code == "earlier start" or is_of_age:
            return Place("rules")
        return Place("squad", squad=trouble.squad)
