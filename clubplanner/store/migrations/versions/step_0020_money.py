"""Money: `money`, `tariff`, `reduction`, `statement`; what ground and floodlights cost moves there.

Prices of ground stood among the club's rules, by the names of places and in the smallest coin;
what an hour of floodlights costs stood in `lamp_cost`, in whole money of a currency in words. Both
become tariffs of what the club pays. Where all of those words mean one currency it becomes the
club's.
"""

from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import sqlalchemy as sa
from alembic import op

from clubplanner.store.columns import Instant

revision = "0020"
down_revision = "0019"
branch_labels = None
depends_on = None

TEXT, NUMBER, FLAG = "typeof({}) = 'text'", "typeof({}) = 'integer'", "{} IN (0, 1)"
MAYBE_NUMBER = "{0} IS NULL OR typeof({0}) = 'integer'"
MAYBE_TEXT = "{0} IS NULL OR typeof({0}) = 'text'"
SIGNS = {"€": "EUR", "£": "GBP", "$": "USD", "¥": "JPY"}
DIGITS = {"JPY": 0, "KRW": 0, "ISK": 0, "CLP": 0}
"""Digits behind the point where they are not two, of currencies that clubs may have written."""
END_OF_DAY = 24 * 60


def upgrade() -> None:
    """Apply the step."""
    _make_terms()
    _make_tariffs()
    _make_reductions()
    _make_statements()
    connection = op.get_bind()
    _carry_prices(connection)
    _carry_floodlights(connection)
    op.drop_table("lamp_cost")


def _make_terms() -> None:
    op.create_table(
        "money",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("currency", sa.String(), nullable=False),
        sa.Column("notice_hours", sa.Integer(), nullable=False),
        sa.Column("late_percent", sa.Integer(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_money_one_choice")),
        sa.CheckConstraint("late_percent BETWEEN 0 AND 100", name=op.f("ck_money_percent")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_money")),
        *_kinds("money", currency=TEXT, notice_hours=NUMBER, late_percent=NUMBER, note=TEXT),
    )


def _make_tariffs() -> None:
    op.create_table(
        "tariff",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("payer", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("venue_id", sa.Integer(), nullable=False),
        sa.Column("pitch_id", sa.Integer(), nullable=True),
        sa.Column("area_id", sa.Integer(), nullable=True),
        sa.Column("amount", sa.BigInteger(), nullable=False),
        sa.Column("per", sa.String(), nullable=False),
        sa.Column("adds", sa.Boolean(), nullable=False),
        sa.Column("light", sa.String(), nullable=False),
        sa.Column("weekdays", sa.JSON(), nullable=False),
        sa.Column("from_min", sa.Integer(), nullable=False),
        sa.Column("to_min", sa.Integer(), nullable=False),
        sa.Column("season_from", sa.String(), nullable=False),
        sa.Column("season_to", sa.String(), nullable=False),
        sa.Column("starts_on", sa.Date(), nullable=True),
        sa.Column("ends_on", sa.Date(), nullable=True),
        sa.CheckConstraint("amount >= 0", name=op.f("ck_tariff_not_negative")),
        sa.CheckConstraint(
            "area_id IS NULL OR pitch_id IS NOT NULL", name=op.f("ck_tariff_part_of_a_pitch")
        ),
        sa.CheckConstraint("to_min > from_min", name=op.f("ck_tariff_runs_forward")),
        sa.ForeignKeyConstraint(["venue_id"], ["venue.id"], name=op.f("fk_tariff_venue_id")),
        sa.ForeignKeyConstraint(["pitch_id"], ["pitch.id"], name=op.f("fk_tariff_pitch_id")),
        sa.ForeignKeyConstraint(["area_id"], ["area.id"], name=op.f("fk_tariff_area_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tariff")),
        *_kinds(
            "tariff",
            payer=TEXT,
            name=TEXT,
            venue_id=NUMBER,
            pitch_id=MAYBE_NUMBER,
            area_id=MAYBE_NUMBER,
            amount=NUMBER,
            per=TEXT,
            adds=FLAG,
            light=TEXT,
            weekdays=TEXT,
            from_min=NUMBER,
            to_min=NUMBER,
            season_from=TEXT,
            season_to=TEXT,
            starts_on=MAYBE_TEXT,
            ends_on=MAYBE_TEXT,
        ),
    )


def _make_reductions() -> None:
    op.create_table(
        "reduction",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("payer", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("squad_id", sa.Integer(), nullable=True),
        sa.Column("hirer", sa.String(), nullable=False),
        sa.Column("up_to_age", sa.Integer(), nullable=True),
        sa.Column("venue_id", sa.Integer(), nullable=True),
        sa.Column("percent", sa.Integer(), nullable=False),
        sa.Column("free_minutes", sa.Integer(), nullable=False),
        sa.CheckConstraint("percent BETWEEN 0 AND 100", name=op.f("ck_reduction_percent")),
        sa.CheckConstraint("free_minutes >= 0", name=op.f("ck_reduction_not_negative")),
        sa.ForeignKeyConstraint(["squad_id"], ["squad.id"], name=op.f("fk_reduction_squad_id")),
        sa.ForeignKeyConstraint(["venue_id"], ["venue.id"], name=op.f("fk_reduction_venue_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_reduction")),
        *_kinds(
            "reduction",
            payer=TEXT,
            name=TEXT,
            squad_id=MAYBE_NUMBER,
            hirer=TEXT,
            up_to_age=MAYBE_NUMBER,
            venue_id=MAYBE_NUMBER,
            percent=NUMBER,
            free_minutes=NUMBER,
        ),
    )


def _make_statements() -> None:
    op.create_table(
        "statement",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("payer", sa.String(), nullable=False),
        sa.Column("squad_id", sa.Integer(), nullable=True),
        sa.Column("venue_id", sa.Integer(), nullable=True),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("month", sa.Date(), nullable=False),
        sa.Column("currency", sa.String(), nullable=False),
        sa.Column("total", sa.BigInteger(), nullable=False),
        sa.Column("lines", sa.JSON(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("issued_at", Instant(), nullable=False),
        sa.Column("withdrawn_at", Instant(), nullable=True),
        sa.Column("why", sa.String(), nullable=False),
        sa.CheckConstraint("number > 0", name=op.f("ck_statement_counted")),
        sa.ForeignKeyConstraint(["squad_id"], ["squad.id"], name=op.f("fk_statement_squad_id")),
        sa.ForeignKeyConstraint(["venue_id"], ["venue.id"], name=op.f("fk_statement_venue_id")),
        sa.UniqueConstraint("number", name=op.f("uq_statement_number")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_statement")),
        *_kinds(
            "statement",
            number=NUMBER,
            payer=TEXT,
            squad_id=MAYBE_NUMBER,
            venue_id=MAYBE_NUMBER,
            name=TEXT,
            month=TEXT,
            currency=TEXT,
            total=NUMBER,
            lines=TEXT,
            note=TEXT,
            issued_at=NUMBER,
            withdrawn_at=MAYBE_NUMBER,
            why=TEXT,
        ),
    )
    op.create_index("ix_statement_month", "statement", ["month"])


def _kinds(table: str, **rules: str) -> list[sa.CheckConstraint]:
    """Return SQLite's rules that columns take values of their kind only."""
    if op.get_bind().dialect.name != "sqlite":
        return []
    return [
        sa.CheckConstraint(rule.format(f'"{name}"'), name=op.f(f"ck_{table}_{name}_kind"))
        for name, rule in rules.items()
    ]


def _table(name: str, *columns: str, **typed: sa.types.TypeEngine[Any]) -> sa.TableClause:
    return sa.table(
        name, *map(sa.column, columns), *(sa.column(one, kind) for one, kind in typed.items())
    )


def _carry_prices(connection: sa.Connection) -> None:
    """Make tariffs of the prices among the club's rules, and take these out."""
    club = _table("club", "id", rules=sa.JSON())
    venues = {
        _plain(row.name): row.id
        for row in connection.execute(sa.select(_table("venue", "id", "name")))
    }
    pitches = {
        (row.venue_id, _plain(row.name)): row.id
        for row in connection.execute(sa.select(_table("pitch", "id", "venue_id", "name")))
    }
    for row in connection.execute(sa.select(club)).all():
        for venue, pitch, per_hour, per_opening in row.rules.get("prices", []):
            venue_id = venues.get(_plain(venue))
            pitch_id = pitches.get((venue_id, _plain(pitch))) if pitch else None
            if venue_id is None or (pitch and pitch_id is None):
                continue  # a place that is not there had no price
            if per_hour or pitch:
                _add_tariff(connection, venue_id, per_hour, "hour", pitch_id=pitch_id)
            if per_opening:
                _add_tariff(connection, venue_id, per_opening, "opening")
        rules = {name: value for name, value in row.rules.items() if name != "prices"}
        connection.execute(sa.update(club).where(club.c.id == row.id).values(rules=rules))


def _carry_floodlights(connection: sa.Connection) -> None:
    """Make tariffs of what floodlights cost, and a currency of what theirs are called."""
    costs = connection.execute(
        sa.select(_table("lamp_cost", "venue_id", "per_hour", "currency"))
    ).all()
    called = {_currency(row.currency) for row in costs}
    currency = called.pop() if len(called) == 1 else ""
    for row in costs:
        exact = Decimal(str(row.per_hour)).scaleb(DIGITS.get(currency, 2))
        amount = int(exact.quantize(Decimal(1), rounding=ROUND_HALF_UP))
        _add_tariff(connection, row.venue_id, amount, "hour", adds=True, light="floodlight")
    if currency:
        money = _table("money", "id", "currency", "notice_hours", "late_percent", "note")
        connection.execute(
            sa.insert(money).values(
                id=1, currency=currency, notice_hours=0, late_percent=100, note=""
            )
        )


def _add_tariff(
    connection: sa.Connection, venue_id: int, amount: int, per: str, **other: object
) -> None:
    values: dict[str, object] = {
        "payer": "club",
        "name": "",
        "venue_id": venue_id,
        "amount": amount,
        "per": per,
        "adds": False,
        "light": "any",
        "weekdays": [],
        "from_min": 0,
        "to_min": END_OF_DAY,
        "season_from": "",
        "season_to": "",
        **other,
    }
    plain = [name for name in values if name not in ("weekdays", "adds")]
    table = _table("tariff", *plain, weekdays=sa.JSON(), adds=sa.Boolean())
    connection.execute(sa.insert(table).values(values))


def _currency(words: str) -> str:
    """Return the code that words mean: three letters, or a sign; blank for others."""
    code = SIGNS.get(words.strip(), words.strip().upper())
    return code if len(code) == 3 and code.isascii() and code.isalpha() else ""


def _plain(name: str) -> str:
    return " ".join(name.split()).casefold()
