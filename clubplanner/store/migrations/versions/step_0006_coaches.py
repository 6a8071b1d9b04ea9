"""A coach is a person with a number of their own: names and addresses become rows of `person`.

A squad has several coaches in order (`squad_coach`, in the place of `person_squad`): the first is
whom `squad.coach` named, the others are those who could sign in for it. The same mail address is
the same person. Without one, a coach is whoever is called the same, unless the addresses differ. A
coach's calendar (`link.coach`) becomes a person's; one of a name that no squad has any more gets a
person of that name, so that it goes on being answered.
"""

# ruff: noqa: E501 - statements as SQLite keeps them

from dataclasses import dataclass, field

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

TABLES = {
    "person": (
        """
        CREATE TABLE person (
            id INTEGER NOT NULL,
            name VARCHAR NOT NULL,
            email VARCHAR NOT NULL,
            phone VARCHAR NOT NULL,
            may_sign_in BOOLEAN NOT NULL,
            role VARCHAR(16) NOT NULL,
            password_hash VARCHAR,
            version INTEGER NOT NULL,
            created_at BIGINT NOT NULL,
            ended_at BIGINT,
            CONSTRAINT pk_person PRIMARY KEY (id),
            CONSTRAINT ck_person_role CHECK (role IN ('secretary', 'groundskeeper', 'coach')),
            CONSTRAINT ck_person_name_kind CHECK (typeof("name") = 'text'),
            CONSTRAINT ck_person_email_kind CHECK (typeof("email") = 'text'),
            CONSTRAINT ck_person_phone_kind CHECK (typeof("phone") = 'text'),
            CONSTRAINT ck_person_may_sign_in_kind CHECK ("may_sign_in" IN (0, 1)),
            CONSTRAINT ck_person_role_kind CHECK (typeof("role") = 'text'),
            CONSTRAINT ck_person_password_hash_kind CHECK ("password_hash" IS NULL OR typeof("password_hash") = 'text'),
            CONSTRAINT ck_person_version_kind CHECK (typeof("version") = 'integer'),
            CONSTRAINT ck_person_created_at_kind CHECK (typeof("created_at") = 'integer'),
            CONSTRAINT ck_person_ended_at_kind CHECK ("ended_at" IS NULL OR typeof("ended_at") = 'integer')
        )
        """,
    ),
    "squad": (
        """
        CREATE TABLE squad (
            id INTEGER NOT NULL,
            "key" VARCHAR NOT NULL,
            position INTEGER NOT NULL,
            name VARCHAR NOT NULL,
            age_group VARCHAR NOT NULL,
            players INTEGER NOT NULL,
            goalkeepers INTEGER NOT NULL,
            CONSTRAINT pk_squad PRIMARY KEY (id),
            CONSTRAINT uq_squad_key UNIQUE ("key"),
            CONSTRAINT ck_squad_key_kind CHECK (typeof("key") = 'text'),
            CONSTRAINT ck_squad_position_kind CHECK (typeof("position") = 'integer'),
            CONSTRAINT ck_squad_name_kind CHECK (typeof("name") = 'text'),
            CONSTRAINT ck_squad_age_group_kind CHECK (typeof("age_group") = 'text'),
            CONSTRAINT ck_squad_players_kind CHECK (typeof("players") = 'integer'),
            CONSTRAINT ck_squad_goalkeepers_kind CHECK (typeof("goalkeepers") = 'integer')
        )
        """,
    ),
    "squad_coach": (
        """
        CREATE TABLE squad_coach (
            id INTEGER NOT NULL,
            squad_id INTEGER NOT NULL,
            person_id INTEGER NOT NULL,
            position INTEGER NOT NULL,
            began_at BIGINT,
            ended_at BIGINT,
            CONSTRAINT pk_squad_coach PRIMARY KEY (id),
            CONSTRAINT fk_squad_coach_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id),
            CONSTRAINT fk_squad_coach_person_id FOREIGN KEY(person_id) REFERENCES person (id),
            CONSTRAINT ck_squad_coach_squad_id_kind CHECK (typeof("squad_id") = 'integer'),
            CONSTRAINT ck_squad_coach_person_id_kind CHECK (typeof("person_id") = 'integer'),
            CONSTRAINT ck_squad_coach_position_kind CHECK (typeof("position") = 'integer'),
            CONSTRAINT ck_squad_coach_began_at_kind CHECK ("began_at" IS NULL OR typeof("began_at") = 'integer'),
            CONSTRAINT ck_squad_coach_ended_at_kind CHECK ("ended_at" IS NULL OR typeof("ended_at") = 'integer')
        )
        """,
        "CREATE INDEX ix_squad_coach_person_id ON squad_coach (person_id)",
        "CREATE INDEX ix_squad_coach_squad_id ON squad_coach (squad_id)",
        "CREATE UNIQUE INDEX uq_squad_coach_now ON squad_coach (squad_id, person_id) WHERE ended_at IS NULL",
    ),
    "link": (
        """
        CREATE TABLE link (
            id INTEGER NOT NULL,
            squad_id INTEGER,
            person_id INTEGER,
            pitch_id INTEGER,
            secret_hash VARCHAR NOT NULL,
            holder VARCHAR NOT NULL,
            email VARCHAR NOT NULL,
            reminder_minutes INTEGER,
            mail_id INTEGER,
            created_at BIGINT NOT NULL,
            revoked_at BIGINT,
            CONSTRAINT pk_link PRIMARY KEY (id),
            CONSTRAINT ck_link_one_subject CHECK ((CASE WHEN squad_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN person_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN pitch_id IS NULL THEN 0 ELSE 1 END) = 1),
            CONSTRAINT fk_link_squad_id FOREIGN KEY(squad_id) REFERENCES squad (id),
            CONSTRAINT fk_link_person_id FOREIGN KEY(person_id) REFERENCES person (id),
            CONSTRAINT fk_link_pitch_id FOREIGN KEY(pitch_id) REFERENCES pitch (id),
            CONSTRAINT uq_link_secret_hash UNIQUE (secret_hash),
            CONSTRAINT fk_link_mail_id FOREIGN KEY(mail_id) REFERENCES mail (id),
            CONSTRAINT ck_link_squad_id_kind CHECK ("squad_id" IS NULL OR typeof("squad_id") = 'integer'),
            CONSTRAINT ck_link_person_id_kind CHECK ("person_id" IS NULL OR typeof("person_id") = 'integer'),
            CONSTRAINT ck_link_pitch_id_kind CHECK ("pitch_id" IS NULL OR typeof("pitch_id") = 'integer'),
            CONSTRAINT ck_link_secret_hash_kind CHECK (typeof("secret_hash") = 'text'),
            CONSTRAINT ck_link_holder_kind CHECK (typeof("holder") = 'text'),
            CONSTRAINT ck_link_email_kind CHECK (typeof("email") = 'text'),
            CONSTRAINT ck_link_reminder_minutes_kind CHECK ("reminder_minutes" IS NULL OR typeof("reminder_minutes") = 'integer'),
            CONSTRAINT ck_link_mail_id_kind CHECK ("mail_id" IS NULL OR typeof("mail_id") = 'integer'),
            CONSTRAINT ck_link_created_at_kind CHECK (typeof("created_at") = 'integer'),
            CONSTRAINT ck_link_revoked_at_kind CHECK ("revoked_at" IS NULL OR typeof("revoked_at") = 'integer')
        )
        """,
        "CREATE INDEX ix_link_mail_id ON link (mail_id)",
        "CREATE INDEX ix_link_person_id ON link (person_id)",
        "CREATE INDEX ix_link_pitch_id ON link (pitch_id)",
        "CREATE INDEX ix_link_squad_id ON link (squad_id)",
    ),
}

COPIED = {
    "person": (
        "id, name, email, role, password_hash, version, created_at, ended_at",
        {"phone": "''", "may_sign_in": "ended_at IS NULL"},
    ),
    "squad": ('id, "key", position, name, age_group, players, goalkeepers', {}),
    "link": (
        "id, squad_id, pitch_id, secret_hash, holder, email, reminder_minutes, mail_id, created_at, revoked_at",
        {"person_id": "NULL"},
    ),
}
"""What is put back of a table that is made anew, and what its new columns get."""


def upgrade() -> None:
    """Apply the step."""
    connection = op.get_bind()
    people = _People(connection)
    coaches = _coaches(connection, people)
    calendars = _calendars(connection, people)
    _make_anew(connection, "person")
    for person in people.known:
        person.write(connection, people.latest)
    _make_anew(connection, "squad")
    _make(connection, "squad_coach")
    for squad_id, numbers in coaches.items():
        for position, number in enumerate(numbers):
            connection.execute(
                sa.text(
                    "INSERT INTO squad_coach (squad_id, person_id, position) "
                    "VALUES (:squad_id, :person_id, :position)"
                ),
                {"squad_id": squad_id, "person_id": number, "position": position},
            )
    connection.exec_driver_sql("DROP TABLE person_squad")
    _make_anew(connection, "link", calendars)


@dataclass
class _Person:
    number: int
    name: str
    email: str
    is_new: bool = False
    has_ended: bool = False
    squads: list[int] = field(default_factory=list)

    def write(self, connection: sa.Connection, latest: int) -> None:
        """Add a new person, or give a known one the address that a squad knew."""
        values = {"id": self.number, "name": self.name, "email": self.email, "at": latest}
        change = "UPDATE person SET email = :email WHERE id = :id"
        if self.is_new:
            change = (
                "INSERT INTO person VALUES (:id, :name, :email, '', 0, 'coach', NULL, 0, :at, NULL)"
            )
        connection.execute(sa.text(change), values)


class _People:
    """Everybody who is known so far: who may or could sign in, then coaches as they are found."""

    def __init__(self, connection: sa.Connection) -> None:
        rows = connection.exec_driver_sql(
            "SELECT id, name, email, ended_at FROM person ORDER BY ended_at IS NOT NULL, id"
        )
        self.known = [
            _Person(number, name, email, has_ended=ended is not None)
            for number, name, email, ended in rows
        ]
        squads = connection.exec_driver_sql("SELECT person_id, squad_id FROM person_squad").all()
        for person in self.known:
            person.squads = [squad for number, squad in squads if number == person.number]
        self.latest = connection.scalar(sa.text("SELECT max(at) FROM booking_change")) or 0

    def find(self, name: str, email: str, squad_id: int | None = None) -> _Person:
        """Return who is meant; somebody new if nobody is known who can be."""
        if email:
            for person in self.known:
                if _plain(person.email) == _plain(email):
                    return person
        called = [
            person
            for person in self.known
            if name and _plain(person.name) == _plain(name) and not (email and person.email)
        ]
        # Somebody who signs in for this very squad is more likely than a namesake.
        called.sort(key=lambda person: squad_id not in person.squads)
        if not called:
            number = max((person.number for person in self.known), default=0) + 1
            called = [_Person(number, name, email, is_new=True)]
            self.known += called
        called[0].email = called[0].email or email
        return called[0]


def _coaches(connection: sa.Connection, people: _People) -> dict[int, list[int]]:
    """Return the numbers of each squad's coaches in order, by the squad's number."""
    rows = connection.exec_driver_sql("SELECT id, coach, coach_email FROM squad ORDER BY id").all()
    coaches: dict[int, list[int]] = {squad_id: [] for squad_id, _name, _email in rows}
    # Addresses first: who has none is then looked for among all who are called the same.
    for squad_id, name, email in sorted(rows, key=lambda row: (not row[2].strip(), row[0])):
        if name.strip() or email.strip():
            coaches[squad_id].append(people.find(name.strip(), email.strip(), squad_id).number)
    for person in people.known:
        for squad_id in person.squads:
            if person.number not in coaches[squad_id]:
                coaches[squad_id].append(person.number)
    return coaches


def _calendars(connection: sa.Connection, people: _People) -> dict[int, int]:
    """Return whose each coach's calendar is, by the number of its address."""
    squads = connection.exec_driver_sql(
        "SELECT id, coach, coach_email FROM squad ORDER BY id"
    ).all()
    found = {}
    for number, coach, email in connection.exec_driver_sql(
        "SELECT id, coach, email FROM link WHERE coach IS NOT NULL ORDER BY id"
    ).all():
        meant = [people.find(c.strip(), e.strip(), s) for s, c, e in squads if c == coach]
        meant.sort(key=lambda person: not email or _plain(person.email) != _plain(email))
        found[number] = (meant or [people.find(coach.strip(), "")])[0].number
    return found


def _make_anew(connection: sa.Connection, table: str, people: dict[int, int] | None = None) -> None:
    """Make a table anew and put its rows back; addresses with the person they are about."""
    columns, added = COPIED[table]
    connection.exec_driver_sql(
        f"CREATE TEMPORARY TABLE earlier_{table} AS SELECT * FROM {table}"  # noqa: S608 - ours
    )
    connection.exec_driver_sql(f"DROP TABLE {table}")
    if people is not None:
        connection.exec_driver_sql("CREATE TEMPORARY TABLE whose (link_id, person_id)")
        for pair in people.items():
            connection.exec_driver_sql("INSERT INTO whose VALUES (?, ?)", pair)
        added = {"person_id": "(SELECT person_id FROM whose WHERE link_id = id)"}
    _make(connection, table)
    names = ", ".join([columns, *added])
    values = ", ".join([columns, *added.values()])
    connection.exec_driver_sql(
        f"INSERT INTO {table} ({names}) SELECT {values} FROM earlier_{table} ORDER BY id"  # noqa: S608
    )
    connection.exec_driver_sql(f"DROP TABLE earlier_{table}")
    if people is not None:
        connection.exec_driver_sql("DROP TABLE whose")


def _make(connection: sa.Connection, table: str) -> None:
    for statement in TABLES[table]:
        connection.exec_driver_sql(statement.strip())


def _plain(words: str) -> str:
    return " ".join(words.split()).casefold()
