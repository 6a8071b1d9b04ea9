"""Hires from outside (`hire`), and the booking of each of their dates (`hire_date`)."""

import sqlalchemy as sa
from alembic import op

from clubplanner.store.columns import Instant

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None

HIRE = {
    "name": "typeof({}) = 'text'",
    "contact": "typeof({}) = 'text'",
    "phone": "typeof({}) = 'text'",
    "note": "typeof({}) = 'text'",
    "area_id": "typeof({}) = 'integer'",
    "start_min": "typeof({}) = 'integer'",
    "end_min": "typeof({}) = 'integer'",
    "every_weeks": "typeof({}) = 'integer'",
    "skips_breaks": "{} IN (0, 1)",
    "created_at": "typeof({}) = 'integer'",
    "withdrawn_at": "{0} IS NULL OR typeof({0}) = 'integer'",
}
HIRE_DATE = {
    "hire_id": "typeof({}) = 'integer'",
    "day": "typeof({}) = 'text'",
    "booking_id": "{0} IS NULL OR typeof({0}) = 'integer'",
    "is_ended": "{} IN (0, 1)",
}


def upgrade() -> None:
    """Apply the step."""
    op.create_table(
        "hire",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("contact", sa.String(), nullable=False),
        sa.Column("phone", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("area_id", sa.Integer(), nullable=False),
        sa.Column("start_min", sa.Integer(), nullable=False),
        sa.Column("end_min", sa.Integer(), nullable=False),
        sa.Column("every_weeks", sa.Integer(), nullable=False),
        sa.Column("skips_breaks", sa.Boolean(), nullable=False),
        sa.Column("created_at", Instant(), nullable=False),
        sa.Column("withdrawn_at", Instant(), nullable=True),
        sa.CheckConstraint("end_min > start_min", name=op.f("ck_hire_runs_forward")),
        sa.CheckConstraint("every_weeks IN (1, 2)", name=op.f("ck_hire_weeks")),
        sa.ForeignKeyConstraint(["area_id"], ["area.id"], name=op.f("fk_hire_area_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_hire")),
        *_kinds("hire", HIRE),
    )
    op.create_index(op.f("ix_hire_area_id"), "hire", ["area_id"], unique=False)
    op.create_table(
        "hire_date",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("hire_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("booking_id", sa.Integer(), nullable=True),
        sa.Column("is_ended", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["hire_id"], ["hire.id"], name=op.f("fk_hire_date_hire_id")),
        sa.ForeignKeyConstraint(
            ["booking_id"], ["booking.id"], name=op.f("fk_hire_date_booking_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_hire_date")),
        *_kinds("hire_date", HIRE_DATE),
    )
    op.create_index(op.f("ix_hire_date_hire_id"), "hire_date", ["hire_id"], unique=False)
    op.create_index(op.f("ix_hire_date_booking_id"), "hire_date", ["booking_id"], unique=False)


def _kinds(table: str, rules: dict[str, str]) -> list[sa.CheckConstraint]:
    """Return the rules that keep kinds of values apart where the database does not."""
    if op.get_bind().dialect.name != "sqlite":
        return []
    return [
        sa.CheckConstraint(rule.format(f'"{name}"'), name=op.f(f"ck_{table}_{name}_kind"))
        for name, rule in rules.items()
    ]
