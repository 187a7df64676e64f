"""In which language a request is answered."""

from __future__ import annotations

import pytest

from webapp import assets, spoken, texts


@pytest.fixture
def german(client):
    client.set_cookie(spoken.COOKIE, "de")
    return client


def lang_of(answer):
    return answer.get_data(as_text=True).split('<html lang="')[1][:2]


@pytest.mark.parametrize(
    ("asks", "expected"),
    [
        ("de-AT,de;q=0.9,en;q=0.5", "de"),
        ("fr,de;q=0.4", "de"),
        ("fr", "en"),
        ("en-GB,de;q=0.5", "en"),
        ("", "en"),
    ],
)
def test_a_browser_gets_the_language_it_prefers(client, asks, expected):
    answer = client.get("/words", headers={"Accept-Language": asks})
    assert lang_of(answer) == expected
    assert answer.headers["Content-Language"] == expected


def test_what_was_chosen_here_goes_before_what_the_browser_asks(german):
    answer = german.get("/words", headers={"Accept-Language": "en"})
    assert lang_of(answer) == "de"
    assert "Fachwörter" in answer.get_data(as_text=True)


def test_a_cookie_of_a_language_there_is_not_counts_for_nothing(client):
    client.set_cookie(spoken.COOKIE, "../de")
    assert lang_of(client.get("/words", headers={"Accept-Language": "de"})) == "de"
    assert lang_of(client.get("/words")) == "en"


def test_pages_say_what_their_language_depends_on(client):
    vary = client.get("/words").headers["Vary"]
    assert {"Accept-Language", "Cookie"} <= set(vary.replace(" ", "").split(","))
    style = client.get(assets.asset_url("css/app.css"))
    assert "Accept-Language" not in style.headers.get("Vary", "")


def test_failures_are_told_in_the_same_language(german):
    assert lang_of(german.get("/nowhere")) == "de"
    foreign = {"Host": "trap.example", "Accept-Language": "de"}
    assert lang_of(german.get("/", headers=foreign)) == "de"


def test_programs_get_english(german):
    answer = german.get("/api/jobs/none").get_json()
    assert answer["faults"][0]["message"] == "There is no such job here."


def test_the_language_of_one_request_does_not_stay_for_the_next(client):
    client.get("/words", headers={"Accept-Language": "de"})
    assert texts.language() == "en"
    assert lang_of(client.get("/words")) == "en"


def test_a_language_is_chosen_by_a_plain_form(client):
    client.application.config["WTF_CSRF_ENABLED"] = False
    answer = client.post("/language", data={"language": "de", "back": "/words?x=1"})
    assert (answer.status_code, answer.headers["Location"]) == (303, "/words?x=1")
    assert "language=de" in answer.headers["Set-Cookie"]
    assert "HttpOnly" in answer.headers["Set-Cookie"]
    assert lang_of(client.get("/words", headers={"Accept-Language": "en"})) == "de"


@pytest.mark.parametrize("back", ["https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere.example", "", "x"])
def test_nobody_is_sent_elsewhere(client, back):
    client.application.config["WTF_CSRF_ENABLED"] = False
    answer = client.post("/language", data={"language": "de", "back": back})
    assert answer.headers["Location"] == "/"


def test_a_language_there_is_not_is_refused(client):
    client.application.config["WTF_CSRF_ENABLED"] = False
    assert client.post("/language", data={"language": "xx"}).status_code == 422


def test_languages_are_named_in_themselves():
    assert spoken.names() == (("en", "English"), ("de", "Deutsch"))
