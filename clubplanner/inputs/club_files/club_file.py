"""A file that a club hands in, before anybody has read it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ClubFile:
    """One file as it came."""

    name: str
    data: bytes
