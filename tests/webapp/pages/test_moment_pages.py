"""Times: marked as UTC by the server, ready for a script to show them in the device's own zone."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta, timezone

import pytest
from test_plan_pages import an_answer

from webapp import texts
from webapp.present.clashes import whose_words
from webapp.present.words import moment
from webapp.services import plans

WHEN = datetime(2026, 11, 5, 23, 5, 59, tzinfo=UTC)
TIME = re.compile(r'<time datetime="(\d{4}-\d\d-\d\dT\d\d:\d\dZ)" data-module="moment"( data-zone)?>([^<]+)</time>')


def test_a_moment_says_its_zone():
    assert moment(WHEN) == ('<time datetime="2026-11-05T23:05Z" data-module="moment">5 Nov 2026, 23:05 UTC</time>')


def test_a_moment_of_another_zone_is_said_in_utc():
    east = WHEN.astimezone(timezone(timedelta(hours=5)))
    assert moment(east) == moment(WHEN)


def test_on_paper_scripts_are_told_to_name_the_zone():
    assert " data-zone>" in moment(WHEN, on_paper=True)
    assert "data-zone" not in moment(WHEN)


def test_where_the_near_one_will_do_today_is_its_time_and_any_other_day_itself():
    assert moment(WHEN, near=True).endswith(" data-near>5 Nov 2026</time>")
    assert re.search(r" data-near>\d\d:\d\d UTC</time>$", moment(datetime.now(UTC), near=True))


def test_the_date_is_in_the_language_of_the_page():
    with texts.speaking("de"):
        assert "05.11.2026, 23:05 UTC<" in moment(WHEN)


def test_a_device_with_markup_in_its_name_stays_text():
    said = whose_words("<b>", WHEN)
    assert "&lt;b&gt;" in said
    assert "<time " in said


@pytest.mark.parametrize("path", ["", "/docket", "/labels"])
def test_the_stamp_of_a_plan_is_a_time_with_its_zone(browser, planned, path):
    plan_id = planned(an_answer())
    made = plans.get_plan(plan_id).created_at
    page = browser.open(f"/plans/{plan_id}{path}")
    stamps = TIME.findall(page.html)
    assert stamps
    assert all(stamp[0] == f"{made:%Y-%m-%dT%H:%MZ}" and stamp[1] and stamp[2].endswith(" UTC") for stamp in stamps)
    assert "&lt;time" not in page.html


def test_a_title_with_markup_in_the_stamp_stays_text(browser, planned):
    page = browser.open(f"/plans/{planned(an_answer(), title='<i>Van</i> 50 %')}")
    assert "&lt;i&gt;Van&lt;/i&gt; 50 %" in page.html
    assert "<i>Van" not in page.html


def test_the_list_of_jobs_says_when_each_was_changed(browser, a_job):
    a_job()
    assert re.search(r'<time datetime="[^"]+Z" data-module="moment" data-near>[^<]+ UTC</time>', browser.open("/").html)
