"""The next season made in one go: what changes, what stays, and taking it back."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.services.addresses.links import create_squad_link, link_of_secret
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.rows.snapshot import load_asks, load_breaks, load_squads, load_stretches
from clubplanner.services.season.make_season import make_next_season
from clubplanner.services.season.next_season import save_next_season, see_next_season
from clubplanner.services.share_out.anew import load_stretch_problem
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.turn_tables import SquadNameRow
from tests.builders import NOW
from tests.small_club import HARRIERS, KESTRELS, book, find_squad_id

if TYPE_CHECKING:
    from clubplanner.services.season.next_values import NextSeason
    from clubplanner.store.engine import Store

JULY = datetime(2027, 7, 1, 9, 0, 3, tzinfo=UTC)


def correct(store: Store, items: dict[str, dict[str, str]], now: datetime = JULY) -> NextSeason:
    """Type something about things of the next season; return what it becomes."""
    page = see_next_season(store, now)
    shown = {one.item: (one.shown, one.was) for one in page.squads}
    shown |= {one.item: (one.shown, one.was) for one in page.begin}
    shown |= {one.item: (one.shown, one.was) for one in (*page.stretches, *page.breaks)}
    shown["season-1"] = (page.shown, page.was)
    typed, was = {}, {}
    for item, values in items.items():
        fields, was[item] = shown[item]
        typed[item] = {n: v for n, v in fields.items() if n != "players_now"} | values
    assert save_next_season(store, typed, was, now).differing == ()
    return see_next_season(store, now)


def test_squads_are_a_year_older_and_stretches_move(small: Store) -> None:
    """Names, ages and dates follow; what is asked for, the past and its dates stay."""
    book(small)
    make_next_season(small, JULY)
    with small.read() as session:
        squads = [(s.key, s.name, s.age_group, s.coach) for s in load_squads(session)]
        assert squads == [
            ("u13-kestrels", "U13 Kestrels", "U13", "Robin Hale"),
            ("u15-harriers", "U15 Harriers", "U15", "Sam Reed"),
        ]
        assert len(load_asks(session)) == 2
        assert [(s.name, s.starts_on, s.ends_on) for s in load_stretches(session)] == [
            ("Winter", date(2026, 10, 12), date(2027, 4, 9)),
            ("Winter 2027/28", date(2027, 10, 11), date(2028, 4, 7)),
        ]
        assert [(b.starts_on, b.ends_on) for b in load_breaks(session)] == [
            (date(2026, 12, 21), date(2027, 1, 3)),
            (date(2027, 12, 20), date(2028, 1, 2)),
        ]
        assert [row.holder for row in session.scalars(select(BookingRow))] == ["U12 Kestrels"]
        held = select(BookingRow.id).where(BookingRow.holder == "U12 Kestrels")
        assert session.scalars(held).all() != []
        stretch = load_stretches(session)[1]
        problem = load_stretch_problem(session, stretch)
        assert {ask.squad for ask in problem.asks} == {"u13-kestrels", "u15-harriers"}


def test_taking_it_back_puts_all_back(small: Store) -> None:
    """Names, keys, dates, addresses and coaches are as before, by one press."""
    kestrels, harriers = (find_squad_id(small, key) for key in (KESTRELS, HARRIERS))
    secret = create_squad_link(small, KESTRELS, "a parent", NOW)
    before = everything(small)
    correct(
        small,
        {
            f"squad-{kestrels}": {"fate": "merges", "into": "u14 harriers"},
            "new-1": {"name": "U7 Wrens", "players": "9", "like": "U12 Kestrels"},
        },
    )
    made = make_next_season(small, JULY)
    assert made == "Made: the season from Mon 11 Oct 2027, 2 squads, 1 stretch."
    with small.read() as session:
        link = link_of_secret(session, secret)
        assert link.squad_id == harriers
        squads = {s.key: s for s in load_squads(session)}
        assert [c.name for c in squads["u15-harriers"].coaches] == ["Sam Reed", "Robin Hale"]
        assert {ask.squad_key for _, ask in load_asks(session)} >= {"u7-wrens", "u15-harriers"}
    latest = list_changes(small, JULY, count=1)[0]
    assert latest.obstacles == ()
    undo_change(small, latest.number, JULY)
    assert everything(small) == before
    with small.read() as session:
        assert link_of_secret(session, secret).squad_id == kestrels


def everything(store: Store) -> tuple[object, ...]:
    """Return what squads, asks, stretches and breaks are."""
    with store.read() as session:
        asks = [ask for _, ask in load_asks(session)]
        names = session.scalars(select(SquadNameRow)).all()
        return (load_squads(session), asks, load_stretches(session), load_breaks(session), names)
