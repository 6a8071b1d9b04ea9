"""The earliest start of an age and evenings in a row, from the files to the proposal."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.rules.people.evenings_in_a_row import days_in_a_row
from clubplanner.services.proposals.kept_proposals import load_proposal
from clubplanner.services.setup.squads.forms import save_squad, see_squad_form
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.sharing.values.problem import Effort
from tests.builders import NOW
from tests.small_club import HARRIERS, KESTRELS, SETTINGS, load_small_club

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

AUTUMN = datetime(2026, 10, 1, 12, 0, 7, 482_193, tzinfo=UTC)
AGES = """
[[ages]]
up_to = 12
earliest_start = "17:45"
"""
SQUADS = """\
squad,age group,players,goalkeepers,coach,sessions a week,minutes,possible,preferred,least ground,evenings in a row
U12 Kestrels,U12,14,1,Robin Hale,3,75,Mon-Fri 17:00-20:00; Sat 09:00-11:00,Mon-Fri 17:00-18:15; Sat 09:00-11:00,third,1
U14 Harriers,U14,16,2,Sam Reed,4,60,Mon-Fri 17:00-20:00,,third,2
"""  # noqa: E501 - a file's own lines
SATURDAY = 5


def test_both_rules_are_held_from_file_to_proposal(empty_store: Store) -> None:
    """All sessions that fit are placed; none starts too early, and none is one too many."""
    store = load_small_club(empty_store, AUTUMN, settings=SETTINGS + AGES, squads=SQUADS)
    done = run_share_out(store, "winter", Effort(seconds=6), AUTUMN)
    assert (done.placed, done.asked) == (7, 7)
    with store.read() as session:
        sessions = load_proposal(session, done.number).sessions
    school = [s.start_min for s in sessions if s.squad == KESTRELS and s.weekday < SATURDAY]
    assert min(school) == 17 * 60 + 45, "the preferred 17:00 is before school is out"
    free = [s.start_min for s in sessions if s.squad == KESTRELS and s.weekday == SATURDAY]
    assert free == [9 * 60]
    for key, most in ((KESTRELS, 1), (HARRIERS, 2)):
        days = {day for one in sessions if one.squad == key for day in one.dates}
        assert days
        assert max(len(days_in_a_row(days, day)) for day in days) <= most


def test_the_form_of_a_squad_shows_and_keeps_evenings_in_a_row(empty_store: Store) -> None:
    """What the file says is in the form; saved again it is still there, and another is kept."""
    store = load_small_club(empty_store, squads=SQUADS)
    form = see_squad_form(store, KESTRELS)
    assert [ask["evenings in a row"] for ask in form.asks] == ["1"]
    asks = [{**ask, "evenings in a row": "2"} for ask in form.asks]
    save_squad(store, KESTRELS, form.squad, asks, form.seen, NOW + timedelta(minutes=1))
    again = see_squad_form(store, KESTRELS)
    assert [ask["evenings in a row"] for ask in again.asks] == ["2"]
