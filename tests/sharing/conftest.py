"""What tests of searches share."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.by_steps import efforts_by_steps

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from clubplanner.sharing.values.problem import Effort


@pytest.fixture
def by_steps() -> Iterator[Callable[[float], Effort]]:
    """Give efforts that only their steps end, however busy the machine is."""
    with efforts_by_steps() as efforts:
        yield efforts
