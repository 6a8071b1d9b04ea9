"""The page on which a proposal is drawn over time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.services.proposals.test_publishing import HARRIERS, KESTRELS, propose

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


def test_a_proposal_is_drawn_and_compared(desk: FlaskClient, club_store: Store) -> None:
    """Its page draws what changes, and leads to every week and to a comparison."""
    one, other = propose(club_store, KESTRELS), propose(club_store, KESTRELS, HARRIERS)
    see = desk.get(f"/desk/share-outs/{other}").text
    assert 'class="sheet week-sheet week-wide"' in see
    assert f'href="/desk/share-outs/{other}/week"' in see
    page = desk.get(f"/desk/share-outs/{other}/week").text
    assert f"Proposal {other} against what stands" in page
    assert f'<option value="{one}">' in page
    assert f'<a href="/desk/share-outs/{other}/else?place=1">' in page
    compared = desk.get(f"/desk/share-outs/{other}/week?other={one}").text
    assert f"Proposal {other} against proposal {one}: 1 new" in compared


def test_nonsense_in_the_query_is_passed_over(desk: FlaskClient, club_store: Store) -> None:
    """A week, a leaf or a proposal that cannot be read shows the first week against what stands."""
    number = propose(club_store, KESTRELS)
    for query in ("week=x&pitch=y&other=z", "week=0001-01-01", f"other={number}", "pitch=-4"):
        answer = desk.get(f"/desk/share-outs/{number}/week?{query}")
        assert answer.status_code == 200
        assert "against what stands: 1 new" in answer.text
    assert desk.get(f"/desk/share-outs/{number}/week?other=999").status_code == 404
