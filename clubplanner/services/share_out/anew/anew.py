"""Sharing out a stretch or an evening; what comes of it is kept as a proposal."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.errors import RefusedError
from clubplanner.language import _
from clubplanner.services.problem.standing_plans import (
    Disruption,
    Scope,
    Standing,
    load_dated,
    placements_of_sessions,
)
from clubplanner.services.problem.stretch_problem import load_stretch_problem, with_pins
from clubplanner.services.proposals.files_to_check import files_as_json
from clubplanner.services.proposals.kept_proposals import load_proposal
from clubplanner.services.proposals.proposals import (
    Draft,
    ProposedSession,
    Sort,
    keep_proposal,
    outcome_as_json,
    sessions_from_placements,
)
from clubplanner.services.proposals.said import said_of_outcome
from clubplanner.services.rows.seasons.stretches import find_stretch, stretch_or_day
from clubplanner.services.rows.snapshot import load_venues
from clubplanner.services.share_out.anew.one_venue import (
    find_venue_key,
    only_at,
    published_sessions,
)
from clubplanner.services.share_out.broken_off import told_when_broken_off
from clubplanner.sharing.reasons.telling.telling import tell_outcome
from clubplanner.sharing.solving.process import solve_here, solve_in_child

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date, datetime

    from clubplanner.domain.times.seasons import Stretch
    from clubplanner.sharing.values.brake import Brake
    from clubplanner.sharing.values.outcome import Outcome, Progress
    from clubplanner.sharing.values.problem import Effort, Placement, Problem
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class ShareOutDone:
    """A share-out that has been run and kept.

    Attributes:
        number: The proposal's number.
        kind: How it ended, in the optimiser's words.
        sentence: The same for a person.
        placed: Sessions with a place.
        asked: Sessions asked for.
    """

    number: int
    kind: str
    sentence: str
    placed: int
    asked: int


def run_share_out(
    store: Store,
    stretch_key: str,
    effort: Effort,
    now: datetime,
    on_progress: Callable[[Progress], None] | None = None,
    *,
    pins: Sequence[ProposedSession] = (),
    start: Sequence[ProposedSession] = (),
    brake: Brake | None = None,
    venue: str = "",
    is_apart: bool = False,
) -> ShareOutDone:
    """Share out a stretch and keep the proposal; nothing is booked until it is published.

    Args:
        store: The database.
        stretch_key: Which stretch, by key or name.
        effort: How long to try, with how many workers, from which seed.
        now: The present instant.
        on_progress: Told how far it is.
        pins: Sessions that stay where they are; those of asks that are gone are left out.
        start: Sessions of an earlier proposal to go on from, if that gives the better plan.
        brake: Given by a caller that is a process of its own: the search then runs in it and the
            brake ends it early, keeping the best. Without one the search gets its own process.
        venue: Key or name of the only venue to share out; sessions elsewhere stay where `start`
            has them, or else the proposal that was published last. Blank for all.
        is_apart: Whether the search gets its own process with a brake, too.

    Raises:
        MissingError: If there is no such stretch or venue.
        RefusedError: If there is nothing to share out.
        ShareOutError: If the optimiser broke off.
    """
    with store.read() as session:
        stretch = find_stretch(session, stretch_key)
        problem = load_stretch_problem(session, stretch)
        key = find_venue_key(load_venues(session), venue) if venue else ""
        start = start or (published_sessions(session, stretch) if venue else ())
    problem = with_pins(problem, placements_of_sessions(pins, problem))
    plan = placements_of_sessions(start, problem)
    part = only_at(problem, key, plan) if venue else None
    wanted, plan = (part.problem, part.start) if part else (problem, plan)
    outcome = _search(wanted, effort, on_progress, brake, plan, is_apart=is_apart)
    placements = part.whole(outcome.placements) if part else outcome.placements
    draft = Draft(
        sort=Sort.STRETCH,
        first=stretch.starts_on,
        last=stretch.ends_on,
        squads=None,
        sessions=sessions_from_placements(problem, placements),
        closures=(),
        kind=outcome.kind.value,
        said=said_of_outcome(outcome),
        extra={**outcome_as_json(problem, outcome, effort), **files_as_json(wanted, outcome)},
    )
    return _keep(store, stretch, draft, outcome, now)


def share_evening_out(
    store: Store,
    day: date,
    effort: Effort,
    now: datetime,
    on_progress: Callable[[Progress], None] | None = None,
    *,
    pins: Sequence[ProposedSession] = (),
    brake: Brake | None = None,
    is_apart: bool = False,
) -> ShareOutDone:
    """Share out what is still free on one evening among the squads that lack a session.

    A squad takes part when it asks for sessions on that weekday and has fewer in this week than
    it asks for. Whatever is booked on that evening stays.

    Args:
        store: The database.
        day: The date.
        effort: How long to try, from which seed.
        now: The present instant.
        on_progress: Told how far it is.
        pins: Sessions of an earlier proposal that stay where it put them.
        brake: As for `run_share_out`.
        is_apart: As for `run_share_out`.

    Raises:
        RefusedError: If the evening is over, if no squad lacks a session it could have then, or if
            a pin would move what is booked.
        ShareOutError: If the optimiser broke off.
    """
    with store.read() as session:
        stretch = stretch_or_day(session, day)
        standing = load_dated(session, stretch, Scope(Sort.EVENING, day), Disruption(), now)
    problem = with_pins(standing.problem, _with_booked(standing, pins))
    if all(len(ask.pinned) == ask.sessions for ask in problem.asks):
        raise RefusedError(
            _(
                "No squad lacks a session this week that it could have on that evening; "
                "there is nothing to share out."
            )
        )
    outcome = _search(problem, effort, on_progress, brake, is_apart=is_apart)
    draft = Draft(
        sort=Sort.EVENING,
        first=day,
        last=day,
        squads=standing.squads,
        sessions=sessions_from_placements(problem, outcome.placements),
        closures=(),
        kind=outcome.kind.value,
        said=said_of_outcome(outcome),
        extra={**outcome_as_json(problem, outcome, effort), **files_as_json(problem, outcome)},
    )
    return _keep(store, stretch, draft, outcome, now)


def _with_booked(standing: Standing, pins: Sequence[ProposedSession]) -> list[Placement]:
    """Return what is booked, and pins of those who lack a session.

    Raises:
        RefusedError: If a pin has another place for a session that is booked.
    """
    booked = {(item.ask, item.session): item for item in standing.placements}
    kept = list(standing.placements)
    for item in placements_of_sessions(pins, standing.problem):
        stands = booked.get((item.ask, item.session))
        if stands is None:
            kept.append(item)
        elif stands != item:
            raise RefusedError(
                _(
                    "This proposal moves sessions that are booked; sharing out what is free "
                    "leaves those alone. Publish it first, or share the evening out again."
                )
            )
    return kept


def sessions_to_go_on_from(
    store: Store, number: int, stretch_key: str
) -> tuple[ProposedSession, ...]:
    """Return the sessions of an earlier proposal from which its stretch is shared out further.

    Raises:
        MissingError: If there is no such proposal, or no such stretch.
        RefusedError: If it is not one of the whole stretch.
    """
    with store.read() as session:
        stretch, proposal = find_stretch(session, stretch_key), load_proposal(session, number)
        if proposal.sort is not Sort.STRETCH or proposal.stretch.key != stretch.key:
            raise RefusedError(
                _(
                    "Proposal %(number)s is none of the whole of %(stretch)s; go on from one "
                    "that is.",
                    number=number,
                    stretch=stretch.name,
                )
            )
        return proposal.sessions


def progress_in_words(progress: Progress) -> str:
    """Say what a running share-out is at: "Aim 1 of 3, placing sessions: 41, bound 45"."""
    words = _(
        "Aim %(level)s of %(level_count)s", level=progress.level, level_count=progress.level_count
    )
    if progress.name:
        words += f", {progress.name}"
    if progress.value is not None:
        words += f": {progress.value}"
    if progress.bound is not None:
        words += _(", bound %(bound)s", bound=progress.bound)
    return words


def _search(
    problem: Problem,
    effort: Effort,
    on_progress: Callable[[Progress], None] | None,
    brake: Brake | None,
    start: Sequence[Placement] = (),
    *,
    is_apart: bool = False,
) -> Outcome:
    with told_when_broken_off():
        if is_apart:
            outcome = solve_in_child(problem, effort, on_progress, start, brake)
        elif brake is not None:
            outcome = solve_here(problem, effort, on_progress, brake, start)
        elif start:
            outcome = solve_in_child(problem, effort, on_progress, start)
        else:
            outcome = solve_in_child(problem, effort, on_progress)
    if outcome.contradictions:
        raise RefusedError(tell_outcome(outcome))
    return outcome


def _keep(
    store: Store, stretch: Stretch, draft: Draft, outcome: Outcome, now: datetime
) -> ShareOutDone:
    with store.write() as session:
        number = keep_proposal(session, stretch, draft, now)
    return ShareOutDone(number, draft.kind, draft.said.sentence, outcome.placed, outcome.asked)
