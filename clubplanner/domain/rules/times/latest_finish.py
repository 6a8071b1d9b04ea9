"""Latest finish: the young are home in time, as the table for their age or their ask says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.rules.case import Hindrance
from clubplanner.domain.times.times import clock_from_minute
from clubplanner.language import _, marked

if TYPE_CHECKING:
    from clubplanner.domain.club.sharing_rules import SharingRules
    from clubplanner.domain.club.squads import Ask, Squad
    from clubplanner.domain.rules.case import Case

NAME = marked("latest finish")


def latest_finish(case: Case) -> Hindrance | None:
    """Refuse a training that ends after the squad's latest finish."""
    if not case.is_training or case.squad is None:
        return None
    latest = latest_finish_min(case.scene.club.rules, case.squad, case.ask)
    if latest is None or case.end_min <= latest:
        return None
    return Hindrance(
        NAME,
        _(
            "%(squad)s are to finish by %(latest)s.",
            squad=case.holder,
            latest=clock_from_minute(latest),
        ),
    )


def latest_finish_min(rules: SharingRules, squad: Squad, ask: Ask | None) -> int | None:
    """Return by which minute of the day a squad is to finish; None for no rule.

    The earlier of what the club's table says for its age and what its ask says.
    """
    told = [rules.for_age(squad.age).latest_finish_min]
    if ask is not None:
        told.append(ask.latest_finish_min)
    return min((minute for minute in told if minute is not None), default=None)
