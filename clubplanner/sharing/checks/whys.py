"""Why an ask misses sessions, derived again: who holds its places, and which rules keep it out.

Like `checking`, it shares nothing with the search but values. Where a reason has its words from an
earlier release, only its code and the sessions it names are looked at.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.sharing.checks.believed import OPEN, is_place_believed
from clubplanner.sharing.checks.checking import Fault
from clubplanner.sharing.checks.exchanging import MOST_EXCHANGED, Exchanges
from clubplanner.sharing.checks.in_way import InWay
from clubplanner.sharing.checks.rules_told import barred_by, barred_said, named, no_place, said
from clubplanner.sharing.checks.said import reason_said
from clubplanner.sharing.values.facts import (
    Facts,
    Hours,
    Span,
    day_name,
    day_names,
    holders_of,
    spot_of,
)
from clubplanner.sharing.values.outcome import LEFT_FREE, LEFT_OUT, Reason

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.sharing.checks.by_place import Sessions
    from clubplanner.sharing.checks.in_way import Wanted
    from clubplanner.sharing.checks.places_alone import PlacesAlone
    from clubplanner.sharing.values.facts import RuleSaid
    from clubplanner.sharing.values.outcome import Outcome, Refusal
    from clubplanner.sharing.values.problem import Ask, Placement, Problem

CODES = (
    "exchange",
    "crowded",
    "rules",
    "held",
    "limit",
    "person",
    "proof",
    "open",
    LEFT_OUT,
)
"""Every code that a refusal's reason has."""
MOST_NAMED = 6
"""So many sessions, or so much ground, a reason names before it counts the rest."""


class Whys:
    """Why asks of a plan miss sessions."""

    def __init__(
        self, problem: Problem, outcome: Outcome, sessions: Sessions, places: PlacesAlone
    ) -> None:
        self._problem = problem
        self._outcome = outcome
        self._sessions = sessions
        self._known = set(outcome.placements)
        self._places = places
        self._asks = {ask.key: ask for ask in problem.asks}
        self._number = {ground.key: n for n, ground in enumerate(problem.grounds)}
        self._in_way = InWay(problem, sessions, places)
        self._exchanges = Exchanges(problem, outcome, sessions, places, self._in_way)
        is_proved = bool(outcome.levels) and outcome.levels[0].is_proved
        self._last = Reason("proof", is_proved=True) if is_proved else OPEN

    def told(self, ask: Ask, refusal: Refusal) -> Iterator[Fault]:
        """Check the reasons of a refusal.

        Args:
            ask: Whose it is.
            refusal: With reasons and changes as they are told.
        """
        start = f"Ask {ask.key}:"
        if not refusal.reasons:
            yield Fault("reason", f"{start} it goes without and no reason is told.", ())
            return
        for reason in refusal.reasons:
            if reason.code not in CODES:
                yield Fault("reason", f"{start} there is no reason “{reason.code}”.", ())
                return
            yield from reason_said(ask, reason)
        if max(Counter(refusal.reasons).values()) > 1:
            yield Fault("reason", f"{start} a reason stands twice.", ())
            return
        reasons = list(refusal.reasons)
        if reasons[-1].code == LEFT_OUT:
            left_out = reasons.pop()
            yield from _left_out(ask, left_out, refusal, is_all=not reasons)
            if not reasons:
                return
        if all(reason.text for reason in reasons):
            yield from self._kept_words(ask, reasons)
        else:
            yield from self._reasons(ask, reasons)

    def _kept_words(self, ask: Ask, reasons: Sequence[Reason]) -> Iterator[Fault]:
        """Look at reasons of an earlier release, which told them otherwise."""
        own_days = self._own_days(ask)
        barred = own_days.union(*barred_by(self._places, ask, self._sessions).values())
        has_place = any(one.place.day not in barred for one in self._in_way.of(ask))
        for reason in reasons:
            is_about_others = reason.code in ("exchange", "held", "person")
            is_proof = reason.code == "proof" or (reason.code == "rules" and not has_place)
            if (
                bool(reason.holders) != is_about_others
                or not set(reason.holders) <= self._known
                or (reason.is_proved and not is_proof)
                or (reason.code in ("proof", "open") and reason.code != self._last.code)
            ):
                message = f"Ask {ask.key}, “{reason.code}”: it is not so, or names others."
                yield Fault("reason", message, reason.holders)
            elif reason.code == "exchange":
                yield from self._exchanges.told(ask, reason)

    def _reasons(self, ask: Ask, reasons: Sequence[Reason]) -> Iterator[Fault]:
        told = list(reasons)
        own_days = self._own_days(ask)
        barred = barred_by(self._places, ask, self._sessions)
        taken = own_days.union(*barred.values())
        alone = self._in_way.of(ask)
        free = [one for one in alone if one.place.day not in taken]
        left_free = self._left_free(ask, free, told)
        if free:
            crowded = None if left_free else self._crowded(ask, alone)
            if told[0].code == "exchange" and left_free is None:
                yield from self._exchanges.told(ask, told.pop(0))
            true = [one for one in (left_free, crowded) if one is not None]
            true += self._limits(ask, free)
            for day in sorted({one.place.day for one in free}):
                here = [one for one in free if one.place.day == day]
                true += [*self._ground_on(ask, here), *self._people_on(ask, here)]
            for rule in barred_said(self._problem, ask, barred):
                true.append(Reason("rules", facts=Facts(kind="barred", rules=(rule,))))
            if own_days:
                facts = Facts(kind="own days", days=day_names(self._problem, own_days))
                true.append(Reason("rules", facts=facts))
        else:
            true = list(no_place(self._problem, self._places, ask, own_days, barred))
        is_settled = left_free is not None if free else true[0].is_proved
        if not is_settled:
            true.append(self._last)
        yield from _differ(ask, told, true)

    def _own_days(self, ask: Ask) -> set[int]:
        """List the days on which an ask has a session."""
        own = self._sessions.of_squad[ask.squad]
        return {item.day for item in own if item.ask == ask.key}

    def _left_free(
        self, ask: Ask, wanted: Sequence[Wanted], told: Sequence[Reason]
    ) -> Reason | None:
        """Return what is true of a place left free: the one told of, if that is one of them.

        A result of an earlier release did not name it; `believed` says that it is not looked for.
        """
        if self._last.is_proved or is_place_believed(self._outcome, told):
            return None
        free = [
            one for one in wanted if not one.in_way and not self._in_way.is_beyond_limit(ask, one)
        ]
        if not free:
            return None
        is_one = any(one.is_at(self._problem, told[0].facts.spot) for one in free)
        spot = told[0].facts.spot if is_one else spot_of(self._problem, free[0].place)
        return Reason("open", facts=Facts(kind=LEFT_FREE, spot=spot))

    def _crowded(self, ask: Ask, alone: Sequence[Wanted]) -> Reason | None:
        """Tell whether it takes more to make room than one or two others can give up."""
        least = min((len(one.in_way) for one in alone), default=0)
        if least > MOST_EXCHANGED:
            return Reason("crowded", facts=Facts(number=least))
        if not least or any(self._exchanges.may_go(ask, [*one.in_way]) for one in alone):
            return None
        return Reason("crowded", facts=Facts(kind="fixed"))

    def _limits(self, ask: Ask, free: Sequence[Wanted]) -> Iterator[Reason]:
        """Tell of limits on use: those that keep out all of a day, or what nobody holds."""
        whole: dict[RuleSaid, list[int]] = {}
        some: dict[RuleSaid, list[int]] = {}
        for day in sorted({one.place.day for one in free}):
            here = [one for one in free if one.place.day == day]
            over = [one for one in here if self._in_way.is_beyond_limit(ask, one)]
            if len(over) == len(here):
                rule = said(self._problem, ask, "load", {one.ground for one in here})
                whole.setdefault(rule, []).append(day)
                continue
            clear = {one.ground for one in over if not one.on_ground and not one.people}
            if clear:
                grounds = sorted(clear, key=lambda ground: self._number[ground.key])
                rule = named(said(self._problem, ask, "load", grounds), grounds, MOST_NAMED)
                some.setdefault(rule, []).append(day)
        for rule, days in whole.items():
            rules = (replace(rule, days=day_names(self._problem, days)),)
            yield Reason("rules", facts=Facts(kind="barred", rules=rules))
        for rule, days in some.items():
            rules = (replace(rule, days=day_names(self._problem, days)),)
            yield Reason("limit", facts=Facts(rules=rules))

    def _ground_on(self, ask: Ask, here: Sequence[Wanted]) -> Iterator[Reason]:
        """Name the sessions that have ground of a place on a day."""
        taken = [one for one in here if one.on_ground]
        known = {item for one in taken for item in one.on_ground}
        holders = tuple(self._sessions.in_order(known))
        if not holders:
            return
        start = min(one.place.start_min for one in taken)
        span = Span(start, max(one.place.end_min for one in taken))
        told, more = holders_of(self._problem, holders, MOST_NAMED)
        facts = Facts(
            kind="sized" if ask.least_m2 or ask.least_share else "",
            hours=(Hours(day_name(self._problem.days[here[0].place.day]), (span,)),),
            holders=told,
            more=more,
            is_whole=len(taken) == len(here),
        )
        yield Reason("held", holders=holders, facts=facts)

    def _people_on(self, ask: Ask, here: Sequence[Wanted]) -> Iterator[Reason]:
        """Name the sessions of other asks that keep people from the places of a day, and how."""
        near: dict[Placement, list[Placement]] = {}
        for one in here:
            for item in one.people:
                near.setdefault(item, []).append(one.place)
        others = [item for item in near if item.ask != ask.key]
        holders = tuple(self._sessions.in_order(others))
        if not holders:
            return
        why = {item: self._busy(ask, item, near[item]) for item in holders}
        told, more = holders_of(self._problem, holders, MOST_NAMED, why)
        days = (day_name(self._problem.days[here[0].place.day]),)
        facts = Facts(days=days, holders=told, more=more, person=ask.coach or "")
        yield Reason("person", holders=holders, facts=facts)

    def _busy(self, ask: Ask, item: Placement, places: Sequence[Placement]) -> str:
        """Say by what a session keeps people from some places of one day, as in `Holder`."""
        if item.day != places[0].day:
            return "rest"
        if any(p.start_min < item.end_min and item.start_min < p.end_min for p in places):
            return "squad" if self._asks[item.ask].squad == ask.squad else "coach"
        return "from" if any(p.start_min >= item.end_min for p in places) else "to"


def _left_out(ask: Ask, reason: Reason, refusal: Refusal, *, is_all: bool) -> Iterator[Fault]:
    kind = "why" if is_all else "help"
    is_told = bool(reason.text) or reason.facts == Facts(kind=kind)
    if reason.is_proved or reason.holders or refusal.changes or not is_told:
        yield Fault("reason", f"Ask {ask.key}: that is not what is left out.", ())


def _differ(ask: Ask, told: Sequence[Reason], true: Sequence[Reason]) -> Iterator[Fault]:
    """Compare reasons one by one; words that were kept are not looked at."""
    for one, other in zip([*told, None], [*true, None], strict=False):
        if one is not None and other is not None:
            wanted = replace(other, text=one.text, facts=one.facts) if one.text else other
            if one == wanted:
                continue
        if one != other:
            what = f"“{other.code}” about {len(other.holders)}" if other else "no more of them"
            holders = one.holders if one else ()
            message = f"Ask {ask.key}: its reasons should say {what}; {_what_differs(one, other)}."
            yield Fault("reason", message, holders)
            return


def _what_differs(told: Reason | None, true: Reason | None) -> str:
    if told is None or true is None or told.facts == true.facts:
        return "another one stands there"
    return f"told is {told.facts}, true {true.facts}"
