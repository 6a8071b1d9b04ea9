"""Column types that read the same on every database."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import lru_cache
from math import floor
from typing import TYPE_CHECKING, Any

import shapely
from shapely import Polygon
from sqlalchemy import BigInteger, Enum, LargeBinary, cast, func
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.sql.functions import FunctionElement
from sqlalchemy.types import TypeDecorator

if TYPE_CHECKING:
    from enum import StrEnum

    from sqlalchemy import ColumnElement
    from sqlalchemy.engine import Dialect

MOST_POLYGONS = 10_000
"""How many pieces of ground are remembered."""


class Instant(TypeDecorator[datetime]):
    """An aware instant in UTC, to the second.

    Every database holds whole seconds since 1970: guards and sums compare, subtract and add them
    in one way, and rows are moved from one to another as they are.
    """

    impl = BigInteger
    cache_ok = True

    @property
    def python_type(self) -> type[datetime]:
        """What a value is in Python, whatever the database holds."""
        return datetime

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> Any:  # noqa: ARG002
        """Turn an aware instant into what is stored.

        Raises:
            ValueError: If the instant has no time zone.
        """
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("An instant needs a time zone.")
        return floor(value.timestamp())

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Turn what is stored into an aware instant in UTC."""
        if value is None:
            return None
        return datetime.fromtimestamp(int(value), UTC)


def kept_by_value(kind: type[StrEnum], name: str, *, is_checked: bool = True) -> Enum:
    """Return the type of a column that holds one of some words, each by its value.

    Args:
        kind: The words.
        name: Of the constraint.
        is_checked: Whether the database holds the column to the words.
    """
    return Enum(
        kind,
        values_callable=lambda words: [word.value for word in words],
        name=name,
        native_enum=False,
        create_constraint=is_checked,
        length=16,
    )


class seconds_between(FunctionElement[int]):  # noqa: N801 - a function of SQL
    """Whole seconds from one column of instants to another, on every database."""

    name = "seconds_between"
    inherit_cache = True
    type = BigInteger()


@compiles(seconds_between)
def _seconds_of_1970(element: Any, compiler: Any, **options: Any) -> str:
    start, end = element.clauses
    return f"({compiler.process(end, **options)} - {compiler.process(start, **options)})"


def total_seconds(start: Any, end: Any) -> ColumnElement[int]:
    """Return the sum over rows of the seconds from one column of instants to another.

    PostgreSQL adds whole numbers up to a decimal fraction; it stays a whole number here.
    """
    return cast(func.sum(seconds_between(start, end)), BigInteger)


class Ground(TypeDecorator[Polygon]):
    """A polygon in metres of its pitch's frame, as well-known binary."""

    impl = LargeBinary
    cache_ok = True

    def process_bind_param(self, value: Polygon | None, dialect: Dialect) -> bytes | None:  # noqa: ARG002
        """Write well-known binary."""
        return None if value is None else bytes(shapely.to_wkb(value))

    def process_result_value(self, value: bytes | None, dialect: Dialect) -> Polygon | None:  # noqa: ARG002
        """Read well-known binary."""
        return None if value is None else polygon_from_stored(bytes(value))


@lru_cache(maxsize=MOST_POLYGONS)
def polygon_from_stored(stored: bytes) -> Polygon:
    """Read well-known binary; the same ground is the same value, which nothing changes."""
    shape = shapely.from_wkb(stored)
    if not isinstance(shape, Polygon):
        raise TypeError(f"A polygon was stored, a {shape.geom_type} came back.")
    return shape
