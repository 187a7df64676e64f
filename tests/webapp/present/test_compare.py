"""Plans side by side, against figures worked out by hand.

The small system draws 14.7 W at 12 V, 1.225 A; of 80 Ah half may be used: 40 Ah / 1.225 A = 32.65 h. At 12.6 W it is
1.05 A and 38.10 h; 32.7 h and 38.1 h, as they are shown, are 5.4 h apart.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from markupsafe import Markup

from optimizer.catalogue import Content, Offer, Seller
from optimizer.plan import Check, Energy, Feed, Order
from tests.builders import ORDERS, ROUTER, a_catalogue, a_job, a_plan
from webapp.present.compare import comparison
from webapp.present.compare_rows import Side, short_names
from webapp.present.words import as_shown, figure

DEARER = {"total_cents": 14780, "bound_cents": 14780, "energy": Energy(average_w=12.6, today_average_w=None)}
SLOW = {"lead_days": 5}


def a_side(letter="A", *, job=None, catalogue=None, **changes):
    beside = {name: changes.pop(name) for name in ("waits", "changed", "binned", "title") if name in changes}
    plan = a_plan(**{"energy": Energy(average_w=14.7, today_average_w=21.0)} | changes)
    given = {
        "title": "Hut",
        "name": "Hut",
        "waits": False,
        "changed": False,
        "binned": False,
        "catalogue_revision": 1,
    } | beside
    return Side(
        letter=letter,
        plan_id=letter.lower(),
        made=Markup("today"),
        job=job or a_job(),
        catalogue=catalogue or a_catalogue(),
        plan=plan,
        **given,
    )


def plain(text):
    return text.replace("\N{NO-BREAK SPACE}", " ").replace("\N{NARROW NO-BREAK SPACE}", " ")


def cells(rows, title):
    """What one row says of each plan: its text, how far it is from the first, its note."""
    (row,) = [row for row in rows if row.title == title]
    return [tuple(plain(part) for part in (cell.text, cell.against, cell.note)) for cell in row.cells]


def same(view):
    return {each.title: plain(each.text) for each in view.same}


def test_price_and_hours_side_by_side_and_how_far_they_are_apart():
    view = comparison([a_side(), a_side("B", **DEARER)])
    assert cells(view.figures, "Total") == [("106.60", "", ""), ("147.80", "+41.20", "")]
    assert cells(view.figures, "Battery lasts") == [("32.7 h", "", ""), ("38.1 h", "+5.4 h", "")]
    assert cells(view.figures, "Draws on average") == [
        ("14.7 W", "", "353 Wh a day"),  # 352.8
        ("12.6 W", "−2.1 W", "302 Wh a day"),  # 302.4
    ]
    assert [row.title for row in view.figures] == ["Total", "Battery lasts", "Draws on average", "Against today"]


def test_bars_are_shares_of_the_largest():
    view = comparison([a_side(), a_side("B", **DEARER)])
    (total,) = [row for row in view.figures if row.title == "Total"]
    assert [cell.bar_pct for cell in total.cells] == ["72.12%", "100.00%"]  # 10660 of 14780


def test_one_sentence_says_what_differs_from_the_first():
    cheaper = {"total_cents": 10000, "bound_cents": 10000}
    view = comparison([a_side(), a_side("B", **DEARER), a_side("C", **cheaper), a_side("D")])
    assert [plain(words) for words in view.differences] == [
        "B costs 41.20 more, but lasts 5.4 h longer and draws 2.1 W less than A.",
        "C costs 6.60 less than A.",
        "D costs as much as A.",
    ]


def test_what_people_get_who_subtract_is_what_is_said():
    """4.999 h and 4.9951 h are both shown as 5 h: no hours apart."""
    assert (figure(4.9951), as_shown(4.9951), as_shown(4.999)) == ("5", 5.0, 5.0)
    nearly = {"energy": Energy(average_w=14.7001, today_average_w=21.0)}
    view = comparison([a_side(), a_side("B", **nearly)])
    assert view.figures == ()
    assert plain(view.differences[0]) == "B costs as much as A."


def test_against_today_only_where_a_plan_tells_it():
    view = comparison([a_side(), a_side("B", **DEARER)])
    # 14.7 W for 21 W: 6.3 W × 24 h, three tenths less
    assert cells(view.figures, "Against today") == [("−151 Wh a day", "", "30 % less"), ("not known", "", "")]
    unknown = {"energy": Energy(average_w=14.7, today_average_w=None)}
    view = comparison([a_side(**unknown), a_side("B", **unknown)])
    assert "Against today" not in {*same(view), *(row.title for row in view.figures)}
    as_before = {"energy": Energy(average_w=21, today_average_w=21)}
    view = comparison([a_side(), a_side("B", **as_before)])
    assert cells(view.figures, "Against today")[1] == ("as today", "", "")


def test_nothing_is_said_of_how_long_where_the_plan_tells_no_draw():
    view = comparison([a_side(energy=None), a_side("B", energy=None)])
    titles = {*same(view), *(row.title for row in view.figures)}
    assert not titles & {"Battery lasts", "Draws on average", "Against today"}


def test_a_gap_stands_where_a_proof_would():
    gap = {"status": "feasible", "bound_cents": 10000}
    view = comparison([a_side(), a_side("B", **gap)])
    assert [text for text, *_ in cells(view.figures, "Price")] == [
        "cheapest, proven",
        "At most 6.6 % above the best possible",
    ]


def test_what_is_alike_is_gathered():
    view = comparison([a_side(), a_side("B", **DEARER)])
    assert same(view) == {
        "Price": "cheapest, proven",
        "Asked to last": "24 h",
        "Battery": "12 V, 100 Ah, the one you have",
        "Loads fed": "2",
        "Left on the inverter": "0",
        "Circuits": "2",
        "Sellers": "1, Shop",
        "Longest delivery": "not stated",
        "Checks that are tight": "0",
        "Not checked": "0",
        "Fed the same way": "router and lamp",
        "Bought alike": "7 parts, as many of each",
    }
    assert (view.feeds, view.parts) == ((), ())


def test_checks_that_do_not_simply_hold_are_counted():
    check = Check(
        rule="drop", subject="C1", value=1, limit=1, unit="V", state="tight", margin=0, source="planning rules 3"
    )
    open_one = replace(check, state="not_checked")
    view = comparison([a_side(checks=(check,)), a_side("B", checks=(check, check, open_one))])
    assert [text for text, *_ in cells(view.figures, "Checks that are tight")] == ["1", "2"]
    assert [text for text, *_ in cells(view.figures, "Not checked")] == ["0", "1"]


def test_the_slowest_seller_tells_how_long_delivery_takes():
    other = Seller(id="far", name="Far", delivery_cents=0, lead_days=12)
    offer = Offer(id="o-far", seller="far", price_cents=500, contents=(Content(part="fuse5", count=1),))
    catalogue = a_catalogue(offers=(offer,), seller=SLOW)
    catalogue = replace(catalogue, sellers=(*catalogue.sellers, other))
    more = {"more_orders": (Order(offer="o-far", seller="far", quantity=1, cents=500),)}
    near, far = a_side(catalogue=catalogue), a_side("B", catalogue=catalogue, **more)
    view = comparison([near, far])
    assert [text for text, *_ in cells(view.figures, "Longest delivery")] == ["about 5 days", "about 12 days"]
    assert cells(view.figures, "Sellers") == [("1", "", "Shop"), ("2", "", "Far and Shop")]
    assert plain(view.differences[0]) == "B comes 7 days later than A."
    assert plain(comparison([far, near]).differences[0]) == "A comes 7 days sooner than B."


def test_a_load_left_on_the_inverter_is_named_and_fed_another_way():
    on_outlet = {"source": "ac", "circuit": None, "stages": ()}
    view = comparison([a_side(), a_side("B", router=on_outlet)])
    assert cells(view.figures, "Left on the inverter") == [("0", "", ""), ("1", "", "router")]
    assert [row.title for row in view.feeds] == ["router"]
    assert [text for text, *_ in cells(view.feeds, "router")] == ["through boost", "stays on the inverter"]
    assert same(view)["Fed the same way"] == "lamp"


def test_as_many_loads_left_on_the_inverter_but_others_are_not_the_same():
    on_outlet = {"source": "ac", "circuit": None, "stages": ()}
    view = comparison([a_side(lamp=on_outlet), a_side("B", router=on_outlet)])
    assert cells(view.figures, "Left on the inverter") == [("1", "", "lamp"), ("1", "", "router")]


def test_where_a_converter_stands_and_whose_it_is_are_told_apart():
    side = a_side(router={"panel_stages": 1})
    shared = a_side("B", router={"shares": "lamp", "stages": ()})
    view = comparison([side, shared, a_side("C", router={"stages": ()})])
    assert [text for text, *_ in cells(view.feeds, "router")] == [
        "through boost, at the panel",
        "from the converter of lamp",
        "straight from the panel",
    ]


def test_loads_are_known_by_their_names_and_not_by_their_ids():
    named, other = a_job(router={"name": "Router"}), a_job(router={"name": "Modem"})
    view = comparison([a_side(job=named), a_side("B", job=other)])
    assert [text for text, *_ in cells(view.feeds, "Router")] == ["through boost", "not in this plan"]
    assert [text for text, *_ in cells(view.feeds, "Modem")] == ["not in this plan", "through boost"]
    assert "They do not feed the same loads" in view.mind[0]


def test_two_loads_of_one_name_are_two():
    twin = replace(ROUTER, id="twin")
    feed = Feed(load="twin", source="bus", circuit="C1", stages=("boost",), lead=None)
    job = a_job(more_loads=(twin,), router={"name": "Router"})
    job = replace(job, loads=tuple(replace(load, name="Router") if load.id == "twin" else load for load in job.loads))
    view = comparison([a_side(job=a_job(router={"name": "Router"})), a_side("B", job=job, more_feeds=(feed,))])
    assert [text for text, *_ in cells(view.feeds, "Router")] == ["not in this plan", "through boost"]
    assert same(view)["Fed the same way"] == "Router and lamp"


def test_loads_of_one_name_but_other_hours_are_pointed_out():
    view = comparison([a_side(), a_side("B", job=a_job(router={"hours_per_day": 11}))])
    assert view.mind == ("Their loads are the same by name, but not by power or hours.",)
    assert comparison([a_side(), a_side("B")]).mind == ()


def test_prices_of_other_days_are_pointed_out():
    (words,) = comparison([a_side(), replace(a_side("B"), catalogue_revision=2)]).mind
    assert "not of the same day" in words


def test_parts_are_counted_piece_by_piece_and_cable_by_its_length():
    """Fuses come in twos: one pack is 2, three are 6. Two spools of 30 m are 60 m; the boost is bought by one alone."""
    amounts = {"o-fuse5": 3, "o-twin4": 2}
    orders = tuple(
        replace(each, quantity=amounts.get(each.offer, each.quantity)) for each in ORDERS if each.offer != "o-boost"
    )
    view = comparison([a_side(), a_side("B", orders=orders)])
    assert {row.title: [cell[0] for cell in cells(view.parts, row.title)] for row in view.parts} == {
        "boost": ["1", "none"],
        "fuse5": ["2", "6"],
        "twin4": ["30 m", "60 m"],
    }
    assert same(view)["Bought alike"] == "4 parts, as many of each"


def test_lengths_by_the_metre_and_spools_of_one_cable_are_added():
    spool = Offer(id="o-spool", seller="shop", price_cents=900, contents=(Content(part="twin1", length_m=10),))
    more = {"more_orders": (Order(offer="o-spool", seller="shop", quantity=1, cents=900),)}
    catalogue = a_catalogue(offers=(spool,))
    view = comparison([a_side(catalogue=catalogue), a_side("B", catalogue=catalogue, **more)])
    assert [text for text, *_ in cells(view.parts, "twin1")] == ["2 m", "12 m"]  # four steps of 0.5 m


def everything_said(view):
    rows = (*view.figures, *view.feeds, *view.parts)
    return " ".join(
        [*view.differences, *(f"{row.title} {cell.text} {cell.note}" for row in rows for cell in row.cells)]
        + [f"{each.title} {each.text}" for each in view.same]
    )


def test_of_a_plan_that_waits_for_a_person_nothing_is_named_that_it_buys():
    catalogue = a_catalogue(seller=SLOW)
    waiting = a_side("B", catalogue=catalogue, waits=True)
    view = comparison([a_side(orders=(), router={"stages": ()}, catalogue=catalogue), waiting])
    said = everything_said(view)
    for name in ("Shop", "boost", "fuse5", "twin4", "crimp", "5 days"):
        assert name not in said, name
    assert [text for text, *_ in cells(view.figures, "Longest delivery")] == ["nothing to buy", "not shown yet"]
    assert [text for text, *_ in cells(view.feeds, "router")] == ["straight from the panel", "through 1 part"]
    assert view.parts == ()
    assert view.parts_closed == "What B buys is not shown before a qualified person answers for it."
    quick = a_side(catalogue=a_catalogue(seller={"lead_days": 2}))
    assert "comes" not in everything_said(comparison([quick, waiting]))
    assert "comes 3 days later" in everything_said(comparison([quick, waiting_no_more(waiting)]))
    assert "Shop" in everything_said(comparison([waiting_no_more(waiting), a_side(orders=(), catalogue=catalogue)]))


def waiting_no_more(side):
    return replace(side, waits=False)


def test_open_plans_are_still_compared_beside_one_that_waits():
    fewer = a_side("C", orders=tuple(each for each in ORDERS if each.offer != "o-boost"))
    view = comparison([a_side(), a_side("B", waits=True), fewer])
    assert {row.title: [cell[0] for cell in cells(view.parts, row.title)] for row in view.parts} == {
        "boost": ["1", "not shown yet", "none"]
    }
    assert same(view)["Sellers"] == "1"
    view = comparison([a_side(), a_side("B", waits=True), a_side("C", waits=True)])
    assert view.parts == ()
    assert "What B and C buy is not shown" in view.parts_closed


@pytest.mark.parametrize("number", [2, 3, 4])
def test_every_row_has_a_cell_for_every_plan(number):
    sides = [
        a_side(letter, **({"total_cents": 10000 + at} if at else {"waits": True})) for at, letter in enumerate("ABCD")
    ]
    view = comparison(sides[:number])
    assert {len(row.cells) for row in (*view.figures, *view.feeds, *view.parts)} == {number}
    assert len(view.differences) == number - 1


# -- which is the cheapest, and for how long ----------------------------------------------------------------------


def test_the_cheapest_is_said_with_the_hours_up_to_which_it_is():
    """A lasts 32.7 h for 106.60, B 38.1 h for 147.80; C costs as much as B and lasts no longer than A."""
    view = comparison([a_side(), a_side("B", **DEARER), a_side("C", total_cents=14780, bound_cents=14780)])
    assert plain(view.cheapest) == "The cheapest of them is A for up to 32.7 h without charging and B for up to 38.1 h."


def test_where_the_cheapest_also_lasts_longest_nothing_else_is_named():
    cheap_too = DEARER | {"total_cents": 9000, "bound_cents": 9000}
    view = comparison([a_side(), a_side("B", **cheap_too)])
    assert view.cheapest == "B is the cheapest of them, and none lasts longer."
    as_dear = DEARER | {"total_cents": 10660, "bound_cents": 10660}
    assert comparison([a_side(), a_side("B", **as_dear)]).cheapest == view.cheapest


def test_no_cheapest_is_named_where_loads_or_hours_are_not_the_same_kind():
    fewer = replace(a_job(), loads=(ROUTER,))
    assert comparison([a_side(), a_side("B", job=fewer, **DEARER)]).cheapest == ""
    assert comparison([a_side(), a_side("B", energy=None)]).cheapest == ""
    assert comparison([a_side()]).cheapest == ""


def test_what_speaks_for_a_plan_stands_apart_from_what_speaks_against_it():
    slower = {"total_cents": 9000, "bound_cents": 9000, "energy": Energy(average_w=21.0, today_average_w=None)}
    # 40 Ah at 21 W / 12 V = 1.75 A: 22.86 h, as shown 22.9 h
    view = comparison([a_side(), a_side("B", **slower)])
    assert [plain(words) for words in view.differences] == [
        "B costs 16.60 less, but lasts 9.8 h less and draws 6.3 W more than A."
    ]


def test_another_voltage_is_pointed_out():
    job = a_job()
    other = replace(job, bus=replace(job.bus, nominal_v=24, low_v=23, high_v=28))
    assert any("Not at the same voltage" in words for words in comparison([a_side(), a_side("B", job=other)]).mind)
    assert not comparison([a_side(), a_side("B", **DEARER)]).mind


def test_a_plan_alone_shows_every_figure_and_nothing_in_common():
    view = comparison([a_side()])
    assert cells(view.figures, "Total") == [("106.60", "", "")]
    assert "Price" in [row.title for row in view.figures]
    assert view.same == ()


def test_a_title_that_goes_on_from_another_is_told_by_how_it_goes_on():
    titles = ("Hut", "Hut: new battery", "Hut: new battery: 24 V", "Hutch", "Weir: 24 V")
    assert list(short_names(titles).values()) == ["Hut", "New battery", "24 V", "Hutch", "Weir: 24 V"]
