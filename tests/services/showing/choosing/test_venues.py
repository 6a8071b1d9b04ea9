"""The venue that a page shows where nobody chose, and where somebody did."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from clubplanner.errors import MissingError
from clubplanner.services.rows.snapshot import load_venues
from clubplanner.services.showing.choosing.venues import chosen_venue
from tests.small_club import load_small_club

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


def test_the_chosen_venue_or_the_first(empty_store: Store) -> None:
    """Where nobody chose it is the first; one that is not there is told in the page's words."""
    with load_small_club(empty_store).read() as session:
        venues = load_venues(session)
    first = venues[0]
    last = replace(first, key="last", name="Last")
    venues = (*venues, last)
    assert chosen_venue(venues, None, "elsewhere") == first
    assert chosen_venue(venues, last.key, "elsewhere") == last
    with pytest.raises(MissingError, match="elsewhere"):
        chosen_venue(venues, "nowhere", "elsewhere")


@pytest.mark.parametrize("key", [None, "ground"])
def test_before_there_is_any_venue(key: str | None) -> None:
    """Without a venue it is said what to load, whatever was chosen."""
    with pytest.raises(MissingError, match="no venue yet; load"):
        chosen_venue((), key, "elsewhere")
