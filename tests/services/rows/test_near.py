"""What is near enough to be looked at in a club with more ground than one page shows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.services.rows import near as nearness
from clubplanner.services.rows.near import is_spread, near
from clubplanner.store.tables.ground_tables import PitchRow, VenueRow

if TYPE_CHECKING:
    import pytest

    from clubplanner.store.engine import Store


def test_a_club_of_one_venue_is_never_spread(small: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """However many pitches one venue has, they are looked at together."""
    monkeypatch.setattr(nearness, "MOST_TOGETHER", 0)
    with small.read() as session:
        assert not is_spread(session)


def test_ground_elsewhere_is_left_out_of_a_spread_club(
    small: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With few pitches all are near; above the number, those of the venue alone."""
    with small.write() as session:
        first = session.scalars(select(VenueRow)).one()
        values = {c.name: getattr(first, c.name) for c in VenueRow.__table__.c if c.name != "id"}
        other = VenueRow(**{**values, "key": "elsewhere", "name": "Elsewhere", "position": 9})
        session.add(other)
        session.flush()
        session.scalars(select(PitchRow).order_by(PitchRow.id)).all()[-1].venue = other
    with small.read() as session:
        everything = set(session.scalars(select(PitchRow.key)))
        column = PitchRow.id.expression
        query = select(PitchRow.key).where(near(session, "elsewhere", column))
        assert set(session.scalars(query)) == everything
        monkeypatch.setattr(nearness, "MOST_TOGETHER", 1)
        query = select(PitchRow.key).where(near(session, "elsewhere", column))
        assert len(set(session.scalars(query))) == 1 < len(everything)
