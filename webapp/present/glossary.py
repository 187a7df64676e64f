"""What the words of the trade mean. Fields and headings point here: `TERMS` holds the keys, which never change."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.texts import N_, _


@dataclass(frozen=True, slots=True)
class Term:
    """One word: the key of its place on the page, and constants that are translated where they are shown."""

    key: str
    word: str
    meaning: str
    example: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One word as shown."""

    key: str
    word: str
    meaning: str
    example: str


_TERMS = (
    Term(
        "ah",
        N_("Amp-hour (Ah)"),
        N_(
            "How much charge a battery holds: so many amps for so many hours. Times its volts it is energy, in "
            "watt-hours."
        ),
        N_("100 Ah at 12.8 V hold about 1,280 Wh."),
    ),
    Term(
        "ambient",
        N_("Ambient temperature"),
        N_("The air around the cable at its hottest. A cable in hot air can shed less heat, so it may carry less."),
        N_("Behind a panel in summer: 40 to 50 °C."),
    ),
    Term(
        "ampacity",
        N_("Ampacity"),
        N_(
            "The amps a cable carries for hours without getting too hot, as it is laid. Hot air and neighbours lower "
            "it."
        ),
    ),
    Term(
        "assumed",
        N_("Assumed, typical"),
        N_(
            "A figure that we filled in because it is usual. Nobody has confirmed it for your parts. Check it before "
            "you buy."
        ),
    ),
    Term(
        "autonomy",
        N_("Autonomy"),
        N_("How long the battery feeds everything with no charging at all: no sun, no engine, no charger."),
        N_("960 Wh usable at 40 W on average last 24 h."),
    ),
    Term(
        "awg",
        N_("AWG"),
        N_(
            "American wire gauge: a number for the thickness of a conductor. The larger the number, the thinner the "
            "conductor."
        ),
        N_("14 AWG is about 2.1 mm², 10 AWG about 5.3 mm²."),
    ),
    Term("bank", N_("Bank"), N_("All batteries together, seen as one store.")),
    Term(
        "behaviour",
        N_("Constant power, resistive"),
        N_(
            "Electronics draw the same watts at any voltage: less voltage means more amps. A heater or a filament lamp "
            "draws less at less voltage."
        ),
    ),
    Term(
        "breaking-capacity",
        N_("Breaking capacity"),
        N_(
            "The largest current a fuse can still cut off safely. Where a short circuit drives more, the fuse can "
            "burst."
        ),
        N_("A lithium battery can drive 20,000 A: not every fuse breaks that."),
    ),
    Term(
        "bundled",
        N_("Bundled conductors"),
        N_("Conductors that lie side by side and all carry current. They heat each other, so each may carry less."),
        N_("Two twin cables in one duct are 4 conductors."),
    ),
    Term(
        "bus",
        N_("Bus"),
        N_(
            "The plus and minus of the panel: what every circuit starts from. Its voltage is the battery's, low when "
            "it is nearly down, high while it charges."
        ),
        N_("A 12 V lithium bus: 12.0 to 14.6 V."),
    ),
    Term("circuit", N_("Circuit"), N_("One fuse, the cable behind it and everything that hangs on that cable.")),
    Term(
        "conductor",
        N_("Conductor"),
        N_("One wire of a cable. A direct-current circuit needs two: out on plus, back on minus."),
    ),
    Term(
        "converter",
        N_("Converter"),
        N_(
            "A part that turns one DC voltage into another and holds it steady. It takes a little power for itself and "
            "gets warm."
        ),
        N_("12 V in, 19.5 V out, for a laptop."),
    ),
    Term("cut", N_("Cut"), N_("One piece of cable for one run or lead, measured with what its ends need.")),
    Term(
        "derating",
        N_("Derating"),
        N_("Counting on less than the label says, because heat, age or neighbours take some of it."),
        N_("A battery some years old: count on 80 %."),
    ),
    Term(
        "drop",
        N_("Drop, volts lost"),
        N_(
            "A cable resists the current, so less voltage arrives than was sent. Longer, thinner and more amps lose "
            "more. Out and back both count."
        ),
        N_("5 m of 2.5 mm² at 10 A lose about 0.8 V: more than 6 % of 12 V."),
    ),
    Term(
        "duty",
        N_("Hours a day"),
        N_("How long a load is on in a day, all times added up."),
        N_("A fridge runs about a third of the time: 8 h."),
    ),
    Term(
        "efficiency",
        N_("Efficiency"),
        N_("What comes out of a converter or an adapter, as a share of what goes in. The rest is heat."),
        N_("Out 60 W at 88 %: in 68 W."),
    ),
    Term(
        "far-fault",
        N_("Short at the far end"),
        N_(
            "If the cable is pinched at its far end, its own resistance limits the current. It must still be enough to "
            "blow the fuse fast."
        ),
        N_("Five times the fuse is our own default."),
    ),
    Term(
        "fault-current",
        N_("Fault current, short-circuit current"),
        N_(
            "What the battery drives into a short circuit at the panel. The battery's maker knows it. Fuses must be "
            "able to break it."
        ),
        N_("Unknown: we take 20,000 A for lithium, 5,000 A for lead-acid."),
    ),
    Term(
        "feed",
        N_("Feed"),
        N_("How one load gets its supply: the chain from the panel over cable, converter and lead to the load."),
    ),
    Term(
        "floor",
        N_("Floor"),
        N_(
            "The lowest voltage a part or load still works at. At low battery and full draw, no less than that may "
            "arrive."
        ),
        N_("Router: 10.8 V."),
    ),
    Term(
        "fuse",
        N_("Fuse"),
        N_(
            "The part that melts before the cable does. It protects the cable, not the device, and sits at the battery "
            "end."
        ),
    ),
    Term(
        "fuse-way",
        N_("Fuse way"),
        N_(
            "One slot of the panel that takes one fuse. Where none is free, a circuit gets a fuse holder in its own "
            "cable."
        ),
    ),
    Term(
        "gap",
        N_("Best possible, proven"),
        N_(
            "We also work out a price that no plan can be below. Where plan and bound meet, the plan is proven "
            "cheapest; else we say how far apart they are."
        ),
    ),
    Term(
        "headroom",
        N_("Room to spare"),
        N_(
            "How much more a converter can do than its load ever asks. Converters that run flat out run hot and die "
            "early."
        ),
        N_("Load 50 W, room 20 %: a converter of 60 W."),
    ),
    Term("idle", N_("Idle draw"), N_("What a converter, adapter or inverter takes for itself while nothing uses it.")),
    Term(
        "injector",
        N_("Injector"),
        N_("A part that puts the supply onto a network cable, for cameras and radios with powered Ethernet."),
    ),
    Term(
        "inrush",
        N_("Inrush"),
        N_("The gulp a device takes in the moment it is switched on. A fuse chosen too close can blow from it."),
    ),
    Term(
        "inverter",
        N_("Inverter"),
        N_("Makes mains voltage out of the battery. What it feeds goes through two conversions, and mains can kill."),
    ),
    Term(
        "joint",
        N_("Joint"),
        N_(
            "Every place where metal meets metal: fuse, holder, switch, terminal. Each has a little resistance of its "
            "own."
        ),
    ),
    Term("junction", N_("Junction"), N_("Where one cable splits to several loads.")),
    Term(
        "kerf",
        N_("Spare for the ends"),
        N_("Length added to every cut for stripping, bends and one mistake."),
        N_("0.3 m a cut is our default."),
    ),
    Term(
        "lead",
        N_("Lead"),
        N_("The last stretch, from the end of the run or from the converter to the load. Many loads bring their own."),
    ),
    Term(
        "limit",
        N_("Limit and margin"),
        N_("A limit is what a figure has to stay within. The margin is how far it is from there."),
    ),
    Term("load", N_("Load"), N_("Anything that uses power: a lamp, a router, a fridge.")),
    Term(
        "loop-resistance",
        N_("Resistance, out and back"),
        N_("The resistance of both conductors of a lead together, in ohms."),
        N_("A thin lead of 1.5 m: about 0.05 Ω."),
    ),
    Term(
        "main-fuse",
        N_("Main fuse"),
        N_(
            "The fuse between battery and panel, close to the battery. It is not part of this plan, but nothing may be "
            "connected without it."
        ),
    ),
    Term(
        "mm2",
        N_("mm²"),
        N_("The area of a conductor's copper seen from its end. Twice the area loses half the volts."),
        N_("1.5 mm² for lights, 6 mm² for a fridge far away."),
    ),
    Term(
        "offcut",
        N_("Offcut"),
        N_(
            "What is left of a spool or a length and still worth keeping. Name your offcuts: they cost nothing in the "
            "plan."
        ),
    ),
    Term("offer", N_("Offer"), N_("What one seller sells at one price: a piece, a pack, a spool, a kit.")),
    Term(
        "output-line",
        N_("OUTPUT line"),
        N_(
            "The line on a mains adapter that says what it gives its device. The INPUT line is the mains: never enter "
            "that one."
        ),
        N_("OUTPUT: 19.5V 3.34A"),
    ),
    Term(
        "panel",
        N_("Panel"),
        N_("Where the fuse ways are: the cables from the battery end there, the circuits start there."),
    ),
    Term(
        "peak",
        N_("Peak draw"),
        N_("The most a load ever takes, for sizing cable, fuse and converter."),
        N_("Volts times amps of the OUTPUT line: 19.5 V × 3.34 A = 65 W."),
    ),
    Term(
        "peukert",
        N_("Peukert's exponent"),
        N_(
            "How much capacity a battery loses when it is emptied fast. 1 is none; lead-acid has about 1.15 to 1.3, "
            "lithium about 1.05."
        ),
    ),
    Term("place", N_("Place"), N_("A spot where one or more loads sit, such as desk, mast or bunk.")),
    Term(
        "plug-lead",
        N_("Plug lead"),
        N_("A ready-made lead with a round DC plug at one end and bare conductors at the other."),
    ),
    Term(
        "polarity",
        N_("Polarity"),
        N_("Which conductor is plus and which is minus. The wrong way round can kill a device at once: measure first."),
    ),
    Term(
        "run",
        N_("Run"),
        N_(
            "The route of a cable from the panel to a place, measured one way along walls and ducts, not through the "
            "air."
        ),
        N_("Desk behind two corners: 4.2 m."),
    ),
    Term("scrap", N_("Scrap"), N_("What is left of a spool and too short to use.")),
    Term(
        "solved",
        N_("Tight, holds, fails"),
        N_(
            "A check holds where the figure is within its limit. Tight means within, but closer to it than what it "
            "rests on is known. Not checked means that a figure was missing."
        ),
    ),
    Term(
        "spool",
        N_("Spool"),
        N_("Cable as it is bought, with a fixed length. Cuts come off it; none is ever joined from two."),
    ),
    Term("stage", N_("Stage"), N_("One part of a feed: a converter, an injector, a plug lead.")),
    Term(
        "switch",
        N_("Switch"),
        N_("For direct current it needs a DC rating: an arc does not go out by itself as it does on mains."),
    ),
    Term(
        "terminal",
        N_("Terminal"),
        N_(
            "What ends a conductor: a ferrule, a ring, a spade. It must fit the conductor, and be pressed with the "
            "right tool."
        ),
    ),
    Term(
        "twin", N_("Twin cable"), N_("Two conductors, plus and minus, in one sheath. Singles are bought as two cables.")
    ),
    Term(
        "typical-draw",
        N_("Typical draw"),
        N_("What a load takes on average while it is on, for the battery's hours. Measured is best."),
        N_("A laptop with a 65 W adapter: about 38 W."),
    ),
    Term(
        "usable-share",
        N_("Usable share"),
        N_("How much of the capacity may be taken out without harm."),
        N_("Lead-acid 50 %, lithium 80 %."),
    ),
    Term(
        "voltage-window",
        N_("Voltage it accepts"),
        N_("The lowest and the highest voltage a device stands. Below, it stops; above, it can die."),
        N_("Label 12 V: often 11.4 to 12.6 V. Charging gives 14.4 V."),
    ),
    Term(
        "wh",
        N_("Watt-hour (Wh)"),
        N_("Energy: so many watts for so many hours. This is what the battery stores and the loads use up."),
        N_("20 W for 5 h are 100 Wh."),
    ),
)
TERMS = frozenset(term.key for term in _TERMS)


def entries() -> tuple[Entry, ...]:
    """The glossary in the reader's language, by the alphabet."""
    shown = [
        Entry(key=term.key, word=_(term.word), meaning=_(term.meaning), example=_(term.example)) for term in _TERMS
    ]
    return tuple(sorted(shown, key=lambda entry: entry.word.casefold()))
