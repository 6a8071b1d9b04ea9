"""The rules of sharing out by form: read as in the settings file, nothing else is touched."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.club.sharing_rules import AgeRule, PitchLimit
from clubplanner.errors import FaultyInputError, NoClubError, OutdatedError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.services.rows.snapshot import load_club
from clubplanner.services.setup.loading import load_files
from clubplanner.services.setup.rules_form import TICKED, save_rules, see_rules
from tests.builders import NOW
from tests.small_club import SETTINGS, TOP, load_small_club

if TYPE_CHECKING:
    from clubplanner.domain.club.sharing_rules import SharingRules
    from clubplanner.store.engine import Store

RULES = """
[[ages]]
up_to = 12
latest_finish = "19:30"
wear_percent = 50

[[limits]]
venue = "Marsh Lane"
pitch = "Top pitch"
minutes = 600

[[limits]]
venue = "Marsh Lane"
pitch = "A pitch that is gone"
sessions = 3
"""


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give a small club with rules from its settings file."""
    load_small_club(empty_store)
    load_files(empty_store, [ClubFile("club.toml", f"{SETTINGS}{RULES}".encode())], NOW)
    return empty_store


def kept(store: Store) -> SharingRules:
    """Return the rules as they are recorded."""
    with store.read() as session:
        return load_club(session).rules


def save(store: Store, **changed: str) -> None:
    """Send the form as it stands with some fields changed."""
    form = see_rules(store)
    save_rules(store, {**form.cells, **changed}, form.seen, NOW)


def faults(store: Store, **changed: str) -> dict[str, str]:
    """Return the faults of the form with some fields changed: code by field."""
    before = kept(store)
    with pytest.raises(FaultyInputError) as caught:
        save(store, **changed)
    assert kept(store) == before
    return {one.where: one.code for one in caught.value.problems}


def test_what_the_file_said_stands_in_the_form_and_stays_when_it_is_sent(store: Store) -> None:
    """Also a limit of a pitch that is not there any more: it is shown, and can be dropped."""
    form = see_rules(store)
    assert (form.ages, form.limited) == (
        1,
        ("Top pitch, Marsh Lane", "A pitch that is gone, Marsh Lane"),
    )
    assert (form.cells["up_to_1"], form.cells["latest_finish_1"]) == ("U12", "19:30")
    assert TOP not in [one.value for one in form.pitches]
    before = kept(store)
    save(store)
    assert kept(store) == before
    save(store, sessions_2="")
    assert [one.pitch for one in kept(store).limits] == ["Top pitch"]


def test_ages_are_added_changed_and_dropped(store: Store) -> None:
    """In any order and with or without the U; the youngest line comes first."""
    save(store, up_to_2="9", latest_finish_2="18:15", earliest_start_2="16:30")
    assert kept(store).ages == (AgeRule(9, 18 * 60 + 15, 100, 16 * 60 + 30), AgeRule(12, 1170, 50))
    save(store, up_to_1="", latest_finish_1="", earliest_start_1="", wear_percent_2="66 %")
    assert kept(store).ages == (AgeRule(12, 1170, 66),)


def test_one_more_pitch_is_limited(store: Store) -> None:
    """By what is chosen of those without a limit."""
    other = see_rules(store).pitches[0]
    save(store, pitch=other.value, sessions_new="7", compact=TICKED)
    assert kept(store).limits[-1] == PitchLimit("Marsh Lane", other.words, None, 7)
    assert kept(store).wants_compact
    save(store, compact="")
    assert not kept(store).wants_compact


def test_every_fault_is_told_at_its_field(store: Store) -> None:
    """All at once, and nothing is changed."""
    assert faults(store, up_to_1="twelve", latest_finish_1="late", minutes_1="much") == {
        "up_to_1": "wrong-kind",
        "latest_finish_1": "not-a-time",
        "minutes_1": "wrong-kind",
    }
    assert faults(store, up_to_2="U12", latest_finish_2="18:00") == {"up_to_2": "repeated"}
    assert faults(store, latest_finish_2="18:00") == {"up_to_2": "out-of-range"}
    assert faults(store, sessions_new="4") == {"pitch": "missing"}
    other = see_rules(store).pitches[0].value
    assert faults(store, pitch=other) == {"minutes_new": "missing"}


def test_the_later_of_two_is_told(store: Store) -> None:
    """Who saw what stood before somebody else's change."""
    form = see_rules(store)
    save(store, latest_finish_1="19:00")
    with pytest.raises(OutdatedError, match="look at what stands now"):
        save_rules(store, form.cells, form.seen, NOW)


def test_without_a_club_there_are_no_rules(empty_store: Store) -> None:
    """It begins with its name."""
    with pytest.raises(NoClubError):
        see_rules(empty_store)
