"""What insisting on a session costs, in words: who pays, and what is proved about it."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.language import _, figure, ngettext
from clubplanner.sharing.again.what_if import broken_wants, is_asked_time
from clubplanner.sharing.reasons.telling.places import place_told
from clubplanner.sharing.rules.book import rule_of
from clubplanner.sharing.values.facts import spot_of
from clubplanner.sharing.values.words import listed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.again.reshare import Reshared
    from clubplanner.sharing.again.what_if import Stake
    from clubplanner.sharing.values.problem import Ask, Placement, Problem


@dataclass(frozen=True, slots=True)
class Payer:
    """What it would mean for a squad.

    Attributes:
        squad_name: Whose.
        before: Percent of the best it could have alone that it has now.
        after: What it would have.
        lost: Sessions that it would lose, in words.
        moved: Sessions that would be elsewhere: from where, and where to.
        won: Sessions that it would have besides.
    """

    squad_name: str
    before: int
    after: int
    lost: tuple[str, ...]
    moved: tuple[tuple[str, str], ...]
    won: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What a wish would cost.

    Attributes:
        where: The wish in words.
        squad_name: Whose it is.
        sentence: Who pays, in one sentence.
        proof: What is proved about it, or how far it is from that.
        is_proved: Whether no way of making room costs fewer sessions or disturbs fewer squads.
        against: What it breaks of what the squad asks for, which does not bind a secretary.
        payers: Who would be touched, those who lose a session first.
        lost: How many sessions would be lost.
        moved: How many would be elsewhere.
        changes: What a form sends along to take it: each session with its new place, or none.
    """

    where: str
    squad_name: str
    sentence: str
    proof: str
    is_proved: bool
    against: tuple[str, ...]
    payers: tuple[Payer, ...]
    lost: int
    moved: int
    changes: str


def what_it_costs(
    problem: Problem,
    pin: Placement,
    done: Reshared,
    touched: Sequence[Stake],
    *,
    is_everybody: bool,
) -> WhatIf:
    """Put in words what a search for room came to.

    Args:
        problem: What is shared out, without the wish.
        pin: The session that is insisted on.
        done: What the search found.
        touched: Squads whose sessions would change.
        is_everybody: Whether everybody might have moved.
    """
    ask = next(one for one in problem.asks if one.key == pin.ask)
    payers = tuple(_payer(problem, one) for one in touched)
    others = [one for one in payers if one.squad_name != ask.squad_name]
    lost = sum(len(one.lost) for one in others)
    moved = sum(len(one.moved) for one in others)
    against = _against(problem, ask, pin)
    levels = done.outcome.levels[:2]
    is_proved = all(level.is_proved for level in levels)
    return WhatIf(
        where=place_told(spot_of(problem, pin)),
        squad_name=ask.squad_name,
        sentence=_sentence(others, lost, moved),
        proof=_proof(done, is_everybody=is_everybody),
        is_proved=is_proved,
        against=against,
        payers=payers,
        lost=lost,
        moved=moved,
        changes=_changes(done),
    )


def _sentence(others: Sequence[Payer], lost: int, moved: int) -> str:
    """Say who pays."""
    if not lost and not moved:
        return _("Nobody else pays for it: the place is free.")
    losers = [
        _(
            "%(squad)s (from %(before)s to %(after)s %%)",
            squad=one.squad_name,
            before=one.before,
            after=one.after,
        )
        for one in others
        if one.lost
    ]
    moves = ngettext("%(num)s session moves", "%(num)s sessions move", moved)
    if not lost:
        return _("Nobody loses a session; %(moves)s.", moves=moves)
    text = ngettext(
        "%(num)s session would be lost, of %(losers)s",
        "%(num)s sessions would be lost, of %(losers)s",
        lost,
        losers=listed(losers),
    )
    return f"{text}; {moves}." if moved else f"{text}."


def _proof(done: Reshared, *, is_everybody: bool) -> str:
    """Say what is proved, or how far the plan may be from the best."""
    levels = done.outcome.levels[:2]
    if all(level.is_proved for level in levels):
        if is_everybody:
            return _("Proved: no other way costs fewer sessions or touches fewer squads.")
        return _(
            "Proved while those farther away stay where they are: no other way costs fewer "
            "sessions or touches fewer squads."
        )
    if levels[0].is_proved:
        return _(
            "Proved: no other way costs fewer sessions. Fewer squads might be touched: at least "
            "%(bound)s, here %(value)s.",
            bound=levels[1].bound,
            value=levels[1].value,
        )
    return _(
        "Not proved in the time given: placing could be better by up to %(gap)s %%.",
        gap=figure(max(0.1, 100 * levels[0].gap), ".1f"),
    )


def _against(problem: Problem, ask: Ask, pin: Placement) -> tuple[str, ...]:
    """Name what a session breaks of what its squad asks for."""
    found = [] if is_asked_time(ask, pin) else [_("the times at which they can come")]
    for said in broken_wants(problem, pin):
        rule = rule_of(said.rule)
        if rule is not None and rule.words is not None:
            found.append(rule.words.but_for(said))
    return tuple(found)


def _payer(problem: Problem, stake: Stake) -> Payer:
    def told(place: Placement) -> str:
        return place_told(spot_of(problem, place))

    return Payer(
        squad_name=stake.squad_name,
        before=stake.before,
        after=stake.after,
        lost=tuple(map(told, stake.lost)),
        moved=tuple((told(old), told(new)) for old, new in stake.moved),
        won=tuple(map(told, stake.won)),
    )


def _changes(done: Reshared) -> str:
    """Write the changes of a plan, for a form to send along."""
    found: list[tuple[str, int, str | None, int, int]] = []
    kept = {(m.new.ask, m.new.session) for m in done.moves if m.new is not None}
    for move in done.moves:
        old, new = move.old, move.new
        if old is not None and (old.ask, old.session) not in kept:
            found.append((old.ask, old.session, None, 0, 0))
        if new is not None:
            found.append((new.ask, new.session, new.ground, new.day, new.start_min))
    return json.dumps(found, separators=(",", ":"))
