"""Every rule of a cut list once more, from request and answer alone."""

from __future__ import annotations

from collections import Counter


def faults_of(request, answer):
    """What is wrong with an answer that has a list, in words; empty where nothing is."""
    return [*_demand(request, answer), *_capacity(request, answer), *_price(request, answer), *_rests(request, answer)]


def _demand(request, answer):
    runs = {run.id: run for run in request.runs}
    made = Counter((cut.run, cut.number) for length in answer.lengths for cut in length.cuts)
    needed = Counter((run.id, number) for run in request.runs for number in range(1, run.quantity + 1))
    if made != needed:
        yield f"cuts made {made - needed} too many, {needed - made} missing"
    for length in answer.lengths:
        for cut in length.cuts:
            if cut.length_mm != runs[cut.run].length_mm or length.cable not in runs[cut.run].cables:
                yield f"{cut} is not what its run asks for"


def _capacity(request, answer):
    settings = request.settings
    for length in answer.lengths:
        cuts = [cut.length_mm for cut in length.cuts]
        used_mm = sum(cuts) + settings.kerf_mm * (len(cuts) - 1) + settings.trim_mm
        if cuts and used_mm > length.length_mm:
            yield f"{length.id} holds {length.length_mm} mm, {used_mm} mm are cut"


def _price(request, answer):
    spools = {spool.offer: spool for spool in request.spools}
    metres = {offer.offer: offer for offer in request.by_the_metre}
    owned = {length.id: length for length in request.owned}
    bought, cents = Counter(), 0
    for length in answer.lengths:
        offer = {"spool": spools, "by_the_metre": metres, "owned": owned}[length.source][length.id]
        if offer.cable != length.cable:
            yield f"{length.id} is another cable"
        if length.source == "by_the_metre":
            bought[length.id] += length.length_mm // offer.step_mm
            cents += length.length_mm // offer.step_mm * offer.step_cents
            if length.length_mm % offer.step_mm:
                yield f"{length.id} is not whole steps"
        else:
            bought[length.id] += length.source == "spool"
            cents += offer.price_cents if length.source == "spool" else 0
            if offer.length_mm != length.length_mm:
                yield f"{length.id} has another length"
    yield from _orders(answer, +bought, cents, {**spools, **metres})
    places = Counter((length.id, length.unit) for length in answer.lengths)
    if places and max(places.values()) > 1:
        yield "one length is listed twice"


def _orders(answer, bought, cents, offers):
    if {purchase.offer: purchase.quantity for purchase in answer.purchases} != dict(bought):
        yield "purchases and lengths differ"
    if not cents == answer.total_cents == sum(purchase.price_cents for purchase in answer.purchases):
        yield f"the lengths cost {cents}, the answer says {answer.total_cents}"
    for offer, quantity in bought.items():
        if offers[offer].limit is not None and quantity > offers[offer].limit:
            yield f"{offer} is bought {quantity} times"
    if answer.bound_cents > answer.total_cents or (answer.status == "optimal") != (answer.bound_cents == cents):
        yield f"status {answer.status} with bound {answer.bound_cents} of {cents}"


def _rests(request, answer):
    settings = request.settings
    for length in answer.lengths:
        used_mm = settings.trim_mm + sum(cut.length_mm + settings.kerf_mm for cut in length.cuts)
        rest_mm = max(length.length_mm - used_mm, 0) if length.cuts else length.length_mm
        keep = bool(length.cuts) and rest_mm >= max(settings.least_offcut_mm, 1)
        if (length.rest_mm, length.keep) != (rest_mm, keep):
            yield f"{length.id} leaves {rest_mm} mm, the answer says {length.rest_mm}"
