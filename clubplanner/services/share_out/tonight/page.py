"""The page on which an evening is shared out: who comes, with how many, and the ground as it is."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.turnouts import Turnout
from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.domain.keys import ground_key
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    clock_from_minute,
    clock_in_zone,
    day_in_words,
    minute_from_instant,
    range_from_wall,
)
from clubplanner.errors import RefusedError
from clubplanner.language import _, term
from clubplanner.services.problem.standing_people import does_stand
from clubplanner.services.problem.standing_plans import Disruption, Scope, load_dated
from clubplanner.services.proposals.proposals import Sort
from clubplanner.services.rows.people.turnouts import load_turnouts
from clubplanner.services.rows.seasons.squad_seasons import squads_out_of_season
from clubplanner.services.rows.seasons.stretches import stretch_or_day
from clubplanner.services.rows.snapshot import load_bookings, load_club, load_squads, load_venues
from clubplanner.services.showing.choosing.choices import Choice, venues_apart
from clubplanner.services.showing.ground.plans import times_in_words
from clubplanner.services.showing.light_words import light_in_words
from clubplanner.services.showing.states.conditions import conditions_in_words, load_conditions

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.booked.closures import Closure
    from clubplanner.domain.club.squads import Squad
    from clubplanner.domain.ground.grounds import Pitch, Venue
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class SquadTonight:
    """A squad on the evening.

    Attributes:
        key: Its key.
        name: Its name.
        comes: Whether it is reckoned with.
        place: Where it stands: times and ground; blank for one without a place.
        about: Why it is reckoned with or not, in words.
        players: How many come as a rule.
        goalkeepers: How many of them keep goal as a rule.
        said: What was said for this evening.
        said_words: Who said it and when; blank where nothing was.
        may_come: Whether it can be placed at all; not outside its own season.
    """

    key: str
    name: str
    comes: bool
    place: str
    about: str
    players: int
    goalkeepers: int
    said: Turnout
    said_words: str
    may_come: bool


@dataclass(frozen=True, slots=True)
class HeldTonight:
    """What holds ground on the evening besides training that may be moved.

    Attributes:
        number: The booking's number.
        words: Who, when and where.
        ground: Key of the ground.
        ends_min: Minute of the day at which it is over.
        is_match: Whether it is a match, which may overrun.
    """

    number: int
    words: str
    ground: str
    ends_min: int
    is_match: bool


@dataclass(frozen=True, slots=True)
class PitchTonight:
    """A pitch on the evening: its light, its conditions, what holds it, its parts by ground key."""

    key: str
    name: str
    venue_key: str
    venue_name: str
    light: str
    conditions: tuple[str, ...]
    held: tuple[HeldTonight, ...]
    areas: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class TonightPage:
    """What the page shows.

    Attributes:
        day: The local date.
        day_words: With its weekday.
        squads: In the club's order, those that come first.
        pitches: By venue.
        missing: What the club needs before anything can be shared out; one of `squads`,
            `pitches`, or blank.
        closed_words: Why this evening cannot be shared out; blank when it can.
        venues: Where a club is spread over many venues, those whose ground is shown one at a time.
    """

    day: date
    day_words: str
    squads: tuple[SquadTonight, ...]
    pitches: tuple[PitchTonight, ...]
    missing: str
    closed_words: str
    venues: tuple[Choice, ...] = ()

    @property
    def coming(self) -> int:
        """How many squads come."""
        return sum(squad.comes for squad in self.squads)


def see_tonight(store: Store, day: date, now: datetime) -> TonightPage:
    """Show who comes on an evening and the ground as it is.

    Args:
        store: The database.
        day: The local date.
        now: The present instant.

    Raises:
        NoClubError: If no club has been loaded yet.
    """
    with store.read() as session:
        zone = load_club(session).time_zone
        venues, squads = load_venues(session), load_squads(session)
        during = range_from_wall(day, 0, MINUTES_A_DAY, zone)
        bookings = load_bookings(session, during)
        conditions = load_conditions(session, during)
        said = load_turnouts(session, day)
        out = squads_out_of_season(session, day)
        pitches = tuple(pitch for venue in venues for pitch in venue.pitches)
        apart = venues_apart(session)
        missing = "pitches" if not pitches else "" if squads else "squads"
        asking, closed_words = (frozenset[str](), "")
        if not missing:
            asking, closed_words = _asking(session, day, now)
    shown = _Evening(
        day, zone, *_sort_out(bookings, day, zone), conditions, {p.key: p for p in pitches}
    )
    lines = [
        shown.squad(squad, said.get(squad.key, Turnout()), asking, squad.key not in out)
        for squad in squads
    ]
    return TonightPage(
        day=day,
        day_words=day_in_words(day),
        squads=tuple(sorted(lines, key=lambda line: not line.comes)),
        pitches=tuple(shown.pitch(v, p) for v in venues for p in v.pitches),
        missing=missing,
        closed_words=closed_words,
        venues=apart,
    )


def _asking(session: Session, day: date, now: datetime) -> tuple[frozenset[str], str]:
    """Return the squads that a share-out of the evening would place, or why there is none."""
    scope = Scope(Sort.EVENING, day)
    try:
        standing = load_dated(session, stretch_or_day(session, day), scope, Disruption(), now)
    except RefusedError as fault:
        return frozenset(), str(fault)
    return frozenset(ask.squad for ask in standing.problem.asks), ""


@dataclass(frozen=True, slots=True)
class _Evening:
    """What the lines of the page are written from."""

    day: date
    zone: ZoneInfo
    trainings: Mapping[str, Sequence[Booking]]
    held_on: Mapping[str, Sequence[Booking]]
    conditions: Sequence[Closure]
    grounds: Mapping[str, Pitch]

    def squad(
        self, squad: Squad, said: Turnout, asking: frozenset[str], may_come: bool
    ) -> SquadTonight:
        """Write the line of a squad."""
        own = self.trainings.get(squad.key, ())
        stays = [b for b in own if does_stand(b)]
        comes = bool(stays) or squad.key in asking
        return SquadTonight(
            key=squad.key,
            name=squad.name,
            comes=comes,
            place="; ".join(f"{times_in_words(b, self.zone)}, {self._place(b)}" for b in own),
            about=_about(said, own=bool(own), stays=bool(stays), comes=comes, may_come=may_come),
            players=squad.players,
            goalkeepers=squad.goalkeepers,
            said=said,
            said_words=self._said(said),
            may_come=may_come,
        )

    def pitch(self, venue: Venue, pitch: Pitch) -> PitchTonight:
        """Write the line of a pitch."""
        held = self.held_on.get(pitch.key, ())
        return PitchTonight(
            key=pitch.key,
            name=pitch.name,
            venue_key=venue.key,
            venue_name=venue.name,
            light=light_in_words(pitch, venue, self.day, self.zone).sentence,
            conditions=conditions_in_words(self.conditions, pitch.key),
            held=tuple(self._held(b) for b in held),
            areas=tuple(Choice(ground_key(pitch.key, a.key), a.name) for a in pitch.areas),
        )

    def _held(self, booking: Booking) -> HeldTonight:
        purpose = booking.purpose
        holder = booking.holder
        if purpose is not Purpose.CLOSED:
            holder = f"{holder} ({term(purpose.value)})"
        return HeldTonight(
            number=booking.number,
            words=f"{times_in_words(booking, self.zone)} {self._place(booking)}: {holder}",
            ground=ground_key(booking.pitch_key, booking.area_key),
            ends_min=minute_from_instant(booking.during.ends_at, self.day, self.zone),
            is_match=purpose is Purpose.MATCH,
        )

    def _place(self, booking: Booking) -> str:
        pitch = self.grounds[booking.pitch_key]
        area = pitch.area(booking.area_key)
        return part_in_words(area, pitch.name)

    def _said(self, said: Turnout) -> str:
        if said.said_at is None:
            return ""
        return _(
            "said by %(by)s at %(time)s",
            by=said.said_by,
            time=clock_in_zone(said.said_at, self.zone),
        )


def _sort_out(
    bookings: Sequence[Booking], day: date, zone: ZoneInfo
) -> tuple[dict[str, list[Booking]], dict[str, list[Booking]]]:
    """Return the trainings of a date by squad, and what else holds ground by pitch."""
    trainings: dict[str, list[Booking]] = defaultdict(list)
    held_on: dict[str, list[Booking]] = defaultdict(list)
    for one in bookings:
        if _is_held(one):
            held_on[one.pitch_key].append(one)
        elif one.squad_key and one.during.starts_at.astimezone(zone).date() == day:
            trainings[one.squad_key].append(one)
    return trainings, held_on


def _about(said: Turnout, *, own: bool, stays: bool, comes: bool, may_come: bool) -> str:
    """Say why a squad is reckoned with or not."""
    if not may_come:
        return _("outside its own season")
    if stays:
        return _("fixed by hand; it stays where it is")
    if said.is_coming is False:
        return _("stays away tonight")
    if own:
        return ""
    if said.is_coming:
        return _("comes too")
    return _("asks for this day and has no place yet") if comes else _("nothing planned")


def _is_held(booking: Booking) -> bool:
    return booking.purpose is not Purpose.TRAINING or not booking.squad_key


def clock_or_blank(minute: int | None) -> str:
    """Write a minute of the day for a form; blank for None."""
    return "" if minute is None else clock_from_minute(minute)
