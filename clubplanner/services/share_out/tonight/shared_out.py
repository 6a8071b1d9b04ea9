"""Sharing out one evening as it is: by who comes, with how many, on the ground there is.

Whoever stands is disturbed as little as can be, whoever has no place yet gets one by its wishes,
and nobody gets less ground than asked for. About as much as its numbers need a squad gets where
there is so much; where there is not, it has what it asks for, and the proposal says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.turnouts import Turnout
from clubplanner.domain.times.times import range_left
from clubplanner.errors import ClashError, RefusedError
from clubplanner.language import _, figure
from clubplanner.services.problem.standing_plans import (
    Disruption,
    Scope,
    Standing,
    does_not_train,
    load_standing,
)
from clubplanner.services.problem.tonight import Felt, with_numbers
from clubplanner.services.proposals.files_to_check import files_as_json
from clubplanner.services.proposals.proposals import (
    Draft,
    ProposedSession,
    Sort,
    keep_proposal,
    outcome_as_json,
    sessions_from_placements,
)
from clubplanner.services.rows.bookings.booking_rows import clashes_from_rows, find_holders
from clubplanner.services.rows.named import find_area
from clubplanner.services.rows.people.turnouts import load_turnouts, with_turnout
from clubplanner.services.rows.seasons.stretches import stretch_or_day
from clubplanner.services.rows.snapshot import booking_from_row, load_squads, load_zone
from clubplanner.services.share_out.again.again import why_in_words
from clubplanner.services.share_out.tonight.search import Plan, Search
from clubplanner.sharing.values.brake import Brake
from clubplanner.sharing.values.problem import Effort, plain

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.squads import Squad
    from clubplanner.sharing.values.outcome import Progress
    from clubplanner.store.engine import Store

AT_ONCE = Effort(seconds=1.2)
"""How hard to try while somebody waits for the page.

Sixteen squads on five pitches took 0.8 s from scratch and 0.9 s after a closure, twenty on three,
where not all have the ground they need, 3 s (two cores, November 2026).
"""
MM2 = 1e-6
"""Ground that is smaller by so little, square metres, is as large."""


NOTHING = Disruption(fills=True)
"""Nothing has come up, and whoever lacks a session is to have one."""


@dataclass(frozen=True, slots=True)
class Tonight:
    """An evening that is to be shared out.

    Attributes:
        day: The local date.
        disruption: Ground that is closed, and whatever else has come up.
        pins: Sessions of an earlier proposal that stay where it put them.
    """

    day: date
    disruption: Disruption = NOTHING
    pins: tuple[ProposedSession, ...] = ()


def propose_tonight(
    store: Store,
    wish: Tonight,
    effort: Effort,
    now: datetime,
    on_progress: Callable[[Progress], None] | None = None,
    brake: Brake | None = None,
    *,
    is_apart: bool = False,
) -> int:
    """Share an evening out and keep the proposal; nothing is booked until it is published.

    The search runs in the calling process, within its memory.

    Args:
        store: The database.
        wish: Which evening, and what has come up. What was said of who comes is in the records.
        effort: How long to try, from which seed.
        now: The present instant; what has begun by then stays.
        on_progress: Told how far it is.
        brake: Ends the search early and keeps the best plan so far.
        is_apart: Whether the search gets its own process all the same.

    Returns:
        The number of the proposal.

    Raises:
        MissingError: If closed ground is not there.
        RefusedError: If the evening is over or in a break, nobody comes, or there is no ground.
        ShareOutError: If the search broke off.
    """
    with store.read() as session:
        stretch = stretch_or_day(session, wish.day)
        scope = Scope(Sort.EVENING, wish.day)
        standing = load_standing(session, stretch, scope, wish.disruption, now)
        said, squads = load_turnouts(session, wish.day), load_squads(session)
        _refuse_held(session, wish)
    _refuse_nothing(standing)
    felt = with_numbers(standing.problem, standing.placements, said, squads)
    search = Search(
        standing,
        wish.disruption,
        wish.pins,
        effort,
        on_progress,
        brake or Brake(),
        is_apart=is_apart,
    )
    plan = search.squeeze(felt)
    words = [*why_in_words(wish.disruption, standing.problem), *_less(felt, plan, said, squads)]
    with store.write() as session:
        return keep_proposal(session, stretch, _draft(standing, wish, plan, words, effort), now)


def _refuse_held(session: Session, wish: Tonight) -> None:
    """Refuse to close ground that a match or a hire holds: publishing could not do it."""
    zone = load_zone(session)
    for closure in wish.disruption.closures:
        row = find_area(session, *closure.ground.split("/"))
        during = range_left(wish.day, closure.start_min, closure.end_min, zone)
        if during is None:
            continue
        held = [
            one
            for one in find_holders(session, row.pitch_id, row.cells, during)
            if one.purpose is not Purpose.CLOSED and does_not_train(booking_from_row(one))
        ]
        if held:
            advice = _("Move it or call it off first; then close the ground.")
            raise ClashError(clashes_from_rows(session, held), advice=advice)


def _refuse_nothing(standing: Standing) -> None:
    if not standing.problem.grounds:
        raise RefusedError(_("There is no pitch to share out; add the club's grounds first."))
    if not standing.problem.asks:
        raise RefusedError(
            _("Nobody comes on this evening who could be moved or placed; say first who comes.")
        )


def _less(
    felt: Felt, plan: Plan, said: Mapping[str, Turnout], squads: Sequence[Squad]
) -> list[str]:
    """Say who has less ground than their numbers need, a sentence each."""
    by_key = {squad.key: squad for squad in squads}
    grounds = {ground.key: ground for ground in plan.problem.grounds}
    needed = {ask.key: ask for ask in felt.problem.asks if ask.key in felt.asked_m2}
    lines = []
    for place in plan.outcome.placements:
        ask, ground = needed.get(place.ask), grounds[place.ground]
        if ask is None or ground.area_m2 >= ask.least_m2 - MM2:
            continue
        squad = by_key[ask.squad]
        here = with_turnout(squad, said.get(squad.key, Turnout()))
        lines.append(
            _(
                "%(squad)s come with %(players)s and have %(m2)s m² for them: there is no room "
                "for more.",
                squad=squad.name,
                players=here.players,
                m2=figure(ground.area_m2, ",.0f"),
            )
        )
    return lines


def _draft(
    standing: Standing, wish: Tonight, plan: Plan, words: Sequence[str], effort: Effort
) -> Draft:
    names = {ask.squad: ask.squad_name for ask in (*standing.problem.asks, *plan.problem.asks)}
    extra: dict[str, Any] = {
        **outcome_as_json(plan.problem, plan.outcome, effort),
        **files_as_json(plan.problem, plan.outcome),
        "hit": [names[squad] for squad in plan.hit],
        "disturbed": [names[squad] for squad in plan.disturbed],
        "why": list(words),
        "disruption": plain(wish.disruption),
    }
    squads = standing.squads or frozenset()
    return Draft(
        sort=Sort.EVENING,
        first=wish.day,
        last=wish.day,
        squads=squads | wish.disruption.dropped,
        sessions=sessions_from_placements(plan.problem, plan.outcome.placements),
        closures=wish.disruption.closures,
        kind=plan.outcome.kind.value,
        said=plan.said,
        extra=extra,
    )
