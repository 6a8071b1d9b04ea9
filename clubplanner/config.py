"""What a person may set from outside, by option or environment."""

from __future__ import annotations

import os
from dataclasses import dataclass

DEFAULT_DATABASE = "sqlite:///clubplanner.sqlite"
DEFAULT_ADDRESS = "http://127.0.0.1:8000"
ENVIRONMENT_PREFIX = "CLUBPLANNER_"


@dataclass(frozen=True, slots=True)
class Config:
    """Settings of one running planner.

    Attributes:
        database: SQLAlchemy address; CLUBPLANNER_DATABASE.
        public_address: How people reach the pages, without a slash at the end, such as
            "https://pitches.example.org"; used in feeds. CLUBPLANNER_PUBLIC_ADDRESS.
        proxies: How many servers of the club's own stand in front, each adding where a request
            came from (X-Forwarded-For); 0 believes no such header. CLUBPLANNER_PROXIES.
    """

    database: str = DEFAULT_DATABASE
    public_address: str = DEFAULT_ADDRESS
    proxies: int = 0


def config_from_environment() -> Config:
    """Read the configuration from the environment, defaults where nothing is set."""
    return Config(
        database=os.environ.get(f"{ENVIRONMENT_PREFIX}DATABASE", DEFAULT_DATABASE),
        public_address=os.environ.get(
            f"{ENVIRONMENT_PREFIX}PUBLIC_ADDRESS", DEFAULT_ADDRESS
        ).rstrip("/"),
        proxies=_small_number(os.environ.get(f"{ENVIRONMENT_PREFIX}PROXIES", "")),
    )


def _small_number(text: str) -> int:
    """Return a number of 0 to 9; 0 for anything else, which is the careful choice."""
    return int(text) if text in "0123456789" and text else 0
