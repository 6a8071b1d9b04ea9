"""Attempts to sign in are counted in the database, so that a restart forgets none of them.

Nobody can shut somebody else out: a browser that a person used before is counted by itself, and a
machine waits for what was tried from it (the protocol of device cookies: OWASP, "Slow Down Online
Guessing Attacks with Device Cookies"). What bounds guessing from many machines at once, a brake on
all strangers together, holds only browsers up that the person never used.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from ipaddress import IPv6Address, ip_address
from typing import TYPE_CHECKING

from sqlalchemy import delete, select

from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.errors import TooManyError
from clubplanner.services.addresses.links import hash_secret
from clubplanner.store.tables.people_tables import SignInTryRow

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

KEPT_HOURS = 24
FREE_TRIES = 5
"""Without a wait, from one source for one name; after them each wait is twice the one before."""
FIRST_WAIT_S, LONGEST_WAIT_S = 60, 3600


@dataclass(frozen=True, slots=True)
class Brake:
    """So many attempts within so many minutes, whatever they were for."""

    most: int
    minutes: int


MACHINE = Brake(40, 15)
"""One machine and all names; a whole clubhouse may share an address."""
STRANGERS_A_NAME = Brake(60, 60)
"""All browsers the person never used: half a million guesses a year at most, where a password has
to withstand 10^10 (`password_strength.py`). One machine cannot use it up, five cannot either."""
STRANGERS = Brake(600, 60)
"""For all names together: a password takes a tenth of a second to check."""


@dataclass(frozen=True, slots=True)
class Source:
    """Where an attempt comes from.

    Attributes:
        machine: The network address; blank when not known.
        browser: What tells a browser that the person used before; blank for one they never used.
    """

    machine: str = ""
    browser: str = ""


def count_try(store: Store, name: str, source: Source, now: datetime) -> None:
    """Count an attempt to sign in under where it came from and for whom.

    Args:
        store: The database.
        name: What was typed as name or e-mail.
        source: Where it came from.
        now: The present instant.

    Raises:
        TooManyError: If it comes too early; the attempt must not be looked at.
    """
    with store.write() as session:
        kept_since = now - timedelta(hours=KEPT_HOURS)
        session.execute(delete(SignInTryRow).where(SignInTryRow.tried_at <= kept_since))
        counters = [_own_key(name, source)]
        waits = [_growing_wait_s(_tried(counters[0], session), now)]
        if not source.browser:
            for words, brake in _brakes(name, source):
                counters.append(words)
                waits.append(_brake_wait_s(_tried(words, session), brake, now))
        if max(waits) > 0:
            raise TooManyError(max(waits))
        for words in counters:
            session.add(SignInTryRow(counted_under=hash_secret(words), tried_at=now))


def forget_tries(store: Store, name: str, source: Source) -> None:
    """Forget what a source was held up for, once the owner of a name is in from there."""
    key = hash_secret(_own_key(name, source))
    with store.write() as session:
        session.execute(delete(SignInTryRow).where(SignInTryRow.counted_under == key))


def _own_key(name: str, source: Source) -> str:
    """Return what an attempt's own waits are counted under."""
    if source.browser:
        return f"browser {source.browser}"
    return f"machine {_network(source.machine)} name {plain_name(name)}"


def _brakes(name: str, source: Source) -> list[tuple[str, Brake]]:
    brakes = [(f"name {plain_name(name)}", STRANGERS_A_NAME), ("strangers", STRANGERS)]
    if source.machine:
        brakes.append((f"machine {_network(source.machine)}", MACHINE))
    return brakes


def _network(machine: str) -> str:
    """Return what belongs to one holder: an IPv6 network of 64 bits (RFC 4291, 2.5.4), else all."""
    try:
        address = ip_address(machine)
    except ValueError:
        return machine
    if not isinstance(address, IPv6Address):
        return machine
    if address.ipv4_mapped is not None:
        return str(address.ipv4_mapped)
    return f"{int(address) >> 64:x}"


def _tried(words: str, session: Session) -> Sequence[datetime]:
    """Return when attempts were counted under something, earliest first."""
    query = select(SignInTryRow.tried_at).where(SignInTryRow.counted_under == hash_secret(words))
    return session.scalars(query.order_by(SignInTryRow.tried_at)).all()


def _growing_wait_s(tried: Sequence[datetime], now: datetime) -> int:
    """Return how long a source still has to wait after its last attempt, seconds."""
    over = len(tried) - FREE_TRIES
    if over < 0:
        return 0
    wait_s = min(FIRST_WAIT_S * 2 ** min(over, 10), LONGEST_WAIT_S)
    return _seconds_until(tried[-1] + timedelta(seconds=wait_s), now)


def _brake_wait_s(tried: Sequence[datetime], brake: Brake, now: datetime) -> int:
    """Return how long until there are fewer attempts in the window than its most, seconds."""
    if len(tried) < brake.most:
        return 0
    return _seconds_until(tried[-brake.most] + timedelta(minutes=brake.minutes), now)


def _seconds_until(moment: datetime, now: datetime) -> int:
    return max(0, round((moment - now).total_seconds()))
