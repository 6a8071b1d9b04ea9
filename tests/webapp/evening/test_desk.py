"""The secretary's pages: evening, bookings, squads, files, share-outs."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import func, select

from clubplanner.services.evening.bookings import move_booking
from clubplanner.store.tables.booking_tables import BookingRow
from tests.builders import A_WEDNESDAY, LONDON, NOW, make_range
from tests.stores import ALL_THE_SAME, area_number
from tests.webapp.conftest import send, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


EVENING = f"/desk/evening?date={A_WEDNESDAY}"


def fields(store: Store, **changes: str) -> dict[str, str]:
    """Return the fields of the booking form, filled in."""
    return {
        "area": str(area_number(store, "third-1")),
        "date": str(A_WEDNESDAY),
        "from_": "18:00",
        "to": "19:15",
        "purpose": "hire",
        "squad": "",
        "who": "Hill Runners",
        "note": "",
        **changes,
    }


def book(desk: FlaskClient, store: Store, **changes: str) -> str:
    """Send the booking form and return the page that follows."""
    return send(desk, "/desk/bookings?venue=osier-lane", EVENING, **fields(store, **changes))


def test_a_booking_appears_on_plan_and_table(desk: FlaskClient, club_store: Store) -> None:
    """After booking, the evening shows it at the time it starts."""
    page = book(desk, club_store)
    assert "Booked for Hill Runners." in page
    assert re.search(r"18:00–19:15.*?Hill Runners", page, re.DOTALL)
    assert "On the ground at <strong>18:00</strong>" in page
    assert page.count("Hill Runners") >= 3, "in message, table and plan"


def test_the_time_chosen_decides_who_is_on_the_plan(desk: FlaskClient, club_store: Store) -> None:
    """The plans show who is there at the chosen time; the end of a booking belongs to the next."""
    book(desk, club_store)
    on = desk.get(f"{EVENING}&at=19:14").text
    off = desk.get(f"{EVENING}&at=19:15").text
    assert 'class="is-shown"' in on
    assert 'class="is-shown"' not in off


def test_a_clash_is_told_and_nothing_typed_is_lost(desk: FlaskClient, club_store: Store) -> None:
    """Held ground: who holds it, what is free, and the form as it was filled in."""
    book(desk, club_store)
    page = book(desk, club_store, who="Late Comers", note="Own lights", to="19:30")
    assert "Railway third is held by Hill Runners 18:00–19:15" in page
    assert "Free instead:" in page
    for kept in ("Late Comers", "Own lights", "19:30"):
        assert f'value="{kept}"' in page
    assert 'role="alert"' in page
    assert 'href="#field-area"' in page
    assert 'aria-describedby="fault-area"' in page


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("area", "", "Choose the ground."),
        ("area", "99999999", "This area no longer exists"),
        ("date", "25.11.2026", "Enter the date as year-month-day"),
        ("date", "9999-12-31", "Enter a date between 2000 and 2199."),
        ("date", "2026-11-02", "This time has passed"),
        ("from_", "25:00", "Enter a time of day, like 17:30."),
        ("to", "18:00", "The end must come after the start."),
        ("purpose", "party", "Choose what the booking is for."),
        ("squad", "-1", "Choose a squad"),
        ("squad", "99999", "This squad no longer exists"),
        ("who", "", "Choose a squad, or enter who it is for"),
        ("who", "x" * 81, "Use at most 80 characters here."),
        ("note", "n" * 501, "Use at most 500 characters here."),
    ],
)
def test_each_fault_of_the_booking_form_is_told(
    desk: FlaskClient, club_store: Store, field: str, value: str, message: str
) -> None:
    """Every wrong field has its message, and nothing is booked."""
    answer = desk.post(
        "/desk/bookings?venue=osier-lane",
        data={
            **{k.rstrip("_"): v for k, v in fields(club_store, **{field: value}).items()},
            "csrf_token": token(desk, EVENING),
        },
    )
    assert message in answer.text
    assert answer.status_code == 422
    with club_store.read() as session:
        held = select(func.count(BookingRow.id)).where(BookingRow.holder == "Hill Runners")
        assert session.scalar(held) == 0


@pytest.mark.parametrize(
    ("start", "end", "field", "message"),
    [
        ("01:30", "03:30", "from", "01:30 does not come on Sunday 28 March 2027: the clocks go"),
        ("00:00", "01:45", "to", "from 01:00 to 02:00. Enter a time before or after that."),
        ("01:00", "02:00", "to", "Nothing is left between these times"),
    ],
)
def test_a_time_that_the_clocks_skip_is_not_read_as_another(
    desk: FlaskClient, club_store: Store, start: str, end: str, field: str, message: str
) -> None:
    """It is told at the field in which it was typed, and what was typed is still there."""
    typed = fields(club_store, date="2027-03-28", to=end)
    data = {**typed, "from": start, "csrf_token": token(desk, EVENING)}
    answer = desk.post("/desk/bookings?venue=osier-lane", data=data)
    assert answer.status_code == 422
    assert message in answer.text
    assert f'aria-describedby="fault-{field}"' in answer.text
    for value in (start, end):
        assert f'value="{value}"' in answer.text


def test_a_booking_may_run_past_midnight(desk: FlaskClient, club_store: Store) -> None:
    """An end before the start is the next day's."""
    times = {"from_": "23:00", "to": "01:00"}
    page = book(desk, club_store, purpose="closed", who="Mains work", **times)
    assert "23:00–01:00" in page


@pytest.mark.parametrize(
    "query", ["date=0001-01-01", "date=9999-12-31", "date=x", "at=99:99", "at=%00"]
)
def test_odd_addresses_show_a_page(desk: FlaskClient, query: str) -> None:
    """Whatever stands in the address, a page comes."""
    assert desk.get(f"/desk/evening?{query}").status_code == 200


def test_an_unknown_venue_is_told(desk: FlaskClient) -> None:
    """A venue that is not there is said to be missing."""
    answer = desk.get("/desk/evening?venue=elsewhere")
    assert answer.status_code == 404
    assert "There is no such venue" in answer.text


def test_a_booking_is_moved_and_withdrawn(desk: FlaskClient, club_store: Store) -> None:
    """The forms of a booking move it and give it back."""
    book(desk, club_store)
    number = booking_number(club_store, "Hill Runners")
    path = f"/desk/bookings/{number}"
    target = str(area_number(club_store, "third-3"))
    page = send(
        desk,
        f"{path}/move",
        path,
        sequence="0",
        area=target,
        date=str(A_WEDNESDAY),
        from_="19:00",
        to="20:00",
    )
    assert "Moved." in page
    assert "Clubhouse third, Top pitch" in page
    page = send(desk, f"{path}/withdraw", path, sequence="1")
    assert "Withdrawn: Hill Runners, Clubhouse third. The ground is free." in page
    with club_store.read() as session:
        row = session.get_one(BookingRow, number)
        assert (row.is_withdrawn, row.sequence, row.is_fixed) == (True, 2, True)


def test_the_page_of_what_is_withdrawn_says_so_and_leads_to_the_way_back(
    desk: FlaskClient, club_store: Store
) -> None:
    """Found by its number it offered to be moved, as if it were on."""
    book(desk, club_store)
    number = booking_number(club_store, "Hill Runners")
    path = f"/desk/bookings/{number}"
    send(desk, f"{path}/withdraw", path, sequence="0", why_off="Frozen in the shade")
    page = desk.get(path).text
    assert "Nothing booked any more" in page
    assert "Frozen in the shade" in page
    assert f'action="{path}/move"' not in page
    assert f'action="{path}/withdraw"' not in page
    (changes,) = re.findall(r'href="(/desk/season/changes\?before=\d+)"', page)
    first = re.search(r'action="(/desk/season/changes/\d+/undo)"', desk.get(changes).text)
    assert first is not None
    send(desk, first[1], changes)
    assert f'action="{path}/move"' in desk.get(path).text


def test_a_change_by_somebody_else_stands(desk: FlaskClient, club_store: Store) -> None:
    """Two people at one booking: the later one is told and keeps what they typed."""
    book(desk, club_store)
    number = booking_number(club_store, "Hill Runners")
    with club_store.read() as session:
        area_id = session.get_one(BookingRow, number).area_id
    during = make_range(A_WEDNESDAY, 15 * 60, 16 * 60, LONDON)
    move_booking(club_store, number, 0, area_id, during, NOW, ALL_THE_SAME)
    path = f"/desk/bookings/{number}"
    page = send(
        desk,
        f"{path}/move",
        path,
        sequence="0",
        area=str(area_id),
        date=str(A_WEDNESDAY),
        from_="17:45",
        to="18:45",
    )
    assert "Somebody has changed this booking in the meantime" in page
    assert 'value="17:45"' in page


@pytest.mark.parametrize("sequence", ["", "x", "-1"])
def test_a_form_without_its_count_changes_nothing(
    desk: FlaskClient, club_store: Store, sequence: str
) -> None:
    """Moving and withdrawing need the change that was looked at."""
    book(desk, club_store)
    number = booking_number(club_store, "Hill Runners")
    path = f"/desk/bookings/{number}"
    send(desk, f"{path}/withdraw", path, sequence=sequence)
    send(desk, f"{path}/move", path, sequence=sequence, area="", date="", from_="", to="")
    with club_store.read() as session:
        assert session.get_one(BookingRow, number).sequence == 0


def booking_number(store: Store, holder: str) -> int:
    """Return the number of the one booking of a holder."""
    with store.read() as session:
        return session.scalars(select(BookingRow.id).where(BookingRow.holder == holder)).one()
