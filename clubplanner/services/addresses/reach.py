"""Who can open an address that is handed out, and what to do where that is not everybody."""

from __future__ import annotations

import ipaddress
from dataclasses import dataclass
from enum import Enum
from urllib.parse import urlsplit

from clubplanner.language import _
from clubplanner.services.addresses.public_hosts import is_public

LOCAL_ENDINGS = (".local", ".internal", ".home.arpa", ".lan", ".test")
"""Names that mean something inside one network only: RFC 6762, ICANN's reserved "internal",
RFC 8375 and RFC 2606; "lan" is common practice, no source."""


class Reach(Enum):
    """From where an address can be opened, and whether others can read along."""

    ANYWHERE = "anywhere"
    OPEN_ON_THE_WAY = "open on the way"
    OWN_NETWORK = "own network"
    THIS_MACHINE = "this machine"


@dataclass(frozen=True, slots=True)
class Caution:
    """What to say before somebody copies an address.

    Attributes:
        what: What does not work.
        remedy: What whoever runs the planner does about it.
    """

    what: str
    remedy: str

    def __str__(self) -> str:
        """Both sentences."""
        return f"{self.what} {self.remedy}"


def reach_of(address: str) -> Reach:
    """Tell from where an address such as "https://pitches.example.org" can be opened."""
    parts = urlsplit(address)
    host = (parts.hostname or "").rstrip(".")
    try:
        number = ipaddress.ip_address(host.partition("%")[0])
    except ValueError:
        is_here = host == "localhost" or host.endswith(".localhost")  # RFC 6761, section 6.3
        is_near = "." not in host or host.endswith(LOCAL_ENDINGS)
    else:
        is_here = number.is_loopback or number.is_unspecified
        is_near = not is_public(host)
    if is_here:
        return Reach.THIS_MACHINE
    if is_near:
        return Reach.OWN_NETWORK
    return Reach.ANYWHERE if parts.scheme == "https" else Reach.OPEN_ON_THE_WAY


def caution_of(address: str) -> Caution | None:
    """Say what does not work with addresses that begin with this one; None if all does."""
    reach = reach_of(address)
    if reach is Reach.ANYWHERE:
        return None
    what = {
        Reach.THIS_MACHINE: _(
            "Addresses that are handed out begin with %(address)s and open on this machine only, "
            "on no phone and no other computer.",
            address=address,
        ),
        Reach.OWN_NETWORK: _(
            "Addresses that are handed out begin with %(address)s and open only where people are "
            "in the same network as this machine.",
            address=address,
        ),
        Reach.OPEN_ON_THE_WAY: _(
            "Addresses that are handed out begin with %(address)s: without https others on the "
            "way can read them, and passwords, too.",
            address=address,
        ),
    }
    remedy = _(
        "For others to open them, whoever runs the planner puts a server that speaks https in "
        "front of it and sets CLUBPLANNER_PUBLIC_ADDRESS to that server's address, such as "
        "https://pitches.example.org. Hand addresses out after that."
    )
    return Caution(what[reach], remedy)
