"""The forms that sentences of the optimizer have: see `told`. Holes called name... hold names, which stay as they are.

A form stands here without its full stop and begins as it does inside a sentence, unless with a name.
"""

from __future__ import annotations

from webapp.texts import N_

SUBJECTS = (
    N_("circuit %(name)s"),
    N_("load %(name)s"),
    N_("load %(name)s lead"),
    N_("load %(name)s run"),
    N_("part %(name)s"),
    N_("order %(name)s"),
    N_("seller %(name)s"),
    N_("cable %(name)s"),
    N_("cut list"),
    N_("cut list, %(name)s"),
    N_("terminals for %(area)s mm²"),
    N_("consumables, %(name)s"),
    N_("AC outlet"),
    N_("bank"),
    N_("bus"),
    N_("panel"),
    N_("plan"),
)
SOURCES = (
    N_("planning rules %(numbers)s"),
    N_("planning rules %(numbers)s (our ceiling)"),
    N_("planning rules %(numbers)s (our engineering default)"),
    N_("additions %(numbers)s"),
    N_("circuit theory"),
    N_("common practice"),
    N_("Peukert's law"),
    N_("the fuse maker's time-current curve"),
    N_("the terminal maker's instructions"),
    N_("the limits of this job"),
    N_("%(one)s and %(two)s"),
    N_("ISO 13297"),
    N_("ISO 8820"),
    N_("IEC 60228"),
    N_("NFPA 70 %(numbers)s"),
)
CAUTIONS = (
    N_("it passes 50 V DC: keep live parts covered"),
    N_("The run to %(name_place)s for %(name)s carries %(run)s V, not the %(bus)s V of the panel"),
    N_("mark both ends so, and connect nothing else to it"),
    N_("Circuit %(name)s: its converters can take %(amps)s A at full output, and more for a moment at switch-on"),
    N_("if the %(amps)s A fuse opens then, ask the maker about inrush; never fit a larger fuse than the cable allows"),
    N_("%(name)s is fed directly through its own lead and states no largest fuse: %(amps)s A was assumed"),
    N_("Assumed, and to be confirmed before you buy: %(name)s"),
    N_(
        "this is a design aid. Local rules and the makers' instructions come first. If you are not sure, or the rules "
        "where you are require it, have a qualified person check or do the work"
    ),
    N_(
        "a battery can push thousands of amps. Take off rings, insulate tools, cover the terminals you are not working "
        "on"
    ),
    N_(
        "every fuse belongs at the battery end of its run, within the distance your rules allow. Fit it last, after "
        "polarity and voltage have been measured"
    ),
    N_("copper cable only, of the full cross-section named here. Protect every edge and hold the cable near each end"),
    N_("autonomy counts no recharge: it is how long the bank lasts with no charger, alternator or solar at work"),
    N_(
        "what stays on the AC outlet runs on mains voltage, which can kill even from a small battery. Use the outlet "
        "as it stands: changes to it are work for a qualified electrician"
    ),
    N_("direct current arcs. Use only switches with a d.c. rating at this voltage"),
    N_("this bus passes 50 V DC: keep live parts covered, and check what your rules ask for above that voltage"),
)
WAYS_OUT = (
    N_("autonomy of %(new)s h instead of %(now)s h"),
    N_("%(name)s off %(more)s h more a day: %(new)s h instead of %(now)s h"),
    N_("a new bank allowed"),
    N_("a new bank: %(number)s × %(name)s"),
    N_("a new bank: %(number)s × %(name)s (%(series)s in series × %(parallel)s in parallel)"),
    N_("a second string like the bank you have: %(new)s Ah instead of %(now)s Ah"),
    N_("allow %(new)s %% drop on the run to %(name)s, instead of %(now)s %%"),
    N_("allow %(new)s %% drop on every run, instead of %(now)s %%"),
    N_("1 more fuse way: %(new)s instead of %(now)s"),
    N_("%(more)s more fuse ways: %(new)s instead of %(now)s"),
    N_("%(name)s may share its circuit"),
    N_("%(new)s %% room to spare in converters instead of %(now)s %%"),
    N_("%(new)s m added to every cut instead of %(now)s m"),
    N_("%(name)s without a switch of its own"),
    N_("a run to %(name)s of %(new)s m instead of %(now)s m"),
    N_("allow a converter at the panel, so that a run carries more than the bus voltage"),
    N_("allow one converter to feed several loads"),
    N_("without %(name)s"),
    N_("a converter for %(name)s that takes conductors of %(area)s mm²: %(name_part)s takes %(takes)s mm²"),
    N_("a converter for %(name)s that takes up to %(volts)s V: %(name_part)s takes %(takes)s V"),
    N_("a converter for %(name)s that accepts %(volts)s V: the nearest, %(name_part)s, takes no less than %(takes)s V"),
    N_("a converter for %(name)s that puts out %(power)s W: %(name_part)s puts out %(puts)s W"),
    N_("a converter for %(name)s that puts out %(volts)s V: %(name_part)s puts out %(puts)s V"),
    N_("%(more)s more: a budget of %(new)s"),
    N_("%(one)s, and %(two)s"),
    N_("the second string itself, its string fuses and its links"),
    N_("what such a part costs more than %(name)s"),
    # what was not tried
    N_("a shorter autonomy"),
    N_("%(name)s on for fewer hours"),
    N_("a new bank"),
    N_("a second string of the bank you have"),
    N_("more drop on the run to %(name)s"),
    N_("more drop on every run"),
    N_("more fuse ways"),
    N_("a shared circuit for %(name)s"),
    N_("less room to spare in converters"),
    N_("less added to every cut"),
    N_("%(name)s without a switch"),
    N_("a shorter run to %(name)s"),
    N_("a converter at the panel"),
    N_("one converter for several loads"),
    N_("the job without %(name)s"),
    N_("another converter for %(name)s"),
    N_("other pairs of changes"),
)
LIMITS = (
    N_("autonomy of %(new)s h"),
    N_("%(new)s %% drop on the way"),
    N_("%(new)s spare fuse ways"),
    N_("%(new)s %% room to spare in converters"),
    N_("%(new)s %% of the bank's capacity counted on"),
)
FORMS = SUBJECTS + SOURCES + CAUTIONS + WAYS_OUT + LIMITS
