"""The pages of a plan against the example plans, whose totals and lengths are given."""

from __future__ import annotations

import re

import pytest
from page_browser import plain, read_case

from optimizer.cautions import cautions_for
from webapp import assets, schemas
from webapp.services import jobs, marks, plans

PARTS = ("proof", "buy", "cut", "cut/line", "labels", "wiring", "build", "record", "docket")
HOLDS = {
    "rule": "drop",
    "subject": "C4",
    "value": 0.4993,
    "limit": 0.5,
    "unit": "V",
    "state": "tight",
    "margin": 0.0007,
    "source": "circuit theory",
    "formula": "2 × 8.67 m × 3.3 Ω/km × 7.52 A",
}


def an_answer(number: str = "062", **changes):
    return (
        read_case(f"plan-{number}")
        | {
            "checks": [HOLDS],
            "reasons": [],
            "energy": {"average_w": 31.219, "today_average_w": 52.4},
        }
        | changes
    )


def no_answer(*reasons, status="infeasible"):
    empty = {name: [] for name in ("circuits", "feeds", "orders", "deliveries", "cuts", "checks")}
    nothing = dict.fromkeys(("total_cents", "bound_cents", "bank", "energy"))
    return {"format": "plan/1", "status": status, "reasons": list(reasons)} | nothing | empty


def test_the_total_comes_first_and_agrees_with_the_sellers(browser, planned):
    plan_id = planned(an_answer())
    words = browser.open(f"/plans/{plan_id}").words
    assert "Total 626.34 Cheapest that holds everything, proven" in words
    assert words.index("Total 626.34") < words.index("Worth a look")
    words = browser.open(f"/plans/{plan_id}/buy").words
    sums = [int(whole) * 100 + int(cents) for whole, cents in re.findall(r"Seller \w+, all (\d+)\.(\d\d)", words)]
    assert sum(sums) == read_case("plan-062")["total_cents"]


@pytest.mark.parametrize("part", PARTS)
def test_every_part_has_its_page_with_the_way_to_all_others(browser, planned, part):
    plan_id = planned(an_answer())
    page = browser.open(f"/plans/{plan_id}/{part}")
    assert page.status == 200
    linked = {href for href, _ in page.reader.links}
    assert {f"/plans/{plan_id}"} | {f"/plans/{plan_id}/{each}" for each in PARTS if each != "cut/line"} <= linked
    here = [at["href"] for at in page.tagged("a") if at.get("aria-current") == "page"]
    assert here == [f"/plans/{plan_id}/{part.split('/')[0]}"]
    assert f"plan {plan_id} · job revision 1" in page.words


@pytest.mark.parametrize(
    ("part", "onward"),
    [
        ("proof", "Next: Buy"),
        ("buy", "Next: Cut"),
        ("cut", "Next: Labels"),
        ("labels", "Next: Wiring"),
        ("wiring", "Next: Build"),
        ("build", "Next: Record"),
        ("record", "Next: Docket"),
        ("docket", None),
        ("cut/line", None),  # its own Next turns to the next cut
    ],
)
def test_every_page_of_the_work_ends_with_the_next(browser, planned, part, onward):
    plan_id = planned(an_answer())
    ways = [(href, words) for href, words in browser.open(f"/plans/{plan_id}/{part}").reader.links if "Next: " in words]
    assert ways == ([(f"/plans/{plan_id}/{onward.split()[1].lower()}", onward)] if onward else [])


@pytest.mark.parametrize("part", ["labels", "wiring", "record"])
def test_a_long_page_says_below_its_cautions_and_above_its_work_what_is_on_it(browser, planned, part):
    """No link leads past a caution that nobody has come by: what is on the page comes after it, not before."""
    plan_id = planned(an_answer())
    marks.set_mark(plan_id, "caution/read", "", "yes")
    page = browser.open(f"/plans/{plan_id}/{part}")
    (nav,) = [at for at in page.tagged("nav") if at.get("aria-label") == "On this page"]
    ids = {at["id"] for _, at in page.reader.tags if "id" in at}
    leads = [href.removeprefix("#") for href, _ in page.reader.links if href.startswith("#") and href != "#main"]
    assert "jump" in nav["class"]
    assert len(leads) >= 3
    assert set(leads) <= ids
    parts = ('<details class="brief', '<nav class="jump', '<section class="section')
    care, links, work = (page.html.index(part) for part in parts)
    assert care < links < work


@pytest.mark.parametrize("part", PARTS)
def test_where_there_is_no_answer_the_parts_lead_to_the_page_that_says_why(browser, planned, part):
    plan_id = planned(no_answer())
    page = browser.open(f"/plans/{plan_id}/{part}")
    assert page.path == f"/plans/{plan_id}"
    assert "No plan can hold all of this" in page.words


def test_a_check_shows_state_value_limit_margin_source_and_formula(browser, planned):
    words = browser.open(f"/plans/{planned(an_answer())}/proof").words
    for said in ("▲ Tight", "0.4993 V", "at most 0.5 V", "margin +0.0007 V", HOLDS["source"], HOLDS["formula"]):
        assert said in words


def test_a_sum_adds_up_as_it_stands_and_its_lengths_are_beside_it_as_chosen(browser, planned):
    path = f"/plans/{planned(an_answer())}/proof"
    assert "8.67 m =" not in browser.open(path).words
    browser.client.set_cookie("units", "awg")
    words = plain(browser.open(path).words)
    assert f"{plain(HOLDS['formula'])} 8.67 m = 28.44 ft" in words  # 8.67 / 0.3048 = 28.444…


def test_trouble_comes_before_what_holds(browser, planned):
    states = ("holds", "not_checked", "tight")
    checks = [HOLDS | {"state": state, "rule": f"rule {state}"} for state in states]
    plan_id = planned(an_answer(checks=checks))
    words = browser.open(f"/plans/{plan_id}/proof").words
    assert words.index("Rule tight") < words.index("Rule not checked") < words.index("Rule holds")
    words = browser.open(f"/plans/{plan_id}").words
    assert words.index("Rule tight") < words.index("Rule not checked")
    assert "Rule holds" not in words


def test_the_answer_is_light_and_leads_to_the_proof_and_to_the_shops(browser, planned):
    many = [HOLDS | {"state": "holds", "subject": f"circuit C{n}", "formula": "1 × 2 " * 20} for n in range(400)]
    plan_id = planned(an_answer(checks=[HOLDS, *many]))
    page = browser.open(f"/plans/{plan_id}")
    assert len(page.html) < 40_000
    said = {plain(words): href for href, words in page.reader.links}
    assert said["401 checks: 1 tight, 400 hold."] == f"/plans/{plan_id}/proof"
    assert said["What to buy"] == f"/plans/{plan_id}/buy"
    assert browser.open(f"/plans/{plan_id}/proof").html.count("check__formula") == 401


@pytest.mark.parametrize("checks", [[], [HOLDS | {"state": "fails"}]], ids=["none made", "one fails"])
def test_without_proof_there_is_no_price_and_no_cut_list(browser, planned, checks):
    plan_id = planned(an_answer(checks=checks))
    for path in ("", *(f"/{part}" for part in PARTS if part != "proof")):
        page = browser.open(f"/plans/{plan_id}{path}")
        assert page.path == f"/plans/{plan_id}"
        assert "We could not verify this plan" in page.words
        assert "626.34" not in page.words
        onward = {href for href, _ in page.reader.links if href.startswith(f"/plans/{plan_id}/")}
        assert onward == {f"/plans/{plan_id}/proof"}


def test_the_proof_of_a_plan_that_failed_shows_what_failed(browser, planned):
    plan_id = planned(an_answer(checks=[HOLDS, HOLDS | {"state": "fails", "formula": "3 × 4"}]))
    page = browser.open(f"/plans/{plan_id}/proof")
    assert page.words.index("✕ Fails") < page.words.index("3 × 4") < page.words.index("▲ Tight")
    assert "626.34" not in page.words
    assert "Do not build" in page.words


@pytest.mark.parametrize("number", ["002", "023", "033", "062"])
def test_every_bar_adds_up_to_its_spool(browser, planned, number, pages_app):
    from webapp.services import catalogue

    case = read_case(f"case-{number}")
    catalogue.replace(read_case(case["catalogue"].removesuffix(".json")))
    page = browser.open(f"/plans/{planned(an_answer(number), **case['job'])}/cut")
    bars, at = [], None
    for tag, found in page.reader.tags:
        if tag == "svg" and found.get("class"):  # those without stand inside a bar
            at = [] if found.get("class") == "bar" else None
            bars += [at] if at is not None else []
        elif tag == "rect" and at is not None and found["class"] != "bar__weave":
            at.append((float(found["x"].rstrip("%")), float(found["width"].rstrip("%"))))
    assert len(bars) == len(read_case(f"plan-{number}")["cuts"])
    for pieces in bars:
        reached = 0.0
        for x, width in sorted(pieces):
            assert x == pytest.approx(reached, abs=0.001)  # percent, four decimals shown
            reached = x + width
        assert reached == pytest.approx(100, abs=0.001)


def test_the_fuse_schedule_names_each_circuit_once(browser, planned):
    words = browser.open(f"/plans/{planned(an_answer())}/labels").words
    schedule = words[words.index("Fuse schedule") : words.rindex("Label sheet")]
    assert [schedule.count(f" {circuit} ") for circuit in ("C1", "C2", "C3", "C4")] == [1, 1, 1, 1]
    assert "free way 4" in schedule


def test_energy_compares_today_with_the_plan_and_counts_no_recharge(browser, planned):
    words = browser.open(f"/plans/{planned(an_answer())}").words
    assert "1 258 Wh" in words  # 52.4 W × 24 h = 1257.6 Wh
    assert "749 Wh" in words  # 31.219 W × 24 h = 749.256 Wh
    assert "−508 Wh a day (40.4 % less)" in words  # (31.219 − 52.4) × 24; 1 − 31.219 / 52.4
    assert "no recharge" in words


def test_a_kept_bank_lasts_what_plain_arithmetic_says(browser, planned):
    kept = {"keep": True, "part": None, "series": 1, "parallel": 1, "average_w": 30.0, "available_w": 32.0}
    answer = an_answer(bank=kept, energy={"average_w": 30.0, "today_average_w": None})
    words = browser.open(f"/plans/{planned(answer)}").words
    assert "24 h" in words  # 150 Ah × 0.8 × 0.5 × 12 V / 30 W, slower than rated: no Peukert credit


CAUTIONS = {
    "": ("design aid", "thousands of amps"),
    "/buy": ("Direct current arcs",),
    "/cut": ("Copper only",),
    "/cut/line": ("Copper only",),
    "/labels": ("No fuse, no connection", "can burst", "Fuses go in last"),
    "/build": ("thousands of amps", "lock off shore"),
}


@pytest.mark.parametrize(
    "path", ["", "/buy", "/cut", "/cut/line", "/labels", "/wiring", "/build", "/record", "/proof", "/docket"]
)
def test_every_page_of_a_plan_says_once_that_it_is_a_design_aid(browser, planned, path):
    plan_id = planned(an_answer())
    marks.set_mark(plan_id, "caution/read", "", "yes")
    assert browser.open(f"/plans/{plan_id}{path}").words.count("This is a design aid.") == 1
    assert not any(re.search(r"\.foot\b(?!_)", selector) for selector in hidden_in_print())


@pytest.mark.parametrize("path", [*CAUTIONS, "/docket"])
def test_cautions_stand_beside_their_steps_and_survive_printing(browser, planned, path):
    page = browser.open(f"/plans/{planned(an_answer())}{path}")
    for caution in CAUTIONS.get(path) or {each for said in CAUTIONS.values() for each in said}:
        assert caution in page.words
    hidden = hidden_in_print()
    classes = {name for tag, at in page.reader.tags if tag == "aside" for name in at["class"].split()}
    assert classes == {"caution"}
    assert not any(re.search(r"\.caution\b|\baside\b|\.section\b", selector) for selector in hidden)
    inside_details = re.findall(r"<details.*?</details>", page.html, re.S)
    assert not any("caution" in each for each in inside_details)


@pytest.mark.parametrize("path", ["", "/cut", "/cut/line", "/labels", "/build"])
def test_a_bus_above_50_v_is_said_before_anything_is_cut(browser, planned, path):
    bus = read_case("case-062")["job"]["bus"] | {"high_v": 51}
    calm = browser.open(f"/plans/{planned(an_answer())}{path}").words
    words = browser.open(f"/plans/{planned(an_answer(), bus=bus, setting='land')}{path}").words
    assert "This bus passes 50 V DC." not in calm
    assert "This bus passes 50 V DC." in words.partition("I have read this")[0]


def test_over_50_v_is_said_where_live_parts_are_measured(browser, planned):
    bus = read_case("case-062")["job"]["bus"] | {"high_v": 51}
    plan_id = planned(an_answer(), bus=bus, setting="land")
    assert "This bus passes 50 V DC." in browser.open(f"/plans/{plan_id}/record").words


KEPT = {"keep": True, "part": None, "series": 1, "parallel": 1, "average_w": 30.0, "available_w": 32.0}
BANK = {"nominal_v": 12, "capacity_ah": 100, "rated_hours": 20, "max_discharge_a": 50}


@pytest.mark.parametrize(
    ("figures", "said"),
    [
        ({"usable_fraction": 0.8, "peukert": 1.05}, (False, True)),  # what we fill in for lithium
        ({"usable_fraction": 0.5, "peukert": 1.25}, (True, False)),  # and for flooded lead-acid
        ({"usable_fraction": 0.45, "peukert": 1.3}, (True, True)),  # and where somebody is not sure
        ({"usable_fraction": 0.7, "peukert": 1.1}, (True, True)),  # somebody's own figures
    ],
)
def test_a_kept_bank_of_unknown_type_brings_the_cautions_of_both(browser, planned, figures, said):
    bank = {"existing": BANK | figures, "may_buy": False}
    words = browser.open(f"/plans/{planned(an_answer(bank=KEPT), bank=bank)}").words
    assert ("gas that explodes" in words, "never below 0 °C" in words) == said


def test_raw_pointers_of_the_assumed_values_are_told_by_name_instead(browser, planned):
    pointers = ["bus/fault_a", "loads/0/peak_w"]
    job = schemas.read_job(read_case("case-062")["job"] | {"assumed": pointers}).value
    known = schemas.read_catalogue(read_case("catalogue-3")).value
    said = cautions_for(job, known, schemas.read_plan(an_answer()).value)
    assert any("loads/0/peak_w" in caution for caution in said)  # what the optimizer says for the command line
    words = browser.open(f"/plans/{planned(an_answer(cautions=list(said)), assumed=pointers)}").words
    assert "2 values still assumed" in words
    assert "Short-circuit current at the panel" in words
    assert not [pointer for pointer in pointers if pointer in words]


def hidden_in_print():
    css = (assets.FOLDER / "css" / "print.css").read_text()
    rules = re.findall(r"([^{}]+)\{([^{}]*)\}", re.sub(r"/\*.*?\*/", "", css, flags=re.S))
    hidden = [
        selector.strip() for selectors, body in rules if "display: none" in body for selector in selectors.split(",")
    ]
    assert ".actions" in hidden  # the reading of the file works
    return hidden


def test_no_plan_shows_first_what_stands_in_the_way(browser, planned):
    reasons = (
        {"subject": "load L1", "text": "needs 1,236 Wh, the bank gives 1,122 Wh", "rule": "autonomy"},
        {"subject": "bus", "text": "no fuse on offer breaks 20,000 A", "rule": "interrupt"},
    )
    plan_id = planned(no_answer(*reasons))
    page = browser.open(f"/plans/{plan_id}")
    assert "Needs 1 236 Wh, the bank gives 1 122 Wh." in page.words
    assert "No fuse on offer breaks 20 000 A." in page.words
    job_id = plans.get_plan(plan_id).job_id
    assert {f"/jobs/{job_id}/loads/1", f"/jobs/{job_id}/battery"} <= {href for href, _ in page.reader.links}


def test_what_two_limits_say_alike_is_said_once_with_the_ways_out_of_both(browser, planned):
    text = "needs a fuse of at least 6.44 A"
    rules = ("fuse_within_feed", "fuse_within_conductor")
    plan_id = planned(no_answer(*({"subject": "load L1", "text": text, "rule": rule} for rule in rules)))
    page = browser.open(f"/plans/{plan_id}")
    assert page.words.count("Needs a fuse of at least 6.44 A") == 1
    job_id = plans.get_plan(plan_id).job_id
    wanted = {f"/jobs/{job_id}/{step}" for step in ("loads/1", "loads", "limits", "places")}
    assert wanted <= {href for href, _ in page.reader.links}


def test_a_search_that_ran_out_of_time_is_headed_in_words(browser, planned):
    text = "No plan was found within 60 s; that does not mean there is none. Allow more time."
    reason = {"subject": "search", "text": text, "rule": "time"}
    page = browser.open(f"/plans/{planned(no_answer(reason, status='unknown'))}")
    assert '<h2 class="reasons__subject">Time for the search</h2>' in page.html


def test_a_search_that_found_nothing_still_says_what_to_do(browser, planned):
    words = browser.open(f"/plans/{planned(no_answer(status='unknown'))}").words
    assert "Stopped before a plan was found" in words
    assert "Loosen a limit" in words


def test_where_there_is_no_plan_another_search_can_wait_for_a_signal(browser, planned):
    page = browser.open(f"/plans/{planned(no_answer(status='infeasible'))}")
    assert "Find cheapest again" in page.words
    asking = [form for form in page.tagged("form") if form["action"].endswith("/plans")]
    assert asking
    assert all(form.get("data-op") == "plan" for form in asking)


def test_a_plan_not_proven_says_how_far_from_the_best_it_may_be(browser, planned):
    answer = an_answer(status="feasible", bound_cents=60000)
    words = browser.open(f"/plans/{planned(answer)}").words
    assert "At most 4.4 % above the best possible" in words  # (626.34 − 600) / 600 = 4.39 %


def test_limits_that_are_off_are_named_on_the_plan(browser, planned):
    words = browser.open(f"/plans/{planned(an_answer())}").words
    assert "heat each other" in words  # case 62 leaves count_circuits out
    assert "blows the fuse" not in words.split("Worth a look")[0]  # and asks for a far fault of 5 times


def test_a_running_plan_refreshes_without_scripts_and_tells_how_far_it_is(browser, a_job):
    plan_id = plans.start_plan(a_job())
    plans.claim_plan()
    plans.note_progress(plan_id, {"best_cents": 33810, "bound_cents": 31200, "elapsed_s": 3.1})
    page = browser.open(f"/plans/{plan_id}")
    assert "http-equiv" in str(page.tagged("meta"))
    assert "Best so far 338.10" in page.words
    assert "At most 8.4 %" in page.words  # (338.10 − 312.00) / 312.00 = 8.37 %
    answer = browser.client.get(f"/plans/{plan_id}.json").get_json()
    assert (answer["state"], answer["plan"]) == ("running", None)


def test_a_failed_plan_offers_another_try(browser, a_job):
    plan_id = plans.start_plan(a_job())
    plans.claim_plan()
    plans.fail_plan(plan_id, "the search ran out of memory")
    page = browser.open(f"/plans/{plan_id}")
    assert "The search ran out of memory." in page.words
    assert browser.send("Try again").path != f"/plans/{plan_id}"


def test_a_plan_of_an_older_job_says_so(browser, planned):
    plan_id = planned(an_answer())
    job = jobs.get_job(plans.get_plan(plan_id).job_id)
    jobs.save_job(job.id, job.revision, job.document | {"title": "Later"})
    page = browser.open(f"/plans/{plan_id}")
    assert "changed since this plan" in page.words
    assert "Open the newer one" not in page.words
    newer = plans.start_plan(job.id)
    for part in ("", "/buy"):
        page = browser.open(f"/plans/{plan_id}{part}")
        assert "Find cheapest again" not in page.words
        href = {words: href for href, words in page.reader.links}["Open the newer one"]
        assert browser.open(href).path == f"/plans/{newer}"


def test_the_list_shows_total_and_proof(browser, planned):
    planned(an_answer())
    words = browser.open("/").words
    assert "626.34" in words
    assert "proven" in words


def test_a_deleted_job_comes_back_by_undo_and_from_the_bin(browser, a_job):
    job_id = a_job(title="Mast")
    browser.open("/")
    browser.send("Delete")
    assert jobs.list_jobs() == []
    browser.send("Undo")
    assert [job.id for job in jobs.list_jobs()] == [job_id]
    browser.send("Delete")
    browser.open("/bin")
    browser.send("Put back")
    assert [job.id for job in jobs.list_jobs()] == [job_id]


@pytest.mark.parametrize("path", ["/nothing", "/jobs/none/battery", "/plans/none", "/jobs/none/loads/7"])
def test_what_is_not_there_is_said_in_plain_words(browser, path):
    page = browser.open(path)
    assert page.status == 404
    assert "Traceback" not in page.html


def test_the_answer_forbids_inline_code(browser):
    policy = browser.client.get("/").headers["Content-Security-Policy"]
    assert "unsafe-inline" not in policy


def test_a_name_that_turns_the_direction_turns_no_figure(browser, planned, a_job):
    document = jobs.get_job(a_job()).document
    for entry in (*document["places"], *document["loads"]):
        entry["name"] = f"Mast \u202e {entry['id']}"
    plan_id = planned(an_answer(), places=document["places"], loads=document["loads"])
    for part in ("", "/wiring"):
        pieces = re.split("[<>]", browser.open(f"/plans/{plan_id}{part}").html)
        turned = [piece.partition("\u202e")[2] for piece in pieces if "\u202e" in piece]
        assert turned
        assert all("\u2069" in after for after in turned), turned
