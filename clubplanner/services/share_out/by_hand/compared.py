"""Two proposals beside each other, by what a club argues about.

Who goes without, who is late, who travels, who trains on neighbouring days, how each squad is
served, and what the ground costs. What is the same in both is counted, what differs is named.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.keys import pitch_of_ground
from clubplanner.domain.money.amounts import plain_amount
from clubplanner.domain.money.tariffs import Payer
from clubplanner.domain.times.times import clock_from_minute, day_month_year
from clubplanner.errors import PlannerError
from clubplanner.language import _, ngettext, term
from clubplanner.services.proposals.kept_proposals import load_proposal
from clubplanner.services.proposals.proposals import SORT_WORDS, saved_percent
from clubplanner.services.rows.club.money_rows import load_tariffs, load_terms
from clubplanner.services.rows.snapshot import load_venues
from clubplanner.services.share_out.by_hand.starting_from import load_plan
from clubplanner.sharing.checks.worth_late import cost
from clubplanner.sharing.values.words import listed

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.services.proposals.proposals import Proposal, ProposedSession
    from clubplanner.services.share_out.by_hand.starting_from import Base
    from clubplanner.store.engine import Store

LATE_MIN = 20 * 60
"""A session that ends after this counts as late: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two proposals.

    Attributes:
        number: Its number.
        words: What it is.
        made: When it was made, a date in words.
        is_published: Whether it was published.
    """

    number: int
    words: str
    made: str
    is_published: bool


@dataclass(frozen=True, slots=True)
class Matter:
    """One thing that is argued about.

    Attributes:
        code: "without", "late", "travel", "neighbours", "served" or "cost".
        words: What it is, in words.
        values: What the two come to, in words.
        better: Whether the first (0) or the second (1) has less of it; None where they are even or
            it cannot be said.
        only: Whom it is true of in the first alone, and in the second alone, in words.
        both: Whom it is true of in both.
    """

    code: str
    words: str
    values: tuple[str, str]
    better: int | None
    only: tuple[tuple[str, ...], tuple[str, ...]]
    both: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SquadBeside:
    """What a squad has in each of the two, where it differs.

    Attributes:
        squad_name: Whose.
        sessions: Its sessions, in words.
        percents: How it is served, in percent of the best it could have; None where not known.
    """

    squad_name: str
    sessions: tuple[tuple[str, ...], tuple[str, ...]]
    percents: tuple[int | None, int | None]


@dataclass(frozen=True, slots=True)
class Compared:
    """Two proposals beside each other.

    Attributes:
        sides: The two.
        sentence: How many squads have something else in the two.
        caution: What makes the two hard to compare; blank for nothing.
        matters: What is argued about, in its order.
        squads: Squads that have something else in the two.
        same: How many squads have the same in both.
    """

    sides: tuple[Side, Side]
    sentence: str
    caution: str
    matters: tuple[Matter, ...]
    squads: tuple[SquadBeside, ...]
    same: int


@dataclass(frozen=True, slots=True)
class _Plan:
    """What is looked at of a proposal.

    Attributes:
        proposal: The proposal.
        by_squad: Sessions by key of the squad.
        names: What squads are called, by key.
        missing: How many sessions squads go without, by name.
        percents: How squads are served, by key.
        base: It as a problem, for its prices; None where the club pays nothing.
        cost: What its ground costs; None where that cannot be said.
    """

    proposal: Proposal
    by_squad: Mapping[str, Sequence[ProposedSession]]
    names: Mapping[str, str]
    missing: Mapping[str, int]
    percents: Mapping[str, int]
    base: Base | None
    cost: int | None


def compare_proposals(store: Store, first: int, second: int, now: datetime) -> Compared:
    """Put two proposals beside each other.

    Args:
        store: The database.
        first: Number of one.
        second: Number of the other.
        now: The present instant.

    Raises:
        MissingError: If there is no proposal of one of the numbers.
    """
    with store.read() as session:
        venues = {p.key: venue.name for venue in load_venues(session) for p in venue.pitches}
        currency = load_terms(session).currency
        one = _load(session, first, now)
        other = _load(session, second, now, one.base)
    plans = one, other
    keys = sorted({*one.by_squad, *other.by_squad}, key=lambda key: _name(plans, key))
    squads = tuple(found for key in keys if (found := _beside(plans, key)) is not None)
    sentence = ngettext(
        "%(num)s squad has something else in the two.",
        "%(num)s squads have something else in the two.",
        len(squads),
    )
    return Compared(
        sides=(_side(one.proposal), _side(other.proposal)),
        sentence=sentence if squads else _("Both have the same sessions."),
        caution=_caution(one.proposal, other.proposal),
        matters=tuple(_matters(one, other, venues, currency)),
        squads=squads,
        same=len(keys) - len(squads),
    )


def _load(session: Session, number: int, now: datetime, like: Base | None = None) -> _Plan:
    proposal = load_proposal(session, number)
    by_squad: dict[str, list[ProposedSession]] = {}
    for item in proposal.sessions:
        by_squad.setdefault(item.squad, []).append(item)
    missing: dict[str, int] = {}
    for refusal in proposal.saved["refusals"]:
        name = refusal["squad_name"]
        missing[name] = missing.get(name, 0) + refusal["missing"]
    base = _priced(session, number, now, like)
    return _Plan(
        proposal,
        by_squad,
        {key: items[0].squad_name for key, items in by_squad.items()},
        missing,
        {one["squad"]: saved_percent(one) for one in proposal.saved["satisfactions"]},
        base,
        cost(base.problem, base.placements) if base and base.problem.prices else None,
    )


def _priced(session: Session, number: int, now: datetime, like: Base | None) -> Base | None:
    """Load a proposal with the prices of today; None where the club pays nothing for ground."""
    if not any(tariff.payer is Payer.CLUB for tariff in load_tariffs(session)):
        return None
    try:
        return load_plan(session, number, now, like)
    except PlannerError:
        return None  # turns, or a part of the season that is over: nothing to price


def _matters(one: _Plan, other: _Plan, venues: Mapping[str, str], currency: str) -> list[Matter]:
    late = clock_from_minute(LATE_MIN)
    return [
        _without(one, other),
        _of_squads("late", _("Ends after %(late)s", late=late), one, other, _late),
        _of_squads(
            "travel",
            _("Trains at more than one venue"),
            one,
            other,
            lambda items: _places(items, venues),
        ),
        _of_squads("neighbours", _("Trains on neighbouring days"), one, other, _neighbours),
        _served(one, other),
        _costs(one, other, currency),
    ]


def _without(one: _Plan, other: _Plan) -> Matter:
    def told(mine: Mapping[str, int], theirs: Mapping[str, int]) -> tuple[str, ...]:
        return tuple(
            _("%(squad)s (%(count)s)", squad=name, count=count - theirs.get(name, 0))
            for name, count in mine.items()
            if count > theirs.get(name, 0)
        )

    counts = sum(one.missing.values()), sum(other.missing.values())
    both = tuple(name for name in one.missing if name in other.missing)
    return Matter(
        "without",
        _("Sessions without a place"),
        (str(counts[0]), str(counts[1])),
        _less(*counts),
        (told(one.missing, other.missing), told(other.missing, one.missing)),
        both,
    )


def _of_squads(
    code: str,
    words: str,
    one: _Plan,
    other: _Plan,
    find: Callable[[Sequence[ProposedSession]], str],
) -> Matter:
    """Compare what is true of some squads and not of others."""
    found = [
        {plan.names[key]: told for key, items in plan.by_squad.items() if (told := find(items))}
        for plan in (one, other)
    ]
    mine, theirs = found
    counts = len(mine), len(theirs)
    return Matter(
        code,
        words,
        (
            ngettext("%(num)s squad", "%(num)s squads", counts[0]),
            ngettext("%(num)s squad", "%(num)s squads", counts[1]),
        ),
        _less(*counts),
        (_only(mine, theirs), _only(theirs, mine)),
        tuple(sorted(mine.keys() & theirs.keys())),
    )


def _only(mine: Mapping[str, str], theirs: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(
        _("%(squad)s: %(what)s", squad=name, what=what)
        for name, what in sorted(mine.items())
        if name not in theirs
    )


def _late(items: Sequence[ProposedSession]) -> str:
    """Name the sessions that end late."""
    return ", ".join(item.place for item in items if item.end_min > LATE_MIN)


def _places(items: Sequence[ProposedSession], venues: Mapping[str, str]) -> str:
    """Name the venues of a squad that has several."""
    pitches = (pitch_of_ground(item.ground) for item in items)
    names = dict.fromkeys(venues.get(pitch, pitch) for pitch in pitches)
    return listed(list(names)) if len(names) > 1 else ""


def _neighbours(items: Sequence[ProposedSession]) -> str:
    """Name the sessions of which one is on the eve of another."""
    weekdays = {item.weekday for item in items}
    if not any((weekday + 1) % 7 in weekdays for weekday in weekdays):
        return ""  # a session's dates are of its weekday
    dates = {day.toordinal() for item in items for day in item.dates}
    beside = {day + step for day in dates for step in (-1, 1)}
    found = [item for item in items if any(day.toordinal() in beside for day in item.dates)]
    return ", ".join(item.place for item in found)


def _served(one: _Plan, other: _Plan) -> Matter:
    """Compare how the squads are served, by the one that has least."""
    worst = tuple(min(plan.percents.values(), default=None) for plan in (one, other))
    names = {**other.names, **one.names}

    def told(mine: Mapping[str, int], theirs: Mapping[str, int]) -> tuple[str, ...]:
        falls = sorted(
            (percent - theirs[key], names.get(key, key), theirs[key], percent)
            for key, percent in mine.items()
            if key in theirs and percent < theirs[key]
        )
        return tuple(
            _("%(squad)s: %(less)s instead of %(more)s %%", squad=name, less=less, more=more)
            for _fall, name, more, less in falls
        )

    less = None if None in worst else _less(-(worst[0] or 0), -(worst[1] or 0))
    return Matter(
        "served",
        _("The squad that is served worst has"),
        (_percent(worst[0]), _percent(worst[1])),
        less,
        (told(one.percents, other.percents), told(other.percents, one.percents)),
        (),
    )


def _costs(one: _Plan, other: _Plan, currency: str) -> Matter:
    costs = one.cost, other.cost
    less = None if one.cost is None or other.cost is None else _less(one.cost, other.cost)
    values = tuple(
        _("no prices") if amount is None else f"{plain_amount(amount, currency)} {currency}"
        for amount in costs
    )
    words = _("What the ground costs, by the prices of today")
    return Matter("cost", words, (values[0], values[1]), less, ((), ()), ())


def _percent(value: int | None) -> str:
    return _("not known") if value is None else f"{value} %"


def _less(mine: int, theirs: int) -> int | None:
    """Tell which has less."""
    return None if mine == theirs else int(mine > theirs)


def _beside(plans: Sequence[_Plan], key: str) -> SquadBeside | None:
    """Put a squad's sessions beside each other; None where they are the same."""
    found = [
        sorted((s.weekday, s.start_min, s.place, s.dates) for s in plan.by_squad.get(key, ()))
        for plan in plans
    ]
    if found[0] == found[1]:
        return None
    words = [tuple(place for _day, _start, place, _dates in items) for items in found]
    percents = [plan.percents.get(key) for plan in plans]
    return SquadBeside(_name(plans, key), (words[0], words[1]), (percents[0], percents[1]))


def _name(plans: Sequence[_Plan], key: str) -> str:
    return next(plan.names[key] for plan in plans if key in plan.names)


def _side(proposal: Proposal) -> Side:
    return Side(
        proposal.number,
        f"{term(SORT_WORDS[proposal.sort])}, {proposal.stretch.name}",
        day_month_year(proposal.created_at.date()),
        proposal.published_at is not None,
    )


def _caution(one: Proposal, other: Proposal) -> str:
    """Say where the two are not about the same part of the season."""
    if (one.sort, one.first, one.last) == (other.sort, other.first, other.last):
        return ""
    return _("The two are not about the same part of the season, so not all of it can be compared.")
