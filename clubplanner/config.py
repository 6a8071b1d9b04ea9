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
    """

    database: str = DEFAULT_DATABASE
    public_address: str = DEFAULT_ADDRESS


def config_from_environment() -> Config:
    """Read the configuration from the environment, defaults where nothing is set."""
    return Config(
        database=os.environ.get(f"{ENVIRONMENT_PREFIX}DATABASE", DEFAULT_DATABASE),
        public_address=os.environ.get(
            f"{ENVIRONMENT_PREFIX}PUBLIC_ADDRESS", DEFAULT_ADDRESS
        ).rstrip("/"),
    )
