"""What tests of services share."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.searching_ready import searching_ready

if TYPE_CHECKING:
    from collections.abc import Iterator


@pytest.fixture(scope="package", autouse=True)
def _searching_ready() -> Iterator[None]:
    """Begin processes that search with what they need loaded."""
    with searching_ready():
        yield
