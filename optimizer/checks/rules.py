"""Every rule a plan is held against: its id, its unit and where it comes from."""

from __future__ import annotations

from dataclasses import dataclass

# Share of the limit below which what is left is called tight: what the figures it rests on are off by in practice. Our
# own convention (docs/planning-rules-additions.md, 6). Only where more room would help: a fuse is a step of a series,
# and what has a margin of its own (headroom, 125 %, the far fault's multiple) needs no second one.
_POWER = 0.10  # what loads draw is stated or guessed
_LENGTH = 0.05  # runs are measured with a tape
_VOLTS = 0.02  # a converter's setting, a charger in frost, a meter
_CEILING = 0.05  # beyond it nothing is planned at all


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One rule of planning. tight: share of the limit under which what is left is called tight; None: never."""

    id: str
    unit: str = ""
    source: str
    tight: float | None = None


# the plan and its words
REFERENCES = Rule(id="references", source="planning rules 1")
EMPTY = Rule(id="nothing_planned", source="planning rules 9")
LOAD_FED = Rule(id="load_fed_once", source="planning rules 2")
FEED_CIRCUIT = Rule(id="feed_on_its_circuit", source="planning rules 3")
CEILING = Rule(id="ceiling", unit="V", source="planning rules 8 (our ceiling)", tight=_CEILING)

# feeds
AC_FEED = Rule(id="ac_feed", source="planning rules 2 and 9")
CHAIN_FORMS = Rule(id="chain_forms", source="planning rules 2")
CHAIN_LENGTH = Rule(id="chain_length", unit="stages", source="planning rules 2")
CHAIN_NEEDED = Rule(id="chain_needed", source="planning rules 2")
STAGE_LOW = Rule(id="stage_window_low", unit="V", source="planning rules 2")
STAGE_HIGH = Rule(id="stage_window_high", unit="V", source="planning rules 2", tight=_VOLTS)
LOAD_LOW = Rule(id="load_window_low", unit="V", source="planning rules 2; circuit theory", tight=_VOLTS)
LOAD_HIGH = Rule(id="load_window_high", unit="V", source="planning rules 2", tight=_VOLTS)
LEAD_DROP = Rule(id="lead_drop", unit="V", source="planning rules 2; circuit theory", tight=_LENGTH)
STAGE_RATING = Rule(id="stage_rating", unit="W", source="planning rules 2")
STAGE_INPUT = Rule(id="stage_input_current", unit="A", source="planning rules 10")
LEAD_GIVEN = Rule(id="lead_as_stated", source="planning rules 2")
LEAD_PROTECTION = Rule(id="lead_protection", unit="A", source="NFPA 70 240.4; ISO 13297; planning rules 2")
LEAD_MAX_FUSE = Rule(id="lead_max_fuse", unit="A", source="NFPA 70 240.4(D); planning rules 10")
LEAD_PAIR = Rule(id="lead_pair", source="planning rules 3")
LEAD_MIN = Rule(id="lead_min_conductor", unit="mm²", source="planning rules 9")
LEAD_MAX = Rule(id="lead_max_conductor", unit="mm²", source="planning rules 3")
OUTPUT_FUSE = Rule(id="output_fuse", unit="fuses", source="planning rules 10")
OUTPUT_LOAD = Rule(id="output_fuse_load", unit="A", source="NFPA 70 210.20(A); planning rules 10")
OUTPUT_STYLE = Rule(id="output_fuse_style", source="planning rules 10")
OUTPUT_VOLTAGE = Rule(id="output_fuse_voltage", unit="V", source="planning rules 10")
OUTPUT_HOLDER = Rule(id="output_fuse_holder", unit="A", source="planning rules 10")
OUTPUT_INPUT = Rule(id="output_fuse_next_stage", unit="A", source="planning rules 10")

# stages at the panel, and the run behind them
BOOST_ALLOWED = Rule(id="boost_allowed", source="additions 2")
BOOST_POSITION = Rule(id="boost_position", source="additions 2")
BOOST_CIRCUIT = Rule(id="boost_own_circuit", source="additions 2")
RUN_FLOOR = Rule(id="run_floor", unit="V", source="additions 2")
RUN_DROP = Rule(id="run_drop", unit="V", source="additions 2; circuit theory", tight=_LENGTH)
RUN_PAIR = Rule(id="run_pair", source="additions 2")
RUN_MIN = Rule(id="run_min_conductor", unit="mm²", source="additions 2")
RUN_MAX = Rule(id="run_max_conductor", unit="mm²", source="additions 2")
RUN_PROTECTION = Rule(id="run_protection", unit="A", source="NFPA 70 240.4; ISO 13297; additions 2")
RUN_MAX_FUSE = Rule(id="run_max_fuse", unit="A", source="NFPA 70 240.4(D); additions 2")
RUN_RECORDED = Rule(id="run_length_recorded", unit="m", source="additions 1")

# chains that several loads share
SHARE_ALLOWED = Rule(id="share_allowed", source="additions 3")
SHARE_HOST = Rule(id="share_host", source="additions 3")
SHARE_CHAIN = Rule(id="share_chain", source="additions 3")
SHARE_OUTLETS = Rule(id="share_outlets", unit="loads", source="additions 3")

# circuits
ONE_PLACE = Rule(id="one_place", source="planning rules 3")
OWN_CIRCUIT = Rule(id="own_circuit", source="planning rules 3")
NOT_MIXED = Rule(id="switched_apart", source="planning rules 3")
FLOOR = Rule(id="floor", unit="V", source="planning rules 3")
FLOOR_RECORDED = Rule(id="floor_recorded", unit="V", source="planning rules 3")
DESIGN_RECORDED = Rule(id="design_recorded", unit="A", source="planning rules 3")
DROP = Rule(id="drop", unit="V", source="planning rules 3; IEC 60228", tight=_LENGTH)
SETTLED = Rule(id="settled_voltage", unit="V", source="circuit theory; planning rules 7")
SETTLED_V = Rule(id="settled_voltage_recorded", unit="V", source="circuit theory; planning rules 7")
SETTLED_A = Rule(id="settled_current_recorded", unit="A", source="circuit theory; planning rules 7")
SETTLED_DROP = Rule(id="settled_drop_recorded", unit="V", source="circuit theory; planning rules 7")
FUSE_LOAD = Rule(id="fuse_load", unit="A", source="NFPA 70 210.20(A)")
FUSE_CABLE = Rule(id="fuse_cable", unit="A", source="NFPA 70 240.4 and 310.15; ISO 13297")
FUSE_WAY = Rule(id="fuse_way", unit="A", source="planning rules 3")
FUSE_STAGE = Rule(id="fuse_stage", unit="A", source="planning rules 3")
FUSE_DIRECT = Rule(id="fuse_direct_load", unit="A", source="planning rules 3 and 10")
FUSE_STYLE = Rule(id="fuse_style", source="planning rules 3")
FUSE_VOLTAGE = Rule(id="fuse_voltage", unit="V", source="planning rules 3; ISO 8820")
FUSE_INTERRUPT = Rule(id="fuse_interrupt", unit="A", source="planning rules 3; ISO 8820")
FUSE_RATIO = Rule(id="fuse_ratio", unit="A", source="planning rules 10")
CABLE_MAX_FUSE = Rule(id="cable_max_fuse", unit="A", source="NFPA 70 240.4(D); planning rules 10")
FUSE_CURVE = Rule(id="fuse_curve", source="the fuse maker's time-current curve")
INRUSH = Rule(id="inrush", unit="A", source="common practice; planning rules 10")
FAR_FAULT = Rule(id="far_fault", unit="A", source="planning rules 3 (our engineering default)")
PAIR = Rule(id="conductor_pair", source="planning rules 3")
CONDUCTOR_MIN = Rule(id="conductor_min", unit="mm²", source="planning rules 3")
CONDUCTOR_MAX = Rule(id="conductor_max", unit="mm²", source="planning rules 3")
SWITCH = Rule(id="switch", source="planning rules 3")
SWITCH_CURRENT = Rule(id="switch_current", unit="A", source="planning rules 3")
SWITCH_VOLTAGE = Rule(id="switch_voltage", unit="V", source="planning rules 3")
WAYS = Rule(id="ways", unit="ways", source="planning rules 3")
HOLDER_STYLE = Rule(id="holder_style", source="planning rules 3")
HOLDER_CURRENT = Rule(id="holder_current", unit="A", source="planning rules 3")
HOLDER_VOLTAGE = Rule(id="holder_voltage", unit="V", source="planning rules 3")
JUNCTION = Rule(id="junction", source="planning rules 10")
JUNCTION_OUTLETS = Rule(id="junction_outlets", unit="feeds", source="planning rules 10")
JUNCTION_CURRENT = Rule(id="junction_current", unit="A", source="planning rules 10")
JUNCTION_VOLTAGE = Rule(id="junction_voltage", unit="V", source="planning rules 10")
JUNCTION_CONDUCTOR = Rule(id="junction_conductor", unit="mm²", source="planning rules 10")
TORQUE = Rule(id="terminal_torque", source="the terminal maker's instructions")

# bank and energy
BANK_CHOICE = Rule(id="bank_choice", source="planning rules 4")
SERIES = Rule(id="bank_series", unit="batteries", source="planning rules 4 and 10")
PARALLEL = Rule(id="bank_parallel", unit="strings", source="planning rules 4")
BANK_LOW = Rule(id="bank_low_voltage", unit="V", source="planning rules 4")
BANK_HIGH = Rule(id="bank_high_voltage", unit="V", source="planning rules 4")
BANK_CHARGE = Rule(id="bank_charge_voltage", unit="V", source="planning rules 10")
AUTONOMY = Rule(id="autonomy", unit="W", source="planning rules 4; Peukert's law", tight=_POWER)
AVERAGE_RECORDED = Rule(id="average_recorded", unit="W", source="planning rules 4")
AVAILABLE_RECORDED = Rule(id="available_recorded", unit="W", source="planning rules 4; Peukert's law")
ENERGY_RECORDED = Rule(id="energy_recorded", unit="W", source="planning rules 1 and 4")
TODAY_RECORDED = Rule(id="today_recorded", unit="W", source="planning rules 1 and 9")
BANK_PEAK = Rule(id="bank_peak", unit="A", source="planning rules 4", tight=_POWER)
AC_PEAK = Rule(id="ac_peak", unit="W", source="planning rules 4", tight=_POWER)
KIT = Rule(id="bank_kit", source="planning rules 10")
KIT_SERIES = Rule(id="bank_kit_series", unit="batteries", source="planning rules 10")
KIT_PARALLEL = Rule(id="bank_kit_parallel", unit="strings", source="planning rules 10")
KIT_CURRENT = Rule(id="bank_kit_current", unit="A", source="planning rules 10")
KIT_VOLTAGE = Rule(id="bank_kit_voltage", unit="V", source="planning rules 10")
KIT_INTERRUPT = Rule(id="bank_kit_interrupt", unit="A", source="planning rules 10")

# cut list
CUT_LENGTH = Rule(id="cut_length", unit="mm", source="planning rules 5")
CUT_ONCE = Rule(id="cut_made_once", unit="cuts", source="planning rules 5")
CUT_UNASKED = Rule(id="cut_asked_for", source="planning rules 5")
CUT_SOURCE = Rule(id="cut_source", source="planning rules 5")
CUT_STOCK = Rule(id="cut_stock_length", unit="mm", source="planning rules 5")
CUT_SPOOLS = Rule(id="cut_spools_bought", unit="spools", source="planning rules 5")
NOT_OVERDRAWN = Rule(id="spool_not_overdrawn", unit="mm", source="planning rules 5")
CUT_LEFT = Rule(id="cut_left_recorded", unit="mm", source="planning rules 5")

# purchases and cost
BUDGET = Rule(id="budget", unit="cents", source="the limits of this job")
COVERED = Rule(id="covered", unit="pieces", source="planning rules 6")
TERMINALS = Rule(id="terminals", unit="pieces", source="planning rules 3")
CONSUMABLES = Rule(id="consumables", unit="pieces", source="planning rules 3")
ORDER = Rule(id="order_price", unit="cents", source="planning rules 6")
ORDER_LIMIT = Rule(id="order_limit", unit="units", source="planning rules 1")
DELIVERY = Rule(id="delivery_cost", unit="cents", source="planning rules 6")
TOTAL = Rule(id="total_cost", unit="cents", source="planning rules 6")
BOUND = Rule(id="cost_bound", unit="cents", source="planning rules 1")
