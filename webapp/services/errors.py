"""Why a use case could not be done, as a tree.

ServiceError                     the sentence may be shown
├── NotFound                     404
│   └── InBin(job_id)            404 too; it can be put back
├── StaleRevision(current)       409: somebody saved meanwhile; nothing was stored
├── FaultyDocument(faults)       422: every fault; nothing was stored
└── Busy                         429: too many plans are waiting
"""

from __future__ import annotations

from collections.abc import Sequence

from webapp.schemas import Fault
from webapp.texts import _


class ServiceError(Exception):
    """Base; `str(error)` is a sentence for people."""

    status = 500


class NotFound(ServiceError):
    status = 404


class InBin(NotFound):
    """A deleted job is worked on only once it has been put back."""

    def __init__(self, job_id: str) -> None:
        super().__init__(_("This job is in the bin."))
        self.job_id = job_id


class StaleRevision(ServiceError):
    """Somebody saved the job in between."""

    status = 409

    def __init__(self, current: int) -> None:
        super().__init__(_("This job was changed somewhere else in the meantime. Nothing was overwritten."))
        self.current = current


class FaultyDocument(ServiceError):
    status = 422

    def __init__(self, faults: Sequence[Fault]) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = tuple(faults)


class Busy(ServiceError):
    status = 429
