"""Root of all tables. Every constraint has a name, so that a migration can find it again."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from shapely import Polygon
from sqlalchemy import JSON, MetaData
from sqlalchemy.orm import DeclarativeBase

from clubplanner.store.tables.columns import Ground, Instant
from clubplanner.store.tables.kinds import hold_kinds


class Base(DeclarativeBase):
    """Root of all tables."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_N_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map = {  # noqa: RUF012 - SQLAlchemy reads it so
        datetime: Instant,
        Polygon: Ground,
        dict[str, Any]: JSON,
        list[Any]: JSON,
    }

    def __init_subclass__(cls, **options: Any) -> None:
        """Map a class of rows; its columns take values of their kind only."""
        super().__init_subclass__(**options)
        hold_kinds(cls.metadata.tables[cls.__tablename__])
