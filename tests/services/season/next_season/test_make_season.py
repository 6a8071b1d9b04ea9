"""The next season made in one go: what changes, what stays, and taking it back."""

from __future__ import annotations

from datetime import UTC, date, datetime
from functools import partial
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.domain.keys import key_from_name
from clubplanner.domain.times.times import TimeRange
from clubplanner.errors import FaultyInputError, MissingError, OutdatedError, RefusedError
from clubplanner.language import without_isolates
from clubplanner.services.addresses.links import OwnSquad, create_squad_link, link_of_secret
from clubplanner.services.coach.ground_page import see_ground
from clubplanner.services.history.past import past_balances
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.problem.stretch_problem import load_stretch_problem
from clubplanner.services.proposals.kept_proposals import load_proposal
from clubplanner.services.proposals.proposals import Draft, Sort, keep_proposal
from clubplanner.services.proposals.said import in_words
from clubplanner.services.rows.seasons.squad_seasons import load_squad_seasons
from clubplanner.services.rows.snapshot import (
    booking_from_row,
    load_asks,
    load_bookings,
    load_breaks,
    load_numbered,
    load_squads,
    load_stretches,
)
from clubplanner.services.season.next_season.looked_through import save_next_season, see_next_season
from clubplanner.services.season.next_season.make_season import make_next_season
from clubplanner.services.season.squads.own_seasons import set_squad_season
from clubplanner.store.tables.booking_tables import BookingRow, ShareOutRow
from clubplanner.store.tables.turn_tables import SquadNameRow
from tests.builders import NOW
from tests.small_club import HARRIERS, KESTRELS, SETTINGS, book, find_squad_id, load_small_club

if TYPE_CHECKING:
    from clubplanner.services.season.next_season.values import NextSeason
    from clubplanner.store.engine import Store
    from tests.stores import Filled

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


MANY = """\
squad,age group,players,goalkeepers,coach,sessions a week,minutes,possible,least ground
"""


def with_squads(*names: str) -> str:
    """Return a squads file of squads of these names; the age is what follows the U."""
    rows = [
        f"{name},{name.split()[0]},12,1,Coach {n},1,60,Mon-Fri 18:00-20:00,third"
        for n, name in enumerate(names)
    ]
    return MANY + "\n".join(rows) + "\n"


def names_of(store: Store) -> list[tuple[str, str]]:
    """Return keys and names of all squads, in the club's order."""
    with store.read() as session:
        return [(squad.key, squad.name) for squad in load_squads(session)]


def test_forty_squads_pass_their_names_on_to_each_other(filled: Filled) -> None:
    """Under 12 becomes under 13 while under 13 becomes under 14: no two meet on the way."""
    ages = [f"U{age} {kind}" for age in range(7, 17) for kind in ("A", "B", "C", "D")]
    store = filled(partial(load_small_club, squads=with_squads(*ages)))
    make_next_season(store, JULY)
    after = [f"U{age} {kind}" for age in range(8, 18) for kind in ("A", "B", "C", "D")]
    assert [name for _key, name in names_of(store)] == after
    assert [key for key, _name in names_of(store)] == [key_from_name(name) for name in after]
    undo_change(store, list_changes(store, JULY, count=1)[0].number, JULY)
    assert names_of(store) == [(key_from_name(name), name) for name in ages]


def test_whoever_is_over_lets_go_of_a_name_in_need(filled: Filled) -> None:
    """Under 16 ends while under 15 becomes under 16: the past keeps its name; both are told."""
    store = filled(partial(load_small_club, squads=with_squads("U15 Reds", "U16 Reds")))
    over = find_squad_id(store, "u16-reds")
    book_for(store, over)
    correct(store, {f"squad-{over}": {"fate": "ends"}})
    make_next_season(store, JULY)
    assert names_of(store) == [("u16-reds", "U16 Reds"), ("u16-reds-2027", "U16 Reds (2027)")]
    with store.read() as session:
        assert session.scalars(select(BookingRow)).one().holder == "U16 Reds"
        stretch = load_stretches(session)[1]
        assert {a.squad for a in load_stretch_problem(session, stretch).asks} == {"u16-reds"}


def test_names_are_no_longer_than_a_file_takes(filled: Filled) -> None:
    """What is typed is asked about; a squad that lets go of a long name gets a cut one."""
    kind = "R" * 76
    store = filled(partial(load_small_club, squads=with_squads(f"U15 {kind}", f"U16 {kind}")))
    over = find_squad_id(store, f"u16-{kind.lower()}")
    correct(store, {f"squad-{over}": {"fate": "ends"}})
    make_next_season(store, JULY)
    assert [len(name) for _key, name in names_of(store)] == [80, 80]
    assert names_of(store)[1][1] == f"U16 {'R' * 69} (2027)"


def test_a_long_name_is_asked_about(small: Store) -> None:
    """A squad's next name and a new squad's are held to as many letters as by form and file."""
    squad = find_squad_id(small, KESTRELS)
    long = {f"squad-{squad}": {"name": "K" * 81}, "new-1": {"name": "W" * 99, "players": "9"}}
    found = [problem.message for problem in correct(small, long).problems]
    assert "The name has 81 letters; use at most 80" in found
    assert "The name has 99 letters; use at most 80" in found


def book_for(store: Store, squad_id: int) -> None:
    """Put a session of a squad in the books of last winter."""
    number = book(store, "whoever")
    with store.write() as session:
        session.get_one(BookingRow, number).squad_id = squad_id


def test_two_squads_of_one_name_are_asked_about(small: Store) -> None:
    """A name is given once; what is typed stays, and nothing is made."""
    kestrels = find_squad_id(small, KESTRELS)
    page = correct(small, {f"squad-{kestrels}": {"name": "U15 Harriers"}})
    assert [p.where for p in page.problems] == [f"squad-{find_squad_id(small, HARRIERS)}-name"]
    with pytest.raises(FaultyInputError) as caught:
        make_next_season(small, JULY)
    assert "Two squads would be called" in caught.value.problems[0].message
    assert len(names_of(small)) == 2
    assert see_next_season(small, JULY).squads[0].becomes == "U15 Harriers"


def test_it_is_made_once_a_season(small: Store) -> None:
    """A second press is told; the one after it comes when the first has begun, and moves on."""
    make_next_season(small, JULY)
    with pytest.raises(RefusedError, match="is made already"):
        make_next_season(small, JULY)
    later = datetime(2028, 7, 3, 8, 0, 1, tzinfo=UTC)
    make_next_season(small, later)
    assert [name for _key, name in names_of(small)] == ["U14 Kestrels", "U16 Harriers"]
    with small.read() as session:
        last = load_stretches(session)[-1]
    assert (last.name, last.starts_on) == ("Winter 2028/29", date(2028, 10, 9))
    with pytest.raises(RefusedError, match="The season has begun"):
        undo_change(small, list_changes(small, later)[0].number, datetime(2028, 12, 1, tzinfo=UTC))


def test_names_of_three_seasons_are_kept(small: Store) -> None:
    """Each session is called as the squad was in its own season."""
    number = book(small)
    make_next_season(small, JULY)
    book_for_next = date(2028, 1, 12)
    book(small, "u13-kestrels", day=book_for_next)
    with small.write() as session:
        row = session.scalars(select(BookingRow).where(BookingRow.id != number)).one()
        row.squad_id = session.get_one(BookingRow, number).squad_id
    make_next_season(small, datetime(2028, 7, 3, 8, 0, 1, tzinfo=UTC))
    with small.read() as session:
        rows = session.scalars(select(BookingRow).order_by(BookingRow.starts_at)).all()
        assert [row.holder for row in rows] == ["U12 Kestrels", "U13 Kestrels"]
        found = select(BookingRow.id, BookingRow.holder).order_by(BookingRow.starts_at)
        assert [holder for _id, holder in session.execute(found)] == [
            "U12 Kestrels",
            "U13 Kestrels",
        ]
        always = TimeRange(rows[0].starts_at, rows[1].ends_at)
        loaded = load_bookings(session, always)
        assert loaded == tuple(booking_from_row(row) for row in rows)
        assert load_numbered(session, [row.id for row in rows]) == loaded


def test_until_the_next_season_begins_the_squads_page_has_its_name_of_now(small: Store) -> None:
    """Made long before, it renames nobody's page of a date that lies before it."""
    book(small)
    make_next_season(small, NOW)
    squad = OwnSquad("u13-kestrels")
    page = see_ground(small, squad, None, NOW)
    assert (page.squad.name, page.sessions[0].squad_name) == ("U12 Kestrels", "U12 Kestrels")
    assert see_ground(small, squad, date(2027, 10, 12), NOW).squad.name == "U13 Kestrels"


def test_what_was_served_follows_a_squad_across_its_names_and_a_merger(small: Store) -> None:
    """The last share-out counts for whoever went on, not for whoever has that name now."""
    share_out(small, {KESTRELS: 40, HARRIERS: 100})
    with small.read() as session:
        assert past_balances(session, date(2027, 9, 1)) == {KESTRELS: -30.0, HARRIERS: 30.0}
    make_next_season(small, JULY)
    with small.read() as session:
        past = past_balances(session, date(2027, 10, 11))
    assert past == {"u13-kestrels": -30.0, "u15-harriers": 30.0}
    kestrels = find_squad_id(small, "u13-kestrels")
    later = datetime(2028, 7, 3, 8, 0, 1, tzinfo=UTC)
    correct(small, {f"squad-{kestrels}": {"fate": "merges", "into": "U15 Harriers"}}, later)
    make_next_season(small, later)
    with small.read() as session:
        assert past_balances(session, date(2028, 10, 9)) == {"u16-harriers": 0.0}


def share_out(store: Store, percents: dict[str, int], *, is_published: bool = True) -> int:
    """Keep a share-out of the winter in which squads have these percents of their best."""
    with store.write() as session:
        stretch = load_stretches(session)[0]
        satisfactions = [
            {"squad": key, "squad_name": key, "score": percent, "best_alone": 100}
            for key, percent in percents.items()
        ]
        draft = Draft(
            sort=Sort.STRETCH,
            first=stretch.starts_on,
            last=stretch.ends_on,
            squads=frozenset(percents),
            sessions=(),
            closures=(),
            kind="optimal",
            said=in_words(""),
            extra={"satisfactions": satisfactions},
        )
        number = keep_proposal(session, stretch, draft, NOW)
        if is_published:
            session.get_one(ShareOutRow, number).published_at = NOW
        return number


def test_an_open_share_out_stays_that_of_its_squads(filled: Filled) -> None:
    """It is told of, names the squads by what they are called now, and takes none for another."""
    store = filled(partial(load_small_club, squads=with_squads("U12 Reds", "U13 Reds")))
    number = share_out(store, {"u12-reds": 50}, is_published=False)
    assert any("1 share-out is not published" in line for line in told(store))
    make_next_season(store, JULY)
    with store.read() as session:
        assert load_proposal(session, number).squads == frozenset({"u13-reds"})


def told(store: Store, now: datetime = JULY) -> list[str]:
    """Return what is said before the press, without the signs that keep names apart."""
    return [without_isolates(line) for line in see_next_season(store, now).told]


def test_a_share_out_of_the_new_stretch_keeps_it_from_being_taken_back(small: Store) -> None:
    """Nothing is taken away on which something stands; it is said what."""
    make_next_season(small, JULY)
    with small.write() as session:
        stretch = load_stretches(session)[1]
        draft = Draft(
            Sort.STRETCH,
            stretch.starts_on,
            stretch.ends_on,
            None,
            (),
            (),
            "optimal",
            in_words(""),
            {},
        )
        keep_proposal(session, stretch, draft, JULY)
    latest = list_changes(small, JULY, count=1)[0]
    assert [without_isolates(line) for line in latest.obstacles] == [
        "stretch “Winter 2027/28” has share-outs already; take these away first."
    ]
    with pytest.raises(RefusedError, match="share-outs already"):
        undo_change(small, latest.number, JULY)


def test_addresses_end_where_the_club_says_so_and_come_back(small: Store) -> None:
    """For everybody, but for one squad; taken back, they open again."""
    kestrels = find_squad_id(small, KESTRELS)
    mine = create_squad_link(small, KESTRELS, "a parent", NOW)
    other = create_squad_link(small, HARRIERS, "a parent", NOW)
    correct(small, {"season-1": {"addresses": "end"}, f"squad-{kestrels}": {"addresses": "on"}})
    assert [line for line in told(small) if "address" in line][:2] == [
        "1 address goes on; whoever has it need do nothing.",
        "1 address ends: it opens nothing any more, and a new one has to be handed out.",
    ]
    make_next_season(small, JULY)
    with small.read() as session:
        assert link_of_secret(session, mine).squad_id == kestrels
        with pytest.raises(MissingError):
            link_of_secret(session, other)
    undo_change(small, list_changes(small, JULY, count=1)[0].number, JULY)
    with small.read() as session:
        assert link_of_secret(session, other).squad is not None


def test_a_club_without_stretches_says_when_it_begins(filled: Filled) -> None:
    """The first date is asked; squads are a year older all the same."""
    settings = SETTINGS.partition("[[stretches]]")[0]
    store = filled(partial(load_small_club, settings=settings))
    assert [p.where for p in see_next_season(store, JULY).problems] == ["season-1-starts_on"]
    correct(store, {"season-1": {"starts_on": "2027-09-01"}})
    assert make_next_season(store, JULY) == (
        "Made: the season from Wed 1 Sep 2027, 2 squads, 0 stretches."
    )
    assert names_of(store)[0] == ("u13-kestrels", "U13 Kestrels")


def test_a_calendar_year_over_the_leap_day(filled: Filled) -> None:
    """A southern season moves like any other; its month is kept over 29 February."""
    settings = SETTINGS.replace("2026-10-12", "2027-02-22").replace("2027-04-09", "2027-09-24")
    settings = settings.replace("Europe/London", "Australia/Sydney").partition("[[breaks]]")[0]
    store = filled(partial(load_small_club, settings=settings))
    page = see_next_season(store, datetime(2027, 11, 3, 1, 0, 1, tzinfo=UTC))
    (stretch,) = page.stretches
    assert (stretch.first, stretch.last) == (date(2028, 2, 28), date(2028, 9, 29))
    assert stretch.becomes == "Winter 2028"


def test_of_two_secretaries_the_later_one_is_told(small: Store) -> None:
    """What both changed is told with who did; whatever only one of them touched is kept."""
    kestrels, harriers = (find_squad_id(small, key) for key in (KESTRELS, HARRIERS))
    page = see_next_season(small, JULY)
    was = {squad.item: squad.was for squad in page.squads}
    shown = {
        squad.item: {n: v for n, v in squad.shown.items() if n != "players_now"}
        for squad in page.squads
    }
    mine, other = f"squad-{kestrels}", f"squad-{harriers}"
    kim, alex = small.acting_for("Kim"), small.acting_for("Alex")
    first = shown | {mine: shown[mine] | {"name": "U13 Kites"}}
    assert save_next_season(kim, first, was, JULY).differing == ()
    second = {
        mine: shown[mine] | {"name": "U13 Hawks"},
        other: shown[other] | {"players": "11"},
    }
    (differing,) = save_next_season(alex, second, was, JULY).differing
    assert (differing.item, differing.by, differing.stands) == (mine, "Kim", {"name": "U13 Kites"})
    after = see_next_season(small, JULY).squads
    assert [(squad.becomes, squad.players) for squad in after] == [
        ("U13 Kites", 14),
        ("U15 Harriers", 11),
    ]


def test_it_is_not_made_unseen(small: Store) -> None:
    """Whoever looked at another one is told, and nothing is made."""
    with pytest.raises(OutdatedError):
        make_next_season(small, JULY, "another one")
    assert names_of(small)[0] == (KESTRELS, "U12 Kestrels")


def test_an_own_season_that_is_over_moves_along(small: Store) -> None:
    """By as many weeks as the stretches do."""
    set_squad_season(small, KESTRELS, date(2026, 11, 2), date(2027, 3, 12))
    make_next_season(small, JULY)
    with small.read() as session:
        (own,) = load_squad_seasons(session).values()
    assert (own.starts_on, own.ends_on) == (date(2027, 11, 1), date(2028, 3, 10))


def test_an_own_season_that_still_runs_stays_and_is_told(small: Store) -> None:
    """Moved, it would end today: somebody sets it when it is over."""
    set_squad_season(small, KESTRELS, None, date(2027, 3, 12))
    march = datetime(2027, 3, 1, 9, 0, 3, tzinfo=UTC)
    assert any("season of its own still runs: U12 Kestrels" in line for line in told(small, march))
    make_next_season(small, march)
    with small.read() as session:
        (own,) = load_squad_seasons(session).values()
    assert own.ends_on == date(2027, 3, 12)
