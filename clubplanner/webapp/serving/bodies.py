"""How much of a request is read at all."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Request

if TYPE_CHECKING:
    from flask import Flask

LARGEST_REQUEST_BYTES = 20_000_000
LARGEST_FORM_BYTES = 2_000_000
"""Of a form without files: all of it is read at once, and its fields take up to a hundred times as
much."""
LARGEST_TEXT_BYTES = 1_000_000
"""Of what is typed in a form with files, which is read piece by piece."""


def register(app: Flask) -> None:
    """Set the limits of an app."""
    app.request_class = PlannerRequest
    app.config.update(
        MAX_CONTENT_LENGTH=LARGEST_REQUEST_BYTES, MAX_FORM_MEMORY_SIZE=LARGEST_TEXT_BYTES
    )


class PlannerRequest(Request):
    """A request whose form is read only if there is room for what it becomes."""

    @property
    def max_content_length(self) -> int | None:
        """The most bytes that are read of the body."""
        if self.mimetype == "application/x-www-form-urlencoded":
            return LARGEST_FORM_BYTES
        return super().max_content_length

    @max_content_length.setter
    def max_content_length(self, value: int | None) -> None:
        """Set it for this request; a form without files keeps its own limit."""
        self._max_content_length = value
