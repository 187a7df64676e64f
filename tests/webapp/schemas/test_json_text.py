"""JSON text: what a lenient parser would let pass silently is a fault."""

from __future__ import annotations

import json

import pytest

from tests.webapp.schemas.documents import JOB
from webapp.schemas import read_job, read_json


def found(text: str | bytes, **limits: int) -> dict[str, str]:
    reading = read_json(text, **limits)
    return {fault.pointer: fault.message for fault in reading.faults}


def test_json_is_read_as_it_stands():
    assert read_json(json.dumps(JOB)).value == JOB
    assert read_json(json.dumps(JOB, ensure_ascii=False).encode()).value == JOB
    assert read_json(b'\xef\xbb\xbf{"a": 1}').value == {"a": 1}


@pytest.mark.parametrize("text", ["", " \n", b"\xef\xbb\xbf"])
def test_nothing_at_all_is_called_empty(text):
    assert found(text) == {"": "the document is empty"}


@pytest.mark.parametrize("text", ["{", "{'a': 1}", '{"a": 1,}', "nope", '{"a": 1} x', "\x00"])
def test_malformed_text_says_where(text):
    assert "line 1, column" in found(text)[""]


@pytest.mark.parametrize(
    "text", ['{"a": [1, NaN]}', '{"a": [1, Infinity]}', '{"a": [1, -Infinity]}', '{"a": [1, 1e999]}']
)
def test_a_number_that_is_none_is_a_fault(text):
    assert "finite" in found(text)["a/1"]


def test_a_field_that_comes_twice_is_a_fault():
    assert found('{"bus": {"low_v": 11, "x/y": 1, "low_v": 12}}') == {
        "bus/low_v": "the field 'low_v' comes more than once: keep one of them"
    }
    assert list(found('[{}, {"a~b/c": 1, "a~b/c": 1}]')) == ["1/a~0b~1c"]


def test_all_of_them_are_told_at_once():
    assert list(found('{"a": NaN, "b": {"c": 1, "c": NaN}}')) == ["a", "b/c"]


@pytest.mark.parametrize("depth", [60, 500, 100_000])
@pytest.mark.parametrize("brackets", ["[]", ('{"a":', "}")])
def test_deep_nesting_is_a_fault(depth, brackets):
    start, end = brackets
    faults = found(start * depth + "1" + end * depth)
    assert list(faults.values()) == ["the document is nested too deeply"]


def test_a_document_over_the_limit_is_not_even_parsed():
    job = dict(JOB, title="x" * 5_000_000)
    assert "too large" in found(json.dumps(job))[""]
    # how long it is nobody knows: of a file no more is read than tells that it is too long
    assert found(b"[1, 2, 3, 4]", limit_bytes=10) == {"": "the document is too large: more than 10 bytes"}


def test_a_large_job_under_the_limit_is_refused_in_one_breath():
    job = dict(JOB, loads=[dict(JOB["loads"][0], id=str(i)) for i in range(15_000)])
    text = json.dumps(job)
    assert 2_000_000 < len(text) < 5_000_000
    assert [fault.pointer for fault in read_job(read_json(text).value).faults] == ["loads"]


def test_thousands_of_faults_end_in_a_last_one():
    faults = read_job(dict(JOB, **{f"stranger {i}": i for i in range(2000)})).faults
    assert len(faults) == 501
    assert faults[-1].message == "there are more faults: mend these first"


@pytest.mark.parametrize("text", [b"\xff\xfe{\x00}\x00", b'{"a": "\xe9"}'])
def test_text_that_is_not_utf_8_is_a_fault(text):
    assert "UTF-8" in found(text)[""]


def test_a_number_of_thousands_of_digits_is_a_fault():
    assert "digits" in found("[" + "9" * 5000 + "]")[""]


def test_a_lone_surrogate_is_a_fault_of_its_field():
    parsed = read_json(json.dumps(dict(JOB, title="\ud83d")))
    assert [fault.pointer for fault in read_job(parsed.value).faults] == ["title"]
