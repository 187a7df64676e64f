"""A plan may be the explanation of another: the same answer with why each part and what each limit costs."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    op.add_column("plans", sa.Column("explains", sa.Text(), nullable=True))


def downgrade() -> None:
    op.execute("DELETE FROM plans WHERE explains IS NOT NULL")  # else each would stand there as one plan more
    op.drop_column("plans", "explains")
