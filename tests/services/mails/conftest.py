"""What tests of mails share."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.mail_server import Postbox, mail_server

if TYPE_CHECKING:
    from collections.abc import Iterator


@pytest.fixture
def box() -> Iterator[Postbox]:
    """Give a running mail server."""
    with mail_server() as running:
        yield running
