"""The forms that sentences of the optimizer have: see `told`. What a hole holds is said in turn, and where that has no
words the form does not fit. Holes called name... hold names, which stay as they are; those called either... may hold
names, and several of them: then the forms of NAMED count as well.

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
    N_("its fuse is %(amps)s A"),
    N_(
        "if a fuse so close opens at switch-on, ask the maker about inrush; never fit a larger fuse than the cable "
        "allows"
    ),
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
    N_("direct current arcs. Use only switches with a DC rating at this voltage"),
    N_("this bus passes 50 V DC: keep live parts covered, and check what your rules ask for above that voltage"),
)
PERSON = (
    N_("before anything is bought, cut or built, a qualified person must answer for this plan by name"),
    N_("the wiring reaches %(volts)s V DC, on a boat: the usual rules for boats end at 50 V"),
    N_(
        "the wiring reaches %(volts)s V DC, and the job does not say whether it is on a boat: the usual rules for "
        "boats end at 50 V"
    ),
    N_("all loads together draw %(amps)s A: we have tested up to 200 A"),
    N_("a conductor of %(area)s mm² is laid: we have tested up to 95 mm²"),
    N_("lithium batteries of %(energy)s Wh on a boat: above 500 Wh venting and protection must be documented"),
    N_(
        "lithium batteries of %(energy)s Wh, and the job does not say whether it is on a boat: there venting and "
        "protection must be documented"
    ),
    N_(
        "the job says neither whether it is on a boat nor of what type the batteries are. Lithium of more than 500 Wh "
        "on a boat is for a qualified person to answer for"
    ),
    N_(
        "batteries of unknown type, taken for lithium, of %(energy)s Wh on a boat: above 500 Wh venting and "
        "protection must be documented"
    ),
    N_("the battery may be charged below 0 °C and neither heats nor blocks itself: that ruins lithium cells"),
    N_("%(name)s is wet and parts there reach %(volts)s V DC: above 30 V they must be insulated or enclosed"),
    N_("the panel is wet and parts there reach %(volts)s V DC: above 30 V they must be insulated or enclosed"),
    N_("%(name)s stays on the AC outlet at %(name_place)s, which is wet: mains there can kill"),
    N_("petrol or gas at %(name)s: every part there must be ignition protected. Some places allow no fuse box at all"),
    N_("petrol or gas at the panel: every part there must be ignition protected. Some places allow no fuse box at all"),
    N_(
        "somebody's health or life may depend on %(name)s: it needs two independent supplies, and this plan is one of "
        "them"
    ),
    N_(
        "%(name)s is part of what keeps the vehicle or boat safe: feed it beside the supply it has, and change nothing "
        "of that"
    ),
    N_(
        "%(name)s is part of what keeps the vehicle or boat safe: we do not change its supply. Leave it as it is, or "
        "say that it keeps its own supply and this one is added beside it"
    ),
    N_("surge protection and bonding are not part of this plan; runs that go outdoors: %(name)s"),
    N_(
        "parts here pass 30 V DC. The job names no wet place; where one gets wet, such parts must be insulated or "
        "enclosed"
    ),
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
    N_("allow only %(new)s %% drop on the run to %(name)s, instead of %(now)s %%"),
    N_("1 more fuse way: %(new)s instead of %(now)s"),
    N_("%(more)s more fuse ways: %(new)s instead of %(now)s"),
    N_("%(name)s may share its circuit"),
    N_("%(new)s %% room to spare in converters instead of %(now)s %%"),
    N_("%(new)s m added to every cut instead of %(now)s m"),
    N_("%(name)s without a switch of its own"),
    N_("no switches of their own for %(name)s"),
    N_("a run to %(name)s of %(new)s m instead of %(now)s m"),
    N_("a lead of %(new)s m for %(name)s instead of %(now)s m"),
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
    N_("a shorter lead for %(name)s"),
    N_("less drop on the run to %(name)s"),
    N_("no switches"),
    N_("a converter at the panel"),
    N_("one converter for several loads"),
    N_("the job without %(name)s"),
    N_("another converter for %(name)s"),
    N_("other changes together"),
    N_("other pairs of changes"),  # as plans made before say it
)
LIMITS = (
    N_("autonomy of %(new)s h"),
    N_("%(new)s %% drop on the way"),
    N_("%(new)s spare fuse ways"),
    N_("1 spare fuse way"),
    N_("%(new)s %% room to spare in converters"),
    N_("%(new)s %% of the bank's capacity counted on"),
)
REASONS = (
    N_("no fuse is close enough to what its circuit draws (fuse ratio limit)"),
    N_("the heat-shrink, labels or other consumables it takes are not on offer"),
    N_("no terminals on offer fit the conductors it takes"),
    N_("no terminals on offer fit the conductors it takes: there are none for %(area)s mm²"),
    N_("no junction on offer takes the feeds that would share a circuit"),
    N_("no DC switch on offer is rated for the fuse and the voltage"),
    N_("it takes more circuits than there are spare fuse ways, and no in-line holder fits"),
    N_("the loads left on the AC outlet ask for more than it gives"),
    N_("the conductors that hold the drop are too thick for the converters' terminals"),
    N_("no lead that fits carries what its converter can put out"),
    N_("no fuse on offer that the panel takes carries what its circuit draws"),
    N_("the fuse that carries the circuit is larger than what hangs on it allows"),
    N_("no fuse fits between the current and what the cable carries as installed"),
    N_("everything at peak asks more of the bank than its largest discharge current"),
    N_("the voltage drop limit cannot be held with the cables on offer"),
    N_("the bank does not last as long as asked"),
    N_("fuses close to the current"),
    N_("consumables on offer"),
    N_("terminals on offer"),
    N_("junctions on offer"),
    N_("switches on offer"),
    N_("the spare fuse ways"),
    N_("what the AC outlet gives"),
    N_("the conductors that converters take"),
    N_("leads that carry what their converter puts out"),
    N_("fuses that carry the current"),
    N_("the fuses that converters and loads allow"),
    N_("fuses that protect the cable"),
    N_("what the bank gives at peak"),
    N_("the drop allowed"),
    N_("the autonomy asked for"),
    N_("it cannot hold together with %(what)s"),
    N_("%(what)s (one of several limits that stand in the way)"),
    N_("no battery in the catalogue suits this bus"),
    N_("it is proven that no plan holds all limits; which of them are in the way was not found in the time"),
    N_("the parts that would do are not on offer in the number or the lengths it takes"),
    N_("only so many can be had of %(name)s"),
    N_("%(hours)s h without charging need %(energy)s Wh even with the most frugal feeds (%(power)s W on average)"),
    N_("the bank you have gives %(energy)s Wh over that time"),
    N_("the largest bank on offer (%(name)s) gives %(energy)s Wh over that time"),
    N_("everything at peak draws at least %(amps)s A at %(volts)s V"),
    N_("the bank you have gives %(amps)s A"),
    N_("the strongest bank on offer (%(name)s) gives %(amps)s A"),
    N_(
        "it takes at least %(circuits)s circuits, spare fuse ways in the panel are %(ways)s, and not enough in-line "
        "holders for %(name)s fuses of %(amps)s A and %(volts)s V are on offer"
    ),
    N_(
        "it takes at least 1 circuit, spare fuse ways in the panel are %(ways)s, and not enough in-line "
        "holders for %(name)s fuses of %(amps)s A and %(volts)s V are on offer"
    ),
    N_("the loads left on the AC outlet ask for %(asked)s W at peak and it gives %(power)s W"),
    N_("no DC switch on offer for %(name)s stands %(volts)s V and the fuse it needs"),
    N_("%(name)s at %(name_place)s: %(amps)s A over %(length)s m loses %(volts)s V even with %(area)s mm², %(what)s"),
    N_(
        "%(name)s at %(name_place)s: %(amps)s A over %(length)s m loses %(volts)s V even with %(area)s mm² "
        "(%(why)s), %(what)s"
    ),
    N_(
        "%(name)s at %(name_place)s, through a converter at the panel: %(amps)s A over %(length)s m loses %(volts)s V "
        "even with %(area)s mm², %(what)s"
    ),
    N_(
        "%(name)s at %(name_place)s, through a converter at the panel: %(amps)s A over %(length)s m loses %(volts)s V "
        "even with %(area)s mm² (%(why)s), %(what)s"
    ),
    N_("%(volts)s V are allowed"),
    N_("%(volts)s V are left above the %(floor)s V it needs there"),
    N_("the terminals of %(name)s take no more"),
    N_("thicker cable comes in no piece of %(length)s m"),
    N_("no terminals on offer fit a thicker one"),
    N_("the cheapest plan costs %(total)s"),
    N_("the cheapest plan found so far costs %(total)s"),
    N_("so one within the budget may still exist"),
    N_("the budget is %(budget)s"),
    N_("no plan costs less than %(bound)s"),
    N_("stopped after %(time)s s, before a first plan; that does not mean there is none"),
    N_("no plan was found within %(time)s s; that does not mean there is none"),
    N_("allow more time"),
    N_("no fuse of the panel's style (%(name)s) is in the catalogue"),
    N_(
        "the battery can push %(fault)s A into a short circuit; no %(name)s fuse in the catalogue interrupts more than "
        "%(strongest)s A"
    ),
    N_(
        "a fuse that cannot break the fault can burst: use a panel with fuses of higher breaking capacity, or have the "
        "fault current determined"
    ),
)
NEAR_MISSES = (
    N_("%(name)s cannot be fed: %(what)s"),
    N_("%(name)s comes closest: %(what)s"),
    N_("next %(name)s: %(what)s"),
    N_("%(one)s, besides %(two)s"),
    N_("no lead and drop hold with it"),
    N_("nothing on offer ends in %(name)s"),
    N_("directly it would see %(volts)s V on charge and takes %(takes)s V"),
    N_("directly the drop that is allowed leaves it no voltage"),
    N_("directly it needs %(needs)s V at its place, lead included, and the bus falls to %(low)s V"),
    N_("it takes %(name)s, which nothing on offer turns the bus into for this load"),
    N_("it takes %(takes)s V and the bus reaches %(high)s V"),
    N_("it needs %(needs)s V and the bus falls to %(low)s V"),
    N_("it passes the bus on, which reaches %(high)s V, and the load takes %(takes)s V"),
    N_("it passes the bus on, which falls to %(low)s V, and the load needs %(needs)s V"),
    N_("it passes the bus on, and it needs %(needs)s V at its place, lead included, and the bus falls to %(low)s V"),
    N_("it passes the bus on, and the drop that is allowed leaves it no voltage"),
    N_("it puts out %(volts)s V and the load takes %(least)s to %(most)s V"),
    N_("it puts out %(power)s W and %(asked)s W are asked, headroom included"),
    N_("it puts out %(power)s W and %(asked)s W are asked, lead and headroom included"),
    N_("no lead can be cut for it"),
    N_("its terminals take no more than %(area)s mm², and no lead so thin is on offer"),
    N_("the lead it came with cannot carry %(power)s W at %(volts)s V"),
    N_("%(length)s m of lead, even of %(area)s mm², cannot carry %(power)s W at %(volts)s V"),
    N_("the lead it came with loses %(volts)s V, %(allowed)s V are allowed"),
    N_("%(length)s m of lead, even of %(area)s mm², loses %(volts)s V, %(allowed)s V are allowed"),
    N_("the lead it came with leaves %(volts)s V, and the load needs %(needs)s V"),
    N_("%(length)s m of lead, even of %(area)s mm², leaves %(volts)s V, and the load needs %(needs)s V"),
    N_(
        "%(length)s m of lead, even of %(area)s mm², the most that its terminals take, loses %(volts)s V, %(allowed)s "
        "V are allowed"
    ),
    N_(
        "%(length)s m of lead, even of %(area)s mm², the most that its terminals take, leaves %(volts)s V, and the "
        "load needs %(needs)s V"
    ),
    N_(
        "%(length)s m of lead, even of %(area)s mm², the most that its terminals take, cannot carry %(power)s W at "
        "%(volts)s V"
    ),
    N_("it does not limit its output, and no fuse with a holder on offer guards that"),
    N_("no %(name)s fuse on offer stands %(volts)s V DC, breaks %(fault)s A and fits a way of %(amps)s A"),
    N_("%(name)s at %(name_place)s: no pair of conductors of %(area)s mm² or more is on offer"),
    N_("%(name)s at %(name_place)s: at best %(what)s"),
    N_("the smallest fuse on offer is %(amps)s A"),
    N_("%(area)s mm² carries %(amps)s A with %(number)s conductors bundled at %(degrees)s °C"),
    N_("%(area)s mm² is fused at no more than %(amps)s A"),
    N_("a way of the panel takes %(amps)s A"),
    N_(
        "a short at the end of %(length)s m of %(area)s mm² pushes %(short)s A, %(multiple)s times a fuse of %(amps)s A"
    ),
    N_("what hangs on it takes no fuse above %(amps)s A"),
    N_("%(name)s at %(name_place)s needs a fuse of at least %(amps)s A (1.25 × its current), but %(what)s"),
    N_("%(name)s at %(name_place)s needs a fuse of at least %(amps)s A (1.25 × its current), and %(what)s"),
    N_("on offer are %(ratings)s A"),
    N_(
        "%(name)s at %(name_place)s: with the drop that is allowed its voltage may fall to 0 V, where nothing gives it "
        "power"
    ),
    N_(
        "%(name)s at %(name_place)s: %(area)s mm² would hold the drop over %(length)s m, and no converter on offer for "
        "it takes more than %(most)s mm²"
    ),
    N_("the run to %(name)s takes %(length)s m in one piece, and the longest piece of a pair on offer is %(most)s m"),
    N_("the lead of %(name)s takes %(length)s m in one piece, and the longest piece of a pair on offer is %(most)s m"),
)
WHY = (
    N_("%(either)s would cost %(money)s more %(scope)s"),
    N_("%(either)s would cost at most %(money)s more %(scope)s"),
    N_("%(either)s would cost %(money)s more %(scope)s: %(either_bought)s"),
    N_("%(either)s would cost at most %(money)s more %(scope)s: %(either_bought)s"),
    N_("%(either)s would cost the same %(scope)s, but %(tie)s"),
    N_("%(either)s would cost the same %(scope)s, and %(tie)s"),
    N_("%(either)s would be %(money)s cheaper %(scope)s, but %(what)s"),
    N_("%(either)s would be %(money)s cheaper %(scope)s: the search for this plan was not finished"),
    N_("%(either)s is ruled out: %(what)s"),
    N_("with everything else as it is"),
    N_("with the whole plan made anew"),
    N_("with all at %(either)s chosen anew"),
    N_("draws more: %(more)s W on average, not %(less)s W"),
    N_("draws less: %(less)s W on average, not %(more)s W"),
    N_("has larger fuses: %(more)s A in all, not %(less)s A"),
    N_("has smaller fuses: %(less)s A in all, not %(more)s A"),
    N_("takes %(lines)s, not %(others)s"),
    N_("1 order line"),
    N_("%(number)s order lines"),
    N_("between plans of one price the search stops early"),
    N_("is no better in anything else"),
    N_("then the stated order of parts decides"),
    # as plans made before say it
    N_("takes %(more)s order lines, not %(less)s"),
    N_("comes later in the stated order of parts"),
    N_("it loses %(volts)s V where %(allowed)s V are allowed"),
    N_("it is thicker than the %(area)s mm² that the terminals there take"),
    N_("it gives %(power)s W on average for the %(hours)s h asked, and %(drawn)s W are drawn"),
    N_("%(amps)s A is less than the %(needed)s A that %(drawn)s A asks for"),
    N_("%(amps)s A is too much for the conductors: %(either)s"),
    N_("%(amps)s A is more than %(ratio)s times the %(drawn)s A drawn, and %(chosen)s A is enough"),
    N_("%(amps)s A is more than %(ratio)s times the %(drawn)s A drawn"),
    N_("it gives %(amps)s A, and everything at peak draws %(drawn)s A"),
    N_("it cannot stand behind the %(rating)s A fuse that %(needed)s A asks for: %(what)s"),
    N_("%(name)s may stand behind no more than %(amps)s A"),
    N_("nothing else on offer holds every limit in place of %(either)s"),
    N_("%(either)s, for one: %(what)s"),
    N_("no other does with everything else as it is: %(what)s"),
    N_("%(one)s and %(two)s"),
    N_("not tried: the time was up"),
    N_("what would have been next was not found in the time"),
    N_("there is no other %(scope)s"),
    N_("%(one)s or %(two)s"),
    N_(
        "the same circuits and feeds can be bought for %(money)s less, with %(either)s: the search for this plan was "
        "not finished"
    ),
    N_("what follows is compared with that"),
    N_("%(money)s more for delivery"),
    N_("%(money)s more for delivery, from %(either)s as well"),
    N_("it takes another %(either)s"),
    N_("the AC outlet"),
    N_("the bus directly"),
    N_("%(name)s on its own circuit"),
    N_("%(either)s on one circuit"),
    N_("the bank there is"),
    N_("no lead"),
    N_("%(either)s, at the panel"),
    N_("%(either)s, begun at the panel"),
    N_("%(either)s, shared with %(name)s"),
    N_("%(number)s × %(either)s"),
    N_("%(length)s m of %(name)s from %(name_seller)s"),
    N_("%(length)s m of %(name)s by the metre from %(name_seller)s"),
    N_("what is bought"),
    N_("a fuse of %(amps)s A"),
    N_("buying nothing from %(name)s"),
    N_("buying without it"),
    N_("fewer goods"),
)
# Only inside what may hold names: of any other sentence they would make half of one.
NAMED = (
    N_("%(either)s, %(either_next)s"),
    N_("%(either)s and %(either_last)s"),
    N_("%(either)s then %(either_next)s"),
    N_("%(either)s from %(name_seller)s"),
    N_("%(either)s by the metre"),
    N_("%(length)s m of %(either)s"),
    N_("%(number)s more"),
    N_("1 smaller line"),
    N_("%(number)s smaller lines"),
    N_("%(name)s (%(series)s in series)"),
    N_("%(name)s (%(parallel)s in parallel)"),
    N_("%(name)s (%(series)s in series, %(parallel)s in parallel)"),
)
FORMULAS = (
    N_("bus down to %(volts)s V"),
    N_("bus up to %(volts)s V"),
    N_("bus up to %(volts)s V DC"),
    N_("%(number)s in series; 1, 2 or 4, and at most %(most)s"),
    N_("%(number)s strings"),
    N_("at most %(amount)s"),
    N_("at least %(amount)s"),
    N_("average %(amount)s"),
    N_("kit for %(number)s in series"),
    N_("kit for %(number)s strings"),
    N_("kit %(amount)s"),
    N_("peak %(amount)s"),
    N_("kit breaks %(amount)s"),
    N_("%(number)s strings deliver %(amount)s"),
    N_("the existing bank is kept"),
    N_("%(series)s in series × %(parallel)s parallel of %(name)s bought"),
    N_("%(number)s batteries: string fuses, links and a main disconnect are needed"),
    N_("the battery states no fault current"),
    N_("plan states %(amount)s"),
    N_("worked out again %(amount)s"),
    N_("the circuit equations give %(amount)s"),
    N_("%(amps)s at %(volts)s"),
    N_("every load at peak"),
    N_("bank %(amount)s"),
    N_("mains adapters %(amount)s at peak"),
    N_("outlet %(amount)s"),
    N_("the plan states no energy"),
    N_("worked out %(amount)s"),
    N_("every load that has a mains adapter fed from the AC outlet: %(amount)s"),
    N_("the outlet cannot"),
    N_("limit %(amount)s"),
    N_("floor %(amount)s"),
    N_("%(name)s may see no less than %(volts)s V"),
    N_("the bus goes down to %(volts)s V"),
    N_("%(volts)s V for %(name)s"),
    N_("%(amps)s A at %(volts)s V, %(amps_high)s A at %(volts_high)s V: the larger, %(design)s A"),
    N_("%(length)s m to the converter at the panel"),
    N_("%(length)s m to %(name)s, as the place states"),
    N_("the run cannot carry these loads: no operating point"),
    N_("the run cannot carry this load: no operating point"),
    N_("%(name)s takes up to %(area)s mm²"),
    N_("a switch is asked for"),
    N_("no switch is asked for"),
    N_("%(name)s %(amps)s A, fuse %(rating)s A"),
    N_("%(name)s %(volts)s V DC, bus up to %(high)s V"),
    N_("holder %(name)s, panel %(name_panel)s"),
    N_("holder %(amount)s"),
    N_("largest fuse %(amount)s"),
    N_("%(number)s feeds: a junction splits them"),
    N_("%(number)s feeds: nothing to split"),
    N_("%(outlets)s outlets for %(number)s feeds"),
    N_("junction %(amount)s"),
    N_("junction up to %(area)s mm²"),
    N_("fuse %(amount)s"),
    N_("conductor %(amount)s"),
    N_("%(circuits)s circuits − %(holders)s in-line holders = %(taken)s of %(spare)s spare ways"),
    N_("feeds %(name)s, as it lists"),
    N_("all loads are at %(name)s"),
    N_("%(number)s loads: %(name)s"),
    N_("all loads switched, or none"),
    N_("tighten to the maker's torque: nobody can see that from here"),
    N_("%(length)s mm of %(name)s: %(number)s cuts, 1 needed"),
    N_("cuts nothing asks for: none"),
    N_("comes from %(name)s, spool %(number)s"),
    N_("comes from %(name)s, one length"),
    N_("comes from owned stock %(number)s"),
    N_("%(name)s, spool %(number)s holds %(length)s mm"),
    N_("%(name)s, one length holds %(length)s mm"),
    N_("owned stock %(number)s holds %(length)s mm"),
    N_("%(sum)s of %(stock)s mm"),
    N_("stock listed twice: none"),
    N_("%(number)s spools of %(length)s mm cut, %(came)s come with %(name)s"),
    N_("%(number)s feeds for this load"),
    N_("through its own mains adapter at the AC outlet as it stands: nothing to buy"),
    N_("fed on %(circuit)s, which lists it"),
    N_("%(name)s; the load takes %(name_form)s"),
    N_("%(number)s of at most %(most)s stages"),
    N_("no part twice, none that changes nothing"),
    N_("%(name)s accepts %(low)s to %(high)s V; it sees %(least)s to %(most)s V"),
    N_("%(name)s puts out %(volts)s V DC"),
    N_("load accepts %(low)s to %(high)s V; unloaded it sees %(most)s V"),
    N_("%(sum)s lost in the lead"),
    N_("%(sum)s lost in the run and the lead"),
    N_("%(name)s: %(sum)s; rated %(power)s W"),
    N_("%(name)s at full output: %(sum)s; %(name_next)s takes in at most %(amps)s A"),
    N_("%(name)s at full output: %(sum)s; lead carries %(carried)s"),
    N_("%(name)s at full output: %(sum)s; run carries %(carried)s"),
    N_("%(name)s takes in at most %(amps)s A"),
    N_("%(number)s converters that do not limit their own output, %(given)s output fuses"),
    N_("%(sum)s behind %(name)s"),
    N_("fuse %(name)s, holder %(name_holder)s"),
    N_("fuse %(volts)s V, holder %(volts_holder)s V; %(name)s puts out %(out)s V"),
    N_("%(name)s: how long it carries an overload is on the maker's curve, which no document holds"),
    N_("cable carries %(carried)s"),
    N_("lead carries %(carried)s"),
    N_("run carries %(carried)s"),
    N_("%(amps)s (%(number)s loaded conductors) = %(carried)s"),
    N_("at most %(multiple)s or the smallest on offer from %(least)s, %(next)s"),
    N_("a way takes %(amount)s"),
    N_("%(name)s allows %(amount)s"),
    N_("%(name)s states %(amps)s A"),
    N_("%(name)s states nothing and is taken to allow %(amps)s A"),
    N_("usual ceiling of %(area)s mm² %(amps)s A"),
    N_("usual ceiling of this conductor %(amps)s A"),
    N_("fuse %(name)s, panel %(name_panel)s"),
    N_("fuse breaks %(amount)s"),
    N_("panel %(amount)s"),
    N_("bank %(number)s strings = %(amount)s"),
    N_("no multiple asked for"),
    N_("%(name)s: 1.5 × rated input = %(limit)s A at %(volts)s V; fuse %(rating)s A"),
    N_(
        "%(name)s: 1.5 × rated input = %(limit)s A at %(volts)s V; fuse %(rating)s A: whether it rides the inrush is "
        "for the maker's data to say"
    ),
    N_("cut from a spool"),
    N_("came with the load, %(amount)s"),
    N_("positive %(area)s mm²"),
    N_("negative %(area)s mm²"),
    N_("twin %(area)s mm²"),
    N_("%(one)s + %(two)s"),
    N_("%(number)s needed"),
    N_("%(number)s bought or owned"),
    N_("%(ends)s ends of %(area)s mm², %(number)s terminals bought or owned for them"),
    N_("%(each)s × %(number)s (%(name)s) = %(need)s, %(had)s bought or owned"),
    N_("%(number)s × %(price)s cents from %(name)s, one line an offer"),
    N_("%(number)s ordered, at most %(most)s"),
    N_("goods %(goods)s cents"),
    N_("delivery %(amount)s cents"),
    N_("delivery none due"),
    N_("goods %(goods)s + delivery %(delivery)s = %(total)s cents"),
    N_("proven cheapest: bound = total"),
    N_("proven lower bound %(bound)s cents, total %(total)s cents"),
    N_("total %(total)s of %(budget)s cents"),
    N_("every part, offer, place, load and circuit named is known"),
    N_("a converter may stand at the panel only where that is asked"),
    N_("loads may share a chain only where that is asked"),
    N_("output fuse %(amount)s"),
    N_("%(number)s feeds on its circuit, 1 for a boosted feed"),
    N_("what hangs on the run may see no less than %(floor)s V of %(volts)s V"),
)
FORMS = SUBJECTS + SOURCES + CAUTIONS + PERSON + WAYS_OUT + LIMITS + REASONS + NEAR_MISSES + WHY + FORMULAS
