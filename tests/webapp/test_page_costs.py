"""No page grows heavy with the club: as many statements whatever its size, and few bytes."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

import pytest

from clubplanner.store.engine import open_store
from clubplanner.store.upkeep.migrate import migrate
from tests.large_club import make_large_club
from tests.page_costs import READS_ALL, page_costs

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from clubplanner.store.engine import Store
    from tests.large_club import LargeClub
    from tests.page_costs import Cost

MOST_BYTES = 150_000
MOST_STATEMENTS = 68
WITH_REASONS = "/desk/share-outs/<int:number>"
"""Puts its stretch as a problem once more where somebody goes without, as in no small club."""
PUT_PROBLEMS = {WITH_REASONS, "/desk/share-outs/<int:number>/compare"}
"""Put a part of the season as a problem beside all else; two plans are of two parts, at worst."""
MOST_WITH_PROBLEMS = 92
WITHOUT_EXAMPLE = {
    "/let-in/<key>",
    "/secretary/<key>",
    "/desk/bookings/<int:number>/places/look",
    "/desk/share-outs/<int:number>/else",
    "/desk/share-outs/<int:number>/why",
    "/desk/season/closures/look",
    "/desk/season/busy/<int:number>",
    "/desk/webhooks/<int:number>",
    "/desk/season/closures/<int:number>",
    "/desk/season/closures/<int:number>/look",
    "/desk/season/mails/<int:number>",
    "/mails/<secret>",
    "/session/<secret>",
}
"""Pages that need an address of once or of one session, a mail, or something typed before."""


@contextmanager
def _club(folder: Path, squads: int, pitches: int, weeks: int) -> Iterator[tuple[Store, LargeClub]]:
    store = open_store(f"sqlite:///{folder / f'{squads}.sqlite'}")
    migrate(store)
    yield store, make_large_club(store, squads, pitches, weeks)
    store.close()


def _costs(store: Store, club: LargeClub) -> dict[tuple[str, str], Cost]:
    return {(cost.who, cost.rule): cost for cost in page_costs(club, store)}


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> dict[tuple[str, str], Cost]:
    """Measure the pages of a club of 20 squads."""
    with _club(tmp_path_factory.mktemp("small"), 20, 2, 13) as (store, club):
        return _costs(store, club)


@pytest.fixture(scope="module")
def council(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Store, LargeClub]]:
    """Make a club of 200 squads on 20 pitches."""
    with _club(tmp_path_factory.mktemp("large"), 200, 20, 24) as made:
        yield made


@pytest.fixture(scope="module")
def large(council: tuple[Store, LargeClub]) -> dict[tuple[str, str], Cost]:
    """Measure the pages of the club of 200 squads."""
    return _costs(*council)


def test_every_page_is_looked_at(large: dict[tuple[str, str], Cost]) -> None:
    """Each role's pages are among them; those that do not answer need what this club has not."""
    assert {who for who, _ in large} == {"secretary", "coach", "groundskeeper", "stranger"}
    assert len(large) > 60
    odd = {rule for (_, rule), cost in large.items() if cost.status >= 400}
    assert odd <= WITHOUT_EXAMPLE


def test_no_page_sends_more_statements_for_a_larger_club(
    small: dict[tuple[str, str], Cost], large: dict[tuple[str, str], Cost]
) -> None:
    """Ten times the squads and pitches, twice the weeks: the same statements."""
    grown = {
        key: (small[key].statements, cost.statements)
        for key, cost in large.items()
        if cost.status == small[key].status and cost.statements > small[key].statements
    }
    assert {rule for _, rule in grown} <= {WITH_REASONS}
    dear = [cost.statements for (_, rule), cost in large.items() if rule in PUT_PROBLEMS]
    assert max(dear) <= MOST_WITH_PROBLEMS
    usual = [cost for (_, r), cost in large.items() if r not in READS_ALL | PUT_PROBLEMS]
    assert max(cost.statements for cost in usual) <= MOST_STATEMENTS


def test_no_page_is_heavy(large: dict[tuple[str, str], Cost]) -> None:
    """Long lists come a leaf at a time."""
    heavy = {key: cost.size for key, cost in large.items() if cost.size > MOST_BYTES}
    assert heavy == {}


def test_a_long_list_is_leafed_through(council: tuple[Store, LargeClub]) -> None:
    """Two hundred squads: sixty to a leaf, forth and back, and no leaf beyond the last."""
    _store, club = council
    desk = club.app.test_client()
    desk.set_cookie("person", club.secrets["secretary"])
    first = desk.get("/desk/squads").text
    assert "1 to 60 of 200" in first
    assert 'href="/desk/squads?from=61"' in first
    assert 'rel="prev"' not in first
    middle = desk.get("/desk/squads?from=61").text
    assert "61 to 120 of 200" in middle
    assert 'href="/desk/squads?from=1"' in middle
    for beyond in ("181", "9999999", "200"):
        last = desk.get(f"/desk/squads?from={beyond}").text
        assert "181 to 200 of 200" in last
        assert 'rel="next"' not in last
    assert "1 to 60 of 200" in desk.get("/desk/squads?from=nonsense").text
