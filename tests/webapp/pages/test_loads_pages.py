"""Loads: quick add, the OUTPUT line, edit, duplicate, remove and undo."""

from __future__ import annotations

import json
import time
from pathlib import Path

import pytest
from page_browser import plain

from optimizer.planner import plan
from seed_catalog import load_catalogue
from webapp.forms import loads, presets
from webapp.forms.output_line import read_output_line
from webapp.forms.presets import PRESETS
from webapp.forms.reading import Unreadable
from webapp.schemas import ranges, read_catalogue, read_job
from webapp.services import jobs, statements

MOST_LOADS = 200
WORKED_S = 2.0  # of the processor, for one page


@pytest.mark.parametrize(
    ("text", "volts", "watts"),
    [
        pytest.param("19.5V 3.34A", 19.5, 65.1, id="laptop"),  # 19.5 × 3.34 = 65.13
        pytest.param("OUTPUT: 12V ⎓ 2000mA", 12, 24, id="milliamps"),
        pytest.param("19,5V⎓3,34A", 19.5, 65.1, id="decimal commas"),
        pytest.param("Output 12 VDC, 1.5 A", 12, 18, id="vdc"),
        pytest.param("24V 60W", 24, 60, id="watts"),
        pytest.param("5V 3A, 9V 3A, 20V 3.25A", 20, 65, id="several"),
        pytest.param("5V⎓3A / 9V⎓3A / 15V⎓3A / 20V⎓3.25A 65W", 20, 65, id="several and their sum"),
        pytest.param("3.3-11V 5A", 11, 55, id="programmable"),
        pytest.param("12V DC max 2A", 12, 24, id="max"),
        pytest.param("3.34A 19.5V", 19.5, 65.1, id="amps first"),
        pytest.param("INPUT: 100-240V~ 50/60Hz 1.5A OUTPUT: 19.5V ⎓ 3.34A", 19.5, 65.1, id="the whole label"),
        pytest.param("Output 12V 5A Input 100-240V 1.5A", 12, 60, id="output first"),
        pytest.param("AC/DC adapter 12V 2A", 12, 24, id="its name"),
    ],
)
def test_an_output_line_is_volts_and_watts(text, volts, watts):
    line = read_output_line(text)
    assert (line.volts, line.watts) == (volts, watts)


@pytest.mark.parametrize(
    ("text", "window"),
    [
        pytest.param("5V/3A, 9V/2A", (4.75, 9.45), id="phone"),  # 5 - 5 %, 9 + 5 %
        pytest.param("5V 3A / 9V 2A / 12V 1.5A", (4.75, 12.6), id="phone, three voltages"),
        pytest.param("5V 3A, 9V 3A, 15V 3A", (14.25, 15.75), id="45 W: a laptop may need all of its volts"),
        pytest.param("12V 2A, 5V 2A", (11.4, 12.6), id="both at once"),
        pytest.param("5V 2A", (4.75, 5.25), id="one"),
    ],
)
def test_a_small_device_takes_each_voltage_its_adapter_offers(text, window):
    line = read_output_line(text)
    assert (line.min_v, line.max_v) == window


@pytest.mark.parametrize(("line", "name"), [("5V/3A, 9V/2A", "5 to 9 V load"), ("12V 2A", "12 V load")])
def test_a_load_without_a_name_is_named_by_every_voltage_it_takes(browser, a_job, line, name):
    job_id = a_job(loads=[])
    browser.open(f"/jobs/{job_id}/loads")
    browser.send("Add from its OUTPUT line", output=line)
    assert [plain(load["name"]) for load in jobs.get_job(job_id).document["loads"]] == [name]


def test_the_output_line_of_a_phone_is_a_load_that_the_catalogue_can_feed(browser, a_job):
    van = json.loads((Path(__file__).parents[3] / "seed_catalog" / "demo" / "library-van.json").read_text())
    job_id = a_job(**van | {"loads": [], "owned": []})
    browser.open(f"/jobs/{job_id}/loads")
    browser.send("Add from its OUTPUT line", output="5V/3A, 9V/2A", what="Phone")
    document = jobs.get_job(job_id).document
    document.pop("ac")
    job, catalogue = read_job(document).value, read_catalogue(load_catalogue()).value
    assert len(plan(job, catalogue, time_limit_s=60).circuits) == 1


@pytest.mark.parametrize(
    "text",
    [
        "100-240V 1.5A",
        "100-240V~ 50/60Hz 1.5A",
        "100-240V~, 50/60 Hz, 1.5A",
        "100V–240V 1,5A",
        "100 to 240 V 1.5A",
        "INPUT 230V 0.5A",
        "Input: 24V 1A",
        "AC 120V 1A",
        "127V~ 2A",
        "220-240VAC 60W",
    ],
)
def test_an_input_line_is_refused_as_mains(text):
    with pytest.raises(Unreadable, match="INPUT line"):
        read_output_line(text)


@pytest.mark.parametrize("text", ["12V~ 1A", "12VAC 1A", "OUTPUT: AC 24V 500mA", "16 V a.c. 1A"])
def test_an_output_of_alternating_current_is_refused_as_such(text):
    with pytest.raises(Unreadable, match="alternating"):
        read_output_line(text)


@pytest.mark.parametrize(
    ("text", "missing"), [("19.5V", "amps or watts are missing"), ("65W", "volts are missing"), ("USB-C", "Copy the")]
)
def test_what_is_missing_is_named(text, missing):
    with pytest.raises(Unreadable, match=missing):
        read_output_line(text)


@pytest.mark.parametrize("text", ["-12V 1A", "OUTPUT: −24 V 500mA", "+12V 2A, -12V 0.5A"])
def test_an_output_below_zero_is_not_taken_for_its_opposite(text):
    with pytest.raises(Unreadable, match="below 0"):
        read_output_line(text)


@pytest.mark.parametrize("text", ["OUTPUT-12V 1A", "OUTPUT - 12V 1A", "9-12V 1A", "12V - 1A", "+12V 2A"])
def test_a_dash_between_words_is_no_minus(text):
    assert read_output_line(text).volts == 12


@pytest.mark.parametrize("text", ["72V 2A", "19.5V", "", "router", "0V 3A"])
def test_what_is_no_usable_output_is_refused(text):
    with pytest.raises(Unreadable):
        read_output_line(text)


def test_an_input_line_on_the_page_keeps_the_entry(browser, a_job):
    browser.open(f"/jobs/{a_job()}/loads")
    page = browser.send("Add from its OUTPUT line", output="100-240V 1.5A", what="Laptop")
    assert page.status == 422
    assert "That is the INPUT line" in page.words
    typed = {at.get("name"): at.get("value") for at in page.tagged("input")}
    assert (typed["output"], typed["what"]) == ("100-240V 1.5A", "Laptop")


@pytest.mark.parametrize("preset", PRESETS, ids=lambda preset: preset.key)
def test_every_preset_is_stored_and_marked_typical(browser, a_job, preset):
    job_id = a_job(loads=[])
    browser.open(f"/jobs/{job_id}/loads")
    page = browser.send(f"{plain(preset.short)} {plain(preset.usual)}")
    (load,) = jobs.get_job(job_id).document["loads"]
    assert load["name"] == preset.name
    assert "typical" in page.words
    assert "loads/0/peak_w" in jobs.get_job(job_id).document["assumed"]


def test_a_usual_load_whose_place_is_gone_is_led_to_another_or_to_where_one_is_stated(browser, a_job):
    for left, said in ((1, "Where it sits: This place is not there any more."), (0, "no other is stated.")):
        job_id = a_job(loads=[])
        browser.open(f"/jobs/{job_id}/loads")
        for place in jobs.get_job(job_id).document["places"][: None if not left else 1]:
            statements.remove_entry(job_id, "places", place["id"])
        page = browser.send("Router 12 V 11 W")
        assert page.status == 422
        assert said in page.words
        leads_on = [at["href"] for at in page.tagged("a") if at.get("href") == f"/jobs/{job_id}/places"]
        choices = [at["href"] for at in page.tagged("a") if at.get("href") == "#f-where"]
        assert (bool(choices), len(leads_on) > 2) == (bool(left), True)


def test_an_edited_figure_loses_its_mark_and_the_others_keep_it(browser, a_job):
    job_id = a_job(loads=[])
    browser.open(f"/jobs/{job_id}/loads")
    browser.send("Router 12 V 11 W")
    browser.open(f"/jobs/{job_id}/loads/0")
    browser.send("Save", typical_w="9,5 W")
    document = jobs.get_job(job_id).document
    assert document["loads"][0]["typical_w"] == 9.5
    assert "loads/0/typical_w" not in document["assumed"]
    assert "loads/0/peak_w" in document["assumed"]


def test_a_removed_load_comes_back_where_it_was_with_its_marks(browser, a_job):
    job_id = a_job(assumed=["loads/0/peak_w", "loads/1/typical_w"])
    before = jobs.get_job(job_id).document
    browser.open(f"/jobs/{job_id}/loads")
    browser.send("Remove")
    after = jobs.get_job(job_id).document
    assert [load["id"] for load in after["loads"]] == ["L1", "L2", "L3"]
    assert after["assumed"] == ["loads/0/typical_w"]
    browser.send("Undo")
    restored = jobs.get_job(job_id).document
    assert restored["loads"] == before["loads"]
    assert sorted(restored["assumed"]) == sorted(before["assumed"])


def test_a_duplicated_load_gets_an_id_of_its_own(browser, a_job):
    job_id = a_job()
    browser.open(f"/jobs/{job_id}/loads")
    browser.send("Duplicate")
    ids = [load["id"] for load in jobs.get_job(job_id).document["loads"]]
    assert len(ids) == len(set(ids)) == 5


def test_a_duplicate_of_the_longest_name_says_that_it_is_one(browser, a_job):
    job_id = a_job()
    browser.open(f"/jobs/{job_id}/loads/0")
    browser.send("Save", name="n" * ranges.NAME_CHARS)
    browser.open(f"/jobs/{job_id}/loads")
    browser.send("Duplicate")
    assert jobs.get_job(job_id).document["loads"][1]["name"] == "n" * (ranges.NAME_CHARS - len(" (copy)")) + " (copy)"


def test_names_as_long_as_programs_may_give_are_saved_by_the_forms_as_they_are(browser, a_job):
    document = jobs.get_job(a_job()).document
    longest = {each: letter * ranges.NAME_CHARS for each, letter in (("title", "t"), ("place", "p"), ("load", "l"))}
    document["title"] = longest["title"]
    document["places"][0]["name"], document["loads"][0]["name"] = longest["place"], longest["load"]
    job = jobs.start_job(document)
    for path, button in (("battery", "Save, next: places"), ("places/0", "Save"), ("loads/0", "Save")):
        browser.open(f"/jobs/{job.id}/{path}")
        assert browser.send(button).status == 200, path
    kept = jobs.get_job(job.id).document
    assert [kept["title"], kept["places"][0]["name"], kept["loads"][0]["name"]] == list(longest.values())


def test_after_duplicating_one_of_many_loads_its_copy_is_in_sight(browser, a_job):
    job_id = a_job()
    document = jobs.get_job(job_id).document
    twins = [{**document["loads"][0], "id": f"L{number}", "name": f"Lamp {number}"} for number in range(20, 34)]
    jobs.save_job(job_id, jobs.get_job(job_id).revision, {**document, "loads": twins})
    browser.open(f"/jobs/{job_id}/loads?where={twins[0]['place']}")
    answer = browser.client.post(f"/jobs/{job_id}/loads/duplicate", data=dict(browser.page.form("Duplicate").values))
    assert answer.location == f"/jobs/{job_id}/loads?where={twins[0]['place']}#added"
    assert jobs.get_job(job_id).document["loads"][1]["name"] == "Lamp 20 (copy)"


def test_a_load_of_0_w_is_refused_beside_its_field(browser, a_job):
    browser.open(f"/jobs/{a_job()}/loads/0")
    page = browser.send("Save", peak_w="0")
    assert page.status == 422
    assert any(href == "#f-peak_w" for href, _ in page.reader.links)


def test_a_load_by_hand_is_stored_whole(browser, a_job):
    job_id = a_job(loads=[])
    browser.open(f"/jobs/{job_id}/loads/new")
    browser.send(
        "Add this load",
        name="Heater",
        form="dc-wire",
        min_v="10",
        max_v="15",
        peak_w="40",
        typical_w="40",
        hours_per_day="2 h 30",
        lead="cut",
        length_m="80 cm",
        behaviour="resistive",
        rated_v="12",
        drop_pct="5",
    )
    (load,) = jobs.get_job(job_id).document["loads"]
    assert load["lead"] == {"kind": "cut", "length_m": 0.8}
    assert (load["behaviour"], load["rated_v"], load["hours_per_day"]) == ("resistive", 12, 2.5)


def test_a_load_removed_elsewhere_is_not_lost_while_it_is_edited(browser, a_job):
    job_id = a_job()
    browser.open(f"/jobs/{job_id}/loads/0")
    job = jobs.get_job(job_id)
    jobs.save_job(job_id, job.revision, job.document | {"loads": job.document["loads"][1:]})
    page = browser.send("Save", name="Kept router")
    assert page.status == 409
    browser.send("Add this load")
    assert "Kept router" in [load["name"] for load in jobs.get_job(job_id).document["loads"][-1:]]


@pytest.mark.parametrize("number", [0, 200])
def test_the_list_holds_with_no_load_and_with_200(browser, a_job, number):
    job_id = a_job()
    first = jobs.get_job(job_id).document["loads"][0]
    job_id = a_job(loads=[first | {"id": f"L{index}", "name": f"Load {index}"} for index in range(number)])
    page = browser.open(f"/jobs/{job_id}/loads")
    assert page.status == 200
    assert sum(words == "Duplicate" for form in page.reader.forms for *_, words in form.buttons) == number


def test_pages_of_200_loads_take_little_work(browser, a_job):
    first = jobs.get_job(a_job()).document["loads"][0]
    job_id = a_job(loads=[first | {"id": f"L{index}", "name": f"Load {index}"} for index in range(MOST_LOADS)])
    browser.open("/jobs/new")  # the first page of all reads what they share
    for page in ("loads", f"loads/{MOST_LOADS - 1}", "limits", "assumed"):
        began_s = time.process_time()
        assert browser.open(f"/jobs/{job_id}/{page}").status == 200
        assert time.process_time() - began_s < WORKED_S, page


def test_many_loads_are_folded_by_place_and_found_by_words(browser, a_job):
    first = jobs.get_job(a_job()).document["loads"][0]
    loads = [first | {"id": f"L{index}", "name": f"Load {index}"} for index in range(40)]
    job_id = a_job(loads=loads)

    def folds(page):
        return ["open" in at for at in page.tagged("details") if at.get("class") == "fold"]

    assert folds(browser.open(f"/jobs/{job_id}/loads")) == [True]  # the place the next load goes to
    page = browser.open(f"/jobs/{job_id}/loads?find=LOAD 39")
    assert [words for href, words in page.reader.links if f"{job_id}/loads/" in href and "39" in href] != []
    assert "Load 38" not in page.words
    assert "No load with “teapot”" in browser.open(f"/jobs/{job_id}/loads?find=teapot").words


def test_energy_over_hours_on_a_meter_becomes_the_usual_draw(browser, a_job):
    job_id = a_job(assumed=["loads/0/typical_w", "loads/0/peak_w"])
    browser.open(f"/jobs/{job_id}/loads/0")
    browser.send("Save", measured_wh="0,05 kWh", measured_h="10 h")
    document = jobs.get_job(job_id).document
    assert document["loads"][0]["typical_w"] == 5
    assert document["assumed"] == ["loads/0/peak_w"]


@pytest.mark.parametrize(
    "answers", [{"measured_wh": "350"}, {"measured_h": "10"}, {"measured_wh": "9", "measured_h": "0"}]
)
def test_half_a_measurement_is_asked_for_whole(browser, a_job, answers):
    job_id = a_job()
    before = jobs.get_job(job_id).document
    browser.open(f"/jobs/{job_id}/loads/0")
    page = browser.send("Save", **answers)
    assert page.status == 422
    assert "Enter both what the meter said" in page.words
    assert jobs.get_job(job_id).document == before


NASTY = '<script>alert("1")</script>&amp;\u202eзима 電気 "\' ñ'


def test_markup_and_any_script_are_shown_as_text(browser, a_job):
    job_id = a_job()
    document = jobs.get_job(job_id).document
    document |= {"title": NASTY}
    document["places"][0]["name"] = document["loads"][0]["name"] = NASTY
    jobs.save_job(job_id, 1, document)
    for path in ("/", f"/jobs/{job_id}/battery", f"/jobs/{job_id}/places", f"/jobs/{job_id}/places/0"):
        page = browser.open(path)
        assert "<script>alert" not in page.html
        assert " ".join(NASTY.split()) in page.words or NASTY in str(page.tagged("input"))
    for path in ("loads", "loads/0", "limits", "plan"):
        page = browser.open(f"/jobs/{job_id}/{path}")
        assert "<script>alert" not in page.html


def test_150_preset_loads_can_be_added_each_with_its_marks(browser, a_job):
    job = jobs.get_job(a_job(loads=[]))
    document = job.document
    for _ in range(149):
        document = loads.add_preset(document, presets.BY_KEY["router"], "P0")
    jobs.save_job(job.id, job.revision, document)
    browser.open(f"/jobs/{job.id}/loads")
    browser.send("Router 12 V 11 W")
    assert len(jobs.get_job(job.id).document["loads"]) == 150


@pytest.mark.parametrize(
    ("button", "answers", "name"),
    [
        ("Router 12 V 11 W", {}, "Router"),
        ("Add from its OUTPUT line", {"output": "19.5V 3.34A", "what": "Till"}, "Till"),
    ],
)
def test_what_was_added_is_said_at_it_with_a_way_back(browser, a_job, button, answers, name):
    job_id = a_job()
    browser.open(f"/jobs/{job_id}/loads")
    page = browser.send(button, **answers)
    assert f"Added: {name}." in page.words
    made = jobs.get_job(job_id).document["loads"][-1]
    assert dict(page.form("Undo").values)["entry"] == made["id"]
    browser.send("Undo")
    assert made["id"] not in [load["id"] for load in jobs.get_job(job_id).document["loads"]]


def test_what_is_said_of_no_load_is_said_whatever_the_loads_are_called(browser, a_job):
    document = jobs.get_job(a_job()).document
    document["loads"][0]["id"] = "stop"
    job_id = jobs.start_job(document).id
    browser.open(f"/jobs/{job_id}/loads")
    removed = browser.send("Remove")
    undo = removed.form("Undo")
    for said in (False, True):  # the second time it is back already
        browser.client.post(undo.action, data={"csrf_token": dict(undo.values)["csrf_token"]})
        assert ("There is nothing left to undo." in browser.open(f"/jobs/{job_id}/loads").words) == said
    assert jobs.get_job(job_id).document["loads"][0]["id"] == "stop"
