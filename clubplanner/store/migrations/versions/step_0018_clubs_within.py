"""Clubs within the record, their squads and secretaries (three tables)."""

import sqlalchemy as sa
from alembic import op

from clubplanner.store.columns import Instant

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None

NUMBER, TEXT, INSTANT = (
    "typeof({}) = 'integer'",
    "typeof({}) = 'text'",
    "{0} IS NULL OR typeof({0}) = 'integer'",
)


def upgrade() -> None:
    """Apply the step."""
    op.create_table(
        "club_within",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("ended_at", Instant(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_club_within")),
        sa.UniqueConstraint("key", name=op.f("uq_club_within_key")),
        *_kinds("club_within", key=TEXT, position=NUMBER, name=TEXT, ended_at=INSTANT),
    )
    for table, owner, other in (
        ("squad_club", "squad_id", "squad"),
        ("club_secretary", "person_id", "person"),
    ):
        op.create_table(
            table,
            sa.Column(owner, sa.Integer(), nullable=False),
            sa.Column("club_id", sa.Integer(), nullable=False),
            sa.ForeignKeyConstraint([owner], [f"{other}.id"], name=op.f(f"fk_{table}_{owner}")),
            sa.ForeignKeyConstraint(
                ["club_id"], ["club_within.id"], name=op.f(f"fk_{table}_club_id")
            ),
            sa.PrimaryKeyConstraint(owner, name=op.f(f"pk_{table}")),
            *_kinds(table, **{owner: NUMBER, "club_id": NUMBER}),
        )
        op.create_index(op.f(f"ix_{table}_club_id"), table, ["club_id"])


def _kinds(table: str, **rules: str) -> list[sa.CheckConstraint]:
    """Return SQLite's rules that columns take values of their kind only."""
    if op.get_bind().dialect.name != "sqlite":
        return []
    return [
        sa.CheckConstraint(rule.format(f'"{name}"'), name=op.f(f"ck_{table}_{name}_kind"))
        for name, rule in rules.items()
    ]
