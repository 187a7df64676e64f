"""The catalogue: rows of now, documents of then."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sqlalchemy import delete, func, insert, select
from sqlalchemy.orm import Session

from webapp import canonical
from webapp.models import Base, CatalogueRevision, Offer, OfferContent, Part, Seller
from webapp.repositories.rows import CatalogueRecord

FORMAT = "catalogue/1"


def newest_number(session: Session) -> int | None:
    """The number of the revision that is valid now."""
    return session.scalar(select(func.max(CatalogueRevision.number)))


def at(session: Session, number: int) -> CatalogueRecord | None:
    """The catalogue as it was at a revision."""
    revision = session.get(CatalogueRevision, number)
    if revision is None:
        return None
    return CatalogueRecord(
        revision=revision.number,
        document=canonical.read(revision.document),
        sha256=revision.sha256,
        origin=revision.origin,
        created_at=revision.created_at,
    )


def replace_rows(session: Session, document: dict[str, Any]) -> None:
    """Put the sellers, parts and offers of a document in the place of those that are here."""
    for table in (OfferContent, Offer, Part, Seller):
        session.execute(delete(table))
    _insert(session, Seller, [_seller_row(seller) for seller in document["sellers"]])
    _insert(session, Part, [_part_row(part) for part in document["parts"]])
    _insert(session, Offer, [_offer_row(offer) for offer in document["offers"]])
    _insert(session, OfferContent, [row for offer in document["offers"] for row in _content_rows(offer)])


def keep_revision(session: Session, origin: str) -> int:
    """Keep the rows of now as the next revision, unless they are what the newest one says; its number."""
    text = canonical.spell(as_document(session))
    number, sha256 = newest_number(session) or 0, canonical.digest(text)
    newest = session.get(CatalogueRevision, number)
    if newest is not None and newest.sha256 == sha256:
        return number
    session.add(CatalogueRevision(number=number + 1, sha256=sha256, document=text, origin=origin))
    session.flush()
    return number + 1


def as_document(session: Session) -> dict[str, Any]:
    """The rows of now as one catalogue/1 document, everything in order of id."""
    return {
        "format": FORMAT,
        "sellers": [_seller(row) for row in session.scalars(select(Seller).order_by(Seller.id))],
        "parts": [_part(row) for row in session.scalars(select(Part).order_by(Part.id))],
        "offers": [_offer(row) for row in session.scalars(select(Offer).order_by(Offer.id))],
    }


def _insert(session: Session, table: type[Base], rows: list[dict[str, Any]]) -> None:
    if rows:  # without rows it would insert one of defaults
        session.execute(insert(table), rows)


def _seller_row(seller: dict[str, Any]) -> dict[str, Any]:
    return {"free_over_cents": None, "lead_days": None, **seller}


def _part_row(part: dict[str, Any]) -> dict[str, Any]:
    facts = {field: value for field, value in part.items() if field not in ("id", "kind", "name")}
    return {"id": part["id"], "kind": part["kind"], "name": part.get("name"), "facts": canonical.spell(facts)}


def _offer_row(offer: dict[str, Any]) -> dict[str, Any]:
    return {
        "id": offer["id"],
        "seller_id": offer["seller"],
        "price_cents": offer["price_cents"],
        "step_m": offer.get("step_m"),
        "at_most": offer.get("limit"),
    }


def _content_rows(offer: dict[str, Any]) -> Iterator[dict[str, Any]]:
    for position, content in enumerate(offer["contents"]):
        yield {
            "offer_id": offer["id"],
            "position": position,
            "part_id": content["part"],
            "count": content.get("count"),
            "length_m": content.get("length_m"),
        }


def _seller(row: Seller) -> dict[str, Any]:
    return _stated(
        id=row.id,
        name=row.name,
        delivery_cents=row.delivery_cents,
        free_over_cents=row.free_over_cents,
        lead_days=row.lead_days,
    )


def _part(row: Part) -> dict[str, Any]:
    return {**_stated(id=row.id, kind=row.kind, name=row.name), **canonical.read(row.facts)}


def _offer(row: Offer) -> dict[str, Any]:
    contents = [_stated(part=each.part_id, count=each.count, length_m=each.length_m) for each in row.contents]
    return _stated(
        id=row.id,
        seller=row.seller_id,
        price_cents=row.price_cents,
        step_m=row.step_m,
        limit=row.at_most,
        contents=contents,
    )


def _stated(**fields: Any) -> dict[str, Any]:
    return {name: value for name, value in fields.items() if value is not None}
