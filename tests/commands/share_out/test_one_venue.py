"""A venue shared out alone, and how much memory a share-out may have."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from click.testing import CliRunner

from clubplanner.commands import main
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.rows.snapshot import load_venues
from tests.builders import NOW
from tests.small_club import load_small_club

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


def test_a_venue_is_shared_out_round_what_was_published(empty_store: Store) -> None:
    """The proposal has every session: those elsewhere as published, those of the venue anew."""
    store = load_small_club(empty_store, NOW)
    url = ["--database", str(store.engine.url)]
    with store.read() as session:
        (venue,) = load_venues(session)
    run = [*url, "share-out", "run", "winter", "--seconds", "3", "--json"]
    first = json.loads(CliRunner().invoke(main, run).stdout)
    publish_share_out(store, first["number"], NOW)
    done = CliRunner().invoke(main, [*run, "--venue", venue.name.upper(), "--memory", "500"])
    assert done.exit_code == 0, done.output
    again = json.loads(done.stdout)
    assert (again["placed"], again["changes"]) == (first["placed"], [])


def test_a_venue_that_is_not_there_and_too_little_memory_are_told(empty_store: Store) -> None:
    """Both messages say what to write instead."""
    store = load_small_club(empty_store, NOW)
    words = ["--database", str(store.engine.url), "share-out", "run", "winter", "--seconds", "1"]
    done = CliRunner().invoke(main, [*words, "--venue", "Nowhere"])
    assert done.exit_code == 2
    assert "There is no venue Nowhere; there are Marsh Lane." in done.stderr
    done = CliRunner().invoke(main, [*words, "--memory", "5"])
    assert done.exit_code == 2
    assert "Write --memory as a whole number from 400 to 512000." in done.stderr
