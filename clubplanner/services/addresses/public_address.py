"""The one place that decides under which address people reach the pages.

What the club has set (CLUBPLANNER_PUBLIC_ADDRESS) comes first. Else it is where the pages are
served: the server knows, and notes it in the records for commands and workers, which run in other
processes. What a request says its host is counts nowhere: anybody can write anything there, and
our addresses go into mails, calendars and codes to scan that other people open.
"""

from __future__ import annotations

import ipaddress
import socket
from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.config import USUAL_PORT
from clubplanner.store.tables.link_tables import ServedRow

if TYPE_CHECKING:
    from datetime import datetime

    from clubplanner.config import Config
    from clubplanner.store.engine import Store

HTTP_PORT = 80
"""What browsers take where an address names no port (RFC 9110, section 4.2.1)."""
THIS_MACHINE = "127.0.0.1"
_FAR_AWAY = {socket.AF_INET: "198.51.100.1", socket.AF_INET6: "2001:db8::1"}
"""Addresses of nobody, kept for examples (RFC 5737, RFC 3849); nothing is sent to them."""


def settle_address(config: Config, store: Store) -> Config:
    """Return the configuration with the address under which people reach the pages.

    It is the one set, else the one under which they were last served, else the usual one.
    """
    if config.public_address:
        return config
    usual = address_of(THIS_MACHINE, USUAL_PORT)
    return replace(config, public_address=last_served(store) or usual)


def settle_served(config: Config, store: Store, host: str, port: int, now: datetime) -> Config:
    """Return the configuration of a process that serves, and note its address in the records.

    Args:
        config: The configuration.
        store: The database.
        host: Where it listens: a name or an address; "0.0.0.0", "::" or blank for all there are.
        port: The port it has.
        now: The present instant.
    """
    address = config.public_address or address_of(host, port)
    with store.write() as session:
        row = session.get(ServedRow, 1)
        if row is None:
            session.add(ServedRow(id=1, address=address, served_at=now))
        else:
            row.address, row.served_at = address, now
    return replace(config, public_address=address)


def last_served(store: Store) -> str:
    """Return under which address the pages were last served; blank if they never were."""
    with store.read() as session:
        row = session.get(ServedRow, 1)
        return "" if row is None else row.address


def address_of(host: str, port: int) -> str:
    """Return the address of what listens on a host and port, without a slash at the end.

    Who listens on all of a machine's addresses is reached under the one by which the machine
    reaches others; where it reaches nobody, under the one for itself.
    """
    name = host.strip("[]") or "0.0.0.0"  # noqa: S104 - read, not listened on
    try:
        number = ipaddress.ip_address(name)
    except ValueError:
        shown = name
    else:
        if number.is_unspecified:
            number = ipaddress.ip_address(_own_address(number.version))
        shown = f"[{number}]".replace("%", "%25") if number.version == 6 else str(number)
    return f"http://{shown}" if port == HTTP_PORT else f"http://{shown}:{port}"


def _own_address(version: int) -> str:
    """Return the address from which this machine would send; IPv4 where it listens there too."""
    families = [socket.AF_INET] if version == 4 or socket.has_dualstack_ipv6() else []
    families += [socket.AF_INET6] if version == 6 else []
    for family in families:
        try:
            with socket.socket(family, socket.SOCK_DGRAM) as probe:
                probe.connect((_FAR_AWAY[family], 9))  # chooses a route; a datagram is not sent
                return str(probe.getsockname()[0])
        except OSError:
            continue
    return THIS_MACHINE if version == 4 else "::1"
