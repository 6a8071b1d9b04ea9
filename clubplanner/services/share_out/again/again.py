"""Sharing out again after something has come up: one evening, one week, or the rest of a stretch.

What stands is changed as little as can be: first all are placed that can be, then the fewest
squads are disturbed, then sessions move least. The result is a proposal like any other.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from clubplanner.domain.times.times import day_in_words
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _
from clubplanner.services.problem.standing_plans import Disruption, Scope, Standing, load_standing
from clubplanner.services.proposals.files_to_check import files_as_json
from clubplanner.services.proposals.kept_proposals import turns_in_force
from clubplanner.services.proposals.proposals import (
    Draft,
    GroundClosed,
    Sort,
    keep_proposal,
    outcome_as_json,
    sessions_from_placements,
)
from clubplanner.services.proposals.said import said_of_reshare
from clubplanner.services.rows.seasons.stretches import stretch_of, stretch_or_day
from clubplanner.services.rows.snapshot import load_squads
from clubplanner.services.share_out.broken_off import told_when_broken_off
from clubplanner.sharing.again.alteration import Alteration, Closure, faults_of
from clubplanner.sharing.solving.process import (
    reshare_here,
    reshare_in_child,
)
from clubplanner.sharing.values.problem import plain
from clubplanner.sharing.values.words import listed

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.times.seasons import Stretch
    from clubplanner.services.proposals.proposals import Proposal
    from clubplanner.sharing.again.reshare import Reshared
    from clubplanner.sharing.values.brake import Brake
    from clubplanner.sharing.values.outcome import Progress
    from clubplanner.sharing.values.problem import Effort, Problem
    from clubplanner.store.engine import Store


def propose_reshare(
    store: Store,
    scope: Scope,
    disruption: Disruption,
    effort: Effort,
    now: datetime,
    on_progress: Callable[[Progress], None] | None = None,
    brake: Brake | None = None,
    *,
    is_apart: bool = False,
) -> int:
    """Share out again for what has come up, and keep the proposal; nothing is booked yet.

    Publish it with `publish_share_out` like any other: sessions that move keep their identity in
    calendars, and the closed ground is booked as closed in the same transaction.

    Args:
        store: The database.
        scope: Which part of the season.
        disruption: What has come up.
        effort: How long to try, from which seed.
        now: The present instant; what has begun by then stays.
        on_progress: Told of each aim that is done.
        brake: Given by a caller that is a process of its own: the search then runs in it and the
            brake ends it early, keeping the best. Without one the search gets its own process.
        is_apart: Whether the search gets its own process with a brake, too.

    Returns:
        The number of the proposal.

    Raises:
        MissingError: If no stretch holds the day (an evening needs none), or there is no such
            ground or squad.
        RefusedError: If the scope is over, or nothing is published that could be shared out again.
        ShareOutError: If the search broke off.
    """
    with store.read() as session:
        stretch, standing = load_again(session, scope, disruption, now)
        names = {squad.key: squad.name for squad in load_squads(session)}
        turns = turns_in_force(session, stretch) if scope.sort is Sort.REST else None
    alteration = alteration_of(standing.problem, disruption)
    result = _search(standing, alteration, effort, on_progress, brake, is_apart=is_apart)
    if result.outcome.contradictions:
        raise RefusedError(result.sentence)
    with store.write() as session:
        return keep_proposal(
            session,
            stretch,
            _draft(scope.sort, standing, disruption, result, names, effort, turns),
            now,
        )


def load_again(
    session: Session, scope: Scope, disruption: Disruption, now: datetime
) -> tuple[Stretch, Standing]:
    """Load what is shared out again.

    Raises:
        MissingError: If no stretch holds the day (an evening needs none), or there is no such
            ground or squad.
        RefusedError: If the scope is over, or nothing is published that could be shared out again.
    """
    find = stretch_or_day if scope.sort is Sort.EVENING else stretch_of
    stretch = find(session, scope.day)
    return stretch, load_standing(session, stretch, scope, disruption, now)


def alteration_of(problem: Problem, disruption: Disruption) -> Alteration:
    """Put what has come up in the days and grounds of a problem.

    Raises:
        MissingError: If there is no such ground.
        RefusedError: If it does not fit the problem.
    """
    grounds = {ground.key: ground for ground in problem.grounds}
    closures = []
    for closure in disruption.closures:
        if closure.ground not in grounds:
            raise MissingError(
                _(
                    "There is no ground “%(ground)s”; choose one of the club's.",
                    ground=closure.ground,
                )
            )
        for day in problem.days:
            dates = tuple(d for d in day.dates if closure.first <= d <= closure.last)
            if dates:
                closures.append(
                    Closure(
                        closure.ground,
                        day.index,
                        dates,
                        closure.start_min,
                        closure.end_min,
                        closure.reason,
                    )
                )
    alteration = Alteration(closures=tuple(closures))
    faults = faults_of(alteration, problem)
    if faults:
        raise RefusedError(" ".join(fault.message for fault in faults))
    return alteration


def _search(
    standing: Standing,
    alteration: Alteration,
    effort: Effort,
    on_progress: Callable[[Progress], None] | None,
    brake: Brake | None,
    *,
    is_apart: bool,
) -> Reshared:
    problem, placements = standing.problem, standing.placements
    with told_when_broken_off():
        if is_apart or brake is None:
            return reshare_in_child(problem, placements, alteration, effort, on_progress, brake)
        return reshare_here(problem, placements, alteration, effort, on_progress, brake)


def _draft(
    sort: Sort,
    standing: Standing,
    disruption: Disruption,
    result: Reshared,
    names: Mapping[str, str],
    effort: Effort,
    turns: Proposal | None,
) -> Draft:
    problem = result.problem
    days = [day for one in standing.problem.days for day in one.dates]
    extra: dict[str, Any] = {
        **outcome_as_json(problem, result.outcome, effort),
        **files_as_json(problem, result.outcome),
        "hit": [names[squad] for squad in result.hit],
        "disturbed": [names[squad] for squad in result.disturbed],
        "dropped": sorted(names[squad] for squad in disruption.dropped),
        "why": [*why_in_words(disruption, standing.problem), *_turns_ended(turns, names)],
        "moves": [plain(move) for move in result.moves],
        "disruption": plain(disruption),
    }
    return Draft(
        sort=sort,
        first=min(days),
        last=max(days),
        squads=None if standing.squads is None else standing.squads | disruption.dropped,
        sessions=sessions_from_placements(problem, result.outcome.placements),
        closures=tuple(_within(closure, min(days)) for closure in disruption.closures),
        kind=result.outcome.kind.value,
        said=said_of_reshare(result),
        extra=extra,
    )


def _within(closure: GroundClosed, first: date) -> GroundClosed:
    """Let a closure begin no earlier than what is shared out again."""
    return replace(closure, first=max(closure.first, min(first, closure.last)))


def _turns_ended(turns: Proposal | None, names: Mapping[str, str]) -> list[str]:
    """Say whose turns end, because one weekly pattern holds from now on."""
    if turns is None:
        return []
    squads = sorted(names[key] for key in turns.squads or () if key in names)
    words = _("The turns of %(squads)s end when this is published", squads=listed(squads))
    return [_("%(words)s; plan them again afterwards, under Fair turns.", words=words)]


def why_in_words(disruption: Disruption, problem: Problem) -> list[str]:
    """Say what has come up, a sentence each."""
    grounds = {ground.key: ground.name for ground in problem.grounds}
    lines = []
    for closure in disruption.closures:
        days = day_in_words(closure.first)
        if closure.last > closure.first:
            days += " " + _("to %(last)s", last=day_in_words(closure.last))
        lines.append(
            _(
                "%(grounds)s is closed, %(days)s: %(reason)s.",
                grounds=grounds[closure.ground],
                days=days,
                reason=closure.reason,
            )
        )
    return lines
