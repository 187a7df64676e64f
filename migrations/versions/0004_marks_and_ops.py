"""Ticks and measured values of a plan, and the changes that devices have sent, each applied once."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    op.create_table(
        "marks",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("plan_id", sa.Text(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("device", sa.Text(), nullable=False),
        sa.Column("made_at", _instant(), nullable=False),
        sa.Column("stored_at", _instant(), nullable=False),
        sa.CheckConstraint("length(key) > 0", name=op.f("ck_marks_key")),
        sa.ForeignKeyConstraint(["plan_id"], ["plans.id"], name="fk_marks_plan_id"),
        sa.PrimaryKeyConstraint("number", name="pk_marks"),
        sqlite_strict=True,
    )
    op.create_index("ix_marks_plan_id_key", "marks", ["plan_id", "key"])
    op.create_table(
        "ops",
        sa.Column("op_id", sa.Text(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("device", sa.Text(), nullable=False),
        sa.Column("job_id", sa.Text(), nullable=True),
        sa.Column("handle", sa.Text(), nullable=True),
        sa.Column("result", sa.Text(), nullable=False),
        sa.Column("made_at", _instant(), nullable=False),
        sa.Column("stored_at", _instant(), nullable=False),
        sa.CheckConstraint("length(op_id) = 36", name=op.f("ck_ops_op_id")),
        sa.PrimaryKeyConstraint("op_id", name="pk_ops"),
        sa.UniqueConstraint("handle", name="uq_ops_handle"),
        sqlite_strict=True,
    )
    op.create_index("ix_ops_job_id", "ops", ["job_id"])
    op.add_column("job_revisions", sa.Column("device", sa.Text(), nullable=True))
    if op.get_bind().dialect.name == "sqlite":
        for table in ("marks", "ops"):
            op.execute(
                f"CREATE TRIGGER {table}_never_change BEFORE UPDATE ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{table} never change'); END"
            )


def downgrade() -> None:
    op.drop_column("job_revisions", "device")
    op.drop_table("ops")  # with its indexes and triggers
    op.drop_table("marks")


def _instant() -> sa.types.TypeEngine[object]:
    return sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite")
