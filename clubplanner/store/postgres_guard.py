"""The guard on PostgreSQL: an exclusion constraint, and triggers for what it cannot say.

No two live bookings share a cell and a moment: the constraint compares the ground of a booking (a
range a cell, pitch by pitch, in one multirange) and its time. It holds against every program,
whatever its isolation, and needs no extension: `btree_gist`, which could compare pitches by
themselves, is not to be had everywhere. The rest of the rules of `store/guard.py` are triggers; an
area that a booking is put on is locked until the booking is there, so that its cells cannot be
changed between looking and writing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from sqlalchemy import text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy import Connection


class Marks(NamedTuple):
    """What the guard's refusals are known by, on every database."""

    clash: str
    length: str
    ground: str
    area: str


@dataclass(frozen=True, slots=True)
class Part:
    """One part of the guard.

    Attributes:
        name: Its own, in the database.
        make: The statement that makes it.
        drop: The statement that takes it away, if it is there.
        look: The query for what the server says of it, with `:name`; no row if it is not there.
        says: What the server has to say; blank for what `make` holds word for word.
    """

    name: str
    make: str
    drop: str
    look: str
    says: str


_FUNCTION = "SELECT prosrc FROM pg_proc WHERE oid = to_regproc(:name)"
_CONSTRAINT = """
    SELECT pg_get_constraintdef(oid) FROM pg_constraint
    WHERE conname = :name AND conrelid = to_regclass('booking') AND convalidated"""
_TRIGGER = """
    SELECT pg_get_triggerdef(t.oid) FROM pg_trigger AS t JOIN pg_class AS c ON c.oid = t.tgrelid
    WHERE tgname = :name AND tgenabled = 'O'
        AND c.oid IN (to_regclass('booking'), to_regclass('area'))"""


def _function(name: str, head: str, body: str) -> Part:
    return Part(
        name,
        f"CREATE FUNCTION {name}{head} AS $guard${body}$guard$",
        f"DROP FUNCTION IF EXISTS {name}",
        _FUNCTION,
        body,
    )


def _trigger(name: str, event: str, table: str) -> Part:
    tail = f"BEFORE {event} ON {{schema}}{table} FOR EACH ROW EXECUTE FUNCTION {name}_looks()"
    return Part(
        name,
        f"CREATE TRIGGER {name} {tail.format(schema='')}",
        f"DROP TRIGGER IF EXISTS {name} ON {table}",
        _TRIGGER,
        f"CREATE TRIGGER {name} {tail}",
    )


def _refusal(words: str, condition: str) -> str:
    """Return the step of a function that refuses a row under a condition."""
    kind = "ERRCODE = 'integrity_constraint_violation'"
    return f"IF {condition} THEN RAISE EXCEPTION USING {kind}, MESSAGE = '{words}'; END IF;"


_GROUND = """
    SELECT range_agg(int8range(pitch * 64 + cell, pitch * 64 + cell + 1))
    FROM generate_series(0, 62) AS cell WHERE cells >> cell & 1 = 1"""
"""Each cell of each pitch is a number of its own; areas have at most 63 cells."""
_AS_IT_WAS = """TG_OP = 'UPDATE' AND
    (NEW.area_id, NEW.pitch_id, NEW.cells, NEW.starts_at, NEW.ends_at, NEW.is_withdrawn)
    IS NOT DISTINCT FROM
    (OLD.area_id, OLD.pitch_id, OLD.cells, OLD.starts_at, OLD.ends_at, OLD.is_withdrawn)"""
_OWN_AREA = """SELECT * INTO own FROM area
    WHERE id = NEW.area_id AND pitch_id = NEW.pitch_id FOR SHARE;"""
_KEPT = """FOUND AND TG_OP = 'UPDATE' AND (NEW.is_withdrawn OR NEW.ends_at <= own.redrawn_at)"""
_BOOKED = "EXISTS (SELECT 1 FROM booking WHERE area_id = OLD.id)"
_CHANGED_UNDER = """EXISTS (
        SELECT 1 FROM booking WHERE area_id = OLD.id AND (
            NEW.id <> OLD.id OR NEW.pitch_id <> OLD.pitch_id
            OR NOT is_withdrawn AND cells <> NEW.cells
               AND (NEW.redrawn_at IS NULL OR ends_at > NEW.redrawn_at)
        )
    )"""


def make_parts(marks: Marks, longest_s: int) -> tuple[Part, ...]:
    """Return the parts of the guard in the order in which they are made.

    Args:
        marks: What the refusals are known by.
        longest_s: How long a booking may be, seconds.
    """
    booking_looks = (
        "DECLARE own record;",
        "BEGIN",
        _refusal(marks.length, f"NEW.ends_at - NEW.starts_at > {longest_s}"),
        f"IF {_AS_IT_WAS} THEN RETURN NEW; END IF;",
        _OWN_AREA,
        "IF FOUND AND own.cells = NEW.cells THEN RETURN NEW; END IF;",
        f"IF {_KEPT} THEN",
        "    IF NEW.cells = OLD.cells AND NEW.area_id = OLD.area_id THEN RETURN NEW; END IF;",
        "END IF;",
        _refusal(marks.ground, "true"),
        "END",
    )
    area_looks = (
        "BEGIN",
        "IF TG_OP = 'DELETE' THEN",
        _refusal(marks.area, _BOOKED),
        "RETURN OLD;",
        "END IF;",
        _refusal(marks.area, _CHANGED_UNDER),
        "RETURN NEW;",
        "END",
    )
    return (
        _function(
            "booking_ground",
            "(pitch bigint, cells bigint) RETURNS int8multirange LANGUAGE sql IMMUTABLE STRICT "
            "PARALLEL SAFE",
            _GROUND,
        ),
        Part(
            marks.clash,
            f'ALTER TABLE booking ADD CONSTRAINT "{marks.clash}" EXCLUDE USING gist '
            "(booking_ground(pitch_id, cells) WITH &&, int8range(starts_at, ends_at) WITH &&) "
            "WHERE (NOT is_withdrawn)",
            f'ALTER TABLE booking DROP CONSTRAINT IF EXISTS "{marks.clash}"',
            _CONSTRAINT,
            "EXCLUDE USING gist (booking_ground((pitch_id)::bigint, cells) WITH &&, "
            "int8range(starts_at, ends_at) WITH &&) WHERE ((NOT is_withdrawn))",
        ),
        _function(
            "booking_guard_looks", "() RETURNS trigger LANGUAGE plpgsql", "\n".join(booking_looks)
        ),
        _trigger("booking_guard", "INSERT OR UPDATE", "booking"),
        _function("area_guard_looks", "() RETURNS trigger LANGUAGE plpgsql", "\n".join(area_looks)),
        _trigger("area_guard", "DELETE OR UPDATE", "area"),
    )


def faulty_parts(connection: Connection, parts: Sequence[Part]) -> list[str]:
    """Return the names of the parts that are missing or not as written."""
    schema = connection.scalar(text("SELECT quote_ident(current_schema())"))
    faulty = []
    for part in parts:
        found = connection.scalar(text(part.look), {"name": part.name})
        if found is None or _plain(str(found)) != _plain(part.says.format(schema=f"{schema}.")):
            faulty.append(part.name)
    return faulty


def make_anew(connection: Connection, parts: Sequence[Part]) -> None:
    """Make every part anew if one of them is faulty: a constraint looks at every booking there is.

    Part of the connection's transaction.
    """
    if not faulty_parts(connection, parts):
        return
    for part in reversed(parts):
        connection.exec_driver_sql(part.drop)
    for part in parts:
        connection.exec_driver_sql(part.make)


def _plain(statement: str) -> str:
    return " ".join(statement.split())
