"""Plans can be cancelled, and know who asked for them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

_STATES = "'queued', 'running', 'done', 'failed'"
_GUARD = "plans_never_change_once_ended"


def upgrade() -> None:
    with op.batch_alter_table("plans", table_kwargs={"sqlite_strict": True}) as plans:
        plans.add_column(sa.Column("asked_by", sa.Text(), nullable=True))
        plans.add_column(sa.Column("cancel_asked_at", _instant(), nullable=True))
        plans.drop_constraint(op.f("ck_plans_state"), type_="check")
        plans.create_check_constraint(op.f("ck_plans_state"), f"state IN ({_STATES}, 'cancelled')")
        plans.drop_constraint(op.f("ck_plans_message_when_failed"), type_="check")
        plans.create_check_constraint(
            op.f("ck_plans_message_without_answer"), "(state IN ('failed', 'cancelled')) = (message IS NOT NULL)"
        )
    op.create_index("ix_plans_asked_by_started_at", "plans", ["asked_by", "started_at"])
    _guard_what_ended("'done', 'failed', 'cancelled'")


def downgrade() -> None:
    if _on_sqlite():
        op.execute(f"DROP TRIGGER {_GUARD}")
    op.execute("UPDATE plans SET state = 'failed' WHERE state = 'cancelled'")  # its sentence stays
    op.drop_index("ix_plans_asked_by_started_at", "plans")
    with op.batch_alter_table("plans", table_kwargs={"sqlite_strict": True}) as plans:
        plans.drop_constraint(op.f("ck_plans_state"), type_="check")
        plans.create_check_constraint(op.f("ck_plans_state"), f"state IN ({_STATES})")
        plans.drop_constraint(op.f("ck_plans_message_without_answer"), type_="check")
        plans.create_check_constraint(
            op.f("ck_plans_message_when_failed"), "(state = 'failed') = (message IS NOT NULL)"
        )
        plans.drop_column("cancel_asked_at")
        plans.drop_column("asked_by")
    _guard_what_ended("'done', 'failed'")


def _instant() -> sa.types.TypeEngine[object]:
    return sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite")


def _on_sqlite() -> bool:
    return op.get_bind().dialect.name == "sqlite"


def _guard_what_ended(states: str) -> None:
    """SQLite changes a constraint by copying the table, and the copy has no trigger."""
    if _on_sqlite():
        op.execute(
            f"CREATE TRIGGER {_GUARD} BEFORE UPDATE ON plans WHEN OLD.state IN ({states}) "
            "BEGIN SELECT RAISE(ABORT, 'a plan never changes once it ended'); END"
        )
