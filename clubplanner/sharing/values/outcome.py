"""What a share-out comes to: the plan, how good it is proved to be, who went without and why."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from clubplanner.language import _, figure, ngettext, term
from clubplanner.sharing.values.certificate import (
    Certificate,  # noqa: TC001 - the shapes of files read it at run time
)
from clubplanner.sharing.values.facts import NOTHING_SAID, Facts
from clubplanner.sharing.values.problem import Ask, Placement

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = [
    "Change",
    "CutShort",
    "Kind",
    "Level",
    "Outcome",
    "Placement",
    "Progress",
    "Reason",
    "Refusal",
    "Satisfaction",
    "Traded",
]

LEFT_FREE = "free"
"""Kind of an "open" reason that names a place left free for the ask as it stands."""
LEFT_OUT = "left out"
"""Code of a reason that says what was not looked into for lack of time."""
EARLIER_SHAPE, SHAPE = 1, 2
"""How results tell what they tell: before, and now; see `Outcome.shape`."""
GOOD_GAP = 0.05
"""A plan counts as good while the number placed is proved to be within this of the best."""


class Kind(StrEnum):
    """How a share-out ended."""

    PROVED_BEST = "proved best"
    GOOD = "good, not proved"
    IMPOSSIBLE = "impossible"
    OUT_OF_TIME = "out of time"
    BY_HAND = "by hand"


class CutShort(StrEnum):
    """What ended a search before its time, besides the clock and whoever stops it."""

    NO = "no"
    MEMORY = "memory"
    PROCESS = "process"


@dataclass(frozen=True, slots=True)
class Level:
    """One aim of the share-out, in the order in which the aims count.

    Attributes:
        name: In words.
        value: What the plan reaches. Points placed, percent of the worst-off squad and wishes:
            more is better; shortfall, cost and dead minutes: less.
        bound: What no plan can pass, given that the aims before are kept.
        is_proved: Whether value and bound meet.
        gap: Distance between them, 0.0 when proved: as a part of the value; for the worst-off
            squad of 100 %; for the shortfall of what it would be if nobody had anything.
    """

    name: str
    value: int
    bound: int
    is_proved: bool
    gap: float


@dataclass(frozen=True, slots=True)
class Traded:
    """What an aim had before days and evenings of the week were worked on, and what it has now.

    Attributes:
        name: The aim, as in `Level`.
        before: What the plan at hand had then; nobody had looked for less cost yet.
        now: What the plan reaches.
    """

    name: str
    before: int
    now: int


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a running share-out is.

    Attributes:
        level: Which aim, from 1.
        level_count: How many aims there are.
        value: Best so far on this aim; None before the first plan.
        bound: What no plan can pass; None while unknown.
        fraction: Part of the time allowed that is used up, 0 to 1.
        name: What the aim is, in words; blank while there is none yet.
    """

    level: int
    level_count: int
    value: int | None
    bound: int | None
    fraction: float
    name: str = ""


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a session has no place.

    The first reason of a refusal is the answer that stands by itself.

    Attributes:
        code: "exchange" (the session whose end would make room at least harm, or the two),
            "crowded" (it would take more than two), "rules" (no place passes every rule), "held"
            (others hold each place), "limit" (free ground whose use a week is at its limit),
            "person" (squad or coach is busy then), "pinned" (pinned sessions contradict
            something), "proof" (what is proved about making room), "open" (not settled in the time
            given, or a place was left free that nobody took), "left out" (not looked into in the
            time given) or "wish" (a place liked better is not free).
        text: Words of earlier releases, which kept them; blank where there are facts.
        is_proved: Whether it is certain that this alone keeps the session out.
        holders: Sessions of others that hold ground or people, for "held" and "person"; for
            "exchange" those that would end.
        facts: What it says; `sharing.reasons.telling` puts it into words.
    """

    code: str
    text: str = ""
    is_proved: bool = False
    holders: tuple[Placement, ...] = ()
    facts: Facts = NOTHING_SAID


@dataclass(frozen=True, slots=True)
class Change:
    """A single change to an ask that gives the refused session a place.

    Attributes:
        code: "shorter", "other day", "other time", "later finish", "earlier start", "rest", "free
            days", "smaller", "other surface", "without goal", "without light", "other venue",
            "other format" or "others move".
        ask: The ask with the change made; unchanged for "others move".
        placement: A place that is then free with everyone else where they are.
        moves: Sessions of others that would move, in their new places; empty but for "others move".
        facts: What it says; `sharing.reasons.telling` puts it into words.
        text: Words of earlier releases, which kept them; blank where there are facts.
    """

    code: str
    ask: Ask
    placement: Placement
    moves: tuple[Placement, ...] = ()
    facts: Facts = NOTHING_SAID
    text: str = ""


@dataclass(frozen=True, slots=True)
class Refusal:
    """An ask with sessions that found no place.

    Attributes:
        ask: Its key.
        squad_name: Whose it is.
        missing: How many sessions have no place.
        reasons: Why.
        changes: What would help, each enough by itself for one session, everyone else staying
            where they are. Empty when nothing tried helps.
    """

    ask: str
    squad_name: str
    missing: int
    reasons: tuple[Reason, ...]
    changes: tuple[Change, ...]

    @property
    def is_left_out(self) -> bool:
        """Whether something about it was not looked into for lack of time."""
        return any(reason.code == LEFT_OUT for reason in self.reasons)


@dataclass(frozen=True, slots=True)
class Satisfaction:
    """How well a squad is served.

    Attributes:
        squad: Its key.
        squad_name: As people say it.
        score: Wish points of its sessions.
        best_alone: Wish points it could have had with the whole club to itself.
        percent: score over best_alone, rounded down; see `domain.fair.percent_served`.
        past: Percent points by which it was served better than the average in earlier stretches;
            fairness looks at percent and past together.
    """

    squad: str
    squad_name: str
    score: int
    best_alone: int
    percent: int
    past: int = 0


@dataclass(frozen=True, slots=True)
class Outcome:
    """The result of a share-out.

    Attributes:
        kind: How it ended.
        placements: The plan, in order of day, time and ground.
        levels: Each aim that was worked on.
        refusals: Asks that miss sessions, in the order of the asks.
        satisfactions: By squad, in the order of the asks.
        contradictions: For an impossible problem whose pinned sessions cannot all stand: why.
        asked: Sessions asked for.
        seconds: Time taken.
        is_repeatable: Whether a second run gives the same plan: one worker, not stopped by the
            clock.
        problem_digest: Which problem it belongs to.
        certificate: Prices by which anybody can check what no plan can pass in placing sessions;
            None where none was looked for in the time given.
        traded: What it cost that sessions lie apart and evenings are as the club wants them: for
            wishes, days, evenings and cost; empty where these are no aims or were not reached.
        cut_short: Whether it ended early, with the best plan until then, and why.
        shape: How it tells what it tells: 2 since places left free are always named and plans by
            hand are results, 1 of releases before, whose files say none.
    """

    kind: Kind
    placements: tuple[Placement, ...]
    levels: tuple[Level, ...]
    refusals: tuple[Refusal, ...]
    satisfactions: tuple[Satisfaction, ...]
    contradictions: tuple[Reason, ...]
    asked: int
    seconds: float
    is_repeatable: bool
    problem_digest: str
    certificate: Certificate | None = None
    traded: tuple[Traded, ...] = ()
    cut_short: CutShort = CutShort.NO
    shape: int = EARLIER_SHAPE

    @property
    def placed(self) -> int:
        """How many sessions have a place."""
        return len(self.placements)

    @property
    def sentence(self) -> str:
        """Say how it ended in words for the secretary."""
        words = _SENTENCES[self.kind](self)
        return words if self.cut_short is CutShort.NO else f"{words} {why_short(self.cut_short)}"


def why_short(cut_short: CutShort) -> str:
    """Say what ended a search early, and what to do."""
    if cut_short is CutShort.MEMORY:
        return _(
            "The search had all the memory that it may have and ended early; this is its best plan "
            "until then. Allow more memory, or share out one venue at a time."
        )
    return _(
        "The process that searched was ended from outside; this is its best plan until then. "
        "Go on from it, or repeat it."
    )


def _count(outcome: Outcome) -> str:
    if outcome.asked == 0:
        return _("No sessions are asked for.")
    if outcome.placed == outcome.asked:
        return ngettext(
            "The one session asked for has a place.",
            "All %(num)s sessions asked for have a place.",
            outcome.asked,
        )
    return ngettext(
        "%(num)s of %(asked)s sessions asked for has a place.",
        "%(num)s of %(asked)s sessions asked for have a place.",
        outcome.placed,
        asked=outcome.asked,
    )


def _say_best(outcome: Outcome) -> str:
    return _(
        "%(outcome)s It is proved that no other plan does better, first in placing "
        "sessions, then in %(aims)s.",
        outcome=_count(outcome),
        aims=_listed_aims(outcome),
    )


def _listed_aims(outcome: Outcome) -> str:
    names = [term(level.name) for level in outcome.levels[1:]]
    return _(", then in ").join(names) or _("everything else")


MOST_TOLD_APART = 2
"""So many later aims that are not proved are told one by one; of more, the first and how many."""


def _say_good(outcome: Outcome) -> str:
    first = outcome.levels[0]
    if not first.is_proved:
        return _(
            "%(outcome)s The plan is good but not proved best: placing sessions could be "
            "better by up to %(gap)s. More time may settle it.",
            outcome=_count(outcome),
            gap=_percent(first.gap),
        )
    later = [level for level in outcome.levels[1:] if not level.is_proved]
    told = later if len(later) <= MOST_TOLD_APART else later[:1]
    parts = [
        _(
            "%(level)s could be better by up to %(gap)s",
            level=term(level.name),
            gap=_percent(level.gap),
        )
        for level in told
    ]
    if len(later) > len(told):
        parts.append(_("%(count)s later aims are not proved either", count=len(later) - len(told)))
    rest = "; ".join(parts) or _("the later aims were not worked on in the time given")
    return _(
        "%(outcome)s It is proved that no plan places sessions better; %(rest)s.",
        outcome=_count(outcome),
        rest=rest,
    )


def _say_impossible(outcome: Outcome) -> str:
    if outcome.contradictions:
        return _("The pinned sessions cannot all stand, so there is no plan.")
    return _(
        "Not one of the sessions asked for can be placed, whoever else goes without. "
        "The reasons stand with each squad."
    )


def _say_out_of_time(outcome: Outcome) -> str:
    if not outcome.placements:
        return _("The time ran out before a plan was found. Allow more time and try again.")
    return _(
        "The time ran out early. %(outcome)s It is the best plan found so far; how "
        "much better one could be is not known. Allow more time and try again.",
        outcome=_count(outcome),
    )


def _say_by_hand(outcome: Outcome) -> str:
    return _(
        "%(outcome)s The plan was made by hand; nothing is proved about it.",
        outcome=_count(outcome),
    )


def _percent(gap: float) -> str:
    return f"{figure(max(0.1, 100 * gap), '.1f')} %"


_SENTENCES: dict[Kind, Callable[[Outcome], str]] = {
    Kind.PROVED_BEST: _say_best,
    Kind.GOOD: _say_good,
    Kind.IMPOSSIBLE: _say_impossible,
    Kind.OUT_OF_TIME: _say_out_of_time,
    Kind.BY_HAND: _say_by_hand,
}


def ended_in_words(
    kind: Kind,
    levels: tuple[Level, ...],
    placed: int,
    asked: int,
    cut_short: CutShort = CutShort.NO,
) -> str:
    """Say how a share-out ended, of one of which only this is kept."""
    plan = (Placement("", 0, "", 0, 0, 0),) * placed
    kept = Outcome(kind, plan, levels, (), (), (), asked, 0.0, True, "", cut_short=cut_short)
    return kept.sentence
