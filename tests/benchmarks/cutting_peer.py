"""The peer of cut lists: pieces assigned to lengths in one mixed-integer model, solved by HiGHS with one thread."""

from __future__ import annotations

import time

import highspy


def assignment_cents(request, time_limit_s, most_cents):
    """(price of the best list or None, whether it is proven, seconds). No list dearer than `most_cents` is looked for.

    One row a length for its room, one a run for its demand, one for the total length; equal lengths are used in order.
    """
    started = time.process_time()
    model = highspy.Highs()
    model.setOptionValue("output_flag", False)
    model.setOptionValue("threads", 1)
    model.setOptionValue("mip_rel_gap", 0.0)
    model.setOptionValue("mip_abs_gap", 0.99)
    model.setOptionValue("time_limit", float(time_limit_s))
    taken = _lengths(model, request, most_cents)
    for at, run in enumerate(request.runs):
        own = [pieces[at] for pieces in taken if at in pieces]
        if not own:
            return None, True, time.process_time() - started
        model.addConstr(sum(own[1:], start=own[0]) == run.quantity)
    model.run()
    status = model.getModelStatus()
    found = model.getInfo().primal_solution_status == 2  # feasible
    cents = round(model.getObjectiveValue()) if found else None
    return cents, status == highspy.HighsModelStatus.kOptimal, time.process_time() - started


def _lengths(model, request, most_cents):
    """For every length that could be cut from, the variables of the runs that could be cut from it."""
    kerf_mm, trim_mm = request.settings.kerf_mm, request.settings.trim_mm
    pieces = sum(run.quantity for run in request.runs)
    taken, cover = [], []
    for spool in request.spools:
        copies = min(pieces, most_cents // spool.price_cents if spool.price_cents else pieces)
        copies = copies if spool.limit is None else min(copies, spool.limit)
        before = None
        for _ in range(copies):
            used = model.addBinary(obj=spool.price_cents)
            room_mm = spool.length_mm + kerf_mm - trim_mm
            taken.append(_room(model, request, spool.cable, room_mm, room_mm * used))
            cover.append(room_mm * used)
            if before is not None:
                model.addConstr(used - before <= 0)
            before = used
    for offer in request.by_the_metre:
        most = most_cents // offer.step_cents if offer.step_cents else pieces
        most = most if offer.limit is None else min(most, offer.limit)
        steps = model.addIntegral(lb=0, ub=most, obj=offer.step_cents)
        opened = model.addBinary()
        model.addConstr(steps - most * opened <= 0)
        room = offer.step_mm * steps + (kerf_mm - trim_mm) * opened
        taken.append(_room(model, request, offer.cable, most * offer.step_mm + kerf_mm, room))
        cover.append(room)
    for owned in request.owned:
        opened = model.addBinary()
        room_mm = max(owned.length_mm + kerf_mm - trim_mm, 0)
        taken.append(_room(model, request, owned.cable, room_mm, room_mm * opened))
        cover.append(room_mm * opened)
    if cover:
        total_mm = sum((run.length_mm + kerf_mm) * run.quantity for run in request.runs)
        model.addConstr(sum(cover[1:], start=cover[0]) >= total_mm)
    return taken


def _room(model, request, cable, most_mm, room):
    kerf_mm = request.settings.kerf_mm
    sizes = {
        at: run.length_mm + kerf_mm
        for at, run in enumerate(request.runs)
        if cable in run.cables and run.length_mm + kerf_mm <= most_mm
    }
    pieces = {
        at: model.addIntegral(lb=0, ub=min(request.runs[at].quantity, most_mm // size)) for at, size in sizes.items()
    }
    if pieces:
        loads = [size * pieces[at] for at, size in sizes.items()]
        model.addConstr(sum(loads[1:], start=loads[0]) - room <= 0)
    return pieces
