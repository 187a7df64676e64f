"""Times in the zone of the device."""

from __future__ import annotations

import re
from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import expect

from tests.browser import real
from tests.browser.hands import begun


@pytest.mark.parametrize(
    ("zone", "language", "shown"),
    [
        ("Pacific/Auckland", "en-NZ", r"\d{1,2} \w{3,4} \d{4}, \d\d:\d\d [ap]m NZ[DS]T"),
        ("America/New_York", "en-US", r"\w{3} \d{1,2}, \d{4}, \d\d:\d\d [AP]M E[DS]T"),
        ("Europe/Berlin", "de-DE", r"\d{1,2}\. \w{3,4}\.? \d{4}(, | um )\d\d:\d\d MES?Z"),
    ],
)
def test_the_stamp_is_in_the_devices_zone_and_language(chromium, shelf, zone, language, shown):
    with real.patient(chromium.new_context(**real.PHONE, timezone_id=zone, locale=language)) as context:
        page = context.new_page()
        page.goto(f"{shelf.origin}/plans/{shelf.van_plan}")
        stamp = page.locator(".stamp time")
        expect(stamp).not_to_contain_text("UTC")  # wait_for_function asks by eval, which pages here refuse
        text = stamp.text_content().replace("\u202f", " ").replace("\u00a0", " ")
        assert re.fullmatch(shown, text), text
        hour = page.evaluate(
            "(zone) => new Intl.DateTimeFormat('en-GB', { hour: '2-digit', hourCycle: 'h23', timeZone: zone })"
            ".format(new Date(document.querySelector('.stamp time').dateTime))",
            zone,
        )
        said = int(re.search(r"(\d\d):\d\d", text).group(1)) % 12
        assert said == int(hour) % 12


@pytest.mark.parametrize("zone", ["Pacific/Kiritimati", "Pacific/Pago_Pago"])  # in one of them it is not UTC's day
def test_a_job_without_a_name_has_the_day_where_the_device_is(chromium, origin, zone):
    with real.patient(chromium.new_context(**real.PHONE, timezone_id=zone)) as context:
        page = context.new_page()
        page.goto(f"{origin}/jobs/new")
        begun(page)
        page.get_by_label("Type of battery").select_option("agm")
        page.get_by_role("button", name="Start").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("Where are the loads?")
        today = datetime.now(ZoneInfo(zone))
        expect(page).to_have_title(re.compile(rf"Job, (\w+ )?{today.day}\b"))


def test_without_scripts_it_says_utc(chromium, shelf):
    plain = chromium.new_context(**real.PHONE, java_script_enabled=False, timezone_id="Asia/Tokyo")
    with real.patient(plain) as context:
        page = context.new_page()
        page.goto(f"{shelf.origin}/plans/{shelf.van_plan}")
        assert page.locator(".stamp time").text_content().endswith(" UTC")


TWO_TIMES = """async ([moment, words]) => {
    const [{ default: Moment }, { clock }] = [await import(moment), await import(words)];
    const now = new Date(), time = document.createElement("time");
    now.setUTCHours(1, 5);
    Object.assign(time, { dateTime: now.toISOString() }).dataset.near = "";
    new Moment(time);
    return [time.textContent, clock(now)].map((said) => said.replace("\u202f", " "));
}"""


@pytest.mark.parametrize(("language", "shown"), [("en-GB", "01:05"), ("en-US", "1:05 AM"), ("de-DE", "01:05")])
def test_one_time_reads_alike_wherever_it_is_written(chromium, shelf, language, shown):
    """In a list and on the line that says how old a copy is, as it is written where the phone is at home."""
    with real.patient(chromium.new_context(**real.PHONE, locale=language, timezone_id="UTC")) as context:
        page = context.new_page()
        page.goto(f"{shelf.origin}/plans/{shelf.van_plan}")
        main = page.locator("script[src$='/js/main.js']").get_attribute("src")
        addresses = [main.replace("main.js", each) for each in ("modules/moment.js", "offline/words.js")]
        assert page.evaluate(TWO_TIMES, addresses) == [shown, shown]
