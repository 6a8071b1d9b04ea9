"""What records hold in English is in the catalogues: enumerations, and columns by their names."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.booked.waiting import AskState, SwapState
from clubplanner.domain.club.people import Role
from clubplanner.domain.ground.plans import CUTS
from clubplanner.services.journal.record_words import DRAWN, NAMES
from clubplanner.services.season.grass.wear import guidance
from clubplanner.sharing.model.aim_book import AIMS
from clubplanner.store.journal.record_sorts import SORTS
from tests.languages.messages import find_messages

if TYPE_CHECKING:
    from collections.abc import Iterable

HIDDEN = {"id", "version", "password_hash"}


@pytest.fixture(scope="module")
def known() -> set[object]:
    """Find every message once."""
    return {message.id for message in find_messages()}


@pytest.mark.parametrize(
    "words",
    [
        Purpose,
        Condition,
        Role,
        AskState,
        SwapState,
        [aim.name for aim in AIMS],
        CUTS,
        [sort.name for sort in SORTS],
    ],
    ids=["purposes", "conditions", "roles", "asks", "offers", "aims", "cuts", "sorts"],
)
def test_an_enumeration_is_known(words: Iterable[str], known: set[object]) -> None:
    """Each of its values can be told in any language."""
    assert {str(word) for word in words} - known == set()


def test_published_guidance_is_known(known: set[object]) -> None:
    """How pitches are built, and how good they are."""
    words = {word for row in guidance() for word in (row.construction, row.quality) if word}
    assert words - known == set()


def test_every_column_that_is_journalled_has_words(known: set[object]) -> None:
    """As the list of changes calls it; what is only said to have changed has its own words."""
    labels = set()
    for sort in SORTS:
        for column in sort.table.columns:
            name = column.name
            if name in sort.left_out | HIDDEN | set(DRAWN) or name.endswith("_id"):
                continue
            labels.add(NAMES.get(name, name.removesuffix("_min").replace("_", " ")))
    assert labels - known == set()
