"""Column types that read the same on every database."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

import shapely
from shapely import Polygon
from sqlalchemy import BigInteger, DateTime, LargeBinary
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.sql.functions import FunctionElement
from sqlalchemy.types import TypeDecorator, TypeEngine

if TYPE_CHECKING:
    from sqlalchemy.engine import Dialect


class Instant(TypeDecorator[datetime]):
    """An aware instant in UTC, to the second.

    SQLite holds whole seconds since 1970, so that triggers can compare and subtract; PostgreSQL
    holds a timestamp with time zone.
    """

    impl = BigInteger
    cache_ok = True

    @property
    def python_type(self) -> type[datetime]:
        """What a value is in Python, whatever the database holds."""
        return datetime

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        """Choose the native type."""
        if dialect.name == "postgresql":
            return dialect.type_descriptor(DateTime(timezone=True))
        return dialect.type_descriptor(BigInteger())

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> Any:
        """Turn an aware instant into what is stored.

        Raises:
            ValueError: If the instant has no time zone.
        """
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("An instant needs a time zone.")
        whole = value.astimezone(UTC).replace(microsecond=0)
        return whole if dialect.name == "postgresql" else int(whole.timestamp())

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:
        """Turn what is stored into an aware instant in UTC."""
        if value is None:
            return None
        if dialect.name == "postgresql":
            return value.astimezone(UTC) if isinstance(value, datetime) else None
        return datetime.fromtimestamp(int(value), UTC)


class seconds_between(FunctionElement[int]):  # noqa: N801 - a function of SQL
    """Whole seconds from one column of instants to another, on every database."""

    name = "seconds_between"
    inherit_cache = True
    type = BigInteger()


@compiles(seconds_between)
def _seconds_of_1970(element: Any, compiler: Any, **options: Any) -> str:
    start, end = element.clauses
    return f"({compiler.process(end, **options)} - {compiler.process(start, **options)})"


@compiles(seconds_between, "postgresql")
def _seconds_of_timestamps(element: Any, compiler: Any, **options: Any) -> str:
    seconds = _seconds_of_1970(element, compiler, **options)
    return f"CAST(EXTRACT(EPOCH FROM {seconds}) AS BIGINT)"


class Ground(TypeDecorator[Polygon]):
    """A polygon in metres of its pitch's frame, as well-known binary."""

    impl = LargeBinary
    cache_ok = True

    def process_bind_param(self, value: Polygon | None, dialect: Dialect) -> bytes | None:  # noqa: ARG002
        """Write well-known binary."""
        return None if value is None else bytes(shapely.to_wkb(value))

    def process_result_value(self, value: bytes | None, dialect: Dialect) -> Polygon | None:  # noqa: ARG002
        """Read well-known binary."""
        if value is None:
            return None
        shape = shapely.from_wkb(value)
        if not isinstance(shape, Polygon):
            raise TypeError(f"A polygon was stored, a {shape.geom_type} came back.")
        return shape
