"""Who may sign in, how and from which browser; and the forms that browsers send."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, text
from sqlalchemy.orm import Mapped, mapped_column, relationship

from clubplanner.domain.club.people import Role
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.columns import kept_by_value
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.tables.within_tables import ClubSecretaryRow


class PersonRow(Base):
    """An adult: a coach, or anybody else who may sign in. Nobody is deleted: the past has names.

    `may_sign_in` is no for a coach who was never let in, and once access has ended (`ended_at`).
    `password_hash` is argon2's, and only a secretary has one. `phone` is for the secretary, and
    whoever has to ring: digits, blanks and a plus sign; blank when not known.
    """

    __tablename__ = "person"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    email: Mapped[str]
    phone: Mapped[str]
    may_sign_in: Mapped[bool]
    role: Mapped[Role] = mapped_column(kept_by_value(Role, "role", is_checked=False))
    password_hash: Mapped[str | None]
    version: Mapped[int]
    created_at: Mapped[datetime]
    ended_at: Mapped[datetime | None]

    squads: Mapped[list[SquadRow]] = relationship(
        secondary="squad_coach",
        primaryjoin="and_(PersonRow.id == SquadCoachRow.person_id, SquadCoachRow.ended_at == None)",
        secondaryjoin="SquadRow.id == SquadCoachRow.squad_id",
        order_by="SquadRow.position",
        viewonly=True,
    )
    __table_args__ = (
        CheckConstraint("role IN ('secretary', 'groundskeeper', 'coach')", name="role"),
    )
    secretary_of: Mapped[ClubSecretaryRow | None] = relationship(
        back_populates="person", cascade="all, delete-orphan"
    )


class SquadCoachRow(Base):
    """Who coaches a squad, or did: the first (`position` 0) answers for it, the others assist.

    What has ended stays, so that the calendar of who coached it can say what passed on.
    `began_at` is empty where nobody noted it.
    """

    __tablename__ = "squad_coach"

    id: Mapped[int] = mapped_column(primary_key=True)
    squad_id: Mapped[int] = mapped_column(ForeignKey("squad.id"), index=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), index=True)
    position: Mapped[int]
    began_at: Mapped[datetime | None]
    ended_at: Mapped[datetime | None]

    squad: Mapped[SquadRow] = relationship()
    person: Mapped[PersonRow] = relationship()

    __table_args__ = (
        Index(
            "uq_squad_coach_now",
            "squad_id",
            "person_id",
            unique=True,
            sqlite_where=text("ended_at IS NULL"),
            postgresql_where=text("ended_at IS NULL"),
        ),
    )


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


class FormSecretRow(Base):
    """The random secret that protects forms against other sites: one row, made at first use."""

    __tablename__ = "form_secret"

    id: Mapped[int] = mapped_column(primary_key=True)
    value: Mapped[str]

    __table_args__ = (CheckConstraint("id = 1", name="one_secret"),)


class SentFormRow(Base):
    """A form that was sent: its token's hash, and where the answer led once there was one."""

    __tablename__ = "sent_form"

    id: Mapped[int] = mapped_column(primary_key=True)
    token_hash: Mapped[str] = mapped_column(unique=True)
    sent_at: Mapped[datetime] = mapped_column(index=True)
    answer: Mapped[str | None]
