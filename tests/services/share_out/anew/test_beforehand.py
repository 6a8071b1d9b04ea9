"""What is said before a stretch is shared out, from the club's records."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import delete, select, update

from clubplanner.errors import MissingError
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.services.share_out.anew.beforehand import (
    Place,
    look_before,
    look_before_next,
    remedies_in_records,
)
from clubplanner.sharing.values.problem import Effort
from clubplanner.store.tables.ground_tables import PitchRow, VenueRow
from clubplanner.store.tables.squad_tables import AskRow
from tests.builders import NOW
from tests.small_club import HALL, HARRIERS, KESTRELS, LOW, SETTINGS, TOP, book, load_small_club

if TYPE_CHECKING:
    from clubplanner.services.share_out.anew.beforehand import RemedyShown, TroubleShown
    from clubplanner.store.engine import Store
    from tests.stores import Filled

HEAD = "squad,age group,players,goalkeepers,coach,sessions a week,minutes,possible,least ground"
LATE_RULE = """
[[ages]]
up_to = 12
latest_finish = "19:00"
"""


def squads(*rows: str, head: str = HEAD) -> str:
    """Return a squads file."""
    return "\n".join((head, *rows)) + "\n"


KESTREL_ROW = "U12 Kestrels,U12,14,1,Robin Hale,1,75,Wed 18:00-19:15,third"


def set_pitch(store: Store, key: str, **values: object) -> None:
    """Change what is recorded of a pitch."""
    with store.write() as session:
        session.execute(update(PitchRow).where(PitchRow.key == key).values(**values))


def only(store: Store) -> TroubleShown:
    """Return the one trouble there is."""
    (trouble,) = look_before(store, "winter").troubles
    return trouble


def first(trouble: TroubleShown) -> RemedyShown:
    """Return what is told first."""
    return trouble.remedies[0]


def test_a_club_with_ground_for_all_is_told_so(small: Store) -> None:
    """What is asked for, that there is ground for it, and nobody in trouble."""
    found = look_before(small, "winter")
    assert found.is_well
    assert found.supply == (
        "Asked for: 3 sessions, 3 h a week. By size and time there is ground for all of it."
    )
    assert found.outcome == "By itself, every squad that asks finds ground."
    with pytest.raises(MissingError):
        look_before(small, "autumn")
    today = date(2026, 11, 1)
    assert look_before_next(small, today) == found
    assert look_before_next(small, date(2027, 5, 1)) is None


def test_recorded_as_without_goals_is_said_with_the_pitch_where_to_draw_them(
    empty_store: Store,
) -> None:
    """Everywhere "none": the squad is told with pitch and remedy; one drawn and it is well."""
    store = _goal_club(empty_store)
    for key in (TOP, LOW, HALL):
        set_pitch(store, key, goals=[])
    trouble = only(store)
    assert trouble.squad_name == "U12 Kestrels"
    assert trouble.cause == "There is no place that has a goal on Wednesday 18:00–19:15."
    assert first(trouble).words == "Draw or confirm the goals on Top pitch"
    assert first(trouble).at == Place("pitch", venue="marsh-lane", pitch=TOP)
    set_pitch(store, TOP, goals=None)
    assert look_before(store, "winter").troubles == ()


def _goal_club(store: Store) -> Store:
    return load_small_club(store, squads=squads(f"{KESTREL_ROW},yes", head=f"{HEAD},needs goal"))


def test_goals_not_recorded_place_a_squad_and_that_is_said_afterwards(
    empty_store: Store,
) -> None:
    """Nobody goes without for what was never asked, and the result says whom it may concern."""
    _goal_club(empty_store)
    for key in (TOP, LOW, HALL):
        set_pitch(empty_store, key, goals=None)
    number = run_share_out(empty_store, "winter", Effort(seconds=2), NOW).number
    page = see_share_out(empty_store, number, NOW)
    assert page.refusals == ()
    (told,) = page.not_said
    assert told.words == (
        "U12 Kestrels needs a goal and was placed on Top pitch, where nobody has said yet whether "
        "one stands."
    )
    assert (told.venue_key, told.pitch_key) == ("marsh-lane", TOP)
    set_pitch(empty_store, TOP, goals=[[0.0, 32.0, 90.0, 7.32, 2.44, "fixed"]])
    assert see_share_out(empty_store, number, NOW).not_said == ()


def test_an_unlit_club_in_winter_is_told_where_floodlights_would_help_most(
    filled: Filled,
) -> None:
    """No pitch lit, no hall large enough: one remedy for both squads, on the pitch's form."""
    store = filled(load_small_club)
    set_pitch(store, TOP, is_lit=False)
    with store.write() as session:
        session.execute(update(AskRow).values(least_m2=1000.0, least_share=0.0))
    found = look_before(store, "winter")
    assert found.outcome == "2 squads find too little ground, whoever else goes without."
    assert [one.squad for one in found.troubles] == [KESTRELS, HARRIERS]
    assert found.common[0].words == "Say that Top pitch has floodlights, if it has"
    assert found.common[0].then == "This would help 2 squads."
    assert found.common[0].at == Place("pitch", venue="marsh-lane", pitch=TOP)
    assert found.is_short
    assert found.supply.endswith("There is ground for none of it in the hours asked for.")
    shorter = look_before(store, "winter", most=1)
    assert (len(shorter.troubles), shorter.unexplained) == (1, ("U14 Harriers",))
    assert shorter.common == found.common


def test_when_everything_is_closed_the_venue_is_to_be_opened(filled: Filled) -> None:
    """The hours that are asked for are named, and the venue's form is where it is done."""
    store = filled(load_small_club)
    with store.write() as session:
        session.execute(update(VenueRow).values(opening=[]))
    found = look_before(store, "winter")
    assert [first(one).words for one in found.troubles] == [
        "Open Marsh Lane on Wednesday 18:00–19:15",
        "Open Marsh Lane on Monday, Tuesday, Wednesday, Thursday or Friday 18:00–20:00",
    ]
    assert first(found.troubles[0]).at == Place("venue", venue="marsh-lane")


def test_what_stands_in_the_way_leads_to_its_first_day(empty_store: Store) -> None:
    """Ground that is booked for the whole season is to be freed on the evening's page."""
    store = load_small_club(empty_store, squads=squads(KESTREL_ROW))
    for pitch, area in ((TOP, "whole"), (HALL, "whole"), (LOW, "whole")):
        for week in range(26):
            day = date.fromordinal(date(2026, 10, 14).toordinal() + 7 * week)
            book(store, "", area, pitch_key=pitch, day=day, start_min=1080, end_min=1170)
    trouble = only(store)
    remedy = next(one for one in trouble.remedies if one.code == "booked")
    assert remedy.at == Place("evening", venue="marsh-lane", day=date(2026, 10, 14))


@pytest.mark.parametrize(("own", "kind"), [("", "rules"), ("18:45", "squad")])
def test_a_latest_finish_is_changed_where_it_is_said(
    empty_store: Store, own: str, kind: str
) -> None:
    """In the squad's form where its ask says it, in the rules where the age table does."""
    text = squads(f"{KESTREL_ROW},{own}", head=f"{HEAD},latest finish")
    load_small_club(empty_store, squads=text, settings=SETTINGS + LATE_RULE)
    remedy = first(only(empty_store))
    assert remedy.words == "Let it end at 19:15, after the latest finish"
    assert remedy.at.kind == kind


def test_squads_that_ask_for_nothing_are_named(filled: Filled) -> None:
    """They get nothing, and that is said before; without any ask there is nothing to say."""
    store = filled(load_small_club)
    with store.write() as session:
        number = session.scalars(select(AskRow.id).order_by(AskRow.id)).first()
        session.execute(delete(AskRow).where(AskRow.id == number))
    found = look_before(store, "winter")
    assert found.idle == ((KESTRELS, "U12 Kestrels"),)
    assert not found.is_well
    with store.write() as session:
        session.execute(delete(AskRow))
    assert look_before(store, "winter").fault.startswith("No squad asks for anything")


def test_forty_squads_in_one_hour_are_told_how_little_ground_there_is(empty_store: Store) -> None:
    """Each finds ground by itself, and the hours say what a share-out is going to meet."""
    rows = [f"Squad {n},Adult,14,1,Coach {n},1,60,Wed 18:00-19:00,third" for n in range(40)]
    load_small_club(empty_store, squads=squads(*rows))
    found = look_before(empty_store, "winter")
    assert found.troubles == ()
    assert found.is_short
    assert found.asked_hours == 40
    assert found.room_hours is not None
    assert found.room_hours < 7
    assert found.short == "More is asked for than there is ground: Wednesday 18:00–19:00."


def test_squads_with_the_same_trouble_are_told_together(empty_store: Store) -> None:
    """Twenty squads of one kind need one explanation, not twenty."""
    rows = [f"Squad {n},Adult,14,1,Coach {n},1,60,Fri 22:00-23:30,third" for n in range(20)]
    load_small_club(empty_store, squads=squads(*rows, KESTREL_ROW))
    found = look_before(empty_store, "winter", most=1)
    assert found.unexplained == ()
    assert [len(group) for group in found.together] == [20]
    found = look_before(empty_store, "winter", most=0)
    assert len(found.unexplained) == 20


def test_refused_asks_are_told_what_the_records_of_the_ground_would_change(
    filled: Filled,
) -> None:
    """After a share-out, too: what helps in the records, not what the ask could do without."""
    store = filled(load_small_club)
    with store.write() as session:
        session.execute(update(VenueRow).values(opening=[]))
        asks = [str(number) for number in session.scalars(select(AskRow.id))]
    found = remedies_in_records(store, "winter", asks[:1])
    assert list(found) == asks[:1]
    assert {one.at.kind for one in found[asks[0]]} == {"venue"}
