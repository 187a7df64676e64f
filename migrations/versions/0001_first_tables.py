"""Catalogue, jobs and plans."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

_NEVER_CHANGED = ("catalogue_revisions", "job_revisions")


def upgrade() -> None:
    _create_catalogue()
    _create_jobs()
    _create_plans()
    if op.get_bind().dialect.name == "sqlite":
        _guard_what_never_changes()


def downgrade() -> None:
    for table in (
        "plans",
        "job_revisions",
        "jobs",
        "catalogue_revisions",
        "offer_contents",
        "offers",
        "parts",
        "sellers",
    ):
        op.drop_table(table)  # with its indexes and triggers


def _cents() -> sa.types.TypeEngine[int]:
    return sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def _instant() -> sa.types.TypeEngine[object]:
    return sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite")


def _create_catalogue() -> None:
    op.create_table(
        "sellers",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("delivery_cents", _cents(), nullable=False),
        sa.Column("free_over_cents", _cents(), nullable=True),
        sa.Column("lead_days", sa.Integer(), nullable=True),
        sa.CheckConstraint("delivery_cents >= 0", name=op.f("ck_sellers_delivery")),
        sa.CheckConstraint("free_over_cents >= 0", name=op.f("ck_sellers_free_over")),
        sa.CheckConstraint("lead_days >= 0", name=op.f("ck_sellers_lead_days")),
        sa.PrimaryKeyConstraint("id", name="pk_sellers"),
        sqlite_strict=True,
    )
    op.create_table(
        "parts",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=True),
        sa.Column("facts", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_parts"),
        sqlite_strict=True,
    )
    op.create_index("ix_parts_kind", "parts", ["kind"])
    _create_offers()
    op.create_table(
        "catalogue_revisions",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("created_at", _instant(), nullable=False),
        sa.CheckConstraint("origin IN ('seed', 'user')", name=op.f("ck_catalogue_revisions_origin")),
        sa.PrimaryKeyConstraint("number", name="pk_catalogue_revisions"),
        sqlite_strict=True,
    )


def _create_offers() -> None:
    op.create_table(
        "offers",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("seller_id", sa.Text(), nullable=False),
        sa.Column("price_cents", _cents(), nullable=False),
        sa.Column("step_m", sa.REAL(), nullable=True),
        sa.Column("at_most", sa.Integer(), nullable=True),
        sa.CheckConstraint("at_most >= 0", name=op.f("ck_offers_at_most")),
        sa.CheckConstraint("price_cents >= 0", name=op.f("ck_offers_price")),
        sa.CheckConstraint("step_m > 0", name=op.f("ck_offers_step")),
        sa.ForeignKeyConstraint(["seller_id"], ["sellers.id"], name="fk_offers_seller_id"),
        sa.PrimaryKeyConstraint("id", name="pk_offers"),
        sqlite_strict=True,
    )
    op.create_index("ix_offers_seller_id", "offers", ["seller_id"])
    op.create_table(
        "offer_contents",
        sa.Column("offer_id", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Text(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=True),
        sa.Column("length_m", sa.REAL(), nullable=True),
        sa.CheckConstraint("(count IS NULL) <> (length_m IS NULL)", name=op.f("ck_offer_contents_count_or_length")),
        sa.CheckConstraint("count > 0", name=op.f("ck_offer_contents_count")),
        sa.CheckConstraint("length_m > 0", name=op.f("ck_offer_contents_length")),
        sa.ForeignKeyConstraint(["offer_id"], ["offers.id"], name="fk_offer_contents_offer_id"),
        sa.ForeignKeyConstraint(["part_id"], ["parts.id"], name="fk_offer_contents_part_id"),
        sa.PrimaryKeyConstraint("offer_id", "position", name="pk_offer_contents"),
        sqlite_strict=True,
    )
    op.create_index("ix_offer_contents_part_id", "offer_contents", ["part_id"])


def _create_jobs() -> None:
    op.create_table(
        "jobs",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("demo_slug", sa.Text(), nullable=True),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("version_id", sa.Integer(), nullable=False),
        sa.Column("created_at", _instant(), nullable=False),
        sa.Column("updated_at", _instant(), nullable=False),
        sa.Column("deleted_at", _instant(), nullable=True),
        sa.CheckConstraint("revision >= 1", name=op.f("ck_jobs_revision")),
        sa.PrimaryKeyConstraint("id", name="pk_jobs"),
        sa.UniqueConstraint("demo_slug", name="uq_jobs_demo_slug"),
        sqlite_strict=True,
    )
    op.create_table(
        "job_revisions",
        sa.Column("job_id", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("created_at", _instant(), nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name="fk_job_revisions_job_id"),
        sa.PrimaryKeyConstraint("job_id", "number", name="pk_job_revisions"),
        sqlite_strict=True,
    )


def _create_plans() -> None:
    op.create_table(
        "plans",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("job_id", sa.Text(), nullable=False),
        sa.Column("job_revision", sa.Integer(), nullable=False),
        sa.Column("catalogue_revision", sa.Integer(), nullable=False),
        sa.Column("time_limit_s", sa.REAL(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("status", sa.Text(), nullable=True),
        sa.Column("total_cents", _cents(), nullable=True),
        sa.Column("document", sa.Text(), nullable=True),
        sa.Column("message", sa.Text(), nullable=True),
        sa.Column("progress", sa.Text(), nullable=True),
        sa.Column("solver", sa.Text(), nullable=True),
        sa.Column("created_at", _instant(), nullable=False),
        sa.Column("started_at", _instant(), nullable=True),
        sa.Column("finished_at", _instant(), nullable=True),
        sa.CheckConstraint("(state = 'done') = (document IS NOT NULL)", name=op.f("ck_plans_document_when_done")),
        sa.CheckConstraint("(state = 'failed') = (message IS NOT NULL)", name=op.f("ck_plans_message_when_failed")),
        sa.CheckConstraint("state IN ('queued', 'running', 'done', 'failed')", name=op.f("ck_plans_state")),
        sa.CheckConstraint("status IN ('optimal', 'feasible', 'infeasible', 'unknown')", name=op.f("ck_plans_status")),
        sa.ForeignKeyConstraint(
            ["catalogue_revision"], ["catalogue_revisions.number"], name="fk_plans_catalogue_revision"
        ),
        sa.ForeignKeyConstraint(
            ["job_id", "job_revision"],
            ["job_revisions.job_id", "job_revisions.number"],
            name="fk_plans_job_id_job_revision",
        ),
        sa.PrimaryKeyConstraint("id", name="pk_plans"),
        sqlite_strict=True,
    )
    op.create_index("ix_plans_job_id_created_at", "plans", ["job_id", "created_at"])
    op.create_index("ix_plans_state_created_at", "plans", ["state", "created_at"])


def _guard_what_never_changes() -> None:
    """A second wall behind the repositories. A later step that copies one of these tables must set it up again."""
    for table in _NEVER_CHANGED:
        op.execute(
            f"CREATE TRIGGER {table}_never_change BEFORE UPDATE ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{table} never change'); END"
        )
    op.execute(
        "CREATE TRIGGER plans_never_change_once_ended BEFORE UPDATE ON plans WHEN OLD.state IN ('done', 'failed') "
        "BEGIN SELECT RAISE(ABORT, 'a plan never changes once it ended'); END"
    )
