"""What tests of languages share."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.services.coach.fits.remembered import ANSWERS

if TYPE_CHECKING:
    from collections.abc import Iterator


@pytest.fixture(scope="module", autouse=True)
def nothing_remembered() -> Iterator[None]:
    """Let no answer in a real language come in where another catalogue stands for it, nor go out.

    An answer is remembered by its language, of which a process has one catalogue but in tests.
    """
    ANSWERS.forget()
    yield
    ANSWERS.forget()
