"""Titles and names in many scripts survive a document's way in and out, letter for letter."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from faker import Faker

from webapp.schemas import dump_job, read_job, read_json

CASE = Path(__file__).parents[2] / "cases" / "case-002.json"


@pytest.mark.parametrize("locale", ["ar_AA", "de_DE", "el_GR", "he_IL", "ja_JP", "ru_RU", "th_TH", "vi_VN"])
def test_names_survive(locale):
    faker = Faker(locale)
    faker.seed_instance(7)
    job = json.loads(CASE.read_text())["job"]
    job["title"] = faker.name()
    job["places"][0]["name"] = faker.city()
    job["loads"][0]["name"] = f"{faker.first_name()} <b>&amp; {faker.last_name()}</b>"
    reading = read_json(json.dumps(job, ensure_ascii=False).encode())
    assert dump_job(read_job(reading.value).value) == job
