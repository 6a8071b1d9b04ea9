"""Who may leave what in the records, said apart from the program."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask

    from tests.fuzz.requests import Attack


def may_write(app: Flask, attack: Attack, endpoint: str, table: str, status: int) -> bool:
    """Tell whether a request may leave something in a table."""
    return True
