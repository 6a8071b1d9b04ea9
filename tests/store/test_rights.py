"""The secretary of a club is held to its squads by the session itself, whatever a service does."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import delete, select, update

from clubplanner.errors import RefusedError
from clubplanner.store.rights import MACHINERY, OF_BOOKING, OF_PERSON, OF_SQUAD, by_rule_of_all
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.booking_tables import BookingRow, ShareOutRow
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.store.tables.ground_tables import VenueRow
from clubplanner.store.tables.people_tables import PersonRow, SignInRow, SquadCoachRow
from clubplanner.store.tables.squad_tables import AskRow, SquadRow
from clubplanner.store.tables.turnout_tables import TurnoutRow
from clubplanner.store.tables.within_tables import ClubSecretaryRow, SquadClubRow
from tests.builders import A_WEDNESDAY, NOW
from tests.council import (
    BROOK_U10,
    BROOK_U14,
    KIM,
    NOOR,
    OFFICE,
    PARKS,
    WEIR_U10,
    WEIR_U12,
    as_secretary,
    book_squad,
    load_council,
    person_called,
)
from tests.small_club import find_squad_id

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store
    from tests.stores import Filled


@pytest.fixture
def store(filled: Filled) -> Store:
    """Give a council of this test's own."""
    return filled(load_council)


def squad(session: Session, key: str) -> SquadRow:
    """Return a squad by its key."""
    return session.scalars(select(SquadRow).where(SquadRow.key == key)).one()


def turnout(session: Session, key: str) -> TurnoutRow:
    """Return a new row that says a squad stays away."""
    return TurnoutRow(
        squad_id=squad(session, key).id,
        day=A_WEDNESDAY,
        is_coming=False,
        said_by="x",
        said_at=NOW,
    )


def test_a_clubs_secretary_changes_rows_of_own_squads(store: Store) -> None:
    """What is of the club's own squads goes through and is journalled as ever."""
    kim = as_secretary(store)
    with kim.write() as session:
        squad(session, WEIR_U10).players = 11
        squad(session, WEIR_U12).asks[0].minutes = 60
        session.add(turnout(session, WEIR_U10))
    with store.read() as session:
        assert squad(session, WEIR_U10).players == 11


OTHERS: dict[str, Callable[[Session], Any]] = {
    "a squad": lambda s: setattr(squad(s, BROOK_U10), "players", 3),
    "a squad of no club": lambda s: setattr(squad(s, PARKS), "players", 3),
    "an ask": lambda s: setattr(squad(s, BROOK_U14).asks[0], "minutes", 90),
    "an ask taken away": lambda s: s.delete(squad(s, BROOK_U14).asks[0]),
    "who comes": lambda s: s.add(turnout(s, BROOK_U10)),
    "a booking": lambda s: setattr(s.scalars(select(BookingRow)).one(), "note", "x"),
    "a booking given away": lambda s: setattr(
        s.scalars(select(BookingRow)).one(), "squad_id", squad(s, WEIR_U10).id
    ),
    "who coaches": lambda s: s.delete(
        s.scalars(
            select(SquadCoachRow).where(SquadCoachRow.squad_id == squad(s, BROOK_U14).id)
        ).first()
    ),
    "a coach": lambda s: setattr(
        s.scalars(select(PersonRow).where(PersonRow.name == "Sam Reed")).one(), "phone", "1"
    ),
    "a coach of both": lambda s: setattr(
        s.scalars(select(PersonRow).where(PersonRow.name == "Alex Moss")).one(), "phone", "1"
    ),
    "the office": lambda s: setattr(
        s.scalars(select(PersonRow).where(PersonRow.name == OFFICE)).one(), "phone", "1"
    ),
    "another secretary": lambda s: setattr(
        s.scalars(select(PersonRow).where(PersonRow.name == NOOR)).one(), "phone", "1"
    ),
    "another secretary's club": lambda s: (
        s.scalars(select(ClubSecretaryRow)).all()[1].__setattr__("club_id", 1)
    ),
    "whose a squad is": lambda s: s.add(SquadClubRow(squad_id=squad(s, PARKS).id, club_id=1)),
    "a squad drawn over": lambda s: setattr(
        s.get_one(SquadClubRow, squad(s, BROOK_U10).id), "club_id", 1
    ),
    "a squad let go": lambda s: s.delete(s.get_one(SquadClubRow, squad(s, WEIR_U10).id)),
    "the whole": lambda s: setattr(s.get_one(ClubRow, 1), "name", "Mine"),
    "ground": lambda s: setattr(s.scalars(select(VenueRow)).one(), "name", "Mine"),
    "a share-out": lambda s: s.add(
        ShareOutRow(sort="anew", created_at=NOW, kind="best", outcome={})
    ),
    "one statement": lambda s: s.execute(
        update(SquadRow).where(SquadRow.key == BROOK_U10).values(players=1)
    ),
    "one statement that deletes": lambda s: s.execute(
        delete(AskRow).where(AskRow.squad_id == squad(s, BROOK_U10).id)
    ),
    "a way in": lambda s: s.add(
        SignInRow(
            person_id=s.scalars(select(PersonRow.id).where(PersonRow.name == OFFICE)).one(),
            secret_hash="x",
            code="",
            about="",
            created_at=NOW,
            ends_at=NOW,
        )
    ),
}


@pytest.mark.parametrize("what", OTHERS)
def test_nothing_else_is_changed(store: Store, what: str) -> None:
    """What is another club's, of no club, or the office's is refused as a whole, saying who may."""
    book_squad(store, BROOK_U10)
    with (  # noqa: PT012 - the transaction is refused at its end
        pytest.raises(RefusedError, match=OFFICE),
        as_secretary(store).write() as session,
    ):
        squad(session, WEIR_U10).players = 11
        OTHERS[what](session)
    with store.read() as session:
        assert squad(session, WEIR_U10).players == 10
    with store.write() as session:  # the office may
        OTHERS[what](session)


def test_a_refusal_names_the_clubs_own_secretary(store: Store) -> None:
    """Whoever may not is told whom to ask: the secretary of that club, or the office."""
    with (
        pytest.raises(RefusedError, match=rf"Brook Athletic \({NOOR}\).*{OFFICE}"),
        as_secretary(store).write() as session,
    ):
        squad(session, BROOK_U10).players = 3


def test_what_follows_for_everybody_is_not_theirs(store: Store) -> None:
    """What the program does by rule after a change is let through, and only that."""
    with as_secretary(store).write() as session:
        squad(session, WEIR_U10).players = 11
        with by_rule_of_all(session):
            squad(session, BROOK_U10).players = 13
        squad(session, WEIR_U10).goalkeepers = 2
    with (  # noqa: PT012 - the transaction is refused at its end
        pytest.raises(RefusedError),
        as_secretary(store).write() as session,
    ):
        squad(session, BROOK_U14).players = 3
        with by_rule_of_all(session):
            squad(session, BROOK_U10).players = 14


def test_their_own_row_is_theirs(store: Store) -> None:
    """The secretary of a club may correct their own name, as everybody's browser is their own."""
    with as_secretary(store).write() as session:
        session.get_one(PersonRow, person_called(store, KIM).number).phone = "01632 960999"


def test_a_squad_made_by_a_clubs_secretary_is_of_the_club(store: Store) -> None:
    """A new squad may be put into the own club in the same transaction, and into no other."""
    weir, brook = (find_club_of(store, key) for key in (WEIR_U10, BROOK_U10))
    for club, is_refused in ((weir, False), (brook, True), (None, True)):
        kim = as_secretary(store)
        if is_refused:
            with pytest.raises(RefusedError), kim.write() as session:
                add_squad(session, club)
        else:
            with kim.write() as session:
                add_squad(session, club)


def find_club_of(store: Store, key: str) -> int:
    """Return the number of a squad's club."""
    with store.read() as session:
        return session.get_one(SquadClubRow, find_squad_id(store, key)).club_id


def add_squad(session: Session, club: int | None) -> None:
    """Add a squad of a club, or of none."""
    row = SquadRow(key="x", position=9, name="X", age_group="", players=1, goalkeepers=0)
    row.key = f"x-{club}"
    session.add(row)
    session.flush()
    if club is not None:
        session.add(SquadClubRow(squad_id=row.id, club_id=club))


def test_every_table_is_somebodys_or_the_offices() -> None:
    """No table is in two lists; what stands in none is the office's."""
    named = [*OF_SQUAD, *OF_PERSON, *OF_BOOKING, *MACHINERY]
    assert len(named) == len(set(named))
    known = {mapper.class_ for mapper in Base.registry.mappers}
    assert set(named) <= known
