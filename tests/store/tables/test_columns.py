"""Column types: instants and ground."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Polygon
from sqlalchemy import Column, MetaData, Table, create_engine, insert, literal_column, select
from sqlalchemy.dialects import postgresql, sqlite

from clubplanner.geometry.shapes import as_polygon, rectangle
from clubplanner.store.tables.columns import Ground, Instant
from tests.strategies import l_shapes, rectangles, stars

SQLITE = sqlite.dialect()
POSTGRESQL = postgresql.dialect()  # type: ignore[no-untyped-call]

THINGS = Table("thing", MetaData(), Column("at", Instant()), Column("ground", Ground()))


@given(
    st.datetimes(
        datetime(1971, 1, 1),  # noqa: DTZ001 - hypothesis asks for bounds without a zone
        datetime(2199, 1, 1),  # noqa: DTZ001
        timezones=st.integers(-840, 840).map(lambda m: timezone(timedelta(minutes=m))),
    )
)
def test_an_instant_comes_back_in_utc_to_the_second(at: datetime) -> None:
    """Whatever zone an instant is written in, the same second comes back."""
    kind = Instant()
    stored = kind.process_bind_param(at, SQLITE)
    assert isinstance(stored, int)
    back = kind.process_result_value(stored, SQLITE)
    assert back is not None
    assert back.tzinfo is UTC
    assert back == at.replace(microsecond=0)


def test_an_instant_is_the_same_number_everywhere() -> None:
    """Guards and sums go by whole seconds on both kinds of database, and rows are moved as is."""
    kind = Instant()
    at = datetime(2026, 7, 1, 20, 0, 0, 5, tzinfo=timezone(timedelta(hours=2)))
    stored = {kind.process_bind_param(at, dialect) for dialect in (SQLITE, POSTGRESQL)}
    assert stored == {int(datetime(2026, 7, 1, 18, tzinfo=UTC).timestamp())}
    assert kind.compile(SQLITE) == kind.compile(POSTGRESQL) == "BIGINT"


def test_an_instant_without_a_zone_is_refused() -> None:
    """A time that could be anywhere's is never stored."""
    with pytest.raises(ValueError, match="needs a time zone"):
        Instant().process_bind_param(datetime(2026, 7, 1), SQLITE)  # noqa: DTZ001


def test_nothing_stays_nothing() -> None:
    """No instant and no ground are stored as nothing and come back so."""
    for kind in (Instant(), Ground()):
        assert kind.process_bind_param(None, SQLITE) is None
        assert kind.process_result_value(None, SQLITE) is None


@given(st.one_of(rectangles(), stars(), l_shapes()))
def test_ground_comes_back_to_the_last_digit(shape: Polygon) -> None:
    """A polygon is stored without any rounding."""
    kind = Ground()
    back = kind.process_result_value(kind.process_bind_param(shape, SQLITE), SQLITE)
    assert shapely.equals_identical(back, shape)


def test_a_hole_comes_back() -> None:
    """Inner rings are ground of their own kind and are kept."""
    shape = as_polygon(rectangle(0, 0, 100, 60).difference(rectangle(40, 20, 10, 10)))
    back = Ground().process_result_value(Ground().process_bind_param(shape, SQLITE), SQLITE)
    assert back is not None
    assert len(back.interiors) == 1


def test_what_is_no_polygon_is_not_taken_for_ground() -> None:
    """A line that somehow got into the column is reported, not used."""
    with pytest.raises(TypeError, match="a LineString came back"):
        Ground().process_result_value(shapely.to_wkb(LineString([(0, 0), (1, 1)])), SQLITE)


def test_both_go_through_a_database() -> None:
    """Values written by one statement are read by another; the instant is plain seconds."""
    engine = create_engine("sqlite://")
    at, ground = datetime(2026, 10, 25, 1, 30, tzinfo=UTC), rectangle(0, 0, 100, 60)
    with engine.begin() as connection:
        THINGS.create(connection)
        connection.execute(insert(THINGS).values(at=at, ground=ground))
        row = connection.execute(select(THINGS, literal_column("typeof(at)"))).one()
    engine.dispose()
    assert row.at == at
    assert row.ground.equals(ground)
    assert row[2] == "integer"
