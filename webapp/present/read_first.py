"""What must be read once for a job before anything is cut or labelled.

Voltage, then battery, fuse, breaking capacity, mains.
"""

from __future__ import annotations

from optimizer.job import Job
from webapp.present import cautions
from webapp.present.cautions import PlanCautions
from webapp.texts import _

KEY = "caution/read"


def read_first(job: Job, care: PlanCautions) -> tuple[str, ...]:
    """The critical cautions of a plan."""
    mains = (cautions.MAINS_NEARBY, *([cautions.INVERTER] if job.ac is not None else []))
    return (*care.voltage, *care.bank, _(cautions.FUSE), _(cautions.INTERRUPT), *(_(each) for each in mains))
