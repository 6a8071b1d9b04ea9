"""Publishing a proposal as dated bookings, and publishing another one over it."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.times import WEEKDAYS, each_date
from clubplanner.errors import ClashError, MissingError, RefusedError
from clubplanner.services.evening.bookings import move_booking
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.proposals.proposals import ProposedSession
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.share_out.listed.share_out_list import list_share_outs
from clubplanner.sharing.values.problem import plain
from clubplanner.store.tables.booking_tables import BookingRow, ShareOutRow
from clubplanner.store.tables.club_tables import BreakRow, StretchRow
from clubplanner.store.tables.squad_tables import SquadRow
from tests.builders import LONDON, make_range
from tests.stores import TOP, area_number, make_wish, put_booking

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

BEFORE = datetime(2027, 3, 1, 0, 0, 7, 482_193, tzinfo=UTC)
FIRST, LAST = date(2027, 3, 8), date(2027, 4, 18)


def place(squad: str, area: str, weekday: int, start: int, end: int, *lost: str) -> dict[str, Any]:
    """Return a session of a weekly pattern as a proposal keeps it."""
    away = {date.fromisoformat(text) for text in lost}
    item = ProposedSession(
        ask="1",
        session=0,
        squad=squad,
        squad_name=squad,
        ground=f"{TOP}/{area}",
        ground_name=area,
        weekday=weekday,
        start_min=start,
        end_min=end,
        dates=tuple(
            day for day in each_date(FIRST, LAST) if day.weekday() == weekday and day not in away
        ),
        lost_dates=tuple(sorted(away)),
    )
    value = plain(item)
    assert isinstance(value, dict)
    return value


KESTRELS = place("u13-kestrels", "third-1", 1, 1080, 1155)
HARRIERS = place("u14-harriers", "third-2", 1, 1080, 1155)


def propose(store: Store, *placements: dict[str, Any]) -> int:
    """Keep a proposal for six weeks that span the change of clocks, and return its number."""
    with store.write() as session:
        stretch = session.scalars(select(StretchRow).where(StretchRow.key == "test")).first()
        if stretch is None:
            stretch = StretchRow(key="test", name="Test", starts_on=FIRST, ends_on=LAST)
            session.add(stretch)
            session.flush()
        outcome = {
            "kind": "proved best",
            "sentence": "All sessions have a place.",
            "levels": [
                {"name": "placing sessions", "value": 2, "bound": 2, "is_proved": True, "gap": 0.0},
                {"name": "being fair", "value": 9, "bound": 7, "is_proved": False, "gap": 0.2},
            ],
            "first": FIRST.isoformat(),
            "last": LAST.isoformat(),
            "squads": None,
            "closures": [],
            "placements": list(placements),
            "refusals": [
                {
                    "ask": "1",
                    "squad_name": "U7 Wrens",
                    "missing": 1,
                    "reasons": [{"code": "held", "text": "All is held."}],
                    "changes": [{"code": "shorter", "text": "15 minutes shorter."}],
                }
            ],
            "satisfactions": [{"squad_name": "U13 Kestrels", "percent": 80}],
        }
        row = ShareOutRow(
            stretch_id=stretch.id,
            sort="stretch",
            created_at=BEFORE,
            kind="proved best",
            outcome=outcome,
            published_at=None,
        )
        session.add(row)
        session.flush()
        return row.id


def training(store: Store, squad: str, *, withdrawn: bool = False) -> list[BookingRow]:
    """Return a squad's bookings by start."""
    with store.read() as session:
        query = (
            select(BookingRow)
            .join(SquadRow, BookingRow.squad_id == SquadRow.id)
            .where(SquadRow.key == squad, BookingRow.is_withdrawn.is_(withdrawn))
            .order_by(BookingRow.starts_at)
        )
        return list(session.scalars(query))


def test_a_pattern_becomes_a_booking_on_every_date(club_store: Store) -> None:
    """Every week of the stretch gets its session, at the same time on the wall throughout."""
    published = publish_share_out(club_store, propose(club_store, KESTRELS), BEFORE)
    rows = training(club_store, "u13-kestrels")
    assert published.added == len(rows) == 6
    assert {row.starts_at.astimezone(LONDON).strftime("%A %H:%M") for row in rows} == {
        "Tuesday 18:00"
    }
    assert {row.starts_at.hour for row in rows} == {18, 17}, "the clocks change on 28 March 2027"
    assert all(row.purpose is Purpose.TRAINING and not row.is_fixed for row in rows)
    assert published.sentence == "6 sessions added."


def test_breaks_and_lost_dates_are_left_out(club_store: Store) -> None:
    """No session on a date in a break, nor on one the proposal gave up."""
    with club_store.write() as session:
        session.add(BreakRow(name="Easter", starts_on=date(2027, 3, 26), ends_on=date(2027, 4, 5)))
    number = propose(club_store, place("u13-kestrels", "third-1", 1, 1080, 1155, "2027-03-16"))
    publish_share_out(club_store, number, BEFORE)
    days = {row.starts_at.date() for row in training(club_store, "u13-kestrels")}
    assert days == {date(2027, 3, 9), date(2027, 3, 23), date(2027, 4, 6), date(2027, 4, 13)}


def test_a_proposal_is_published_once(club_store: Store) -> None:
    """A second publishing of the same proposal is refused."""
    number = propose(club_store, KESTRELS)
    publish_share_out(club_store, number, BEFORE)
    with pytest.raises(RefusedError, match="published already"):
        publish_share_out(club_store, number, BEFORE)
    with pytest.raises(MissingError, match="no share-out 999"):
        publish_share_out(club_store, 999, BEFORE)


def test_what_stays_the_same_is_not_touched(club_store: Store) -> None:
    """Equal sessions of a new proposal keep identity, count and time of change."""
    publish_share_out(club_store, propose(club_store, KESTRELS, HARRIERS), BEFORE)
    before = {
        row.uid: (row.sequence, row.changed_at) for row in training(club_store, "u13-kestrels")
    }
    later = BEFORE + timedelta(days=1)
    published = publish_share_out(club_store, propose(club_store, KESTRELS), later)
    after = {
        row.uid: (row.sequence, row.changed_at) for row in training(club_store, "u13-kestrels")
    }
    assert before == after
    assert (published.kept, published.withdrawn, published.added) == (6, 6, 0)
    gone = training(club_store, "u14-harriers", withdrawn=True)
    assert {row.sequence for row in gone} == {1}


def test_a_session_moves_within_its_week(club_store: Store) -> None:
    """Another day, time or ground in the same week is a move: same identity, next count."""
    publish_share_out(club_store, propose(club_store, KESTRELS), BEFORE)
    before = [row.uid for row in training(club_store, "u13-kestrels")]
    moved = place("u13-kestrels", "third-3", 3, 1110, 1185)
    published = publish_share_out(club_store, propose(club_store, moved), BEFORE)
    rows = training(club_store, "u13-kestrels")
    assert [row.uid for row in rows] == before
    assert {row.sequence for row in rows} == {1}
    assert {WEEKDAYS[row.starts_at.weekday()] for row in rows} == {"Thursday"}
    assert (published.moved, published.added, published.withdrawn) == (6, 0, 0)


def test_two_squads_may_swap_their_ground(club_store: Store) -> None:
    """A swap is published although each stands where the other goes."""
    publish_share_out(club_store, propose(club_store, KESTRELS, HARRIERS), BEFORE)
    swapped = (
        place("u13-kestrels", "third-2", 1, 1080, 1155),
        place("u14-harriers", "third-1", 1, 1080, 1155),
    )
    published = publish_share_out(club_store, propose(club_store, *swapped), BEFORE)
    assert (published.moved, published.added, published.withdrawn) == (12, 0, 0)
    assert {row.area_id for row in training(club_store, "u13-kestrels")} == {
        area_number(club_store, "third-2")
    }


def test_sessions_that_have_begun_are_left_alone(club_store: Store) -> None:
    """Publishing in mid-stretch touches only what is still to come."""
    publish_share_out(club_store, propose(club_store, KESTRELS), BEFORE)
    halfway = datetime(2027, 3, 30, 17, 30, tzinfo=UTC)  # during that day's session
    published = publish_share_out(club_store, propose(club_store, HARRIERS), halfway)
    assert (published.withdrawn, published.added) == (2, 2)
    assert len(training(club_store, "u13-kestrels")) == 4


def test_what_a_person_booked_or_moved_stands(club_store: Store) -> None:
    """A session moved by hand is fixed: no later share-out moves or withdraws it."""
    publish_share_out(club_store, propose(club_store, KESTRELS), BEFORE)
    row = training(club_store, "u13-kestrels")[0]
    during = make_range(date(2027, 3, 10), 1080, 1155, LONDON)
    move_booking(club_store, row.id, 0, area_number(club_store, "third-3"), during, BEFORE)
    published = publish_share_out(club_store, propose(club_store, HARRIERS), BEFORE)
    assert published.withdrawn == 5
    assert [r.id for r in training(club_store, "u13-kestrels")] == [row.id]


def test_ground_taken_since_stops_all_of_it(club_store: Store) -> None:
    """When somebody has taken the ground meanwhile nothing is published, and they are named."""
    number = propose(club_store, HARRIERS, KESTRELS)
    during = make_range(date(2027, 4, 6), 1110, 1140, LONDON)
    wish = make_wish(
        club_store, "half-1", during, squad_key=None, purpose=Purpose.HIRE, holder="Choir"
    )
    put_booking(club_store, wish, BEFORE)
    with pytest.raises(ClashError, match=r"Railway half is held by Choir 18:30–19:00.*again"):
        publish_share_out(club_store, number, BEFORE)
    assert training(club_store, "u13-kestrels") == training(club_store, "u14-harriers") == []
    assert see_share_out(club_store, number, BEFORE).published_at is None


def test_a_squad_or_ground_that_is_gone_is_told(club_store: Store) -> None:
    """A proposal that names what is no longer there is not published."""
    for broken in (
        place("nobody", "third-1", 1, 1080, 1155),
        place("u13-kestrels", "ninth", 1, 1080, 1155),
    ):
        with pytest.raises(MissingError, match="run the share-out again"):
            publish_share_out(club_store, propose(club_store, broken), BEFORE)


def test_a_proposal_is_shown_in_words(club_store: Store) -> None:
    """The page has levels, the week by day, who goes without and what would help."""
    lost = place("u13-kestrels", "third-1", 1, 1080, 1155, "2027-03-16")
    number = propose(club_store, lost, HARRIERS)
    page = see_share_out(club_store, number, BEFORE)
    assert [level.words for level in page.levels] == [
        "2, proved best",
        "9; no plan can pass 7 (20.0 %)",
    ]
    ((day, places),) = page.days
    assert day == "Tuesday"
    assert [(p.times, p.squad_name) for p in places] == [
        ("18:00–19:15", "u13-kestrels"),
        ("18:00–19:15", "u14-harriers"),
    ]
    assert places[0].lost == "not on Tuesday 16 March 2027"
    assert page.refusals[0].reasons == ("All is held.",)
    assert page.refusals[0].changes == ("15 minutes shorter.",)
    assert page.satisfactions[0].percent == 80
    assert list_share_outs(club_store)[0].number == number
