"""The next season in one go (`next_season_answer`, `season`), and earlier names (`squad_name`)."""

import sqlalchemy as sa
from alembic import op

from clubplanner.store.columns import Instant

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None

WHOLE, WORDS = "typeof({}) = 'integer'", "typeof({}) = 'text'"


def upgrade() -> None:
    """Apply the step."""
    _make(
        "next_season_answer",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("item", sa.String(), nullable=False),
        sa.Column("given", sa.JSON(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_next_season_answer")),
        sa.UniqueConstraint("item", name=op.f("uq_next_season_answer_item")),
        kinds={"item": WORDS, "given": WORDS, "by": WORDS},
    )
    _make(
        "season",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("starts_on", sa.Date(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("kept", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_season")),
        sa.UniqueConstraint("starts_on", name=op.f("uq_season_starts_on")),
        kinds={"starts_on": WORDS, "made_at": WHOLE, "kept": WORDS},
    )
    _make(
        "squad_name",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("squad_id", sa.Integer(), nullable=False),
        sa.Column("season_id", sa.Integer(), nullable=False),
        sa.Column("until", Instant(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["squad_id"], ["squad.id"], name=op.f("fk_squad_name_squad_id")),
        sa.ForeignKeyConstraint(["season_id"], ["season.id"], name=op.f("fk_squad_name_season_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_squad_name")),
        kinds={"squad_id": WHOLE, "season_id": WHOLE, "until": WHOLE, "name": WORDS},
    )
    op.create_index("ix_squad_name_squad_id_until", "squad_name", ["squad_id", "until"])
    op.create_index("ix_squad_name_season_id", "squad_name", ["season_id"])


def _make(table: str, *parts: sa.schema.SchemaItem, kinds: dict[str, str]) -> None:
    rules = kinds if op.get_bind().dialect.name == "sqlite" else {}
    op.create_table(
        table,
        *parts,
        *(
            sa.CheckConstraint(rule.format(f'"{name}"'), name=op.f(f"ck_{table}_{name}_kind"))
            for name, rule in rules.items()
        ),
    )
