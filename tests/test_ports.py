"""Ports for tests: nobody else is given one between its choice and its use."""

from __future__ import annotations

import socket
import subprocess
import sys
from pathlib import Path

from tests.ports import BLOCK, FIRST, HOST, LAST, free_port

RANGE = Path("/proc/sys/net/ipv4/ip_local_port_range")
MANY = "from tests.ports import free_port; print(*(free_port() for _ in range(60)))"


def test_two_processes_are_given_no_port_in_common() -> None:
    """However many they ask for, before any of them is used."""
    ours = {free_port() for _ in range(BLOCK)}
    command = [sys.executable, "-c", MANY]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    theirs = {int(word) for word in said.split()}
    assert ours
    assert theirs
    assert not ours & theirs


def test_a_port_in_use_is_passed_over() -> None:
    """Until it is let go."""
    with socket.create_server((HOST, free_port())) as listening:
        used = listening.getsockname()[1]
        assert used not in {free_port() for _ in range(2 * BLOCK)}


def test_no_connection_that_goes_out_takes_one() -> None:
    """The system chooses ports from a range of its own (ip(7), `ip_local_port_range`)."""
    if RANGE.exists():
        assert int(RANGE.read_text().split()[0]) > LAST
    assert FIRST <= free_port() < LAST
