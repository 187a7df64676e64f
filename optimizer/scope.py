"""What is not planned at all, with the reason."""

from __future__ import annotations

from optimizer.catalogue import CEILING_V, Battery, Catalogue, Stage
from optimizer.errors import Refused
from optimizer.job import Job

_CEILING = f"our ceiling is {CEILING_V:g} V DC: above it live parts must be guarded even in dry places"


def refuse_out_of_scope(job: Job, catalogue: Catalogue) -> None:
    """Raises Refused for a bus, stage, battery or load above 60 V DC, for a load that keeps the vehicle safe and would
    lose its own supply, and where there can be no bank.

    Source: planning rules 8 and 9.
    """
    if job.bus.high_v > CEILING_V:
        raise Refused(f"The bus reaches {job.bus.high_v:g} V; {_CEILING}.")
    for load in job.loads:
        if load.needs.min_v > CEILING_V:
            raise Refused(f"{load.label} needs at least {load.needs.min_v:g} V; {_CEILING}.")
        if load.critical == "vehicle" and not load.keeps_supply:
            raise Refused(
                f"{load.label} is part of what keeps the vehicle or boat safe: we do not change its supply. Leave it "
                "as it is, or say that it keeps its own supply and this one is added beside it."
            )
    for stage in catalogue.of(Stage):
        if stage.out_v is not None and stage.out_v > CEILING_V:
            raise Refused(f"{stage.label} puts out {stage.out_v:g} V; {_CEILING}.")
    for battery in catalogue.of(Battery):
        if battery.high_v > CEILING_V:
            raise Refused(f"{battery.label} reaches {battery.high_v:g} V; {_CEILING}.")
    if job.bank.existing is None and not job.bank.may_buy:
        raise Refused("There is no bank yet and none may be bought: state the one you have, or allow a new one.")
