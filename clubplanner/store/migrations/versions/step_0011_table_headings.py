"""What the club said of the headings of its own tables (`table_heading`)."""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None

WORDS = ("kind", "heading", "means")


def upgrade() -> None:
    """Apply the step."""
    is_sqlite = op.get_bind().dialect.name == "sqlite"
    op.create_table(
        "table_heading",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("heading", sa.String(), nullable=False),
        sa.Column("means", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_table_heading")),
        sa.UniqueConstraint("kind", "heading", name=op.f("uq_table_heading_kind_heading")),
        *(
            sa.CheckConstraint(
                f"typeof(\"{name}\") = 'text'", name=op.f(f"ck_table_heading_{name}_kind")
            )
            for name in (WORDS if is_sqlite else ())
        ),
    )
