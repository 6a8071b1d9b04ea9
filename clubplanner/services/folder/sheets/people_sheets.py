"""The sheets of who is who (people, clubs, who coaches, whose squads are) and who reads mails."""

from __future__ import annotations

import secrets
from typing import TYPE_CHECKING

from clubplanner.domain.club.people import Role
from clubplanner.domain.keys import key_from_name
from clubplanner.language import _
from clubplanner.services.addresses.links import hash_secret
from clubplanner.services.folder.sheets.columns import (
    Column,
    Instant,
    Optional,
    Ref,
    Text,
    Whole,
    Word,
    YesNo,
)
from clubplanner.services.folder.sheets.sheet import CREATED, NUMBER, SQUAD, Sheet, nothing
from clubplanner.store.tables.link_tables import LinkRow
from clubplanner.store.tables.notice_tables import MailOffRow
from clubplanner.store.tables.people_tables import PersonRow, SquadCoachRow
from clubplanner.store.tables.within_tables import ClubSecretaryRow, ClubWithinRow, SquadClubRow

if TYPE_CHECKING:
    from clubplanner.services.folder.sheets.names import Names
    from clubplanner.services.folder.sheets.sheet import Values


OWN_ROLES = tuple(role for role in Role if role is not Role.CLUB_SECRETARY)
"""What stands as somebody's role: the secretary of a club is a coach there, and named in a sheet of
its own, as in the records."""


def _settle_reader(values: Values, names: Names) -> None:  # noqa: ARG001 - as all that settle
    subjects = [values[name] for name in ("squad_id", "person_id", "pitch_id")]
    if sum(subject is not None for subject in subjects) != 1:
        raise ValueError(_("Write a squad, a coach or a pitch, and one of them only"))


def _settle_club(values: Values, names: Names) -> None:  # noqa: ARG001 - as all that settle
    values["key"] = key_from_name(values["name"])


CLUBS = Sheet(
    "clubs.csv",
    ClubWithinRow,
    (
        Column("name", "name", Text()),
        Column("position", "position", Whole()),
        Column("ended", "ended_at", Optional(Instant())),
    ),
    "clubs that share the ground, or did",
    called_by="name",
    settle=_settle_club,
)
PEOPLE = Sheet(
    "people.csv",
    PersonRow,
    (
        Column("name", "name", Text()),
        Column("e-mail", "email", Text()),
        Column("phone", "phone", Text()),
        Column("role", "role", Word(OWN_ROLES)),
        Column("may sign in", "may_sign_in", YesNo()),
        CREATED,
        Column("ended", "ended_at", Optional(Instant())),
    ),
    "who is known: coaches, and whoever may sign in; passwords stay where they are",
    called_by=NUMBER,
    given={"password_hash": nothing, "version": int},
    is_sorted=True,
)
COACHES = Sheet(
    "coaches.csv",
    SquadCoachRow,
    (
        SQUAD,
        Column("person", "person_id", Ref("person")),
        Column("position", "position", Whole()),
        Column("began", "began_at", Optional(Instant())),
        Column("ended", "ended_at", Optional(Instant())),
    ),
    "who coaches which squad, or did; position 0 answers for it",
)
SQUAD_CLUBS = Sheet(
    "squad-clubs.csv",
    SquadClubRow,
    (SQUAD, Column("club", "club_id", Ref("club_within"))),
    "which club a squad is of; a squad without a row is of none",
    is_sorted=True,
)
CLUB_SECRETARIES = Sheet(
    "club-secretaries.csv",
    ClubSecretaryRow,
    (
        Column("person", "person_id", Ref("person")),
        Column("club", "club_id", Ref("club_within")),
    ),
    "who is the secretary of one club; in people.csv they are coaches",
    is_sorted=True,
)
WHO_IS_WHO = (CLUBS, PEOPLE, COACHES, SQUAD_CLUBS, CLUB_SECRETARIES)
"""In the order in which they are taken in."""
READERS = (
    Sheet(
        "no-mails.csv",
        MailOffRow,
        (
            Column("e-mail", "address", Text()),
            Column("since", "since", Instant(is_now=True)),
        ),
        "who wants no mails",
        is_sorted=True,
    ),
    Sheet(
        "mail-readers.csv",
        LinkRow,
        (
            Column("squad", "squad_id", Optional(Ref("squad"))),
            Column("coach", "person_id", Optional(Ref("person"))),
            Column("pitch", "pitch_id", Optional(Ref("pitch"))),
            Column("for", "holder", Text()),
            Column("e-mail", "email", Text()),
            Column("reminder minutes", "reminder_minutes", Optional(Whole())),
            CREATED,
        ),
        "who gets mails about changes; their addresses are to be handed out anew",
        given={
            "secret_hash": lambda: hash_secret(secrets.token_urlsafe()),
            "mail_id": nothing,
            "revoked_at": nothing,
        },
        where=lambda: (
            (LinkRow.email != "") & LinkRow.mail_id.is_(None) & LinkRow.revoked_at.is_(None)
        ),
        settle=_settle_reader,
    ),
)
"""Who gets mails, and who turned them off."""
