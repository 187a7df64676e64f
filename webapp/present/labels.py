"""Labels of a plan: what is written on fuses, both ends of every cable, and converters."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from optimizer.catalogue import Catalogue, Fuse, Stage
from optimizer.job import Job
from optimizer.plan import Circuit, Feed, Plan
from webapp.present.cuts import cable_words, fixed_v, run_v
from webapp.present.words import form_words, listed, quantity
from webapp.texts import _


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """One label. Both ends of a cable carry the same."""

    head: str  # the id that everything else refers to: C1, L3
    figure: str  # what has to be read from a step away: the rating, the voltage
    lines: tuple[str, ...]
    tape: str  # the same for a tape printer, in one line


def labels(job: Job, catalogue: Catalogue, plan: Plan) -> tuple[Label, ...]:
    """Every label of a plan: circuit by circuit from the panel to the loads, the panel's own first."""
    return (
        _of_panel(job),
        *(label for circuit in plan.circuits for label in _of_circuit(job, catalogue, plan, circuit)),
    )


def tape_text(all_labels: tuple[Label, ...]) -> str:
    """One label a line."""
    return "\n".join(label.tape for label in all_labels)


def _of_panel(job: Job) -> Label:
    lines = (_("Isolate before you work here."), _("A fuse only by one of the same rating and breaking capacity."))
    volts = quantity(job.bus.nominal_v, "V")
    return _label(_("DC"), volts, lines, tape=_("DC %(volts)s, isolate first", volts=volts))


def _of_circuit(job: Job, catalogue: Catalogue, plan: Plan, circuit: Circuit) -> Iterator[Label]:
    feeds = [feed for feed in plan.feeds if feed.circuit == circuit.id]
    place = job.place_by_id[circuit.place].label
    names = listed([job.load_by_id[load].label for load in circuit.loads])
    fuse = catalogue.get(Fuse, circuit.fuse)
    rating = quantity(fuse.rating_a, "A")
    yield _label(circuit.id, rating, (names, place, _("breaks %(amps)s", amps=quantity(fuse.interrupt_a, "A", 6))))
    boosted = next((feed for feed in feeds if feed.run is not None), None)
    end = _("converter at the panel") if boosted else place
    run = (_("panel to %(place)s", place=end), cable_words(catalogue, circuit.cable))
    yield from _ends(_label(circuit.id, quantity(job.bus.nominal_v, "V"), run))
    if boosted is not None and boosted.run is not None:
        onward = (_("converter to %(place)s", place=place), cable_words(catalogue, boosted.run.cable))
        yield from _ends(_label(circuit.id, quantity(run_v(catalogue, boosted), "V"), onward))
    for feed in feeds:
        yield from _of_feed(job, catalogue, circuit, feed)


def _of_feed(job: Job, catalogue: Catalogue, circuit: Circuit, feed: Feed) -> Iterator[Label]:
    name = job.load_by_id[feed.load].label
    stages = [] if feed.shares else [catalogue.get(Stage, stage) for stage in feed.stages]
    for stage in stages:
        if stage.out_v is not None:
            out = (_("converter for %(load)s", load=name), form_words(stage.out_form), quantity(stage.max_out_w, "W"))
            yield _label(circuit.id, quantity(stage.out_v, "V"), out)
    if feed.output_fuse is not None:
        fuse = catalogue.get(Fuse, feed.output_fuse.fuse)
        behind = (_("behind the converter for %(load)s", load=name),)
        yield _label(circuit.id, quantity(fuse.rating_a, "A"), behind)
    if feed.lead is not None:
        lead = (_("lead of %(load)s", load=name), cable_words(catalogue, feed.lead.cable))
        yield from _ends(_label(feed.load, _lead_volts(job, catalogue, feed), lead))


def _lead_volts(job: Job, catalogue: Catalogue, feed: Feed) -> str:
    volts = fixed_v(catalogue, feed.stages)
    return quantity(job.bus.nominal_v if volts is None else volts, "V")


def _ends(label: Label) -> tuple[Label, Label]:
    return label, label


def _label(head: str, figure: str, lines: tuple[str, ...], *, tape: str = "") -> Label:
    return Label(head=head, figure=figure, lines=lines, tape=tape or f"{head} {figure} {lines[0]}")
