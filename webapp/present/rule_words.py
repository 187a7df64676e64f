"""What each rule is called on the page. A rule without words here shows its id, spelled out."""

from __future__ import annotations

from webapp.present.told import told
from webapp.present.words import capital
from webapp.texts import N_, _

RULES = {
    "budget": N_("Within the budget"),
    "references": N_("Everything named is known"),
    "nothing_planned": N_("Something is planned"),
    "load_fed_once": N_("Fed once"),
    "feed_on_its_circuit": N_("Feed and circuit agree"),
    "ceiling": N_("Highest voltage under our ceiling"),
    "ac_feed": N_("Stays on the outlet"),
    "chain_forms": N_("Each part fits the next"),
    "chain_length": N_("Parts in the feed"),
    "chain_needed": N_("No part without use"),
    "stage_window_low": N_("Lowest voltage the converter gets"),
    "stage_window_high": N_("Highest voltage the converter gets"),
    "load_window_low": N_("Lowest voltage at the load"),
    "load_window_high": N_("Highest voltage at the load"),
    "lead_drop": N_("Volts lost in the lead"),
    "stage_rating": N_("Converter's power with room to spare"),
    "stage_input_current": N_("Current into plug or injector"),
    "lead_as_stated": N_("Lead as stated"),
    "lead_protection": N_("Lead carries what can flow"),
    "lead_max_fuse": N_("Fuse ceiling of the lead"),
    "lead_pair": N_("Lead is a pair"),
    "lead_min_conductor": N_("Lead thick enough"),
    "lead_max_conductor": N_("Lead fits its terminals"),
    "output_fuse": N_("Fuse behind the converter"),
    "output_fuse_load": N_("Output fuse carries the load"),
    "output_fuse_style": N_("Output fuse fits its holder"),
    "output_fuse_voltage": N_("Output fuse voltage rating"),
    "output_fuse_holder": N_("Output holder carries its fuse"),
    "output_fuse_next_stage": N_("Output fuse protects the next part"),
    "boost_allowed": N_("Converter at the panel, as allowed"),
    "boost_position": N_("Converter at the panel feeds its run"),
    "boost_own_circuit": N_("Converter at the panel alone on its circuit"),
    "run_floor": N_("Lowest voltage behind the run"),
    "run_drop": N_("Volts lost in the run behind the converter"),
    "run_pair": N_("Run behind the converter is a pair"),
    "run_min_conductor": N_("Run behind the converter thick enough"),
    "run_max_conductor": N_("Run behind the converter fits its terminals"),
    "run_protection": N_("Run behind the converter carries what can flow"),
    "run_max_fuse": N_("Fuse ceiling of the run behind the converter"),
    "run_length_recorded": N_("Length of the circuit, worked out again"),
    "share_allowed": N_("Shared converter, as allowed"),
    "share_host": N_("Plugged into another load's converter"),
    "share_chain": N_("Shared converter holds its voltage and its limit"),
    "share_outlets": N_("Outlets of the shared converter"),
    "one_place": N_("All loads at one place"),
    "own_circuit": N_("Own circuit where asked"),
    "switched_apart": N_("Switched loads kept apart"),
    "floor": N_("Lowest voltage a feed may see"),
    "floor_recorded": N_("Lowest voltage, worked out again"),
    "design_recorded": N_("Design current, worked out again"),
    "drop": N_("Volts lost on the way"),
    "settled_voltage": N_("Voltage at the place, all on"),
    "settled_voltage_recorded": N_("Voltage at the place, solved again"),
    "settled_current_recorded": N_("Current, solved again"),
    "settled_drop_recorded": N_("Volts lost, solved again"),
    "fuse_load": N_("Fuse carries the load"),
    "fuse_cable": N_("Fuse protects the cable"),
    "fuse_way": N_("Fuse fits the way"),
    "fuse_stage": N_("Fuse the converter allows"),
    "fuse_direct_load": N_("Fuse the load allows"),
    "fuse_style": N_("Fuse fits the panel"),
    "fuse_voltage": N_("Fuse voltage rating"),
    "fuse_interrupt": N_("Fuse can break the fault"),
    "fuse_ratio": N_("Fuse close to the current"),
    "cable_max_fuse": N_("Fuse ceiling of the cable"),
    "fuse_curve": N_("Fuse's time-current curve"),
    "inrush": N_("Fuse against inrush"),
    "far_fault": N_("Short at the far end blows the fuse"),
    "conductor_pair": N_("Cable is a pair"),
    "conductor_min": N_("Conductor thick enough"),
    "conductor_max": N_("Conductor fits its terminals"),
    "switch": N_("Switch where asked"),
    "switch_current": N_("Switch carries the fuse"),
    "switch_voltage": N_("Switch DC voltage rating"),
    "ways": N_("Free fuse ways"),
    "holder_style": N_("Holder takes the fuse"),
    "holder_current": N_("Holder carries the fuse"),
    "holder_voltage": N_("Holder voltage rating"),
    "junction": N_("Junction where loads share"),
    "junction_outlets": N_("Junction serves every feed"),
    "junction_current": N_("Junction carries the fuse"),
    "junction_voltage": N_("Junction voltage rating"),
    "junction_conductor": N_("Junction takes the conductor"),
    "terminal_torque": N_("Torque of terminals"),
    "bank_choice": N_("Battery kept or bought"),
    "bank_series": N_("Batteries in series"),
    "bank_parallel": N_("Strings in parallel"),
    "bank_low_voltage": N_("Battery's lowest voltage"),
    "bank_high_voltage": N_("Battery's highest voltage"),
    "bank_charge_voltage": N_("Charging voltage the battery stands"),
    "autonomy": N_("Battery lasts the hours asked, average draw"),
    "average_recorded": N_("Average draw, worked out again"),
    "available_recorded": N_("What the battery gives, worked out again"),
    "energy_recorded": N_("Energy of the plan, worked out again"),
    "today_recorded": N_("Energy today, worked out again"),
    "bank_peak": N_("Everything on at once"),
    "ac_peak": N_("Outlet power, everything on"),
    "bank_kit": N_("String fuses and disconnect"),
    "bank_kit_series": N_("Bank kit, batteries in series"),
    "bank_kit_parallel": N_("Bank kit, strings"),
    "bank_kit_current": N_("Bank kit carries the current"),
    "bank_kit_voltage": N_("Bank kit voltage rating"),
    "bank_kit_interrupt": N_("Bank kit can break the fault"),
    "cut_length": N_("Length of the cut"),
    "cut_made_once": N_("Cut once"),
    "cut_asked_for": N_("No cut without use"),
    "cut_source": N_("Where the cut comes from"),
    "cut_stock_length": N_("Length of the spool"),
    "cut_spools_bought": N_("Spools cut are spools bought"),
    "spool_not_overdrawn": N_("Cuts fit their spool"),
    "cut_left_recorded": N_("What is left, worked out again"),
    "covered": N_("Enough bought"),
    "terminals": N_("Enough terminals"),
    "consumables": N_("Enough consumables"),
    "order_price": N_("Price of the order"),
    "order_limit": N_("No more than is on offer"),
    "delivery_cost": N_("Delivery, worked out again"),
    "total_cost": N_("Total, worked out again"),
    "cost_bound": N_("Best possible, as proven"),
}


def rule_words(rule: str) -> str:
    """The name of a rule for people."""
    return _(RULES[rule]) if rule in RULES else capital(rule.replace("_", " "))


def subject_words(subject: str) -> str:
    """What a check is about: circuit, load or another kind of thing, and its name."""
    return told(subject)


def source_words(source: str) -> str:
    """Where a rule comes from."""
    return told(source)


def formula_words(formula: str) -> str:
    """How the figures of a check came."""
    return told(formula)
