"""Lists of clubs, written for a test."""

from __future__ import annotations

import json
import os
from typing import TYPE_CHECKING

from clubplanner.clubs.listing import read_list
from clubplanner.config import Config, Settings
from clubplanner.errors import FaultyInputError

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from clubplanner.clubs.listing import KnownClub


def plain(name: str, address: str = "", **more: object) -> dict[str, object]:
    """Return what a list says of a club: records of its own name, a host of its own."""
    public = address or f"https://{name}.example.org"
    return {"records": f"sqlite:///{name}.sqlite", "public_address": public, **more}


def as_toml(clubs: Mapping[str, Mapping[str, object]]) -> str:
    """Write a list; JSON's texts, numbers and lists are TOML's."""
    return "\n".join(
        f"[{json.dumps(name)}]\n"
        + "\n".join(f"{key} = {json.dumps(value)}" for key, value in club.items())
        for name, club in clubs.items()
    )


def write(file: Path, text: str) -> None:
    """Write a file anew, in one go, as whoever is careful does; its time differs each time."""
    earlier = file.stat().st_mtime_ns if file.exists() else 0
    fresh = file.with_name("fresh")
    fresh.write_text(text, encoding="utf-8")
    os.utime(fresh, ns=(earlier + 1_000_000, earlier + 1_000_000))
    fresh.replace(file)


def settings(**values: str) -> Settings:
    """Return common settings."""
    return Settings(values, lambda name: f"CLUBPLANNER_{name}")


def read(file: Path, text: str, **common: str) -> dict[str, KnownClub]:
    """Read a list of this text, by short name."""
    write(file, text)
    return {club.name: club for club in read_list(file, Config(), settings(**common))}


def faults_of(file: Path, text: str, **common: str) -> list[str]:
    """Return all that is said of a list, each with its place."""
    try:
        read(file, text, **common)
    except FaultyInputError as fault:
        return [str(problem) for problem in fault.problems]
    return []
