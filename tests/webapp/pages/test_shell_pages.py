"""What a device keeps: the worker's list, and every page on it."""

from __future__ import annotations

import json
import re
import struct

import pytest


def shell_of(client):
    script = client.get("/sw.js").get_data(as_text=True)
    found = re.search(r"^const SHELL = (\[.*\]);$", script, re.MULTILINE)
    assert found
    return json.loads(found[1])


def test_everything_the_worker_keeps_is_there(pages_app):
    client = pages_app.test_client()
    shell = shell_of(client)
    assert {"/offline", "/jobs/new", "/settings", "/words"} <= set(shell)
    assert [(address, status) for address in shell if (status := client.get(address).status_code) != 200] == []


def test_the_worker_is_asked_for_anew_every_time(pages_app):
    answer = pages_app.test_client().get("/sw.js")
    assert answer.headers["Cache-Control"] == "no-cache"
    assert answer.mimetype == "text/javascript"


def test_the_worker_is_one_classic_script(pages_app):
    script = pages_app.test_client().get("/sw.js").get_data(as_text=True)
    assert not re.search(r"^(import|export)\b", script, re.MULTILINE)
    constants = re.findall(r"^(?:const|let|async function|function) (\w+)", script, re.MULTILINE)
    assert sorted(constants) == sorted(set(constants))


@pytest.mark.parametrize("step", ["battery", "places", "loads", "loads/new", "limits", "owned?kind=fuse", "plan"])
def test_blank_pages_are_sound(browser, step):
    page = browser.open(f"/blank/{step}")
    assert page.status == 200
    assert "0" * 26 in page.html  # where the device puts the id of its job


def test_a_blank_page_of_no_step_is_not_found(pages_app):
    assert pages_app.test_client().get("/blank/nowhere").status_code == 404


def test_a_script_that_sends_a_form_is_told_where_to_go(browser, a_job):
    job_id = a_job()
    form = browser.open(f"/jobs/{job_id}/places").form("Add this place")
    answers = {**dict(form.values), "name": "Loft", "run_m": "4"}
    answer = browser.client.post(f"/jobs/{job_id}/places", data=answers, headers={"Thriftloom-Go": "1"})
    assert (answer.status_code, answer.headers["Thriftloom-Go"]) == (204, f"/jobs/{job_id}/places")
    assert "Loft" in browser.open(f"/jobs/{job_id}/places").words


def test_a_copy_for_the_device_does_not_use_up_what_is_said_once(browser, a_job):
    job_id = a_job()
    browser.open("/")
    form = next(form for form in browser.page.reader.forms if form.action == f"/jobs/{job_id}/delete")
    browser.client.post(form.action, data=dict(form.values))
    browser.client.get("/", headers={"Thriftloom-Keep": "1"})
    assert "It stays in the bin" in browser.open("/").words


def test_the_manifest_makes_an_app_of_it(pages_app):
    manifest = pages_app.test_client().get("/manifest.webmanifest").json
    assert (manifest["id"], manifest["start_url"], manifest["display"]) == ("/", "/?from=home", "standalone")
    assert {icon["purpose"] for icon in manifest["icons"]} == {"any", "maskable"}
    assert {each["url"] for each in manifest["shortcuts"]} == {"/jobs/new", "/"}


def test_the_installer_has_pictures_that_no_device_keeps(pages_app):
    client = pages_app.test_client()
    client.set_cookie("language", "de")
    screens = client.get("/manifest.webmanifest").json["screenshots"]
    assert {each["form_factor"] for each in screens} == {"narrow", "wide"}
    worker = client.get("/sw.js").text
    for each in screens:
        body = client.get(each["src"]).data
        assert "x".join(map(str, struct.unpack(">II", body[16:24]))) == each["sizes"]  # as the file itself says
        assert len(body) < 100_000
        assert each["src"] not in worker
    assert screens[0]["label"] == "Was soll angeschlossen werden?"
