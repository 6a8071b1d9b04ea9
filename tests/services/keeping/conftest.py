"""What tests of what is kept share."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.records import drop_records, place_of
from tests.services.keeping.planted import lived_in_store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from clubplanner.store.engine import Store


@pytest.fixture
def lived(tmp_path: Path) -> Iterator[Store]:
    """Give the records of a club after some weeks of use."""
    store = lived_in_store(tmp_path)
    yield store
    place = place_of(store)
    store.close()
    drop_records(place)
