"""What a running planner writes down of itself, and how.

Never an address with a secret in it, a name, or what somebody typed: requests are told by the
route they took ("/ground/<secret>"). Where one process serves many clubs, each entry says whose it
is, by the club's short name.
"""

from __future__ import annotations

import json
import logging
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.config import Config

REQUESTS = logging.getLogger("clubplanner.requests")
"""One entry an answer, at level "info"."""
FIELDS = "fields"
"""Attribute of a log record under which its values stand, by name."""

_club: ContextVar[str] = ContextVar("club", default="")


@contextmanager
def at_work_for(club: str) -> Iterator[None]:
    """Let every entry that is made in the block bear a club's short name; blank for none."""
    token = _club.set(club)
    try:
        yield
    finally:
        _club.reset(token)


def club_at_work() -> str:
    """Return the short name of the club that is at work here; blank for none."""
    return _club.get()


class Lines(logging.Formatter):
    """A line an entry, the club's short name in front; a fault has its traceback below it."""

    def __init__(self) -> None:
        super().__init__("%(levelname)s %(name)s: %(message)s")

    def format(self, record: logging.LogRecord) -> str:
        """Write an entry."""
        words, club = super().format(record), _club.get()
        return f"[{club}] {words}" if club else words


class JsonLines(logging.Formatter):
    """One JSON object an entry: time (RFC 3339, UTC), level, logger, message, values by name.

    Where one process serves many clubs, "club" is the short name of the one at work for.
    """

    def format(self, record: logging.LogRecord) -> str:
        """Write an entry; a fault with its traceback stays on the line."""
        at = datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds")
        entry: dict[str, object] = {
            "time": at,
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
            **({"club": _club.get()} if _club.get() else {}),
            **getattr(record, FIELDS, {}),
        }
        if record.exc_info:
            entry["traceback"] = self.formatException(record.exc_info)
        return json.dumps(entry, ensure_ascii=False, default=str)


def set_up_logs(config: Config) -> None:
    """Let this process log to standard error, by CLUBPLANNER_LOG_LEVEL and CLUBPLANNER_LOG_FORM.

    Our own loggers follow the level; those of libraries tell warnings and worse.
    """
    handler = logging.StreamHandler()
    handler.setFormatter(JsonLines() if config.log_form == "json" else Lines())
    root = logging.getLogger()
    root.handlers[:] = [handler]
    root.setLevel(logging.WARNING)
    logging.getLogger("clubplanner").setLevel(config.log_level.upper())
