"""The choices of a plan as questions: what each forbids, and what may change with it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial

from optimizer.catalogue import Catalogue
from optimizer.feeds import FeedOption
from optimizer.job import Load
from optimizer.plan import Circuit, Delivery, Feed, Order, Plan
from optimizer.solve.instance import Instance
from optimizer.solve.model import PlanModel
from optimizer.solve.runs import may_share
from optimizer.why_feeds import OtherFeeds
from optimizer.why_fuses import against_other_fuses
from optimizer.why_held import NO_ROWS, Freed, Held
from optimizer.why_words import bank_words, circuit_words, feed_words, gained_words, lead_words, offer_words, pair_words

AS_IT_IS = "with everything else as it is"
ANEW = "with the whole plan made anew"


@dataclass(frozen=True, kw_only=True)
class Question:
    """One choice, forbidden."""

    subject: str
    chosen: str
    widths: tuple[tuple[str, Freed], ...]  # what may change with it, in words, from little to everything
    said: Callable[[Plan], str]  # what another plan has in its place
    rows: Callable[[PlanModel], None] = NO_ROWS
    others: Callable[[], dict[str, list[FeedOption]]] = dict
    instance: Callable[[], Instance | None] = lambda: None
    against: Callable[[], str] = str  # why nothing else does, where the plan as it is says so; then no more is asked


def questions(held: Held) -> Iterator[Question]:
    """Every choice of a plan, those that people ask about most first."""
    feeds = OtherFeeds(held)
    for load in held.job.loads:
        yield _of_feed(held, feeds, load)
    for circuit in held.plan.circuits:
        yield _of_conductors(held, circuit)
    if any(option.key[:3] != held.bank.key[:3] for option in held.instance.banks):
        yield _of_bank(held)
    for circuit in held.plan.circuits:
        yield _of_fuse(held, circuit)
    for circuit in held.plan.circuits:
        if _could_be_shared(held, circuit):
            yield _of_sharing(held, circuit)
    for load in held.job.loads:
        if held.feeds[load.id].lead is not None:
            yield _of_lead(held, feeds, load)
    yield from _of_buying(held)


# -- feeds --------------------------------------------------------------------------------------------------------


def _of_feed(held: Held, feeds: OtherFeeds, load: Load) -> Question:
    feed = held.feeds[load.id]
    return Question(
        subject=f"feed {load.id}",
        chosen=feed_words(held, feed),
        widths=_widths(held, _around(held, load.id), (load.id,)),
        said=lambda plan: feed_words(held, _feed_in(plan, load.id)),
        rows=partial(_not_on_outlet, load=load) if feed.source == "ac" else NO_ROWS,
        others=lambda: {load.id: feeds.of(load)},
    )


def _of_lead(held: Held, feeds: OtherFeeds, load: Load) -> Question:
    return Question(
        subject=f"lead {load.id}",
        chosen=lead_words(held, held.feeds[load.id]),
        widths=_widths(held, _around(held, load.id), (load.id,)),
        said=lambda plan: lead_words(held, _feed_in(plan, load.id)),
        rows=partial(_not_on_outlet, load=load),
        others=lambda: {load.id: feeds.with_other_leads(load)},
    )


def _around(held: Held, load: str) -> Freed:
    """A feed with the conductors and fuse of the circuit it hangs on."""
    circuit = held.circuit_of(load)
    return Freed(feeds=frozenset({load}), circuits=frozenset(circuit.loads if circuit else (load,)))


def _not_on_outlet(built: PlanModel, load: Load) -> None:
    for var in built.v.ac(load):
        built.cp.add(var == 0)


def _feed_in(plan: Plan, load: str) -> Feed:
    return next(feed for feed in plan.feeds if feed.load == load)


# -- circuits -----------------------------------------------------------------------------------------------------


def _of_conductors(held: Held, circuit: Circuit) -> Question:
    def forbid(built: PlanModel) -> None:
        candidate = held.candidate(built, circuit)
        for var in held.pair_vars(built, candidate, circuit):
            built.cp.add(var == 0)

    return Question(
        subject=f"conductor {circuit.id}",
        chosen=pair_words(held, circuit.cable),
        widths=_laid_widths(held, circuit),
        said=lambda plan: _circuits_in(held, plan, circuit, lambda one: pair_words(held, one.cable)),
        rows=forbid,
    )


def _of_fuse(held: Held, circuit: Circuit) -> Question:
    def forbid(built: PlanModel) -> None:
        candidate = held.candidate(built, circuit)
        for var in held.fuse_vars(built, candidate, circuit):
            built.cp.add(var == 0)

    def words(one: Circuit) -> str:
        return f"a fuse of {held.rating_a(one):g} A"

    return Question(
        subject=f"fuse {circuit.id}",
        chosen=f"{held.rating_a(circuit):g} A",
        widths=_laid_widths(held, circuit),
        said=lambda plan: _circuits_in(held, plan, circuit, words),
        rows=forbid,
        against=lambda: against_other_fuses(held, circuit),
    )


def _of_sharing(held: Held, circuit: Circuit) -> Question:
    def forbid(built: PlanModel) -> None:
        candidate = held.candidate(built, circuit)
        if candidate.is_whole:
            built.cp.add(sum(built.v.opened(candidate)) == 0)
            return
        on_it = [
            (load.id in circuit.loads, var) for load in candidate.members for var in built.v.joined(load, candidate)
        ]
        ours = sum(var for is_ours, var in on_it if is_ours)
        built.cp.add(ours - sum(var for is_ours, var in on_it if not is_ours) <= len(circuit.loads) - 1)

    mates = held.place_mates(circuit.loads)
    return Question(
        subject=f"sharing {circuit.id}",
        chosen=circuit_words(held, [circuit]),
        widths=_widths(held, Freed(circuits=mates), circuit.loads),
        said=lambda plan: _hanging(held, plan, circuit),
        rows=forbid,
    )


def _could_be_shared(held: Held, circuit: Circuit) -> bool:
    """Whether a choice existed: it has several loads, or another on the bus might join."""
    if len(circuit.loads) > 1:
        return True
    first = held.job.load_by_id[circuit.loads[0]]
    on_bus = [load for load in held.job.loads if held.options[load.id] is not None and load.id != first.id]
    return circuit.run_m is None and any(may_share(first, load) for load in on_bus)


def _circuits_in(held: Held, plan: Plan, circuit: Circuit, words: Callable[[Circuit], str]) -> str:
    """What a plan says of the same circuit; where it has none, how its loads hang then."""
    for one in plan.circuits:
        if one.loads == circuit.loads and (one.run_m is None) == (circuit.run_m is None):
            return words(one)
    return _hanging(held, plan, circuit)


def _hanging(held: Held, plan: Plan, circuit: Circuit) -> str:
    """How a plan hangs the loads of another plan's circuit."""
    theirs = [one for one in plan.circuits if set(one.loads) & set(circuit.loads)]
    if not theirs or theirs[0].loads == circuit.loads:  # on the outlet, or it ends at the panel instead of the place
        return feed_words(held, _feed_in(plan, circuit.loads[0]))
    return circuit_words(held, theirs)


# -- bank and buying ----------------------------------------------------------------------------------------------


def _of_bank(held: Held) -> Question:
    others = [option for option in held.instance.banks if option.key[:3] != held.bank.key[:3]]  # whatever its kit
    return Question(
        subject="bank",
        chosen=bank_words(held.bank),
        widths=((AS_IT_IS, Freed(bank=True)), (ANEW, held.everything)),
        said=lambda plan: _bank_in(held, plan),
        instance=lambda: replace(held.instance, banks=others),
    )


def _bank_in(held: Held, plan: Plan) -> str:
    bank = plan.bank
    assert bank is not None
    found = (
        option
        for option in held.instance.banks
        if (option.battery.id if option.battery else None) == bank.part
        and (bank.part is None or (option.series, option.parallel) == (bank.series, bank.parallel))
    )
    return bank_words(next(found))


def _of_buying(held: Held) -> Iterator[Question]:
    catalogue = held.catalogue
    for order in held.plan.orders:
        wanted = {content.part for content in catalogue.offer_by_id[order.offer].contents}
        if any(_holds(catalogue, other, wanted) for other in catalogue.offer_by_id if other != order.offer):
            yield _of_offer(held, order)
    if len(held.plan.deliveries) > 1:
        for delivery in held.plan.deliveries:
            yield _of_seller(held, delivery)


def _holds(catalogue: Catalogue, offer: str, parts: set[str]) -> bool:
    return any(content.part in parts for content in catalogue.offer_by_id[offer].contents)


def _of_offer(held: Held, order: Order) -> Question:
    return Question(
        subject=f"offer {order.offer}",
        chosen=offer_words(held.catalogue, order.offer, order.quantity),
        widths=((AS_IT_IS, Freed()),),
        said=lambda plan: gained_words(held.catalogue, held.baseline, plan) or "buying without it",
        instance=lambda: _buying_without(held, {order.offer}),
    )


def _of_seller(held: Held, delivery: Delivery) -> Question:
    seller = held.catalogue.seller_by_id[delivery.seller]
    theirs = {offer.id for offer in held.catalogue.offers if offer.seller == seller.id}
    return Question(
        subject=f"seller {seller.id}",
        chosen=seller.name,
        widths=((AS_IT_IS, Freed()), (ANEW, held.everything)),
        said=lambda _: f"buying nothing from {seller.name}",
        instance=lambda: _buying_without(held, theirs),
    )


def _buying_without(held: Held, offers: set[str]) -> Instance:
    catalogue = held.catalogue
    left = tuple(offer for offer in catalogue.offers if offer.id not in offers)
    return replace(held.instance, catalogue=Catalogue(sellers=catalogue.sellers, parts=catalogue.parts, offers=left))


# -- widths -------------------------------------------------------------------------------------------------------


def _laid_widths(held: Held, circuit: Circuit) -> tuple[tuple[str, Freed], ...]:
    return _widths(held, Freed(parts_of=frozenset({circuit.id})), circuit.loads)


def _widths(held: Held, own: Freed, loads: tuple[str, ...]) -> tuple[tuple[str, Freed], ...]:
    """Its own circuit; then all circuits and feeds at the place; then everything."""
    mates = held.place_mates(loads)
    names = sorted({held.job.place_by_id[held.job.load_by_id[load].place].label for load in mates})
    there = Freed(feeds=mates, circuits=mates)
    return ((AS_IT_IS, own), (f"with all at {' and '.join(names)} chosen anew", there), (ANEW, held.everything))
