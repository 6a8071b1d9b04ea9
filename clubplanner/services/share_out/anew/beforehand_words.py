"""The sentences about what will go wrong before anything is shared out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _, figure, ngettext
from clubplanner.sharing.values.words import listed, span

if TYPE_CHECKING:
    from collections.abc import Iterable

    from clubplanner.sharing.values.foreseen import Remedy, Supply, Trouble
    from clubplanner.sharing.values.problem import Problem

MOST_SPELLS = 6


def then(remedy: Remedy, trouble: Trouble) -> str:
    """Say where there is ground then, and that it is not for all sessions where it is not."""
    if not remedy.place or remedy.gained == trouble.missing:
        return remedy.place
    return ngettext(
        "%(place)s, for %(num)s of the %(missing)s missing",
        "%(place)s, for %(num)s of the %(missing)s missing",
        remedy.gained,
        place=remedy.place,
        missing=trouble.missing,
    )


def supply_in_words(supply: Supply) -> str:
    """Say how much is asked for, and for how much of it there is ground."""
    words = ngettext(
        "Asked for: %(num)s session, %(hours)s h a week.",
        "Asked for: %(num)s sessions, %(hours)s h a week.",
        supply.sessions,
        hours=_hours(supply.asked_minutes),
    )
    if supply.room_minutes is None:
        return words
    if not supply.is_short:
        return f"{words} " + _("By size and time there is ground for all of it.")
    if not supply.room_minutes:
        return f"{words} " + _("There is ground for none of it in the hours asked for.")
    more = _(
        "In the hours asked for there is ground for about %(hours)s h of it.",
        hours=_hours(supply.room_minutes),
    )
    return f"{words} {more}"


def _hours(minutes: int) -> str:
    halves = round(minutes / 30) / 2
    return figure(halves, ".0f" if halves == int(halves) else ".1f")


def short_in_words(problem: Problem, supply: Supply) -> str:
    """Say when ground is short; blank where it is not."""
    if not supply.short:
        return ""
    by_times: dict[str, list[str]] = {}
    for spell in supply.short:
        times = span(spell.start_min, spell.end_min)
        by_times.setdefault(times, []).append(problem.days[spell.day].name)
    spells = [f"{listed(days)} {times}" for times, days in by_times.items()]
    more = len(spells) - MOST_SPELLS
    words = "; ".join(spells[:MOST_SPELLS])
    if more > 0:
        words = _("%(spells)s and %(more)s more times", spells=words, more=more)
    return _("More is asked for than there is ground: %(spells)s.", spells=words)


def outcome_in_words(troubles: Iterable[Trouble]) -> str:
    """Say how many squads find too little ground."""
    squads = {one.squad for one in troubles}
    if not squads:
        return _("By itself, every squad that asks finds ground.")
    return ngettext(
        "%(num)s squad finds too little ground, whoever else goes without.",
        "%(num)s squads find too little ground, whoever else goes without.",
        len(squads),
    )
