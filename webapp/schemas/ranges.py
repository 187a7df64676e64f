"""What each quantity of a document may be, and the sentence when it is not. All bounds in one place.

Where no rule or physics sets a bound, it is the edge of what we have tested, and the sentence says so.
"""

from __future__ import annotations

from dataclasses import dataclass

from optimizer.catalogue import CEILING_V
from webapp.texts import N_, _

from .faults import shown

_UNTESTED = N_("outside what we have tested")
ABOVE_CEILING = N_(  # CEILING_V
    "above 60 V DC, our ceiling: above it live parts must be guarded even in dry places. "
    "This is work for a qualified person and is not planned here"
)
FAULT_CURRENT_UNKNOWN = N_(
    "fault current unknown: ask the maker of the battery for its short-circuit current, or assume 20,000 A for "
    "lithium and 5,000 A for lead-acid and have it confirmed"
)
MAINS_REFUSED = N_(
    "mains wiring is not planned here: it can kill, and is work for a qualified person. Existing AC outlets are "
    "used as they stand. State what the load takes after its mains adapter, from the OUTPUT line"
)
NO_BANK = N_(
    "there is no bank and none may be bought: state the existing bank, or allow a new one (may_buy); "
    "a plan needs a battery to draw from"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """Bounds of a quantity, both included."""

    unit: str
    least: float
    most: float
    below: str = ""  # why not below, after "it is <value>: "
    above: str = _UNTESTED

    def problem(self, value: float) -> str | None:
        """What is wrong with a value, or None."""
        if self.least <= value <= self.most:
            return None
        stated, most, least = (f"{shown(each)} {self.unit}".strip() for each in (value, self.most, self.least))
        if value > self.most:
            return _("is %(stated)s, %(why)s; at most %(most)s", stated=stated, why=_(self.above), most=most)
        if self.below:
            return _("is %(stated)s, %(why)s; at least %(least)s", stated=stated, why=_(self.below), least=least)
        return _("is %(stated)s; at least %(least)s", stated=stated, least=least)


# Voltages
SUPPLY_V = Range(unit="V", least=1, most=CEILING_V, above=ABOVE_CEILING)  # a bus, a battery, what a stage puts out
TOLERATED_V = Range(unit="V", least=0, most=1000)  # what a part or load endures, not what it gets
WITHSTAND_V = Range(unit="V", least=1, most=2000)  # DC rating of a fuse, holder or switch
LOAD_V = Range(
    unit="V",
    least=0,
    most=CEILING_V,
    above=N_(
        "above 60 V DC, our ceiling: above it live parts must be guarded even in dry places. "
        "This is work for a qualified person and is not planned here. "
        "If this is the INPUT line of a mains adapter, state its OUTPUT line instead"
    ),
)

# Currents and powers
CURRENT_A = Range(unit="A", least=0.01, most=2000)
FAULT_A = Range(unit="A", least=1, most=200_000)
INTERRUPT_A = Range(unit="A", least=1, most=1_000_000)
PEAK_W = Range(unit="W", least=0.01, most=20_000, below=N_("too little to plan for"))
TYPICAL_W = Range(unit="W", least=0, most=20_000)
IDLE_W = Range(unit="W", least=0, most=5000)

# Fractions and percentages
FRACTION = Range(unit="", least=0.01, most=1, above=N_("more than the whole: write 0.9 for 90 %"))
DROP_PCT = Range(unit="%", least=0.01, most=50, below=N_("no cable loses nothing"))
HEADROOM_PCT = Range(unit="%", least=0, most=500)
ALLOWANCE_PCT = Range(unit="%", least=0, most=100)

# Time
HOURS_A_DAY = Range(unit="h", least=0, most=24, above=N_("more than a day has"))
AUTONOMY_H = Range(unit="h", least=0.1, most=8760)
RATED_H = Range(unit="h", least=0.05, most=1000)
DAYS = Range(unit="days", least=0, most=3650)

# Lengths and areas
RUN_M = Range(
    unit="m", least=0.01, most=500, above=N_("outside what we have tested: no low voltage is carried that far sensibly")
)
PANEL_RUN_M = Range(
    unit="m", least=0.01, most=5, above=N_("too far to count as standing at the panel: make it a place")
)
LEAD_M = Range(unit="m", least=0.01, most=100)
SLACK_M = Range(unit="m", least=0, most=10)
STOCK_M = Range(unit="m", least=0.01, most=10_000)
KERF_MM = Range(unit="mm", least=0, most=1_000)
TRIM_MM = Range(unit="mm", least=0, most=100_000)
OFFCUT_MM = Range(unit="mm", least=0, most=10_000_000)
AREA_MM2 = Range(unit="mm²", least=0.05, most=1000)
LEAST_AREA_MM2 = Range(unit="mm²", least=0, most=1000)

# Temperatures
AMBIENT_C = Range(
    unit="°C",
    least=-60,
    most=90,
    below=N_("colder than any place on earth"),
    above=N_("hotter than any place to lay a cable"),
)
CONDUCTOR_C = Range(unit="°C", least=0, most=150, below=N_("colder than we dare to count on"))
INSULATION_C = Range(
    unit="°C", least=40, most=300, below=N_("too little: ampacity is stated at 30 °C ambient, which leaves no room")
)

# Resistance
LOOP_OHM = Range(unit="Ω", least=0, most=1000)
OHM_PER_KM = Range(unit="Ω/km", least=0.001, most=1000)
JOINT_MOHM = Range(unit="mΩ", least=0, most=100)
COPPER_OHM_MM2_PER_KM = 17.0  # just under annealed copper, 17.241 Ω·mm²/km at 20 °C (IEC 60028; memory)

# Batteries
CAPACITY_AH = Range(unit="Ah", least=0.1, most=100_000)
PEUKERT = Range(unit="", least=1, most=2, below=N_("below 1 a battery would hold more the faster it is emptied"))
MASS_KG = Range(unit="kg", least=0, most=10_000)
BANK_RATIO = (0.75, 1.34)  # nominal volts of the existing bank over those of the bus: 51.2 to 48, never 24 to 12

# Counts and money
WAYS = Range(unit="", least=0, most=1000)
BUNDLED = Range(unit="", least=1, most=1000)
OUTLETS = Range(unit="", least=1, most=100)
COUNT = Range(unit="", least=1, most=1_000_000)
EACH = Range(unit="", least=0.001, most=10_000)
SERIES_PARALLEL = Range(unit="", least=1, most=64)
BUDGET_CENTS = Range(unit="cents", least=0, most=1_000_000_000)
CENTS = Range(unit="cents", least=0, most=1_000_000_000)
LIMIT = Range(unit="", least=0, most=1_000_000)

# Multiples
FAR_FAULT = Range(unit="", least=0, most=1000)
FUSE_RATIO = Range(unit="", least=1, most=100)

# What a plan says: finite, and of the right sign
ANY = Range(unit="", least=-1e12, most=1e12)
FROM_ZERO = Range(unit="", least=0, most=1e12)

# Text and lists
ID_CHARS = 80
NAME_CHARS = 200
SENTENCE_CHARS = 4000
TYPED_CHARS = 1000  # typed into one field, where no document holds it as it is
PERSON_CHARS = 80  # the name and qualification of who answers for a plan: has to fit on a label
PLACES = 200
LOADS = 200
ROWS = 20_000  # parts, offers, sellers, cuts, checks
ENTRIES = 500  # stock on hand, contents of an offer, stages of a feed
