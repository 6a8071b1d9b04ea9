"""Who can open an address: told from the address alone."""

from __future__ import annotations

import pytest

from clubplanner.services.addresses.public_address import address_of
from clubplanner.services.addresses.reach import Reach, caution_of, reach_of


@pytest.mark.parametrize(
    ("address", "reach"),
    [
        ("https://pitches.example.org", Reach.ANYWHERE),
        ("https://93.184.216.34", Reach.ANYWHERE),
        ("http://pitches.example.org", Reach.OPEN_ON_THE_WAY),
        ("http://93.184.216.34:8000", Reach.OPEN_ON_THE_WAY),
        ("http://127.0.0.1:8000", Reach.THIS_MACHINE),
        ("https://127.8.9.1", Reach.THIS_MACHINE),
        ("http://[::1]:8000", Reach.THIS_MACHINE),
        ("http://localhost:8000", Reach.THIS_MACHINE),
        ("https://club.localhost", Reach.THIS_MACHINE),
        ("http://LOCALHOST.", Reach.THIS_MACHINE),
        ("http://192.168.1.20:8000", Reach.OWN_NETWORK),
        ("https://10.1.2.3", Reach.OWN_NETWORK),
        ("http://172.16.0.9", Reach.OWN_NETWORK),
        ("http://169.254.7.7", Reach.OWN_NETWORK),
        ("http://100.64.1.1", Reach.OWN_NETWORK),
        ("http://[fd12::7]:8000", Reach.OWN_NETWORK),
        ("http://[fe80::7%25eth0]:8000", Reach.OWN_NETWORK),
        ("http://clubhouse:8000", Reach.OWN_NETWORK),
        ("http://clubhouse.local", Reach.OWN_NETWORK),
        ("http://clubhouse.home.arpa", Reach.OWN_NETWORK),
    ],
)
def test_reach_is_told_from_the_host_and_the_scheme(address: str, reach: Reach) -> None:
    """Loopback and private ranges by RFC 1122, 1918, 3927, 4193, 6598; names by RFC 6761, 8375."""
    assert reach_of(address) is reach
    caution = caution_of(address)
    assert (caution is None) == (reach is Reach.ANYWHERE)
    if caution is not None:
        assert address in caution.what
        assert "CLUBPLANNER_PUBLIC_ADDRESS" in str(caution)


@pytest.mark.parametrize(
    ("host", "port", "address"),
    [
        ("127.0.0.1", 8150, "http://127.0.0.1:8150"),
        ("localhost", 80, "http://localhost"),
        ("::1", 8000, "http://[::1]:8000"),
        ("[::1]", 80, "http://[::1]"),
        ("clubhouse.local", 8000, "http://clubhouse.local:8000"),
        ("fe80::7%eth0", 8000, "http://[fe80::7%25eth0]:8000"),
    ],
)
def test_an_address_is_written_from_host_and_port(host: str, port: int, address: str) -> None:
    """Brackets round IPv6 (RFC 3986, section 3.2.2); port 80 need not be named."""
    assert address_of(host, port) == address
