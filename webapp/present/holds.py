"""How far a plan holds if one figure changes and nothing else does, in words."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from optimizer.job import Job
from optimizer.plan import Circuit, Hold, Plan
from webapp.present.rule_words import rule_words
from webapp.present.words import up_to
from webapp.texts import N_, _

STOPS = {
    "spool_not_overdrawn": N_("then the cable it is cut from is too short"),
    "drop": N_("then too many volts are lost"),
    "run_drop": N_("then the run behind the converter loses too many volts"),
    "far_fault": N_("then a short at its end may not blow the fuse"),
    "fuse_load": N_("then the fuse is too small"),
    "stage_rating": N_("then its converter is too small"),
    "lead_drop": N_("then its lead loses too many volts"),
    "load_window_low": N_("then its voltage gets too low"),
    "bank_peak": N_("then the battery is too weak"),
    "ac_peak": N_("then the outlet is too weak"),
    "autonomy": N_("then the battery does not last"),
}
Words = dict[tuple[str, str], str]  # rule and subject of a check


def circuit_words(job: Job, plan: Plan, circuit: Circuit) -> tuple[str, ...]:
    """What a circuit stands: its run, then the peak and the lead of every load on it, each up to its nearest limit."""
    said = [_until(_("a run of %(length)s", length=up_to(hold.most, "m")), hold) for hold in _nearest(circuit.holds)]
    for feed in plan.feeds:
        if feed.circuit == circuit.id:
            label = job.load_by_id[feed.load].label
            said += [_until(_of_load(label, hold), hold) for hold in _nearest(feed.holds)]
    return tuple(said)


def check_words(job: Job, plan: Plan) -> Words:
    """What to say beside a check: how far the figures that it judges may go."""
    said: dict[tuple[str, str], list[str]] = defaultdict(list)
    for rule, subject, words in _of_checks(job, plan):
        said[rule, subject].append(words)
    return {key: "; ".join(words) for key, words in said.items()}


def _of_checks(job: Job, plan: Plan) -> Iterator[tuple[str, str, str]]:
    for circuit in plan.circuits:
        for hold in circuit.holds:
            yield hold.rule, f"circuit {circuit.id}", _("a run of %(length)s", length=up_to(hold.most, "m"))
    for feed in plan.feeds:
        label = job.load_by_id[feed.load].label
        for hold in feed.holds:
            for subject in (f"circuit {feed.circuit}", f"load {label}", "bank"):  # only one of them has such a check
                yield hold.rule, subject, _of_load(label, hold)
    for hold in plan.bank.holds if plan.bank else ():
        yield hold.rule, "bank", _of_bank(hold)


def _nearest(holds: tuple[Hold, ...]) -> list[Hold]:
    """Of every figure the nearest limit; they come nearest first."""
    nearest: dict[str, Hold] = {}
    for hold in holds:
        nearest.setdefault(hold.field, hold)
    return list(nearest.values())


def _of_load(label: str, hold: Hold) -> str:
    if hold.field == "peak_w":
        return f"{label} {up_to(hold.most, 'W')}"
    return _("%(load)s: a lead of %(length)s", load=label, length=up_to(hold.most, "m"))


def _of_bank(hold: Hold) -> str:
    if hold.field == "autonomy_h":
        return up_to(hold.most, "h")
    return _("%(power)s on average", power=up_to(hold.most, "W"))


def _until(words: str, hold: Hold) -> str:
    if hold.rule in STOPS:
        return f"{words}: {_(STOPS[hold.rule])}"
    return _("%(what)s: then this fails: %(rule)s", what=words, rule=rule_words(hold.rule))
