"""The tables. Every constraint has a name, so that a migration can find it again."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from shapely import Polygon
from sqlalchemy import (
    JSON,
    BigInteger,
    CheckConstraint,
    Enum,
    ForeignKey,
    Index,
    MetaData,
    UniqueConstraint,
    func,
    select,
    text,
)
from sqlalchemy.ext.hybrid import hybrid_property
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column, object_session, relationship

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.people import Role
from clubplanner.store.columns import Ground, Instant

if TYPE_CHECKING:
    from sqlalchemy import ColumnElement

LONGEST_BOOKING_HOURS = 25
"""A booking ends within a day (25 h on the night the clocks go back); longer closures are a row
a day. It keeps what the guard has to look through short."""


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


class ClubRow(Base):
    """The club itself: one row."""

    __tablename__ = "club"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    zone: Mapped[str]
    language: Mapped[str]
    step_minutes: Mapped[int]
    changeover_minutes: Mapped[int]
    travel_minutes: Mapped[int]
    rules: Mapped[dict[str, Any]]

    __table_args__ = (CheckConstraint("id = 1", name="one_club"),)


class FormSecretRow(Base):
    """The random secret that protects forms against other sites: one row, made at first use."""

    __tablename__ = "form_secret"

    id: Mapped[int] = mapped_column(primary_key=True)
    value: Mapped[str]

    __table_args__ = (CheckConstraint("id = 1", name="one_secret"),)


class VenueRow(Base):
    """A venue; its opening hours are a list of [weekday, start minute, end minute]."""

    __tablename__ = "venue"

    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(unique=True)
    position: Mapped[int]
    name: Mapped[str]
    address: Mapped[str]
    lon: Mapped[float]
    lat: Mapped[float]
    opening: Mapped[list[Any]]
    lights_off_min: Mapped[int | None]
    dusk_margin_minutes: Mapped[int]

    pitches: Mapped[list[PitchRow]] = relationship(
        back_populates="venue", order_by="PitchRow.position"
    )


class PitchRow(Base):
    """A pitch; frame, edge names, goals and entrance are small JSON values."""

    __tablename__ = "pitch"

    id: Mapped[int] = mapped_column(primary_key=True)
    venue_id: Mapped[int] = mapped_column(ForeignKey("venue.id"), index=True)
    key: Mapped[str] = mapped_column(unique=True)
    position: Mapped[int]
    name: Mapped[str]
    surface: Mapped[str]
    is_lit: Mapped[bool]
    is_indoor: Mapped[bool]
    polygon: Mapped[Polygon]
    frame: Mapped[list[Any] | None]
    edges: Mapped[dict[str, Any]]
    goals: Mapped[list[Any]]
    portable_goals: Mapped[int]
    entrance: Mapped[list[Any] | None]

    venue: Mapped[VenueRow] = relationship(back_populates="pitches")
    areas: Mapped[list[AreaRow]] = relationship(back_populates="pitch", order_by="AreaRow.position")
    obstacles: Mapped[list[ObstacleRow]] = relationship(
        order_by="ObstacleRow.id", cascade="all, delete-orphan"
    )


class ObstacleRow(Base):
    """Ground of a pitch taken by something else."""

    __tablename__ = "obstacle"

    id: Mapped[int] = mapped_column(primary_key=True)
    pitch_id: Mapped[int] = mapped_column(ForeignKey("pitch.id"), index=True)
    polygon: Mapped[Polygon]


class AreaRow(Base):
    """A bookable part of a pitch."""

    __tablename__ = "area"

    id: Mapped[int] = mapped_column(primary_key=True)
    pitch_id: Mapped[int] = mapped_column(ForeignKey("pitch.id"))
    key: Mapped[str]
    position: Mapped[int]
    name: Mapped[str]
    cut: Mapped[str]
    polygon: Mapped[Polygon]
    cells: Mapped[int] = mapped_column(BigInteger)
    twelfths: Mapped[int | None]

    pitch: Mapped[PitchRow] = relationship(back_populates="areas")

    __table_args__ = (
        UniqueConstraint("pitch_id", "key"),
        CheckConstraint("cells > 0", name="has_ground"),
    )


class StretchRow(Base):
    """A part of a season with one weekly pattern."""

    __tablename__ = "stretch"

    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    starts_on: Mapped[date]
    ends_on: Mapped[date]


class BreakRow(Base):
    """Dates without training."""

    __tablename__ = "training_break"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    starts_on: Mapped[date]
    ends_on: Mapped[date]


class SquadRow(Base):
    """A squad: a name, an age group and numbers."""

    __tablename__ = "squad"

    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(unique=True)
    position: Mapped[int]
    name: Mapped[str]
    age_group: Mapped[str]
    players: Mapped[int]
    goalkeepers: Mapped[int]
    coach: Mapped[str]
    coach_email: Mapped[str]

    asks: Mapped[list[AskRow]] = relationship(
        back_populates="squad", order_by="AskRow.id", cascade="all, delete-orphan"
    )


class AskRow(Base):
    """What a squad wants of a week; windows are lists of [weekday, start, end].

    Wishes are lists of [grade, windows, weekdays, place], partners of [kind, squad's key, grade].
    `most_in_a_row` is the most evenings in a row, 1 to 6; None for as many as there are.
    """

    __tablename__ = "ask"

    id: Mapped[int] = mapped_column(primary_key=True)
    squad_id: Mapped[int] = mapped_column(ForeignKey("squad.id"), index=True)
    sessions: Mapped[int]
    minutes: Mapped[int]
    possible: Mapped[list[Any]]
    preferred: Mapped[list[Any]]
    least_m2: Mapped[float]
    least_share: Mapped[float]
    least_format: Mapped[str]
    surfaces: Mapped[list[Any]]
    needs_goal: Mapped[bool]
    needs_light: Mapped[bool]
    priority: Mapped[int]
    latest_finish_min: Mapped[int | None]
    rest_days: Mapped[int]
    no_day_before: Mapped[list[Any]]
    no_day_after: Mapped[list[Any]]
    wishes: Mapped[list[Any]]
    partners: Mapped[list[Any]]
    most_in_a_row: Mapped[int | None]

    squad: Mapped[SquadRow] = relationship(back_populates="asks")

    __table_args__ = (CheckConstraint("most_in_a_row BETWEEN 1 AND 6", name="less_than_a_week"),)


class OwnFormatRow(Base):
    """A game format of the club's own table of sizes; `figures` are its values by name."""

    __tablename__ = "own_format"

    id: Mapped[int] = mapped_column(primary_key=True)
    code: Mapped[str] = mapped_column(unique=True)
    position: Mapped[int]
    figures: Mapped[dict[str, Any]]


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
    area_id: Mapped[int] = mapped_column(ForeignKey("area.id"), index=True)
    cells: Mapped[int] = mapped_column(BigInteger)
    starts_at: Mapped[datetime]
    ends_at: Mapped[datetime]
    purpose: Mapped[Purpose] = mapped_column(
        Enum(
            Purpose,
            values_callable=lambda kind: [member.value for member in kind],
            name="purpose",
            native_enum=False,
            create_constraint=True,
            length=16,
        )
    )
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

    area: Mapped[AreaRow] = relationship()
    pitch: Mapped[PitchRow] = relationship()
    squad: Mapped[SquadRow | None] = relationship()
    share_out: Mapped[ShareOutRow | None] = relationship()

    __table_args__ = (
        CheckConstraint("ends_at > starts_at", name="runs_forward"),
        CheckConstraint("cells > 0", name="has_ground"),
        Index("ix_booking_pitch_id_starts_at", "pitch_id", "starts_at"),
        Index("ix_booking_squad_id_starts_at", "squad_id", "starts_at"),
        Index("ix_booking_starts_at", "starts_at"),
    )

    @hybrid_property
    def holder(self) -> str:
        """Who holds the ground: the squad's name as it is now; of anybody else, as written."""
        squad = self._squad_of_now()
        return self.written_holder if squad is None else squad.name

    @holder.inplace.setter
    def _write_holder(self, words: str) -> None:
        self.written_holder = words

    @holder.inplace.expression
    @classmethod
    def _holder_in_queries(cls) -> ColumnElement[str]:
        name = select(SquadRow.name).where(SquadRow.id == cls.squad_id).scalar_subquery()
        return func.coalesce(name, cls.written_holder)

    def _squad_of_now(self) -> SquadRow | None:
        """Return the squad by its number: `squad` may be that of before a change of the number."""
        loaded: SquadRow | None = self.__dict__.get("squad")
        if self.squad_id is None or (loaded is not None and loaded.id == self.squad_id):
            return None if self.squad_id is None else loaded
        session = object_session(self)
        if session is None:
            return self.squad
        with session.no_autoflush:
            return session.get(SquadRow, self.squad_id)


class ShareOutRow(Base):
    """A proposal, and whether it has been published."""

    __tablename__ = "share_out"

    id: Mapped[int] = mapped_column(primary_key=True)
    stretch_id: Mapped[int] = mapped_column(ForeignKey("stretch.id"), index=True)
    sort: Mapped[str]
    created_at: Mapped[datetime]
    kind: Mapped[str]
    outcome: Mapped[dict[str, Any]]
    published_at: Mapped[datetime | None]

    stretch: Mapped[StretchRow] = relationship()


class PersonRow(Base):
    """An adult who may sign in; one whose access has ended stays, so that old changes have a name.

    `password_hash` is argon2's, and only a secretary has one.
    """

    __tablename__ = "person"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    email: Mapped[str]
    role: Mapped[Role] = mapped_column(
        Enum(
            Role,
            values_callable=lambda kind: [member.value for member in kind],
            name="role",
            native_enum=False,
            create_constraint=True,
            length=16,
        )
    )
    password_hash: Mapped[str | None]
    version: Mapped[int]
    created_at: Mapped[datetime]
    ended_at: Mapped[datetime | None]

    squads: Mapped[list[SquadRow]] = relationship(
        secondary="person_squad", order_by="SquadRow.position"
    )


class PersonSquadRow(Base):
    """Which squads a coach looks after."""

    __tablename__ = "person_squad"

    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), primary_key=True)
    squad_id: Mapped[int] = mapped_column(ForeignKey("squad.id"), primary_key=True, index=True)


class SignInRow(Base):
    """A way in that works once: asked for, handed over, used up by being deleted.

    Without a person it sets up the first secretary. Without a `secret_hash` it is a request that
    nobody has answered yet. With a `browser_hash` it works only in the browser that asked.
    """

    __tablename__ = "sign_in"

    id: Mapped[int] = mapped_column(primary_key=True)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"), index=True)
    secret_hash: Mapped[str | None] = mapped_column(unique=True)
    browser_hash: Mapped[str | None]
    code: Mapped[str]
    about: Mapped[str]
    created_at: Mapped[datetime]
    ends_at: Mapped[datetime]

    person: Mapped[PersonRow | None] = relationship()


class BrowserRow(Base):
    """A signed-in browser; only the hash of its secret is kept, and deleting the row ends it."""

    __tablename__ = "browser"

    id: Mapped[int] = mapped_column(primary_key=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), index=True)
    secret_hash: Mapped[str] = mapped_column(unique=True)
    about: Mapped[str]
    created_at: Mapped[datetime]
    ends_at: Mapped[datetime]

    person: Mapped[PersonRow] = relationship()


class SignInTryRow(Base):
    """An attempt to sign in, counted under a hash of whose name or which machine it was."""

    __tablename__ = "sign_in_try"

    id: Mapped[int] = mapped_column(primary_key=True)
    counted_under: Mapped[str]
    tried_at: Mapped[datetime]

    __table_args__ = (Index("ix_sign_in_try_counted_under", "counted_under", "tried_at"),)


class SentFormRow(Base):
    """A form that was sent: its token's hash, and where the answer led once there was one."""

    __tablename__ = "sent_form"

    id: Mapped[int] = mapped_column(primary_key=True)
    token_hash: Mapped[str] = mapped_column(unique=True)
    sent_at: Mapped[datetime] = mapped_column(index=True)
    answer: Mapped[str | None]


class NoticeBoardRow(Base):
    """Whether the notice board is on: one row, and off without it."""

    __tablename__ = "notice_board"

    id: Mapped[int] = mapped_column(primary_key=True)
    is_on: Mapped[bool]
    changed_at: Mapped[datetime]

    __table_args__ = (CheckConstraint("id = 1", name="one_board"),)
