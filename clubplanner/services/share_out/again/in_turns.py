"""Fair turns over the weeks of a published stretch, kept as a proposal of moved bookings."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from clubplanner.domain.keys import ground_key
from clubplanner.domain.times.times import MINUTES_A_DAY, minute_from_instant, range_from_wall
from clubplanner.errors import MissingError, RefusedError, ShareOutError
from clubplanner.language import _, weekday_in_words
from clubplanner.services.problem.standing_plans import Disruption, Scope, Standing, load_weekly
from clubplanner.services.proposals.files_to_check import turns_as_json
from clubplanner.services.proposals.proposals import Draft, ProposedSession, Sort, keep_proposal
from clubplanner.services.proposals.said import Said
from clubplanner.services.rows.seasons.stretches import find_stretch
from clubplanner.services.rows.snapshot import load_bookings, load_squads, load_zone
from clubplanner.sharing.solving.memory import MemoryWatch
from clubplanner.sharing.turns.telling import Planned, in_order, tell_turns
from clubplanner.sharing.turns.turn_groups import turn_groups
from clubplanner.sharing.turns.turns import MOST_BALANCE, TurnsError, burdens_after, plan_turns
from clubplanner.sharing.values.brake import Brake
from clubplanner.sharing.values.outcome import CutShort, Progress, why_short

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.times.seasons import Stretch
    from clubplanner.sharing.turns.turns import TurnGroup
    from clubplanner.sharing.values.problem import Effort, Placement, Problem
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class TurnWishes:
    """How turns are to be taken.

    Attributes:
        still: Keys of squads that keep their place.
        same_start: Whether only sessions that start at one time may be swapped.
    """

    still: frozenset[str] = frozenset()
    same_start: bool = False


def propose_turns(
    store: Store,
    stretch_key: str,
    wishes: TurnWishes,
    effort: Effort,
    now: datetime,
    on_progress: Callable[[Progress], None] | None = None,
    brake: Brake | None = None,
) -> int:
    """Plan who has which place in which week of a published stretch, and keep the proposal.

    Squads that can have each other's places on an evening take turns on the worse ones, so that
    burdens come out within about one turn of equal, with few changes. What squads carry from the
    weeks of the stretch that are over counts. Nothing is booked until the proposal is published.

    Args:
        store: The database.
        stretch_key: Which stretch, by key or name.
        wishes: Who stays where they are, and what may be swapped.
        effort: How long to try.
        now: The present instant.
        on_progress: Told of each group that is planned.
        brake: Once pulled, the groups that are left keep their places; so do they once the search
            has all the memory that it may have.

    Returns:
        The number of the proposal.

    Raises:
        MissingError: If there is no such stretch or squad.
        RefusedError: If nothing is published, or no squads can take turns.
        ShareOutError: If memory ran out before anybody had a turn.
    """
    with store.read() as session:
        stretch = find_stretch(session, stretch_key)
        known = {squad.key for squad in load_squads(session)}
        for key in sorted(wishes.still - known):
            raise MissingError(_("There is no squad “%(key)s”; choose one of the club's.", key=key))
        first = max(stretch.starts_on, now.astimezone(load_zone(session)).date())
        standing = load_weekly(session, stretch, Scope(Sort.REST, first), Disruption(), now)
        had = _had(session, stretch, first)
    problem = standing.problem
    standing = replace(standing, placements=in_order(problem, standing.placements))
    groups = turn_groups(problem, standing.placements, same_start=wishes.same_start)
    planned: list[Planned] = []
    inner = Brake()
    with MemoryWatch(inner, effort.memory_mb, follows=brake) as watch:
        for n, (group, members) in enumerate(groups):
            if inner.is_pulled:
                break
            seconds = effort.seconds / len(groups)
            planned.append(_plan(problem, group, members, wishes, had, seconds, inner))
            if on_progress is not None:
                on_progress(_progress(problem, planned[-1], n + 1, len(groups)))
    cut_short = CutShort.MEMORY if watch.is_full else CutShort.NO
    if watch.is_full and not any(item.rota.changes for item in planned):
        raise ShareOutError(why_short(cut_short))
    if not any(item.rota.changes for item in planned):
        raise RefusedError(
            _(
                "No squads of this stretch can have each other's places with a gain for "
                "anybody: there are no turns to take."
            )
        )
    with store.write() as session:
        return keep_proposal(session, stretch, _draft(standing, planned, effort, cut_short), now)


def _plan(
    problem: Problem,
    group: TurnGroup,
    members: tuple[Placement, ...],
    wishes: TurnWishes,
    had: dict[tuple[str, int, str, int], int],
    seconds: float,
    brake: Brake,
) -> Planned:
    squads = [_squad_of(problem, item) for item in members]
    still = tuple(n if squad in wishes.still else None for n, squad in enumerate(squads))
    dates = problem.days[members[0].day].dates
    weekday = problem.days[members[0].day].weekday
    balance = []
    for squad, row in zip(squads, group.burdens, strict=True):
        carried = sum(
            (burden or 0) * had.get((squad, weekday, slot.ground, slot.start_min), 0)
            for burden, slot in zip(row, members, strict=True)
        )
        balance.append(min(carried, MOST_BALANCE))
    group = replace(group, still=still, balance=tuple(balance))
    try:
        rota = plan_turns(group, len(dates), seconds, brake=brake)
    except TurnsError as fault:
        raise RefusedError(str(fault)) from fault
    return Planned(group, members, rota)


def _had(session: Session, stretch: Stretch, until: date) -> dict[tuple[str, int, str, int], int]:
    """Count how often each squad had which weekday, ground and start in the weeks that are over."""
    if until <= stretch.starts_on:
        return {}
    zone = load_zone(session)
    during = range_from_wall(
        stretch.starts_on, 0, (until - stretch.starts_on).days * MINUTES_A_DAY, zone
    )
    counts: dict[tuple[str, int, str, int], int] = defaultdict(int)
    for booking in load_bookings(session, during):
        day = booking.during.starts_at.astimezone(zone).date()
        start = minute_from_instant(booking.during.starts_at, day, zone)
        ground = ground_key(booking.pitch_key, booking.area_key)
        counts[booking.squad_key or "", day.weekday(), ground, start] += 1
    return counts


def _draft(
    standing: Standing, planned: Sequence[Planned], effort: Effort, cut_short: CutShort
) -> Draft:
    problem = standing.problem
    sessions = _sessions(standing, planned)
    days = [day for one in problem.days for day in one.dates]
    squads = frozenset(_squad_of(problem, item) for one in planned for item in one.members)
    changes = sum(item.rota.changes for item in planned)
    count = sum(len(item.members) for item in planned)
    worst = max(max(item.rota.burdens) - min(item.rota.burdens) for item in planned)
    was = max(max(ends) - min(ends) for item in planned for ends in (_unturned(problem, item),))
    return Draft(
        sort=Sort.TURNS,
        first=min(days),
        last=max(days),
        squads=squads,
        sessions=sessions,
        closures=(),
        kind="turns",
        said=Said(
            "turns",
            {
                "count": count,
                "groups": len(planned),
                "changes": changes,
                "worst": worst,
                "was": was,
                "cut_short": cut_short.value,
            },
        ),
        extra={
            "turns": [_saved(problem, item) for item in planned],
            "effort": {"seconds": effort.seconds, "workers": 1, "seed": effort.seed},
            "seconds": 0.0,
            "is_repeatable": cut_short is CutShort.NO,
            **turns_as_json(problem, tell_turns(problem, standing.placements, planned, cut_short)),
        },
    )


def _sessions(standing: Standing, planned: Sequence[Planned]) -> tuple[ProposedSession, ...]:
    """Put everybody's places down: those in groups by turns, their others as they are."""
    problem = standing.problem
    names = {ask.key: (ask.squad, ask.squad_name) for ask in problem.asks}
    dates: dict[tuple[Placement, Placement], list[date]] = defaultdict(list)
    turning = set()
    squads = set()
    for item in planned:
        turning |= set(item.members)
        squads |= {names[member.ask][0] for member in item.members}
        for day, turn in zip(_dates(problem, item), item.rota.turns, strict=True):
            for member, slot in zip(item.members, turn, strict=True):
                dates[member, item.members[slot]].append(day)
    for place in standing.placements:
        if place not in turning and names[place.ask][0] in squads:
            dates[place, place] = list(problem.days[place.day].dates)
    grounds = {ground.key: ground for ground in problem.grounds}
    return tuple(
        ProposedSession(
            ask=who.ask,
            session=who.session,
            squad=names[who.ask][0],
            squad_name=names[who.ask][1],
            ground=where.ground,
            ground_name=grounds[where.ground].name,
            weekday=problem.days[where.day].weekday,
            start_min=where.start_min,
            end_min=where.end_min,
            dates=tuple(day for day in sorted(own) if day not in where.lost_dates),
            lost_dates=tuple(day for day in sorted(own) if day in where.lost_dates),
        )
        for (who, where), own in dates.items()
    )


def _saved(problem: Problem, item: Planned) -> dict[str, Any]:
    """Write what the picture and the table of a group need."""
    return {
        "day": weekday_in_words(problem.days[item.members[0].day].weekday),
        "dates": [day.isoformat() for day in _dates(problem, item)],
        "squads": list(item.group.squads),
        "slots": list(item.group.slots),
        "burdens": [list(row) for row in item.group.burdens],
        "turns": [list(turn) for turn in item.rota.turns],
        "carried": list(item.group.carried),
        "totals": list(item.rota.burdens),
        "still": [kept is not None for kept in item.group.still],
        "changes": item.rota.changes,
        "is_proved": item.rota.is_proved,
        "fairest_worst": item.rota.fairest_worst,
    }


def _unturned(problem: Problem, item: Planned) -> tuple[int, ...]:
    """Add up the burdens there would be without turns."""
    own = tuple(range(len(item.members)))
    return burdens_after(item.group, [own] * len(_dates(problem, item)))


def _dates(problem: Problem, item: Planned) -> tuple[date, ...]:
    return problem.days[item.members[0].day].dates


def _progress(problem: Problem, item: Planned, number: int, count: int) -> Progress:
    worst = max(item.rota.burdens)
    day = weekday_in_words(problem.days[item.members[0].day].weekday)
    name = _("turns on %(day)s, the worst burden", day=day)
    return Progress(
        number, count, worst, worst if item.rota.is_proved else None, number / count, name
    )


def _squad_of(problem: Problem, item: Placement) -> str:
    return next(ask.squad for ask in problem.asks if ask.key == item.ask)
