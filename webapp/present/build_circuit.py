"""The steps of one circuit, from the spool to its loads."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from optimizer.catalogue import Catalogue, Fuse, Stage
from optimizer.job import Job
from optimizer.plan import Circuit, Feed, Plan
from webapp.present import cautions
from webapp.present.cautions import PlanCautions
from webapp.present.cuts import cable_words, fixed_v, run_v
from webapp.present.told import told_plainly
from webapp.present.words import figure, listed, metres, quantity
from webapp.texts import _


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildStep:
    """One thing to do."""

    key: str  # of its tick
    head: str
    text: str
    cautions: tuple[str, ...]  # what bites at this step, said where it first does


def step(key: str, head: str, text: str, *warnings: str) -> BuildStep:
    """One thing to do; its warnings are constants of `cautions`, or said already."""
    return BuildStep(key=f"build/{key}", head=head, text=text, cautions=tuple(_(each) for each in warnings))


class CircuitSteps:
    """The steps of one circuit."""

    def __init__(self, job: Job, catalogue: Catalogue, plan: Plan, circuit: Circuit) -> None:
        self._job, self._catalogue, self._circuit = job, catalogue, circuit
        self._feeds = [feed for feed in plan.feeds if feed.circuit == circuit.id]
        self._boosted = next((feed for feed in self._feeds if feed.run is not None), None)
        self._place = job.place_by_id[circuit.place]
        self._id = circuit.id

    def made(self, care: PlanCautions) -> Iterator[BuildStep]:
        """From the spool to a circuit without a fuse."""
        yield from self._laid(care)
        yield from self._fitted()
        yield from self._joined()

    def _laid(self, care: PlanCautions) -> Iterator[BuildStep]:
        circuit, cable = self._circuit, cable_words(self._catalogue, self._circuit.cable)
        end = _("converter at the panel") if self._boosted else self._place.label
        yield self._step(
            "cut",
            _("Cut %(length)s of %(cable)s", length=metres(circuit.cut_mm), cable=cable),
            _("Mark both ends %(mark)s before you lay it.", mark=self._id),
        )
        yield self._step(
            "lay",
            _("Lay it from the panel to: %(place)s", place=end),
            _(
                "A grommet at every edge, a hold close to each end, no joint on the way, apart from mains cables. "
                "Both conductors: the chassis is no return."
            ),
            *care.cuts,
        )
        yield from self._onward()
        yield self._step(
            "crimp",
            _("Crimp all ends, and pull at each"),
            _("The terminal that fits the conductor, the die that fits the terminal. Heat-shrink over it."),
        )

    def _onward(self) -> Iterator[BuildStep]:
        """The run behind a converter at the panel."""
        if self._boosted is None or self._boosted.run is None:
            return
        run, volts = self._boosted.run, quantity(run_v(self._catalogue, self._boosted), "V")
        length, cable = metres(run.cut_mm), cable_words(self._catalogue, run.cable)
        yield self._step(
            "onward",
            _("Cut and lay %(length)s of %(cable)s onward", length=length, cable=cable),
            _(
                "From the converter at the panel to %(place)s. Mark both ends %(mark)s, %(volts)s: it carries more "
                "than the battery.",
                place=self._place.label,
                mark=self._id,
                volts=volts,
            ),
        )

    def _fitted(self) -> Iterator[BuildStep]:
        circuit, part = self._circuit, self._catalogue.part
        if circuit.holder:
            yield self._step(
                "holder",
                _("Fit the fuse holder, empty: %(part)s", part=told_plainly(part(circuit.holder).label)),
                _("Close to the panel, in +, within the distance your rules allow."),
            )
        if circuit.switch:
            name = told_plainly(part(circuit.switch).label)
            yield self._step("switch", _("Fit the switch, off: %(part)s", part=name), "", cautions.SWITCH)
        if circuit.junction:
            name = told_plainly(part(circuit.junction).label)
            yield self._step(
                "junction", _("Fit the junction: %(part)s", part=name), _("At the place, where it can be reached.")
            )
        for feed in self._feeds:
            yield from self._converters(feed)
            yield from self._behind(feed)

    def _converters(self, feed: Feed) -> Iterator[BuildStep]:
        if feed.shares:
            return
        load = self._job.load_by_id[feed.load].label
        for number, stage_id in enumerate(feed.stages, 1):
            stage = self._catalogue.get(Stage, stage_id)
            if stage.out_v is None:
                continue
            at = _("at the panel") if number <= feed.panel_stages else self._place.label
            yield self._step(
                f"converter-{feed.load}-{number}",
                _("Fit the converter for %(load)s: %(part)s", load=load, part=told_plainly(stage.label)),
                _("Where: %(place)s. Nothing plugged into it yet.", place=at),
                cautions.CONVERTER,
            )

    def _behind(self, feed: Feed) -> Iterator[BuildStep]:
        """What stands between the last part of a feed and its load."""
        load = self._job.load_by_id[feed.load].label
        if feed.output_fuse is not None:
            part = told_plainly(self._catalogue.part(feed.output_fuse.holder).label)
            yield self._step(
                f"output-{feed.load}",
                _("Fit the holder right behind that converter, empty: %(part)s", part=part),
                _("It guards the lead of %(load)s.", load=load),
            )
        if feed.lead is not None:
            length, cable = metres(feed.lead.cut_mm), cable_words(self._catalogue, feed.lead.cable)
            yield self._step(
                f"lead-{feed.load}",
                _("Cut the lead of %(load)s: %(length)s of %(cable)s", load=load, length=length, cable=cable),
                _("Mark both ends %(mark)s, and crimp them.", mark=feed.load),
            )

    def _joined(self) -> Iterator[BuildStep]:
        yield self._step(
            "connect",
            _("Join the far end, then the panel: − first, + last, fuse out"),
            _("Nothing is live, and nothing is plugged in."),
        )
        yield self._step(
            "ring-out",
            _("Ring it out with the meter"),
            _(
                "+ to + and − to − conduct, from the panel to the far end. + does not conduct to −, nor to bare metal; "
                "− may, where the installation is earthed."
            ),
        )

    def started(self) -> Iterator[BuildStep]:
        """From the fuse to the load, one circuit at a time."""
        fuse = self._catalogue.get(Fuse, self._circuit.fuse)
        yield self._step(
            "fuse",
            _("Put the %(rating)s fuse in, with nothing plugged in", rating=quantity(fuse.rating_a, "A")),
            _("It is marked to break %(amps)s or more.", amps=quantity(fuse.interrupt_a, "A", 6)),
            cautions.INTERRUPT,
        )
        yield from self._output_fuses()
        yield self._step(
            "polarity",
            _("Measure polarity and volts at the end, before any device"),
            _("Expect: %(volts)s.", volts=listed([self._expected(feed) for feed in self._feeds])),
            cautions.POLARITY,
        )
        names = listed([self._job.load_by_id[feed.load].label for feed in self._feeds])
        yield self._step(
            "loads",
            _("Fuse out, attach, fuse in: %(loads)s", loads=names),
            _("One load at a time. Write down what you measure on the page Record."),
        )

    def _output_fuses(self) -> Iterator[BuildStep]:
        for feed in self._feeds:
            if feed.output_fuse is not None:
                rating = quantity(self._catalogue.get(Fuse, feed.output_fuse.fuse).rating_a, "A")
                load = self._job.load_by_id[feed.load].label
                yield self._step(
                    f"output-fuse-{feed.load}",
                    _("Then the %(rating)s fuse behind the converter for %(load)s", rating=rating, load=load),
                    "",
                )

    def _expected(self, feed: Feed) -> str:
        """What a meter shows where a load will be plugged in."""
        load, bus = self._job.load_by_id[feed.load].label, self._job.bus
        fixed = fixed_v(self._catalogue, feed.stages)
        volts = f"{figure(bus.low_v)}–{quantity(bus.high_v, 'V')}" if fixed is None else quantity(fixed, "V")
        return _("%(volts)s for %(load)s", volts=volts, load=load)

    def _step(self, key: str, head: str, text: str, *warnings: str) -> BuildStep:
        return step(f"{self._id}/{key}", head, text, *warnings)
