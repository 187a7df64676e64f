"""The best list by trying every way to buy and to cut: for tiny requests only."""

from __future__ import annotations

import itertools


def best_of_all(request):
    """(total_cents, lengths bought, minus longest rest) of the best list; None where there is none."""
    pieces = [(run.length_mm, run.cables) for run in request.runs for _ in range(run.quantity)]
    best = None
    for cents, lengths in sorted(_every_purchase(request, len(pieces)), key=lambda entry: entry[0]):
        bought = sum(1 for length in lengths if length[2])
        if best is not None and (cents, bought) > best[:2]:
            continue
        rest_mm = _longest_rest(request, lengths, pieces)
        if rest_mm is not None and (best is None or (cents, bought, -rest_mm) < best):
            best = (cents, bought, -rest_mm)
    return best


def _every_purchase(request, pieces):
    """(price, [(length, cable, whether it is bought)])."""
    choices = []
    for spool in request.spools:
        most = pieces if spool.limit is None else min(spool.limit, pieces)
        choices.append([(n * spool.price_cents, [(spool.length_mm, spool.cable, True)] * n) for n in range(most + 1)])
    for offer in request.by_the_metre:
        total_mm = sum((run.length_mm + request.settings.kerf_mm) * run.quantity for run in request.runs)
        most = -(-(total_mm + request.settings.trim_mm) // offer.step_mm)
        most = most if offer.limit is None else min(most, offer.limit)
        choices.append(
            [(n * offer.step_cents, [(n * offer.step_mm, offer.cable, True)] * (n > 0)) for n in range(most + 1)]
        )
    used = {cable for run in request.runs for cable in run.cables}
    owned = [(length.length_mm, length.cable, False) for length in request.owned if length.cable in used]
    for combination in itertools.product(*choices):
        lengths = [length for _, some in combination for length in some]
        if sum(1 for length in lengths) <= pieces:
            yield sum(cents for cents, _ in combination), lengths + owned


def _longest_rest(request, lengths, pieces):
    """The longest rest over every way to cut the pieces from these lengths; None where they do not fit."""
    best, settings = None, request.settings
    homes = [
        [at for at, (length, cable, _) in enumerate(lengths) if cable in cables and length >= size]
        for size, cables in pieces
    ]
    for where in itertools.product(*homes):
        cuts = [[] for _ in lengths]
        for (size, _), at in zip(pieces, where, strict=True):
            cuts[at].append(size)
        if all(
            not own or sum(own) + settings.kerf_mm * (len(own) - 1) + settings.trim_mm <= length
            for own, (length, _, _) in zip(cuts, lengths, strict=True)
        ):
            rests = [
                max(length - settings.trim_mm - sum(own) - settings.kerf_mm * len(own), 0) if own else length
                for own, (length, _, _) in zip(cuts, lengths, strict=True)
            ]
            best = max([best or 0, *rests])
    return best
