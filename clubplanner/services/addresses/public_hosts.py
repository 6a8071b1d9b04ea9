"""Which computers the server may reach on behalf of a person: public ones, and no others.

A name is resolved once, every address it has is checked, and the connection goes to a checked
address itself, so that a name that changes its address in between gains nothing.
"""

from __future__ import annotations

import ipaddress
import queue
import socket
import threading
import time
from collections.abc import Callable

Resolve = Callable[[str, int], list[str]]
"""Name and port to addresses; raises OSError where there are none."""

_UNICAST = ipaddress.ip_network("2000::/3")
"""Where public IPv6 addresses are (RFC 4291, section 2.4; IANA's registry of the address space)."""
_NAT64 = ipaddress.ip_network("64:ff9b::/96")
"""IPv4 addresses inside IPv6 (RFC 6052, section 2.1)."""
_NOT_PUBLIC = tuple(
    ipaddress.ip_network(network)
    for network in (
        "2001::/32",  # Teredo (RFC 4380): leads to an IPv4 address behind somebody's router
        "2002::/16",  # 6to4 (RFC 3056): likewise, by a relay
        "3fff::/20",  # documentation (RFC 9637)
        "192.0.0.0/24",  # protocol assignments (RFC 6890)
        "192.88.99.0/24",  # relays of 6to4, given up (RFC 7526)
    )
)
"""What `ipaddress` takes for public, at least in some of its versions."""
_OWN_NETWORKS = tuple(
    ipaddress.ip_network(network)
    for network in ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "fc00::/7")
)
"""Addresses of one's own network (RFC 1918, section 3; RFC 4193, section 3.1)."""
_ISATAP = frozenset({0x0000_5EFE, 0x0200_5EFE})
"""Upper half of an interface's number with an IPv4 address as its lower one (RFC 5214)."""


class InternalHostError(Exception):
    """A name has an address that is not public."""


def resolve_by_system(host: str, port: int) -> list[str]:
    """Ask the system for the addresses of a name.

    Raises:
        OSError: If it has none.
    """
    found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    return list(dict.fromkeys(str(entry[4][0]) for entry in found))


def checked_addresses(
    host: str,
    port: int,
    *,
    resolve: Resolve,
    deadline: float,
    allow_loopback: bool,
    allow_near: bool = False,
) -> list[str]:
    """Resolve a name and check its addresses.

    Args:
        host: A name, or an address of either kind without brackets.
        port: Where it listens.
        resolve: Asks for addresses.
        deadline: On the monotonic clock, seconds.
        allow_loopback: Whether this computer itself may be reached; for tests.
        allow_near: Whether the host is one that may lie on the club's own network.

    Returns:
        Addresses, one or more, all of them public, or near where that is allowed.

    Raises:
        InternalHostError: If one of them is not.
        OSError: If there is none.
        TimeoutError: If asking takes too long.
    """
    addresses = _in_time(lambda: resolve(host, port), deadline)
    if not addresses:
        raise OSError("no address")
    for address in addresses:
        if allow_near and is_near(address):
            continue
        if not is_public(address, allow_loopback=allow_loopback):
            raise InternalHostError
    return addresses


def is_public(text: str, *, allow_loopback: bool = False) -> bool:
    """Tell whether an address is one that anybody could reach.

    Loopback, private, link-local, reserved and multicast addresses are not (IANA's registries of
    special-purpose addresses, as Python's `ipaddress` has them); nor is one with a zone, which
    counts on this computer alone.

    An IPv6 address is public within 2000::/3 alone, which leaves out those that have an IPv4
    address inside (mapped, compatible, translated, local NAT64); tunnels that lie within are
    refused by name. Two forms are as public as the IPv4 address inside: mapped ones, which are
    the same address, and 64:ff9b::/96, which every name has where a network without IPv4 asks
    (RFC 6147).
    """
    try:
        address = ipaddress.ip_address(text)
    except ValueError:
        return False
    if isinstance(address, ipaddress.IPv6Address):
        if address.scope_id is not None:
            return False
        inside = _same_in_ipv4(address)
        if inside is not None:
            return is_public(str(inside), allow_loopback=allow_loopback)
    if allow_loopback and address.is_loopback:
        return True
    if isinstance(address, ipaddress.IPv6Address):
        interface = int(address) >> 32 & 0xFFFF_FFFF
        if address not in _UNICAST or interface in _ISATAP:
            return False
    if any(address in network for network in _NOT_PUBLIC):
        return False
    return address.is_global and not address.is_multicast


def is_near(text: str) -> bool:
    """Tell whether an address is one of a network of one's own, as homes and clubs have them.

    Loopback, link-local and other addresses that are not public are not near: there are things
    that only listen to their own computer. A mapped IPv4 address is the same address; one inside
    any other form is refused.
    """
    try:
        address = ipaddress.ip_address(text)
    except ValueError:
        return False
    if isinstance(address, ipaddress.IPv6Address):
        if address.scope_id is not None:
            return False
        address = address.ipv4_mapped or address
    return any(address in network for network in _OWN_NETWORKS)


def _same_in_ipv4(address: ipaddress.IPv6Address) -> ipaddress.IPv4Address | None:
    if address in _NAT64:
        return ipaddress.IPv4Address(int(address) & 0xFFFF_FFFF)
    return address.ipv4_mapped


def _in_time(ask: Callable[[], list[str]], deadline: float) -> list[str]:
    """Run what has no time limit of its own; a thread that is too late is left to end by itself."""
    answers: queue.SimpleQueue[list[str] | Exception] = queue.SimpleQueue()

    def run() -> None:
        try:
            answers.put(ask())
        except (OSError, UnicodeError) as error:
            answers.put(error)

    threading.Thread(target=run, daemon=True).start()
    try:
        answer = answers.get(timeout=max(0.001, deadline - time.monotonic()))
    except queue.Empty as error:
        raise TimeoutError from error
    if isinstance(answer, Exception):
        raise OSError("no address") from answer
    return answer
