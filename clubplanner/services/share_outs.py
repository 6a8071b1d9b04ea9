"""Running a share-out, looking at its proposal, and publishing it as dated bookings."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from clubplanner.domain.seasons import Stretch, training_dates
from clubplanner.domain.times import (
    MINUTES_A_DAY,
    WEEKDAYS,
    TimeRange,
    clock_from_minute,
    day_in_words,
    instant_from_wall,
)
from clubplanner.errors import MissingError, RefusedError, ShareOutError
from clubplanner.services.own_sizes import load_formats
from clubplanner.services.share_problem import build_problem
from clubplanner.services.snapshot import (
    load_asks,
    load_bookings,
    load_breaks,
    load_club,
    load_squads,
    load_stretches,
    load_venues,
    stretch_from_row,
)
from clubplanner.sharing.problem import Effort, Placement, Problem, plain
from clubplanner.sharing.process import ShareOutError as ProcessError
from clubplanner.sharing.process import solve_in_child
from clubplanner.sharing.validating import ProblemError
from clubplanner.store.tables import ShareOutRow, StretchRow

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.sharing.outcome import Outcome, Progress
    from clubplanner.store.engine import Store

LOG = logging.getLogger("clubplanner.services")


@dataclass(frozen=True, slots=True)
class ShareOutDone:
    """A share-out that has been run and kept.

    Attributes:
        number: The proposal's number.
        kind: How it ended, in the optimiser's words.
        sentence: The same for a person.
        placed: Sessions a week with a place.
        asked: Sessions a week asked for.
    """

    number: int
    kind: str
    sentence: str
    placed: int
    asked: int


@dataclass(frozen=True, slots=True)
class LevelShown:
    """One aim of a share-out."""

    name: str
    words: str


@dataclass(frozen=True, slots=True)
class PlacementShown:
    """A session of the proposed week."""

    day: str
    times: str
    squad_name: str
    ground: str
    lost: str


@dataclass(frozen=True, slots=True)
class RefusalShown:
    """An ask that goes without, and why."""

    squad_name: str
    missing: int
    reasons: tuple[str, ...]
    changes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SatisfactionShown:
    """How well a squad is served, in percent of what it could have had alone."""

    squad_name: str
    percent: int


@dataclass(frozen=True, slots=True)
class ShareOutPage:
    """What the page of a proposal shows."""

    number: int
    stretch_name: str
    stretch_words: str
    created_at: datetime
    published_at: datetime | None
    sentence: str
    levels: tuple[LevelShown, ...]
    days: tuple[tuple[str, tuple[PlacementShown, ...]], ...]
    refusals: tuple[RefusalShown, ...]
    satisfactions: tuple[SatisfactionShown, ...]


@dataclass(frozen=True, slots=True)
class ShareOutLine:
    """A proposal in the list."""

    number: int
    stretch_name: str
    created_at: datetime
    published_at: datetime | None
    sentence: str


def run_share_out(
    store: Store,
    stretch_key: str,
    effort: Effort,
    now: datetime,
    on_progress: Callable[[Progress], None] | None = None,
) -> ShareOutDone:
    """Share out a stretch and keep the proposal; nothing is booked until it is published.

    Args:
        store: The database.
        stretch_key: Which stretch, by key or name.
        effort: How long to try, with how many workers, from which seed.
        now: The present instant.
        on_progress: Told how far it is.

    Raises:
        MissingError: If there is no such stretch.
        RefusedError: If there is nothing to share out.
        ShareOutError: If the optimiser broke off.
    """
    with store.read() as session:
        stretch = find_stretch(session, stretch_key)
        problem = _load_problem(session, stretch)
    try:
        outcome = solve_in_child(problem, effort, on_progress)
    except ProblemError as fault:
        raise ShareOutError(f"These records cannot be shared out: {fault}") from fault
    except ProcessError as fault:
        LOG.exception("the optimiser's process failed")
        raise ShareOutError("The optimiser broke off; try again, or allow less time.") from fault
    with store.write() as session:
        stretch_row = session.scalars(select(StretchRow).where(StretchRow.key == stretch.key)).one()
        row = ShareOutRow(
            stretch_id=stretch_row.id,
            created_at=now,
            kind=outcome.kind.value,
            outcome=_outcome_as_json(problem, outcome),
            published_at=None,
        )
        session.add(row)
        session.flush()
        number = row.id
    return ShareOutDone(number, outcome.kind.value, outcome.sentence, outcome.placed, outcome.asked)


def progress_in_words(progress: Progress) -> str:
    """Say what a running share-out is at: "Aim 1 of 3: 41, at most 45"."""
    words = f"Aim {progress.level} of {progress.level_count}"
    if progress.value is not None:
        words += f": {progress.value}"
    if progress.bound is not None:
        words += f", bound {progress.bound}"
    return words


def list_stretches(store: Store) -> tuple[Stretch, ...]:
    """Return the stretches of the season by date."""
    with store.read() as session:
        return load_stretches(session)


def list_share_outs(store: Store) -> tuple[ShareOutLine, ...]:
    """Return all proposals, newest first."""
    with store.read() as session:
        rows = session.scalars(
            select(ShareOutRow)
            .order_by(ShareOutRow.id.desc())
            .options(selectinload(ShareOutRow.stretch))
        )
        return tuple(
            ShareOutLine(
                row.id, row.stretch.name, row.created_at, row.published_at, row.outcome["sentence"]
            )
            for row in rows
        )


def see_share_out(store: Store, number: int) -> ShareOutPage:
    """Show a proposal.

    Raises:
        MissingError: If there is none of that number.
    """
    with store.read() as session:
        row = load_share_out(session, number)
        stretch = stretch_from_row(row.stretch)
        saved = row.outcome
    shown: dict[str, list[PlacementShown]] = {}
    for place in saved["placements"]:
        day = WEEKDAYS[place["weekday"]]
        shown.setdefault(day, []).append(_placement_shown(place, day))
    return ShareOutPage(
        number=number,
        stretch_name=stretch.name,
        stretch_words=f"{day_in_words(stretch.starts_on)} to {day_in_words(stretch.ends_on)}",
        created_at=row.created_at,
        published_at=row.published_at,
        sentence=saved["sentence"],
        levels=tuple(_level_shown(level) for level in saved["levels"]),
        days=tuple((day, tuple(places)) for day, places in shown.items()),
        refusals=tuple(
            RefusalShown(
                refusal["squad_name"],
                refusal["missing"],
                tuple(reason["text"] for reason in refusal["reasons"]),
                tuple(change["text"] for change in refusal["changes"]),
            )
            for refusal in saved["refusals"]
        ),
        satisfactions=tuple(
            SatisfactionShown(entry["squad_name"], entry["percent"])
            for entry in saved["satisfactions"]
        ),
    )


def find_stretch(session: Session, key: str) -> Stretch:
    """Return the stretch of a key or name.

    Raises:
        MissingError: Naming the stretches there are.
    """
    stretches = load_stretches(session)
    for stretch in stretches:
        if key.strip().lower() in (stretch.key, stretch.name.lower()):
            return stretch
    known = ", ".join(stretch.key for stretch in stretches) or "none yet"
    raise MissingError(f"There is no stretch “{key}”; the stretches are: {known}.")


def load_share_out(session: Session, number: int) -> ShareOutRow:
    """Return a proposal's row.

    Raises:
        MissingError: If there is none of that number.
    """
    row = session.get(ShareOutRow, number, options=[selectinload(ShareOutRow.stretch)])
    if row is None:
        raise MissingError(f"There is no share-out {number}; run one first.")
    return row


def stretch_range(stretch: Stretch, zone: ZoneInfo) -> TimeRange:
    """Return the instants from the first midnight of a stretch to that after its last date."""
    return TimeRange(
        instant_from_wall(stretch.starts_on, 0, zone),
        instant_from_wall(stretch.ends_on, MINUTES_A_DAY, zone),
    )


def _load_problem(session: Session, stretch: Stretch) -> Problem:
    club = load_club(session)
    asks = load_asks(session)
    venues = load_venues(session)
    dates = training_dates(stretch, load_breaks(session))
    if not asks:
        raise RefusedError("No squad asks for anything; load the squads file first.")
    if not any(venue.pitches for venue in venues):
        raise RefusedError("There is no pitch to share out; load a grounds file first.")
    if not dates:
        raise RefusedError(f"{stretch.name} lies wholly in breaks; there is nothing to share out.")
    bookings = load_bookings(session, stretch_range(stretch, club.time_zone))
    squads, formats = load_squads(session), load_formats(session)
    return build_problem(club, venues, dates, bookings, squads, asks, formats)


def _outcome_as_json(problem: Problem, outcome: Outcome) -> dict[str, Any]:
    """Write an outcome with all that showing and publishing it need, and nothing else."""
    return {
        "kind": outcome.kind.value,
        "sentence": outcome.sentence,
        "seconds": round(outcome.seconds, 3),
        "problem_digest": outcome.problem_digest,
        "levels": [plain(level) for level in outcome.levels],
        "placements": [_place_as_json(problem, place) for place in outcome.placements],
        "refusals": [
            {
                "ask": refusal.ask,
                "squad_name": refusal.squad_name,
                "missing": refusal.missing,
                "reasons": [{"code": r.code, "text": r.text} for r in refusal.reasons],
                "changes": [{"code": c.code, "text": c.text} for c in refusal.changes],
            }
            for refusal in outcome.refusals
        ],
        "satisfactions": [plain(entry) for entry in outcome.satisfactions],
    }


def _place_as_json(problem: Problem, place: Placement) -> dict[str, Any]:
    ask = next(ask for ask in problem.asks if ask.key == place.ask)
    ground = next(ground for ground in problem.grounds if ground.key == place.ground)
    return {
        "squad": ask.squad,
        "squad_name": ask.squad_name,
        "ground": ground.key,
        "ground_name": ground.name,
        "weekday": problem.days[place.day].weekday,
        "start_min": place.start_min,
        "end_min": place.end_min,
        "lost_dates": [day.isoformat() for day in place.lost_dates],
    }


def _placement_shown(place: dict[str, Any], day: str) -> PlacementShown:
    lost = place["lost_dates"]
    return PlacementShown(
        day=day,
        times=f"{clock_from_minute(place['start_min'])}–{clock_from_minute(place['end_min'])}",
        squad_name=place["squad_name"],
        ground=place["ground_name"],
        lost=f"not on {', '.join(day_in_words(date.fromisoformat(d)) for d in lost)}"
        if lost
        else "",
    )


def _level_shown(level: dict[str, Any]) -> LevelShown:
    if level["is_proved"]:
        words = f"{level['value']}, proved best"
    else:
        words = f"{level['value']}; no plan can pass {level['bound']} ({100 * level['gap']:.1f} %)"
    return LevelShown(level["name"], words)
