"""Tables. Money is integer cents, times are UTC, documents are canonical JSON text, every constraint has a name."""

from webapp.models.base import Base
from webapp.models.catalogue import CatalogueRevision, Offer, OfferContent, Part, Seller
from webapp.models.jobs import Job, JobRevision
from webapp.models.marks import Mark
from webapp.models.ops import Op
from webapp.models.plans import Plan

__all__ = [
    "Base",
    "CatalogueRevision",
    "Job",
    "JobRevision",
    "Mark",
    "Offer",
    "OfferContent",
    "Op",
    "Part",
    "Plan",
    "Seller",
]
