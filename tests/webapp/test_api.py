"""The JSON API: what it takes, what it refuses, and what every answer carries."""

from __future__ import annotations

import json
import re

import pytest

from webapp.services import jobs, marks, plans
from webapp.services.errors import FaultyDocument

JSON = {"Content-Type": "application/json"}


def pointers(answer):
    return {fault["pointer"] for fault in answer.json["faults"]}


@pytest.fixture
def posted(client, job):
    answer = client.post("/api/jobs", json=job)
    assert answer.status_code == 201
    return answer.json["id"]


def test_a_job_posted_can_be_fetched(client, job):
    answer = client.post("/api/jobs", json=job)
    fetched = client.get(answer.headers["Location"])
    assert fetched.json["document"] == job
    assert (fetched.json["revision"], fetched.headers["ETag"]) == (1, '"1"')


def test_jobs_are_listed(client, posted, job):
    (listed,) = client.get("/api/jobs").json["jobs"]
    assert (listed["id"], listed["title"], listed["revision"], listed["plan"]) == (posted, job["title"], 1, None)


def test_a_change_names_the_revision_it_was_made_on(client, posted, job):
    address = f"/api/jobs/{posted}"
    changed = client.put(address, json={**job, "title": "Second"}, headers={"If-Match": '"1"'})
    assert (changed.status_code, changed.json["revision"], changed.headers["ETag"]) == (200, 2, '"2"')
    stale = client.put(address, json={**job, "title": "Third"}, headers={"If-Match": '"1"'})
    assert stale.status_code == 412
    assert client.get(address).json["title"] == "Second"


@pytest.mark.parametrize(
    ("match", "status"), [(None, 428), ('"1", "2"', 428), ("*", 428), ('"one"', 400), ('"²"', 400), ('"-1"', 400)]
)
def test_a_change_of_nothing_in_particular_is_refused(client, posted, job, match, status):
    headers = {} if match is None else {"If-Match": match}
    assert client.put(f"/api/jobs/{posted}", json=job, headers=headers).status_code == status


def test_every_fault_comes_with_its_pointer(client, job, app):
    job["loads"][0]["place"] = "shelf"
    job["bus"]["low_v"] = 99
    answer = client.post("/api/jobs", json=job)
    assert answer.status_code == 422
    assert {"loads/0/place", "bus/low_v"} <= pointers(answer)
    with app.app_context():
        assert jobs.list_jobs() == []


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"[]",
        b"null",
        b'"job"',
        b"{}",
        b"\xff\xfe",
        b'{"format": "job/2"}',
        b'{"format": NaN}',
        b'{"a": 1e999}',
        b'{"a": ' + b"9" * 5000 + b"}",
        b"[" * 100_000,
        b'{"title": "\\ud800"}',
        b'{"title": "a", "title": "b"}',
    ],
    ids=lambda body: repr(body[:20]),
)
def test_what_is_no_job_is_told_in_words(client, body):
    answer = client.post("/api/jobs", data=body, headers=JSON)
    assert answer.status_code == 422
    assert all(fault["message"] for fault in answer.json["faults"])
    assert "Traceback" not in answer.text


@pytest.mark.parametrize("name", ["title", "places/0/name", "loads/0/name"])
@pytest.mark.parametrize("text", ["\x00", "\ud800", "a\nb"])
def test_text_no_page_can_show_is_refused(client, job, name, text):
    *path, last = name.split("/")
    entry = job
    for step in path:
        entry = entry[int(step) if step.isdigit() else step]
    entry[last] = text
    answer = client.post("/api/jobs", data=json.dumps(job), headers=JSON)
    assert answer.status_code == 422
    assert name in pointers(answer)


@pytest.mark.parametrize("url", ["/api/jobs", "/jobs/new"])
def test_five_megabytes_and_a_bit_are_too_much(client, url):
    answer = client.post(url, data=b"x" * 5_000_001, headers=JSON)
    assert answer.status_code == 413
    assert "larger than any job needs" in answer.text
    assert "Traceback" not in answer.text


def test_a_job_of_nearly_five_megabytes_is_judged(client, job):
    job["loads"] = [{**job["loads"][0], "id": f"L{n}", "name": "x" * 180} for n in range(10_000)]
    body = json.dumps(job)
    assert 4_000_000 < len(body) < 5_000_000
    answer = client.post("/api/jobs", data=body, headers=JSON)
    assert answer.status_code == 422
    assert "loads" in pointers(answer)


def test_what_is_not_json_is_refused_before_it_is_read(client, job):
    answer = client.post("/api/jobs", data=json.dumps(job), headers={"Content-Type": "text/plain"})
    assert answer.status_code == 415


@pytest.mark.parametrize(
    "headers",
    [
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Origin": "https://elsewhere.example"},
        {"Origin": "null"},
        {"Origin": "http://localhost:1234"},
        {"Origin": "http://["},
    ],
)
def test_another_web_site_changes_nothing(client, job, app, headers):
    answer = client.post("/api/jobs", json=job, headers=headers)
    assert answer.status_code == 403
    with app.app_context():
        assert jobs.list_jobs() == []


@pytest.mark.parametrize("headers", [{"Sec-Fetch-Site": "same-origin"}, {"Origin": "http://localhost"}, {}])
def test_our_own_pages_and_programs_may_change_things(client, job, headers):
    assert client.post("/api/jobs", json=job, headers=headers).status_code == 201


@pytest.mark.parametrize("host", ["evil.example", "localhost.evil.example", "127.0.0.1.evil.example"])
def test_a_foreign_name_gets_no_answer(client, host):
    assert client.get("/api/jobs", headers={"Host": host}).status_code == 421


def test_a_page_under_a_foreign_name_asks_for_nothing_that_would_be_refused_too(client):
    answer = client.get("/", headers={"Host": "evil.example", "Accept-Language": "de"})
    assert answer.status_code == 421
    assert "Nicht unter diesem Namen" in answer.text
    assert "localhost" in answer.text
    assert 'name="viewport"' in answer.text  # readable on a phone
    assert not re.search(r"<(link|script|a|form|img)\b", answer.text)


def test_a_name_that_no_address_can_have_gets_a_sentence_too(client, caplog):
    """Then there are no addresses for a page to name."""
    answer = client.get("/", headers={"Host": "x" * 300})
    assert answer.status_code == 421
    assert "does not know this name" in answer.text
    (line,) = caplog.records  # anybody can send one: no trace
    assert line.exc_info is None
    assert len(line.getMessage()) < 200


@pytest.mark.parametrize("host", ["localhost:8000", "127.0.0.1:8000", "[::1]:8000", "192.168.1.20:8000", "van.local"])
def test_own_names_and_plain_addresses_are_answered(client, host):
    assert client.get("/api/jobs", headers={"Host": host}).status_code == 200


def test_a_form_without_its_token_changes_nothing(client, app, job):
    with app.app_context():
        job_id = jobs.start_job(job).id
    answer = client.post(f"/jobs/{job_id}/delete")
    assert answer.status_code == 400
    assert "Nothing was saved" in answer.text
    with app.app_context():
        assert len(jobs.list_jobs()) == 1


def test_a_plan_is_started_watched_and_read(client, posted, app, plan):
    started = client.post(f"/api/jobs/{posted}/plans", json={"time_limit_s": 5})
    assert started.status_code == 202
    address = started.headers["Location"]
    assert client.get(address).json["state"] == "queued"
    with app.app_context():
        assert plans.claim_plan().time_limit_s == 5
        plans.finish_plan(started.json["id"], plan, "s")
    ended = client.get(address).json
    assert (ended["state"], ended["plan"], ended["job_revision"]) == ("done", plan, 1)
    assert ended["waits"] is None
    assert client.get(f"/api/jobs/{posted}/plans").json["plans"][0]["total_cents"] == plan["total_cents"]


PERSON = "person/name"


@pytest.fixture
def waiting(client, job, app, plan):
    """A finished plan near petrol, and its whole document."""
    job["places"][0]["fuel"] = True
    posted = client.post("/api/jobs", json=job).json["id"]
    plan_id = client.post(f"/api/jobs/{posted}/plans").json["id"]
    with app.app_context():
        plans.claim_plan()
        plans.finish_plan(plan_id, plan, "s")
    return plan_id, plan


@pytest.mark.parametrize("address", ["/api/plans/{}", "/plans/{}.json"])
def test_a_plan_that_waits_for_a_person_is_shown_and_not_handed_out(client, app, waiting, address):
    plan_id, document = waiting
    answer = client.get(address.format(plan_id)).json
    assert (answer["state"], answer["plan"]) == ("done", None)
    assert answer["waits"]["reasons"][0].startswith("Petrol or gas at ")
    assert answer["waits"]["name_somebody_at"] == f"/plans/{plan_id}#person"
    design = answer["waits"]["design"]
    assert not design.keys() & {"orders", "deliveries", "cuts", "format"}  # nothing that passes for a plan/1 document
    assert design == {name: document[name] for name in design}
    assert {"status", "total_cents", "circuits", "feeds", "checks"} <= design.keys()
    with app.app_context():
        marks.set_mark(plan_id, PERSON, "", "Ada Finch, fitter")
    named = client.get(address.format(plan_id)).json
    assert (named["plan"], named["waits"]) == (document | {"answered_by": "Ada Finch, fitter"}, None)
    with app.app_context():
        marks.set_mark(plan_id, PERSON, "Ada Finch, fitter", "")
    assert client.get(address.format(plan_id)).json["plan"] is None


@pytest.mark.parametrize("name", ["\u200b", "-", "A" * 81, "Ada\x1b[2J"])
def test_a_name_that_names_nobody_is_not_recorded(app, waiting, name):
    plan_id, _document = waiting
    with app.app_context():
        with pytest.raises(FaultyDocument) as refused:
            marks.set_mark(plan_id, PERSON, "", name)
        assert [fault.pointer for fault in refused.value.faults] == [PERSON]
        assert marks.marks_of(plan_id) == {}


def test_a_plan_needs_no_options(client, posted):
    assert client.post(f"/api/jobs/{posted}/plans").status_code == 202


def test_a_search_that_names_no_limit_has_a_minute(client, posted, app):
    assert client.post(f"/api/jobs/{posted}/plans").status_code == 202
    with app.app_context():
        assert plans.claim_plan().time_limit_s == 60


@pytest.mark.parametrize(
    "options",
    [*({"time_limit_s": limit} for limit in (0, -5, 0.5, 601, "5", "soon", True, None, [])), {"speed": 1}],
    ids=str,
)
def test_options_nobody_knows_are_refused(client, posted, options):
    answer = client.post(f"/api/jobs/{posted}/plans", json=options)
    assert answer.status_code == 422
    assert pointers(answer) == set(options)
    assert "speed" in options or "a number of seconds from 1 to 600" in answer.text
    assert client.get(f"/api/jobs/{posted}/plans").json["plans"] == []


@pytest.mark.parametrize("limit", [b"NaN", b"Infinity", b"1e999", b"9" * 400])
def test_a_number_that_is_none_is_no_time_limit(client, posted, limit):
    answer = client.post(f"/api/jobs/{posted}/plans", data=b'{"time_limit_s": ' + limit + b"}", headers=JSON)
    assert answer.status_code == 422


def test_a_plan_that_waits_is_cancelled_and_once_more_does_no_harm(client, posted):
    address = client.post(f"/api/jobs/{posted}/plans").headers["Location"]
    assert client.get(address).json["ahead"] == 0
    cancelled = client.post(f"{address}/cancel")
    assert (cancelled.status_code, cancelled.json["state"], cancelled.json["plan"]) == (200, "cancelled", None)
    assert cancelled.json["message"] == plans.NEVER_BEGUN
    again = client.post(f"{address}/cancel", json={})
    assert (again.status_code, again.json) == (200, cancelled.json)


def test_a_running_plan_is_asked_to_end(client, posted, app):
    address = client.post(f"/api/jobs/{posted}/plans").headers["Location"]
    with app.app_context():
        plans.claim_plan()
    for _ in range(2):
        asked = client.post(f"{address}/cancel")
        assert (asked.status_code, asked.json["state"], asked.json["cancel_asked"]) == (202, "running", True)


def test_a_form_of_another_site_cancels_nothing(client, posted):
    address = client.post(f"/api/jobs/{posted}/plans").headers["Location"]
    assert client.post(f"{address}/cancel", data={"a": "b"}).status_code == 415
    assert client.post(f"{address}/cancel", headers={"Sec-Fetch-Site": "cross-site"}).status_code == 403
    assert client.get(address).json["state"] == "queued"


def test_programs_on_one_machine_share_their_turns(client, job, app):
    """Ten plans of one machine do not keep another one waiting; no address is kept."""
    for title in ("a", "b"):
        posted = client.post("/api/jobs", json={**job, "title": title}).json["id"]
        client.post(f"/api/jobs/{posted}/plans", environ_base={"REMOTE_ADDR": "192.0.2.7"})
    other = client.post("/api/jobs", json={**job, "title": "c"}).json["id"]
    answer = client.post(f"/api/jobs/{other}/plans", environ_base={"REMOTE_ADDR": "192.0.2.8"})
    assert client.get(answer.headers["Location"]).json["ahead"] == 1
    with app.app_context():
        plans.claim_plan()
        assert plans.claim_plan().plan_id == answer.json["id"]
    with app.extensions["thriftloom_database"].engine.connect() as connection:
        assert not [row for row in connection.exec_driver_sql("SELECT asked_by FROM plans") if "192" in row[0]]


def test_a_job_that_is_not_ready_says_what_is_missing(client, job):
    begun = client.post("/api/jobs", json={**job, "places": [], "loads": []}).json["id"]
    answer = client.post(f"/api/jobs/{begun}/plans")
    assert answer.status_code == 422
    assert pointers(answer) == {"places", "loads"}


def test_the_catalogue_can_be_read_and_its_past(client, app):
    now = client.get("/api/catalogue").json
    assert now["document"]["format"] == "catalogue/1"
    assert client.get(f"/api/catalogue/{now['revision']}").json == now


@pytest.mark.parametrize(
    "path",
    [
        "/api/jobs/nobody",
        "/api/plans/nobody",
        "/api/catalogue/99",
        "/api/catalogue/9223372036854775808",
        "/api/jobs/nobody/plans",
        "/api/nowhere",
    ],
)
def test_what_is_not_there_is_told_as_json(client, path):
    answer = client.get(path)
    assert answer.status_code == 404
    assert answer.json["faults"][0]["message"]


def test_a_method_nobody_takes_is_told_with_those_that_are(client):
    answer = client.delete("/api/jobs")
    assert answer.status_code == 405
    assert {"GET", "POST"} <= set(answer.headers["Allow"].split(", "))


def test_health_is_the_databases_health(client, database, monkeypatch):
    assert client.get("/healthz").json == {"state": "ready"}
    from sqlalchemy.exc import OperationalError

    def gone():
        raise OperationalError("SELECT 1", None, Exception("disk I/O error"))

    monkeypatch.setattr(database, "check", gone)
    assert client.get("/healthz").status_code == 503
