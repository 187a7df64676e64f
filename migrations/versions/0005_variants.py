"""A job may have been made beside another, to see what one change of it would come to."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    op.add_column("jobs", sa.Column("variant_of", sa.Text(), nullable=True))
    op.create_index("ix_jobs_variant_of", "jobs", ["variant_of"])


def downgrade() -> None:
    op.drop_index("ix_jobs_variant_of", "jobs")
    op.drop_column("jobs", "variant_of")
