"""The catalogue as it is now, in rows, and as it was at each revision, in whole documents."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import REAL, CheckConstraint, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from webapp.models.base import STRICT, Base, now


class Seller(Base):
    __tablename__ = "sellers"
    __table_args__ = (
        CheckConstraint("delivery_cents >= 0", name="delivery"),
        CheckConstraint("free_over_cents >= 0", name="free_over"),
        CheckConstraint("lead_days >= 0", name="lead_days"),
        STRICT,
    )

    id: Mapped[str] = mapped_column(primary_key=True)
    name: Mapped[str]
    delivery_cents: Mapped[int]
    free_over_cents: Mapped[int | None]
    lead_days: Mapped[int | None]


class Part(Base):
    __tablename__ = "parts"
    __table_args__ = (STRICT,)

    id: Mapped[str] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(index=True)
    name: Mapped[str | None]
    facts: Mapped[str]  # canonical JSON: the fields that this kind of part has


class Offer(Base):
    __tablename__ = "offers"
    __table_args__ = (
        CheckConstraint("price_cents >= 0", name="price"),
        CheckConstraint("step_m > 0", name="step"),
        CheckConstraint("at_most >= 0", name="at_most"),
        STRICT,
    )

    id: Mapped[str] = mapped_column(primary_key=True)
    seller_id: Mapped[str] = mapped_column(ForeignKey("sellers.id"), index=True)
    price_cents: Mapped[int]
    step_m: Mapped[float | None] = mapped_column(REAL)
    at_most: Mapped[int | None]  # "limit" in documents, which is a word of SQL
    contents: Mapped[list[OfferContent]] = relationship(order_by="OfferContent.position", lazy="selectin")


class OfferContent(Base):
    """So many of a part, or one spool of a cable; several of them make a kit."""

    __tablename__ = "offer_contents"
    __table_args__ = (
        CheckConstraint("count > 0", name="count"),
        CheckConstraint("length_m > 0", name="length"),
        CheckConstraint("(count IS NULL) <> (length_m IS NULL)", name="count_or_length"),
        STRICT,
    )

    offer_id: Mapped[str] = mapped_column(ForeignKey("offers.id"), primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True)
    part_id: Mapped[str] = mapped_column(ForeignKey("parts.id"), index=True)
    count: Mapped[int | None]
    length_m: Mapped[float | None] = mapped_column(REAL)


class CatalogueRevision(Base):
    """The whole catalogue as it was; never changed, so that a plan can be worked out again."""

    __tablename__ = "catalogue_revisions"
    __table_args__ = (CheckConstraint("origin IN ('seed', 'user')", name="origin"), STRICT)

    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    sha256: Mapped[str]
    document: Mapped[str]
    origin: Mapped[str]
    created_at: Mapped[datetime] = mapped_column(default=now)
