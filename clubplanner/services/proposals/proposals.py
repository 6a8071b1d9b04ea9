"""What a proposal is: dated sessions of one part of the season, kept until somebody publishes it.

Every sort of share-out ends in the same values, so that one way shows and publishes them all.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from clubplanner.domain.club.fair import percent_served
from clubplanner.domain.times.times import clock_from_minute
from clubplanner.errors import MissingError
from clubplanner.language import _, marked, weekday_in_words
from clubplanner.services.proposals.kept_reasons import refusals_as_json
from clubplanner.services.proposals.proof_words import certificate_as_json
from clubplanner.services.proposals.said import said_as_json
from clubplanner.services.proposals.week_facts import week_as_json
from clubplanner.services.rows.snapshot import stretch_from_row
from clubplanner.services.rows.stretches import lone_day
from clubplanner.sharing.values.problem import plain
from clubplanner.store.claims import note_proposal
from clubplanner.store.tables.booking_tables import ShareOutRow
from clubplanner.store.tables.club_tables import StretchRow

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.times.seasons import Stretch
    from clubplanner.services.proposals.said import Said
    from clubplanner.sharing.values.outcome import Outcome
    from clubplanner.sharing.values.problem import Effort, Placement, Problem
    from clubplanner.store.engine import Store


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
        return f"{clock_from_minute(self.start_min)}–{clock_from_minute(self.end_min)}"

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


def load_proposal(session: Session, number: int) -> Proposal:
    """Read a proposal.

    Raises:
        MissingError: If there is none of that number.
    """
    return proposal_from_row(load_share_out(session, number))


def see_proposal(store: Store, number: int) -> Proposal:
    """Return a proposal as it is kept.

    Raises:
        MissingError: If there is none of that number.
    """
    with store.read() as session:
        return load_proposal(session, number)


def load_share_out(session: Session, number: int) -> ShareOutRow:
    """Return a proposal's row.

    Raises:
        MissingError: If there is none of that number.
    """
    row = session.get(ShareOutRow, number, options=[selectinload(ShareOutRow.stretch)])
    if row is None:
        raise MissingError(_("There is no share-out %(number)s; run one first.", number=number))
    return row


def proposal_from_row(row: ShareOutRow) -> Proposal:
    """Read a proposal from its row."""
    saved = row.outcome
    squads, first = saved["squads"], date.fromisoformat(saved["first"])
    return Proposal(
        number=row.id,
        sort=Sort(row.sort),
        stretch=lone_day(first) if row.stretch is None else stretch_from_row(row.stretch),
        first=first,
        last=date.fromisoformat(saved["last"]),
        squads=None if squads is None else frozenset(squads),
        sessions=tuple(session_from_json(item) for item in saved["placements"]),
        closures=tuple(closure_from_json(item) for item in saved["closures"]),
        created_at=row.created_at,
        published_at=row.published_at,
        kind=row.kind,
        saved=saved,
    )


def last_weekly(session: Session, stretch: Stretch) -> Proposal | None:
    """Return the weekly proposal of a stretch that was published last, if any was."""
    return _last_published(session, stretch, WEEKLY)


def turns_in_force(session: Session, stretch: Stretch) -> Proposal | None:
    """Return the turns of a stretch that were published since its last weekly plan, if any were."""
    latest = _last_published(session, stretch, (Sort.TURNS, *WEEKLY))
    return latest if latest is not None and latest.sort is Sort.TURNS else None


def _last_published(session: Session, stretch: Stretch, sorts: Collection[Sort]) -> Proposal | None:
    row = session.scalars(
        select(ShareOutRow)
        .join(ShareOutRow.stretch)
        .where(
            StretchRow.key == stretch.key,
            ShareOutRow.published_at.is_not(None),
            ShareOutRow.sort.in_(list(sorts)),
        )
        .order_by(ShareOutRow.published_at.desc(), ShareOutRow.id.desc())
        .limit(1)
        .options(selectinload(ShareOutRow.stretch))
    ).first()
    return None if row is None else proposal_from_row(row)


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


def session_from_json(saved: Mapping[str, Any]) -> ProposedSession:
    """Read a session back."""
    return ProposedSession(
        **{**saved, "dates": _dates(saved["dates"]), "lost_dates": _dates(saved["lost_dates"])}
    )


def closure_from_json(saved: Mapping[str, Any]) -> GroundClosed:
    """Read closed ground back."""
    first, last = date.fromisoformat(saved["first"]), date.fromisoformat(saved["last"])
    return GroundClosed(**{**saved, "first": first, "last": last})


def _dates(texts: Sequence[str]) -> tuple[date, ...]:
    return _read_dates(tuple(texts))


@lru_cache(maxsize=1024)
def _read_dates(texts: tuple[str, ...]) -> tuple[date, ...]:
    """Read dates; a season has few lists of them, each named by hundreds of sessions."""
    return tuple(map(date.fromisoformat, texts))
