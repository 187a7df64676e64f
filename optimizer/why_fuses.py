"""Why a circuit has no other fuse, as far as the circuit itself says."""

from __future__ import annotations

from optimizer.near_misses import apart, most_fuse_a
from optimizer.physics.protection import least_rating_a
from optimizer.plan import Circuit
from optimizer.units import FORGIVEN
from optimizer.why_held import Held

_DUST = 1 + FORGIVEN


def against_other_fuses(held: Held, circuit: Circuit) -> str:
    """Why the next smaller and the next larger fuse would not do, in numbers; empty where they might."""
    chosen_a, needed_a = held.rating_a(circuit), least_rating_a(circuit.design_a)
    said = []
    smaller = [rating for rating in held.instance.ratings_a if rating < chosen_a]
    if smaller and smaller[-1] * _DUST < needed_a:
        needed, _ = apart(needed_a, smaller[-1], 2)
        said.append(f"{smaller[-1]:g} A is less than the {needed} A that {circuit.design_a:.2f} A asks for")
    larger = [rating for rating in held.instance.ratings_a if rating > chosen_a]
    laid = next((run for run in held.instance.pairs[circuit.place] if run.pair.ids == circuit.cable), None)
    if larger and laid is not None and circuit.run_m is None:
        most_a, what = most_fuse_a(held.instance, held.job.place_by_id[circuit.place], laid.pair, held.bundled(circuit))
        if against := _oversized(held, circuit, larger[0]):
            said.append(against)
        elif most_a * _DUST < larger[0]:
            said.append(f"{larger[0]:g} A is too much for the conductors: {what}")
    return "; ".join(said)


def _oversized(held: Held, circuit: Circuit, rating_a: float) -> str:
    """What of the loads or of the limits speaks against a larger fuse; empty where nothing does."""
    ratio = held.job.limits.fuse_ratio_max
    if ratio is not None and rating_a > ratio * circuit.design_a * _DUST:
        against = f"{rating_a:g} A is more than {ratio:g} times the {circuit.design_a:.2f} A drawn"
        chosen_a = held.rating_a(circuit)  # the smallest that carries the circuit may be so itself
        return f"{against}, and {chosen_a:g} A is enough" if chosen_a > ratio * circuit.design_a * _DUST else against
    for load in circuit.loads:
        option = held.options[load]
        if option is not None and rating_a > option.max_fuse_a * _DUST:
            return f"{held.job.load_by_id[load].label} may stand behind no more than {option.max_fuse_a:g} A"
    return ""
