"""Dated bookings, and the share-outs that put them where they are."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any, cast

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    func,
    select,
    text,
)
from sqlalchemy.ext.hybrid import hybrid_property
from sqlalchemy.orm import Mapped, mapped_column, object_session, relationship

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.club_tables import StretchRow
from clubplanner.store.tables.columns import kept_by_value
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from clubplanner.store.tables.said import said
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.tables.turn_tables import SquadNameRow, earlier_name

if TYPE_CHECKING:
    from sqlalchemy import ColumnElement

LONGEST_BOOKING_HOURS = 25
LONGEST_BOOKING = timedelta(hours=LONGEST_BOOKING_HOURS)
"""A booking ends within a day (25 h on the night the clocks go back); longer closures are a row
a day. It keeps what the guard has to look through short."""


_STANDS = "{of}is_fixed OR {of}purpose <> 'training' OR {of}squad_id IS NULL"
"""What no share-out moves: some hundreds of the hundred thousand bookings of a council's season."""
SQUADS_HELD = "squads held"
"""Squads that a session looked for: it would forget them between two bookings, and ask again."""


class BookingRow(Base):
    """A dated booking. The guard (see `guard`) keeps live ones from overlapping.

    `share_out_id` names the share-out that put it where it is, or that did before a person moved
    it; bookings made by hand have none. `written_holder` is who it was for in the words of that
    day; everybody asks for `holder`. `overruled` is why it was put there against a rule; blank
    where none was.
    """

    __tablename__ = "booking"

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(unique=True)
    pitch_id: Mapped[int] = mapped_column(ForeignKey("pitch.id"))
    area_id: Mapped[int] = mapped_column(index=True)
    cells: Mapped[int] = mapped_column(BigInteger)
    starts_at: Mapped[datetime]
    ends_at: Mapped[datetime]
    purpose: Mapped[Purpose] = mapped_column(kept_by_value(Purpose, "purpose"))
    squad_id: Mapped[int | None] = mapped_column(ForeignKey("squad.id"))
    written_holder: Mapped[str] = mapped_column("holder")
    note: Mapped[str]
    is_withdrawn: Mapped[bool]
    is_fixed: Mapped[bool]
    share_out_id: Mapped[int | None] = mapped_column(ForeignKey("share_out.id"))
    sequence: Mapped[int]
    created_at: Mapped[datetime]
    changed_at: Mapped[datetime]
    overruled: Mapped[str] = mapped_column(default="", server_default=text("''"))

    area: Mapped[AreaRow] = relationship(
        primaryjoin=lambda: BookingRow.area_id == AreaRow.id, foreign_keys=[area_id]
    )
    pitch: Mapped[PitchRow] = relationship()
    squad: Mapped[SquadRow | None] = relationship()
    share_out: Mapped[ShareOutRow | None] = relationship()

    __table_args__ = (
        ForeignKeyConstraint(["area_id", "pitch_id"], ["area.id", "area.pitch_id"]),
        CheckConstraint("ends_at > starts_at", name="runs_forward"),
        CheckConstraint("cells > 0", name="has_ground"),
        Index("ix_booking_pitch_id_starts_at", "pitch_id", "starts_at"),
        Index("ix_booking_squad_id_starts_at", "squad_id", "starts_at"),
        Index("ix_booking_starts_at", "starts_at"),
        Index(
            "ix_booking_standing_starts_at",
            "starts_at",
            sqlite_where=text(_STANDS.format(of="")),
            postgresql_where=text(_STANDS.format(of="")),
        ),
        Index("ix_booking_said", said("booking")),
    )

    @classmethod
    def running_between(cls, start: datetime, end: datetime) -> tuple[ColumnElement[bool], ...]:
        """Return the conditions for touching a time, its ends open.

        They bound the start on both sides, as no booking is longer than the guard lets it be: so
        the index on the start is read from there on, and not all the past.
        """
        return (cls.starts_at < end, *cls.not_over(start))

    @classmethod
    def not_over(cls, now: datetime) -> tuple[ColumnElement[bool], ...]:
        """Return the conditions for ending after an instant."""
        return cls.ends_at > now, cls.starts_at > now - LONGEST_BOOKING

    @classmethod
    def stands(cls) -> ColumnElement[bool]:
        """Return the condition for what a share-out must leave alone (`does_stand`).

        In the very words of an index: else a database cannot tell that it may read that.
        """
        return cast("ColumnElement[bool]", text(f"({_STANDS.format(of='booking.')})"))

    @hybrid_property
    def holder(self) -> str:
        """Who holds the ground: the squad's name in that season; of anybody else, as written."""
        squad = self._squad_of_now()
        if squad is None:
            return self.written_holder
        session = object_session(self)
        earlier = None if session is None else earlier_name(session, squad.id, self.starts_at)
        return squad.name if earlier is None else earlier

    @holder.inplace.setter
    def _write_holder(self, words: str) -> None:
        self.written_holder = words

    @holder.inplace.expression
    @classmethod
    def _holder_in_queries(cls) -> ColumnElement[str]:
        name = select(SquadRow.name).where(SquadRow.id == cls.squad_id).scalar_subquery()
        earlier = (
            select(SquadNameRow.name)
            .where(SquadNameRow.squad_id == cls.squad_id, SquadNameRow.until > cls.starts_at)
            .order_by(SquadNameRow.until)
            .limit(1)
            .scalar_subquery()
        )
        return func.coalesce(earlier, name, cls.written_holder)

    def _squad_of_now(self) -> SquadRow | None:
        """Return the squad by its number: `squad` may be that of before a change of the number."""
        loaded: SquadRow | None = self.__dict__.get("squad")
        if self.squad_id is None or (loaded is not None and loaded.id == self.squad_id):
            return None if self.squad_id is None else loaded
        session = object_session(self)
        if session is None:
            return self.squad
        held: dict[int, SquadRow | None] = session.info.setdefault(SQUADS_HELD, {})
        known = held.get(self.squad_id)
        if known is not None and known in session:
            return known
        with session.no_autoflush:
            held[self.squad_id] = session.get(SquadRow, self.squad_id)
        return held[self.squad_id]


class ShareOutRow(Base):
    """A proposal, and whether it has been published.

    That of one evening needs no stretch of the season; every other lies in one.
    """

    __tablename__ = "share_out"

    id: Mapped[int] = mapped_column(primary_key=True)
    stretch_id: Mapped[int | None] = mapped_column(ForeignKey("stretch.id"), index=True)
    sort: Mapped[str]
    created_at: Mapped[datetime]
    kind: Mapped[str]
    outcome: Mapped[dict[str, Any]]
    published_at: Mapped[datetime | None] = mapped_column(index=True)

    stretch: Mapped[StretchRow | None] = relationship()

    __table_args__ = (
        # what a proposal holds is large, and lies before when it was published
        Index("ix_share_out_stretch_id_published_at", "stretch_id", "published_at"),
    )
