"""Whatever comes in: read without a trace, every fault where it is, and nothing changed on the way through."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.webapp.schemas.documents import CATALOGUE, JOB, PLAN, at, case_documents, leads_somewhere, put
from webapp import schemas

READ = {"job": schemas.read_job, "catalogue": schemas.read_catalogue, "plan": schemas.read_plan}
DUMP = {"job": schemas.dump_job, "catalogue": schemas.dump_catalogue, "plan": schemas.dump_plan}
CASES = case_documents()


def round_trip(document: dict[str, Any]) -> dict[str, Any]:
    name = document["format"].split("/")[0]
    reading = READ[name](document)
    assert reading.faults == ()
    return DUMP[name](reading.value)


def spelled(document: object) -> str:
    return json.dumps(document, sort_keys=True)


@pytest.mark.parametrize("document", [doc for _, doc in CASES], ids=[name for name, _ in CASES])
def test_every_case_reads_and_dumps_back_equal(document):
    assert spelled(round_trip(document)) == spelled(document)


@pytest.mark.parametrize("document", [JOB, CATALOGUE, PLAN], ids=["job", "catalogue", "plan"])
def test_our_own_documents_read_and_dump_back_equal(document):
    assert spelled(round_trip(document)) == spelled(document)


def test_every_optional_field_survives():
    document = copy.deepcopy(JOB)
    document["assumed"] = ["bus/fault_a"]
    document["places"][0] |= {"name": "Desk", "ambient_c": 45}
    document["loads"][0] |= {
        "name": "Printer",
        "drop_pct": 5,
        "behaviour": "resistive",
        "rated_v": 12,
        "max_fuse_a": 5,
        "switch": True,
        "own_circuit": True,
    }
    document["limits"] |= {
        "min_mm2": 1,
        "far_fault_multiple": 5,
        "count_circuits": True,
        "fuse_ratio_max": 2,
        "joint_mohm": 5,
        "count_joints": True,
        "boost_at_panel": True,
        "panel_run_m": 0.8,
        "share_stages": True,
    }
    assert spelled(round_trip(document)) == spelled(document)


def test_every_optional_field_of_a_catalogue_survives():
    document = copy.deepcopy(CATALOGUE)
    document["parts"][0] |= {"name": "Step-up", "max_fuse_a": 10, "max_conductor_mm2": 6, "max_in_a": 8}
    document["parts"][0] |= {"limits_output": False, "outlets": 3}
    document["parts"][2]["max_fuse_a"] = 20
    document["parts"][11] |= {"max_series": 2, "charge_v": 14.4}
    assert spelled(round_trip(document)) == spelled(document)


TEXTS = {
    "job": ["title", "places/0/id", "places/0/name", "loads/0/id", "loads/0/name", "bus/fuse_style", "assumed/0"],
    "catalogue": [
        "sellers/0/name",
        "parts/0/name",
        "parts/4/style",
        "parts/9/purpose",
        "parts/0/out_form",
        "offers/0/id",
    ],
}
MARKUP = "<script>alert('1')</script> & \"q\" {{ 7*7 }} ' OR 1=1 -- \\u0041 %s"
AWKWARD = [
    "Ærø‑Bück 図書館 🚐 👩🏽‍🔧 e\u0301",
    MARKUP,
    "العربية עברית",
    "=1+1",
    " padded ",
    "\u200d\u200f",
    "null",
    "../../etc",
]


@pytest.mark.parametrize("text", AWKWARD)
@pytest.mark.parametrize(("name", "pointer"), [(name, each) for name, pointers in TEXTS.items() for each in pointers])
def test_unicode_and_markup_survive_byte_for_byte(name, pointer, text):
    document = {"job": JOB | {"assumed": ["x"]}, "catalogue": CATALOGUE}[name]
    document = at(document, pointer, text)
    if pointer == "places/0/id":
        document = at(document, "loads/0/place", text)
    if pointer == "parts/9/purpose":
        document = at(document, "parts/10/purpose", text)
    assert spelled(round_trip(document)) == spelled(document)


# Mutations: any value anywhere replaced, taken out, doubled or joined by a stranger

JUNK: list[Any] = [
    None, True, False, 0, -1, 1, 3.5, 61, 900, 1e308, 10**400, float("nan"), float("inf"), "", "12", "job/1", "mains",
    "\x00", "\ud800", "x" * 300, [], {}, [[]], {"kind": "cut"}, {"kind": []}, {"id": 5}, (1, 2), {-3: 4}, {"a/b~c": 1},
    b"x", object(), {"_schema": 1}, [None],
]  # fmt: skip


def pointers(document: Any, prefix: str = "") -> list[str]:
    inner = (
        document.items() if isinstance(document, dict) else enumerate(document) if isinstance(document, list) else ()
    )
    found = []
    for key, value in inner:
        if key in ("a/b~c", -3):
            continue  # junk put there by an earlier mutation, out of reach for a plain pointer
        here = f"{prefix}/{key}" if prefix else str(key)
        found += [here, *pointers(value, here)]
    return found


@st.composite
def mutated(draw: st.DrawFn) -> tuple[str, dict[str, Any]]:
    name = draw(st.sampled_from(["job", "catalogue", "plan"]))
    document = copy.deepcopy({"job": JOB, "catalogue": CATALOGUE, "plan": PLAN}[name])
    for _ in range(draw(st.integers(1, 6))):
        pointer = draw(st.sampled_from(sorted(pointers(document))))
        put(document, pointer, copy.copy(draw(st.sampled_from(JUNK))))
        if not isinstance(document, dict) or not pointers(document):
            break
    return name, document


@settings(max_examples=400)
@given(mutated())
def test_a_mutated_document_never_raises_and_every_fault_has_its_place(case):
    name, document = case
    reading = READ[name](document)
    assert (reading.value is None) == bool(reading.faults)
    for fault in reading.faults:
        assert leads_somewhere(document, fault.pointer), fault
        assert fault.message.strip()
        assert str(fault).encode()
        assert "\n" not in str(fault)
    if reading.value is not None:
        assert READ[name](DUMP[name](reading.value)).value == reading.value


NAMES = st.text() | st.sampled_from(["format", "bus", "loads", "parts"])
LEAVES = st.none() | st.booleans() | st.floats() | st.integers() | st.text()
ANYTHING = st.recursive(LEAVES, lambda inner: st.lists(inner) | st.dictionaries(NAMES, inner), max_leaves=20)


@settings(max_examples=100)
@given(ANYTHING)
def test_any_object_at_all_is_refused_without_a_trace(document):
    assert all(read(document).faults for read in READ.values())
    assert schemas.read_draft(document)


@settings(max_examples=200)
@given(st.data())
def test_text_with_a_few_bytes_changed_never_raises(data):
    text = bytearray(json.dumps(JOB).encode())
    for _ in range(data.draw(st.integers(1, 4))):
        text[data.draw(st.integers(0, len(text) - 1))] = data.draw(st.integers(0, 255))
    parsed = schemas.read_json(bytes(text))
    reading = parsed if parsed.faults else schemas.read_job(parsed.value)
    assert (reading.value is None) == bool(reading.faults)
