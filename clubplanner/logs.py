"""What a running planner writes down of itself, and how.

Never an address with a secret in it, a name, or what somebody typed: requests are told by the route
they took ("/ground/<secret>").
"""

from __future__ import annotations

import json
import logging
from datetime import UTC, datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from clubplanner.config import Config

REQUESTS = logging.getLogger("clubplanner.requests")
"""One entry an answer, at level "info"."""
FIELDS = "fields"
"""Attribute of a log record under which its values stand, by name."""


class JsonLines(logging.Formatter):
    """One JSON object an entry: time (RFC 3339, UTC), level, logger, message, values by name."""

    def format(self, record: logging.LogRecord) -> str:
        """Write an entry; a fault with its traceback stays on the line."""
        at = datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds")
        entry: dict[str, object] = {
            "time": at,
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
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
    if config.log_form == "json":
        handler.setFormatter(JsonLines())
    else:
        handler.setFormatter(logging.Formatter("%(levelname)s %(name)s: %(message)s"))
    root = logging.getLogger()
    root.handlers[:] = [handler]
    root.setLevel(logging.WARNING)
    logging.getLogger("clubplanner").setLevel(config.log_level.upper())
