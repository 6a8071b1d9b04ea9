"""What stands against a rule of the book: one line for the same session on many dates."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.club.told.concerns import Concern, ConcernKind, monday_of
from clubplanner.domain.rules.book import hindrances
from clubplanner.domain.rules.ground import load
from clubplanner.domain.rules.people import coach, travel
from clubplanner.domain.rules.times import breaks, curfew, light
from clubplanner.domain.times.times import minute_from_instant
from clubplanner.language import _, ngettext
from clubplanner.services.season.standing import Standing, dates_in_words, pattern_of

if TYPE_CHECKING:
    from collections.abc import Collection, Hashable, Iterable, Iterator, Sequence
    from datetime import date

    from clubplanner.domain.rules.case import Hindrance

KINDS = {
    coach.NAME: ConcernKind.TWO_PLACES,
    travel.NAME: ConcernKind.TWO_PLACES,
    light.NAME: ConcernKind.DARK,
    curfew.NAME: ConcernKind.DARK,
    breaks.NAME: ConcernKind.IN_BREAK,
    load.NAME: ConcernKind.WORN,
}
"""What sort of concern a rule makes; any other is "against a rule"."""
CHANGING = (light.NAME, curfew.NAME, load.NAME)
"""Rules whose words change from date to date without saying anything new."""


@dataclass(frozen=True, slots=True)
class Broken:
    """A session and a rule that it breaks."""

    standing: Standing
    hindrance: Hindrance

    @property
    def reason(self) -> str:
        """Why the rule was overruled; blank where nobody did so."""
        return self.standing.overruled


def find_broken(standing: Sequence[Standing]) -> list[Broken]:
    """Return which rules are broken, in order of the sessions.

    Squads' own wishes count only where somebody overruled a rule; what lies between two sessions
    is told of one of them, of that which has a reason if any has.
    """
    found, pairs = [], _Pairs()
    for one in sorted(standing, key=lambda one: not one.overruled):
        for hindrance in hindrances(one.case):
            if hindrance.is_own and not one.overruled:
                continue
            if pairs.is_news(one.booking.number, hindrance):
                found.append(Broken(one, hindrance))
    return sorted(found, key=lambda one: one.standing.booking.during.starts_at)


def concerns_of(found: Iterable[Broken], worn: Collection[tuple[str, date]]) -> Iterator[Concern]:
    """Yield what to tell of broken rules.

    Args:
        found: Sessions with the rules that they break.
        worn: Pitches and Mondays of weeks of which the measure of wear tells already.
    """
    groups: dict[Hashable, list[Broken]] = defaultdict(list)
    summed: dict[tuple[str, str], list[Broken]] = defaultdict(list)
    for one in found:
        rule, case = one.hindrance.rule, one.standing.case
        if one.reason or rule not in (load.NAME, breaks.NAME):
            groups[_same(one)].append(one)
        elif rule == breaks.NAME or (case.pitch.key, monday_of(case.day)) not in worn:
            summed[rule, one.hindrance.words].append(one)
    for group in groups.values():
        yield _line(group)
    for (rule, _words), group in summed.items():
        yield _worn_week(group) if rule == load.NAME else _in_break(group)


class _Pairs:
    """Which sessions have been told to be in each other's way, by rule."""

    def __init__(self) -> None:
        self._told: dict[tuple[str, int], list[frozenset[int]]] = defaultdict(list)

    def is_news(self, number: int, hindrance: Hindrance) -> bool:
        """Tell whether these sessions have not been told together yet, and note that they are."""
        if not hindrance.holders:
            return True
        together = frozenset({number, *(one.number for one in hindrance.holders)})
        if any(together <= told for told in self._told[hindrance.rule, number]):
            return False
        for one in together:
            self._told[hindrance.rule, one].append(together)
        return True


def _same(one: Broken) -> Hashable:
    """Return what lines of the same weekly session have in common."""
    case, hindrance = one.standing.case, one.hindrance
    against: Hashable = hindrance.words
    if hindrance.rule in CHANGING:
        against = ""
    elif hindrance.holders:
        against = tuple(
            (
                other.holder,
                other.pitch_key,
                other.area_key,
                other.during.starts_at - case.during.starts_at,
                other.during.minutes,
            )
            for other in hindrance.holders
        )
    pattern = pattern_of(case, one.standing.booking.holder)
    return hindrance.rule, pattern, against, one.reason


def _line(group: Sequence[Broken]) -> Concern:
    first = group[0].standing
    days = [one.standing.case.day for one in group]
    hindrance = group[0].hindrance
    kind = KINDS.get(hindrance.rule, ConcernKind.AGAINST_A_RULE)
    if kind is ConcernKind.DARK:
        hindrance = max(group, key=_how_dark).hindrance
    words = _(
        "%(holder)s, %(when)s, %(place)s, %(dates)s: %(words)s",
        holder=first.booking.holder,
        when=first.when,
        place=first.place,
        dates=dates_in_words(days),
        words=hindrance.words,
    )
    if first.overruled:
        reason = first.overruled.rstrip(". ")
        words = _("%(words)s Because: %(reason)s.", words=words, reason=reason)
    remedy, target = _remedy(group, kind)
    return Concern(kind, days[0], words, remedy, target)


def _how_dark(one: Broken) -> int:
    """Rank sessions of the same hours: the later it gets light or the earlier dark, the higher."""
    case = one.standing.case
    here = case.pitch, case.venue, case.day, case.zone
    dawn, until = light.usable_from(*here), light.usable_until(*here)
    if dawn is not None and case.during.starts_at < dawn:
        return minute_from_instant(dawn, case.day, case.zone)
    return -minute_from_instant(until or case.during.ends_at, case.day, case.zone)


def _remedy(group: Sequence[Broken], kind: ConcernKind) -> tuple[str, str]:
    """Return what to do about a line, and where."""
    first = group[0].standing
    move = f"desk.booking {first.booking.number}"
    if first.overruled:
        return _("Move it to where no rule stands in the way, or leave it as it is."), move
    if kind is ConcernKind.DARK:
        return _("Look what is free and light then."), "season.light"
    if kind is ConcernKind.TWO_PLACES:
        evening = f"desk.evening {first.case.day} {first.case.venue.key}"
        return _("Move one of them, or let somebody else take it."), evening
    if group[0].hindrance.holders:
        return _("Move one of them, or withdraw it."), move
    return (
        ngettext("Move it, or withdraw it.", "Move them, or withdraw them.", len(group)),
        move,
    )


def _in_break(group: Sequence[Broken]) -> Concern:
    words = ngettext(
        "%(words)s %(num)s training is booked all the same.",
        "%(words)s %(num)s trainings are booked all the same.",
        len(group),
        words=group[0].hindrance.words,
    )
    remedy = _("Withdraw them, or take the break out.")
    day = group[0].standing.case.day
    return Concern(ConcernKind.IN_BREAK, day, words, remedy, "season.year")


def _worn_week(group: Sequence[Broken]) -> Concern:
    return Concern(
        ConcernKind.WORN,
        group[0].standing.case.day,
        group[0].hindrance.words,
        _("Move sessions to other ground, or withdraw some."),
        "season.wear",
    )
