"""Who coaches a squad, for whoever writes or rings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.club.persons.coaches import Coach
from clubplanner.services.rows.coach_rows import coaches_of
from tests.small_club import HARRIERS, KESTRELS, SQUADS, find_squad_id, load_small_club

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

WITH_KIM = (
    SQUADS.replace(",coach,", ",coach,coach phone,assistants,")
    .replace("Robin Hale,", "Robin Hale,01632 960001,Kim Vale <kim@x.example>; Sam Reed,")
    .replace("Sam Reed,2", "Sam Reed,,,2")
)


def test_coaches_come_in_order_with_number_address_and_telephone(empty_store: Store) -> None:
    """The first answers for the squad; who has two squads has one number."""
    store = load_small_club(empty_store, squads=WITH_KIM)
    kestrels, harriers = find_squad_id(store, KESTRELS), find_squad_id(store, HARRIERS)
    with store.read() as session:
        found = coaches_of(session, [kestrels, harriers, 99])
        assert coaches_of(session) == {n: found[n] for n in (kestrels, harriers)}
    numbers = [coach.number for coach in found[kestrels]]
    assert found == {
        kestrels: (
            Coach("Robin Hale", "", "01632 960001", numbers[0], 0),
            Coach("Kim Vale", "kim@x.example", "", numbers[1], 1),
            Coach("Sam Reed", "", "", numbers[2], 2),
        ),
        harriers: (Coach("Sam Reed", "", "", numbers[2], 0),),
        99: (),
    }
    assert [coach.is_first for coach in found[kestrels]] == [True, False, False]
