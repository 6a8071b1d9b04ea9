"""What a proposal is: dated sessions of one part of the season, kept until somebody publishes it.

Every sort of share-out ends in the same values, so that one way shows and publishes them all.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from clubplanner.domain.club.fair import percent_served
from clubplanner.domain.times.times import clock_from_minute
from clubplanner.language import marked, weekday_in_words
from clubplanner.services.proposals.kept_reasons import refusals_as_json
from clubplanner.services.proposals.proof_words import certificate_as_json
from clubplanner.services.proposals.said import said_as_json
from clubplanner.services.proposals.weeks.facts import week_as_json
from clubplanner.sharing.values.problem import plain
from clubplanner.store.claims import note_proposal
from clubplanner.store.tables.booking_tables import ShareOutRow
from clubplanner.store.tables.club_tables import StretchRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.times.seasons import Stretch
    from clubplanner.services.proposals.said import Said
    from clubplanner.sharing.values.outcome import Outcome
    from clubplanner.sharing.values.problem import Effort, Placement, Problem


class Sort(StrEnum):
    """What part of the season a proposal is for."""

    STRETCH = "stretch"
    REST = "rest"
    WEEK = "week"
    EVENING = "evening"
    TURNS = "turns"

    @property
    def is_weekly(self) -> bool:
        """Whether its sessions repeat every week."""
        return self in (Sort.STRETCH, Sort.REST)


WEEKLY = tuple(sort for sort in Sort if sort.is_weekly)
"""Sorts whose sessions repeat every week."""
SORT_WORDS = {
    Sort.STRETCH: marked("Share-out"),
    Sort.REST: marked("Share-out for the rest of the stretch"),
    Sort.WEEK: marked("Share-out of one week"),
    Sort.EVENING: marked("Share-out of one evening"),
    Sort.TURNS: marked("Fair turns"),
}


@dataclass(frozen=True, slots=True)
class ProposedSession:
    """A session of a proposal on all its dates.

    Attributes:
        ask: Key of the ask it serves.
        session: Which of the ask's sessions, from 0.
        squad: The squad's key.
        squad_name: As people say it.
        ground: Key of the ground.
        ground_name: As people say it.
        weekday: Monday 0.
        start_min: Minute of the day at which it starts.
        end_min: Minute at which it is over.
        dates: When it takes place, in order.
        lost_dates: Dates of its weekday on which something else stands there.
        is_pinned: Whether a person put it there.
    """

    ask: str
    session: int
    squad: str
    squad_name: str
    ground: str
    ground_name: str
    weekday: int
    start_min: int
    end_min: int
    dates: tuple[date, ...]
    lost_dates: tuple[date, ...] = ()
    is_pinned: bool = False

    @property
    def times(self) -> str:
        """Start and end as times of day."""
        return times_in_words(self.start_min, self.end_min)

    @property
    def place(self) -> str:
        """Day, times and ground: "Tuesday 18:00–19:15, North third, Top pitch"."""
        return f"{weekday_in_words(self.weekday)} {self.times}, {self.ground_name}"


@dataclass(frozen=True, slots=True)
class GroundClosed:
    """Ground that nobody can use for a while.

    Attributes:
        ground: Key of the ground; whatever shares ground with it is closed too.
        first: First date.
        last: Last date, included.
        start_min: From this minute of each date.
        end_min: Up to this one.
        reason: Why, in words; it becomes the booking's holder.
    """

    ground: str
    first: date
    last: date
    start_min: int = 0
    end_min: int = 24 * 60
    reason: str = marked("Closed")


@dataclass(frozen=True, slots=True)
class Proposal:
    """A proposal as it is kept.

    Attributes:
        number: Its number.
        sort: What it is for.
        stretch: The stretch of the season it lies in; for an evening in none, that date as one.
        first: First date it decides about.
        last: Last date, included.
        squads: Keys of the squads it decides about; None for all.
        sessions: What it gives them; on these dates they have nothing else of a share-out.
        closures: Ground that is closed when it is published.
        created_at: When it was made.
        published_at: When it was published, if it was.
        kind: How the search ended.
        saved: Everything else that is shown, as it is stored.
    """

    number: int
    sort: Sort
    stretch: Stretch
    first: date
    last: date
    squads: frozenset[str] | None
    sessions: tuple[ProposedSession, ...]
    closures: tuple[GroundClosed, ...]
    created_at: datetime
    published_at: datetime | None
    kind: str
    saved: Mapping[str, Any]

    def has_other_places(self, today: date) -> bool:
        """Whether it can be said on a local date what else its squads could have.

        Turns are planned again instead, and what is over is left as it is; a whole stretch is
        asked about as long as it is kept.
        """
        return self.sort is Sort.STRETCH or (self.sort is not Sort.TURNS and today <= self.last)

    def who_asked(self, ask: str) -> str | None:
        """Name the squad of an ask that has a session in it or goes without; None for neither."""
        without = {one["ask"]: one["squad_name"] for one in self.saved["refusals"]}
        return ({one.ask: one.squad_name for one in self.sessions} | without).get(ask)


@dataclass(frozen=True, slots=True)
class Draft:
    """A proposal that is about to be kept.

    Attributes:
        sort: What it is for.
        first: First date it decides about.
        last: Last date, included.
        squads: Keys of the squads it decides about; None for all.
        sessions: What it gives them.
        closures: Ground that is closed when it is published.
        kind: How the search ended.
        said: How it came about and ended, to be told to a person.
        extra: What else is shown: levels, refusals, satisfactions and the like.
    """

    sort: Sort
    first: date
    last: date
    squads: frozenset[str] | None
    sessions: tuple[ProposedSession, ...]
    closures: tuple[GroundClosed, ...]
    kind: str
    said: Said
    extra: Mapping[str, Any]


def times_in_words(start_min: int, end_min: int) -> str:
    """Write start and end, minutes of the day, as times of day."""
    return f"{clock_from_minute(start_min)}–{clock_from_minute(end_min)}"


def saved_percent(entry: Mapping[str, Any]) -> int:
    """Return the percentage of a squad in a proposal.

    Proposals of earlier times say 100 for a squad for which there was no place at all.
    """
    if "best_alone" in entry:
        return percent_served(entry["score"], entry["best_alone"])
    return int(entry["percent"])


def keep_proposal(session: Session, stretch: Stretch, draft: Draft, now: datetime) -> int:
    """Write a proposal down and return its number."""
    stretch_id = None
    if stretch.key:
        query = select(StretchRow.id).where(StretchRow.key == stretch.key)
        stretch_id = session.scalars(query).one()
    row = ShareOutRow(
        stretch_id=stretch_id,
        sort=draft.sort.value,
        created_at=now,
        kind=draft.kind,
        outcome={
            "refusals": [],
            "satisfactions": [],
            "levels": [],
            **draft.extra,
            "kind": draft.kind,
            "said": said_as_json(draft.said),
            "first": draft.first.isoformat(),
            "last": draft.last.isoformat(),
            "squads": None if draft.squads is None else sorted(draft.squads),
            "placements": [plain(item) for item in draft.sessions],
            "closures": [plain(item) for item in draft.closures],
        },
        published_at=None,
    )
    session.add(row)
    session.flush()
    note_proposal(session, row.id)
    return row.id


def sessions_from_placements(
    problem: Problem, placements: Iterable[Placement]
) -> tuple[ProposedSession, ...]:
    """Put a plan's placements as sessions with their dates."""
    asks = {ask.key: ask for ask in problem.asks}
    grounds = {ground.key: ground for ground in problem.grounds}
    found = []
    for place in placements:
        ask, day = asks[place.ask], problem.days[place.day]
        found.append(
            ProposedSession(
                ask=place.ask,
                session=place.session,
                squad=ask.squad,
                squad_name=ask.squad_name,
                ground=place.ground,
                ground_name=grounds[place.ground].name,
                weekday=day.weekday,
                start_min=place.start_min,
                end_min=place.end_min,
                dates=tuple(when for when in day.dates if when not in place.lost_dates),
                lost_dates=place.lost_dates,
                is_pinned=any(pin.session == place.session for pin in ask.pinned),
            )
        )
    return tuple(found)


def outcome_as_json(problem: Problem, outcome: Outcome, effort: Effort) -> dict[str, Any]:
    """Write what is shown of a problem's outcome besides its sessions."""
    return {
        "seconds": round(outcome.seconds, 3),
        "problem_digest": outcome.problem_digest,
        "is_repeatable": outcome.is_repeatable,
        "cut_short": outcome.cut_short.value,
        "effort": plain(effort),
        "asked": outcome.asked,
        "levels": [plain(level) for level in outcome.levels],
        "certificate": certificate_as_json(outcome),
        "refusals": refusals_as_json(outcome.refusals),
        "satisfactions": [plain(entry) for entry in outcome.satisfactions],
        "week": week_as_json(problem, outcome.placements, outcome.levels, outcome.traded),
    }
