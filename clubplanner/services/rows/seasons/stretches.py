"""Finding a stretch of the season by its name or by a date in it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.club.comparing_names import is_called
from clubplanner.domain.times.seasons import Stretch
from clubplanner.domain.times.times import MINUTES_A_DAY, TimeRange, day_in_words, instant_from_wall
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.rows.snapshot import load_stretches

if TYPE_CHECKING:
    from datetime import date
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store


def list_stretches(store: Store) -> tuple[Stretch, ...]:
    """Return the stretches of the season by date."""
    with store.read() as session:
        return load_stretches(session)


def find_stretch(session: Session, key: str) -> Stretch:
    """Return the stretch of a key or name.

    Raises:
        MissingError: Naming the stretches there are.
    """
    stretches = load_stretches(session)
    for stretch in stretches:
        if is_called(key, stretch.key, stretch.name):
            return stretch
    known = ", ".join(stretch.key for stretch in stretches) or _("none yet")
    raise MissingError(
        _("There is no stretch “%(key)s”; the stretches are: %(known)s.", key=key, known=known)
    )


def stretch_of(session: Session, day: date) -> Stretch:
    """Return the stretch that a date lies in.

    Raises:
        MissingError: Naming the stretches there are.
    """
    stretches = load_stretches(session)
    for stretch in stretches:
        if stretch.starts_on <= day <= stretch.ends_on:
            return stretch
    known = ", ".join(
        _(
            "%(name)s (%(starts_on)s to %(ends_on)s)",
            name=s.name,
            starts_on=s.starts_on,
            ends_on=s.ends_on,
        )
        for s in stretches
    ) or _("none yet")
    raise MissingError(
        _(
            "%(day)s lies in no stretch; the stretches are: %(known)s.",
            day=day_in_words(day),
            known=known,
        )
    )


def stretch_or_day(session: Session, day: date) -> Stretch:
    """Return the stretch that a date lies in, or the date as one of its own, without a key.

    An evening can be shared out by itself, in a club that plans no weeks too.
    """
    for stretch in load_stretches(session):
        if stretch.starts_on <= day <= stretch.ends_on:
            return stretch
    return lone_day(day)


def lone_day(day: date) -> Stretch:
    """Return a date that lies in no stretch of the season as one of its own."""
    return Stretch("", day_in_words(day), day, day)


def stretch_range(stretch: Stretch, zone: ZoneInfo) -> TimeRange:
    """Return the instants from the first midnight of a stretch to that after its last date."""
    return TimeRange(
        instant_from_wall(stretch.starts_on, 0, zone),
        instant_from_wall(stretch.ends_on, MINUTES_A_DAY, zone),
    )
