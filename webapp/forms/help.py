"""How to find a value out, step by step, for somebody who has never done it. Each answer at most 60 words."""

from __future__ import annotations

from webapp.texts import N_

RUN_LENGTH = (
    N_(
        "Lay a string or a tape along the real route: from the panel, along the walls, through every hole, to where "
        "the loads stand."
    ),
    N_("Measure the string flat on the floor. One way only: we count the way back ourselves."),
    N_("No string? Walk the route, count the paces, measure one of them, and add a tenth."),
)
FAULT_CURRENT = (
    N_("Look in the battery's data sheet for its short-circuit current, in amps."),
    N_(
        "Not there? Its internal resistance will do: 12.8 V divided by 0.004 Ω is 3,200 A. Batteries side by side "
        "add up."
    ),
    N_(
        "Neither? Leave it empty. We assume 20,000 A for lithium and 5,000 A for lead-acid, and choose fuses that "
        "break that."
    ),
)
LOW_VOLTS = (
    N_(
        "Measure at the panel with a meter, loads on, battery nearly down. Or read the setting of its low-voltage "
        "cut-off."
    ),
    N_("Usual for 12 V: lithium 12.0 V, lead-acid 11.5 V. Twice that for 24 V, four times for 48 V."),
)
HIGH_VOLTS = (
    N_("Read the highest voltage in the charger's settings: absorption, boost or equalise, whichever is most."),
    N_("A charger that measures the battery's temperature adds volts in frost: count them too."),
)
USABLE_SHARE = (
    N_("The data sheet says how deep it may be discharged; for long life take a little less."),
    N_("Nothing there? Lead-acid: half. Lithium: four fifths."),
)
RATED_HOURS = (
    N_("The sticker says it behind the amp-hours: C20 means over 20 hours, C5 or 0.2C over 5."),
    N_("Nothing there? 20 for lead-acid, 5 for lithium."),
)
ACCEPTED_VOLTS = (
    N_("Its manual or its plate gives a range, such as 9–36 V: enter both ends."),
    N_("Only one figure, such as 12 V? Then 5 % to either side, unless its maker allows more: 11.4 to 12.6 V."),
)
PEAK_WATTS = (
    N_(
        "Read the OUTPUT line of its adapter, or the plate on the load. Volts times amps is watts: "
        "19.5 V × 3.34 A = 65 W."
    ),
    N_("Or plug it into a mains power meter and note the highest figure while it works hardest."),
    N_("Two figures? Take the larger."),
)
USUAL_WATTS = (
    N_("Plug its adapter into a mains power meter and use it as you do."),
    N_("Read the watt-hours after some hours in which it was on, and enter both below: we work out the average."),
    N_("The meter counts what the adapter wastes too, so this is rather too much than too little."),
)
LEAD_OHMS = (
    N_("Its lead's length in metres, times 2, times: 0.035 Ω for thin leads (0.5 mm²), 0.018 Ω for 1 mm²."),
    N_("Such as 1.5 m of 0.5 mm²: 1.5 × 2 × 0.035 = about 0.1 Ω. Data cable for powered Ethernet: 0.06 Ω a metre."),
)
