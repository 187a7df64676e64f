"""The catalogue of now, and of the plans made earlier."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from flask import current_app
from sqlalchemy.orm import Session

from optimizer.catalogue import Catalogue
from webapp import db, schemas
from webapp.repositories import catalogue
from webapp.repositories.rows import CatalogueRecord
from webapp.services.errors import FaultyDocument, NotFound
from webapp.texts import _

__all__ = ["CatalogueRecord", "at", "current", "replace", "value_of"]

REMEMBERED = 4  # catalogues kept as values


def current() -> CatalogueRecord:
    """The newest revision. Raises NotFound where no catalogue was loaded yet."""
    with db.current().reading() as session:
        return found(session, catalogue.newest_number(session) or 0)


def at(revision: int) -> CatalogueRecord:
    """The catalogue as it was at a revision. Raises NotFound."""
    with db.current().reading() as session:
        return found(session, revision)


def replace(document: dict[str, Any], *, origin: str = "user") -> CatalogueRecord:
    """Put another catalogue in the place of this one, as a new revision; unchanged, it stays the same revision.

    Plans made before keep theirs. Raises FaultyDocument; then nothing is stored.
    """
    reading = schemas.read_catalogue(document)
    if reading.value is None:
        raise FaultyDocument(reading.faults)
    with db.current().writing() as session:
        catalogue.replace_rows(session, schemas.dump_catalogue(reading.value))
        return found(session, catalogue.keep_revision(session, origin))


def value_of(revision: int) -> Catalogue:
    """A stored catalogue as a value. A revision never changes, so the app remembers the last few. Raises NotFound.

    Reading one takes a tenth of a second or more, which nobody should spend again while others wait to write.
    """
    read = current_app.extensions.setdefault("thriftloom_catalogues", lru_cache(REMEMBERED)(_read))
    value: Catalogue = read(revision)
    return value


def _read(revision: int) -> Catalogue:
    reading = schemas.read_catalogue(at(revision).document)
    assert reading.value is not None  # only sound catalogues are stored
    return reading.value


def found(session: Session, revision: int) -> CatalogueRecord:
    """A revision that must be there. Raises NotFound."""
    record = catalogue.at(session, revision)
    if record is None:
        raise NotFound(_("There is no such catalogue here. Run `thriftloom seed` to load the one that comes along."))
    return record
