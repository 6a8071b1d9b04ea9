"""Whether what a reason or a change says can be told: words that were kept, or values, not both.

Words of earlier releases, which hold no values, are believed. By itself, like `checking`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.sharing.checks.checking import Fault
from clubplanner.sharing.values.facts import NOTHING_SAID, Facts, Holder, spot_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.sharing.values.outcome import Change, Reason
    from clubplanner.sharing.values.problem import Ask, Problem

WITHOUT_VALUES = ("proof", "open")
"""Codes that say it all."""


def reason_said(ask: Ask, reason: Reason) -> Iterator[Fault]:
    """Check that a reason has words or values; what they are is derived again elsewhere."""
    yield from _either("reason", f"Ask {ask.key}, “{reason.code}”:", reason)
    if not reason.text and reason.facts == NOTHING_SAID and reason.code not in WITHOUT_VALUES:
        message = f"Ask {ask.key}, “{reason.code}”: it has neither words nor values."
        yield Fault("reason", message, ())


def _either(code: str, start: str, told: Reason | Change) -> Iterator[Fault]:
    if told.text and (not told.text.strip() or told.facts != NOTHING_SAID):
        yield Fault(code, f"{start} it has words and values at once, or no words.", ())


def change_said(problem: Problem, ask: Ask, change: Change) -> Iterator[Fault]:
    """Check what a change is told with: its place, who moves, and what it changes."""
    start = f"Ask {ask.key}, “{change.code}”:"
    yield from _either("change", start, change)
    grounds = {ground.key for ground in problem.grounds}
    places = [change.placement, *change.moves]
    if change.text or any(p.ground not in grounds or p.day >= len(problem.days) for p in places):
        return  # of words only these are looked at; a place that is none is told by itself
    if change.facts != _change_facts(problem, ask, change):
        yield Fault("change", f"{start} it tells of something else.", (change.placement,))


def _change_facts(problem: Problem, ask: Ask, change: Change) -> Facts:
    """Return the values that a change is told with, from the change itself."""
    new, names = change.ask, {one.key: one.squad_name for one in problem.asks}
    ground = next(item for item in problem.grounds if item.key == change.placement.ground)
    numbers: dict[str, tuple[int | None, int | None]] = {
        "shorter": (new.minutes, ask.minutes),
        "later finish": (new.latest_finish_min, ask.latest_finish_min),
        "earlier start": (new.earliest_start_min, ask.earliest_start_min),
        "rest": (new.rest_days, ask.rest_days),
        "other time": (change.facts.number, 0),  # held to the times themselves
    }
    number, asked = numbers.get(change.code, (0, 0))
    told = {"other surface": (ground.surface,), "other format": (ask.least_format or "",)}
    is_smaller = change.code == "smaller"
    return Facts(
        spot=spot_of(problem, change.placement),
        moves=tuple(
            Holder(names.get(item.ask, ""), spot_of(problem, item)) for item in change.moves
        ),
        number=number or 0,
        asked=asked or 0,
        names=told.get(change.code, ()),
        area_m2=ground.area_m2 if is_smaller else None,
        asked_m2=(ask.least_m2 or None) if is_smaller else None,
        part=ground.share_of_pitch if is_smaller else 0.0,
        asked_part=ask.least_share if is_smaller else 0.0,
    )
