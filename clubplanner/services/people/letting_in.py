"""An address that lets somebody in; it is shown once, for only its hash is kept."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from clubplanner.services.people.people import see_person
from clubplanner.services.people.ways_in.passwords import create_secretary_key
from clubplanner.services.people.ways_in.sign_in_links import hand_over_link

if TYPE_CHECKING:
    from datetime import datetime

    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class WayIn:
    """A way in that works once.

    Attributes:
        name: Whose.
        path: Its address below the club's.
        sets_password: Whether it sets a secretary's password; else it signs a browser in.
    """

    name: str
    path: str = field(repr=False)
    sets_password: bool


def make_way_in(store: Store, number: int, now: datetime) -> WayIn:
    """Make an address to hand over: a secretary sets a password with it, others are signed in.

    Raises:
        FaultyInputError: If somebody else signs in with their name or e-mail.
        MissingError: If there is no such person.
        RefusedError: If somebody else has to do it.
    """
    person = see_person(store, number).person
    if person.is_secretary:
        key = create_secretary_key(store, now, person.name)
        return WayIn(person.name, f"/secretary/{key}", sets_password=True)
    secret = hand_over_link(store, number, now)
    return WayIn(person.name, f"/let-in/{secret}", sets_password=False)
