"""Changes that devices made without us: each once, each by itself, none overwriting another unseen."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from babel.dates import format_date
from sqlalchemy import text
from sqlalchemy.exc import OperationalError
from sync_device import AT, a_handle, a_place, an_op, sent, sent_one

from tests.webapp.marks_kept import changes_of
from webapp.schemas.ops import ANY_JOB
from webapp.services import jobs, marks, ops, plans, statements
from webapp.services import sync as sync_service

NEW_JOB = "0123456789abcdefghjkmnpqrs"
FIRST = {
    "nominal_v": "12",
    "chemistry": "lithium",
    "capacity_ah": "100",
    "spare_ways": "4",
    "title": "Hut",
    "may_buy": "",
}


@pytest.fixture
def job_id(in_app, job):
    return jobs.start_job(job).id


def document(job_id):
    return jobs.get_job(job_id).document


def limits(job_id, **changes):
    return an_op("form", job=job_id, form="limits", entry=None, changes={k: list(v) for k, v in changes.items()})


def rows(database):
    """Everything stored, table by table."""
    with database.reading() as session:
        names = session.scalars(text("SELECT name FROM sqlite_master WHERE type = 'table'")).all()
        return {name: session.execute(text(f"SELECT * FROM {name}")).all() for name in names}


def test_a_field_is_changed(client, job_id):
    op = limits(job_id, drop_pct=("5", "4"))
    assert sent_one(client, op) == {"op_id": op["op_id"], "state": "done"}
    assert document(job_id)["limits"]["drop_pct"] == 4


def test_a_change_is_read_in_the_units_it_was_typed_in(client, job_id):
    place = document(job_id)["places"][0]
    shown, index = f"{round(place['run_m'] / 0.3048, 2):.10g}", place["id"]
    change = an_op("form", job=job_id, form="place", entry=index, changes={"run_m": [shown, "15"]})
    assert sent_one(client, {**change, "units": "awg"})["state"] == "done"  # chosen before it waited
    assert document(job_id)["places"][0]["run_m"] == pytest.approx(4.572)
    after = an_op("form", job=job_id, form="place", entry=index, changes={"run_m": ["4.572", "5"]})
    assert sent_one(client, after)["state"] == "done"
    assert document(job_id)["places"][0]["run_m"] == 5
    assert sent_one(client, {**after, "op_id": a_handle()[4:], "units": "cubits"})["state"] == "refused"


def test_what_both_changed_is_a_conflict_and_the_rest_is_stored(client, job_id):
    sent_one(client, limits(job_id, drop_pct=("5", "4")), "Tablet")
    result = sent_one(client, limits(job_id, drop_pct=("5", "2"), headroom_pct=("20", "30")))
    assert result["state"] == "conflict"
    (field,) = result["fields"].values()
    assert field["label"] == "Volts lost on the way, at most, percent"
    assert (field["yours"], field["theirs"], field["whose"]) == ("2", "4", "Tablet")
    assert field["when"].startswith("20")
    assert (document(job_id)["limits"]["drop_pct"], document(job_id)["limits"]["headroom_pct"]) == (4, 30)
    assert sent_one(client, limits(job_id, drop_pct=("4", "2")))["state"] == "done"
    assert document(job_id)["limits"]["drop_pct"] == 2


def test_what_we_filled_in_is_no_conflict(client, job_id):
    """A device clears a field, and before it hears what we put there it says something else."""
    was = f"{document(job_id)['bus']['fault_a']:g}"
    clear = an_op("form", job=job_id, form="battery", entry=None, changes={"fault_a": [was, ""]})
    again = an_op("form", job=job_id, form="battery", entry=None, changes={"fault_a": ["", "777"]})
    results = sent(client, [clear, again])
    assert [result["state"] for result in results] == ["done", "done"]
    assert results[0]["filled"]["fault_a"][0] == ""
    assert document(job_id)["bus"]["fault_a"] == 777
    late = an_op("form", job=job_id, form="battery", entry=None, changes={"fault_a": ["", "888"]})
    assert sent_one(client, late, "Tablet")["state"] == "conflict"  # by now somebody typed it


def test_500_changes_drain_in_ten_batches(client, job_id):
    plan_id = plans.start_plan(job_id)
    ops = [an_op("mark", plan=plan_id, key=f"buy/OF-{n}", old="", new="yes") for n in range(480)]
    ops += [a_place(job_id, f"Place {n}") for n in range(20)]
    results = [result for start in range(0, 500, 50) for result in sent(client, ops[start : start + 50])]
    assert {result["state"] for result in results} == {"done"}
    assert len(marks.marks_of(plan_id)) == 480
    assert len(document(job_id)["places"]) == 20 + 3


def test_a_whole_job_is_stated_and_planned_without_signal(client, in_app):
    place, router, twin = a_handle(), a_handle(), a_handle()
    ops = [
        an_op("start", job=NEW_JOB, changes={name: ["", text] for name, text in FIRST.items()}),
        a_place(NEW_JOB, "Bow", handle=place),
        an_op("preset", job=NEW_JOB, preset="router", where=place, handle=router),
        an_op("form", job=NEW_JOB, form="load", entry=router, changes={"name": ["Router", "Wifi"]}),
        an_op("duplicate", job=NEW_JOB, entry=router, handle=twin),
        an_op("output", job=NEW_JOB, output="19.5V 3.34A", what="Laptop", where=place, handle=a_handle()),
        an_op("form", job=NEW_JOB, form="place", entry=place, changes={"run_m": ["4", "6"]}),
        an_op("remove", job=NEW_JOB, form="load", entry=twin),
        an_op("plan", job=NEW_JOB),
    ]
    results = sent(client, ops)
    assert [result["state"] for result in results] == ["done"] * 9
    assert (results[0]["job"], results[1]["entry"], results[2]["entry"]) == (NEW_JOB, "P1", "L1")
    stated = document(NEW_JOB)
    assert (stated["title"], stated["places"][0]["run_m"]) == ("Hut", 6)
    assert [load["name"] for load in stated["loads"]] == ["Wifi", "Laptop"]
    assert plans.get_plan(results[-1]["plan"]).job_id == NEW_JOB


@pytest.mark.parametrize(("told", "back"), [(0, 0), (1, -1), (-3, 3), (2, 0), (-401, 0), (None, 0)])
def test_a_job_without_a_name_is_named_after_the_day_of_its_device_where_that_can_be(client, in_app, told, back):
    """Ahead of UTC by a day, or sent days later; no clock is further ahead, and nothing waits so long."""
    utc = datetime.now(UTC).date()
    day = "2030-02-31" if told is None else str(utc + timedelta(days=told))
    fields = FIRST | {"title": "", "day": day}
    sent(client, [an_op("start", job=NEW_JOB, changes={name: ["", text] for name, text in fields.items()})])
    meant = utc - timedelta(days=back)
    assert document(NEW_JOB)["title"] == f"Job, {meant.day} {format_date(meant, 'MMM', locale='en_GB')}"


def test_everything_sent_twice_leaves_every_row_as_it_was(client, in_app, database):
    test_ops = [
        an_op("start", job=NEW_JOB, changes={name: ["", text] for name, text in FIRST.items()}),
        a_place(NEW_JOB, "Bow", handle=(place := a_handle())),
        a_place(NEW_JOB, "Bow"),  # refused: the name is taken
        an_op("preset", job=NEW_JOB, preset="router", where=place),
        an_op("plan", job=NEW_JOB),
        an_op("delete", job=NEW_JOB),
        an_op("form", job=NEW_JOB, form="limits", entry=None, changes={"drop_pct": ["3", "4"]}),
        an_op("restore", job=NEW_JOB),
    ]
    first = sent(client, test_ops)
    stored = rows(database)
    again = sent(client, test_ops)
    assert again == first
    assert rows(database) == stored
    assert [r["state"] for r in first] == ["done", "done", "refused", "done", "done", "done", "gone", "done"]


def test_the_same_id_with_other_content_is_refused(client, job_id):
    op = limits(job_id, drop_pct=("5", "4"))
    sent_one(client, op)
    result = sent_one(client, {**op, "changes": {"drop_pct": ["5", "2"]}})
    assert (result["state"], result["status"]) == ("refused", 422)
    assert document(job_id)["limits"]["drop_pct"] == 4


def test_a_form_and_a_change_of_the_same_id_are_one(client, app, job_id):
    app.config["WTF_CSRF_ENABLED"] = False
    places = len(document(job_id)["places"])
    op = a_place(job_id, "Stern")
    sent_one(client, op)
    answers = {"name": "Stern", "run_m": "4", "op_id": op["op_id"]}
    assert client.post(f"/jobs/{job_id}/places", data=answers).status_code == 303
    other = a_place(job_id, "Bow")
    assert client.post(f"/jobs/{job_id}/places", data={**answers, "name": "Bow", "op_id": other["op_id"]}).status_code
    assert sent_one(client, other)["state"] == "done"
    assert len(document(job_id)["places"]) == places + 2


def test_a_deleted_job_is_gone_until_it_is_restored(client, job_id):
    op = limits(job_id, drop_pct=("5", "4"))
    jobs.delete_job(job_id)
    assert sent_one(client, op)["state"] == "gone"
    anew = limits(job_id, drop_pct=("5", "4"))
    assert [r["state"] for r in sent(client, [op, an_op("restore", job=job_id), anew])] == ["gone", "done", "done"]
    assert document(job_id)["limits"]["drop_pct"] == 4


def test_a_removal_is_undone_and_undone_once(client, job_id):
    before = document(job_id)["loads"]
    removal = an_op("remove", job=job_id, form="load", entry=before[0]["id"])
    sent_one(client, removal)
    assert len(document(job_id)["loads"]) == len(before) - 1
    for _ in range(2):
        assert sent_one(client, an_op("undo", job=job_id, op=removal["op_id"]))["state"] == "done"
    assert document(job_id)["loads"] == before


@pytest.mark.parametrize(("says", "called"), [({}, "Android"), ({"device": ""}, "Android"), ({"device": "Van"}, "Van")])
def test_the_other_device_is_called_what_a_person_would_call_it(client, job_id, says, called):
    phone = {"User-Agent": "Mozilla/5.0 (Linux; Android 15) Mobile"}
    client.post("/sync", json={"ops": [limits(job_id, drop_pct=("5", "4"))], **says}, headers=phone)
    theirs = sent_one(client, limits(job_id, drop_pct=("5", "2")), "Tablet")
    assert theirs["fields"]["drop_pct"]["whose"] == called


def test_answers_are_forgotten_after_400_days(client, database, job_id):
    op = limits(job_id, drop_pct=("5", "4"))
    sent_one(client, op)
    in_time, too_late = (datetime.now(UTC) + timedelta(days=days) for days in (399, 401))
    ops.forget_old(in_time)
    assert ops.result_of(op["op_id"]) is not None
    ops.forget_old(too_late)
    assert ops.result_of(op["op_id"]) is None
    assert document(job_id)["limits"]["drop_pct"] == 4


def test_a_removal_of_another_job_is_not_undone_here(client, job_id, job):
    removal = an_op("remove", job=jobs.start_job(job).id, form="load", entry=document(job_id)["loads"][0]["id"])
    assert sent_one(client, removal)["state"] == "done"
    jobs.change_job(job_id, lambda stated: {**stated, "loads": stated["loads"][1:], "assumed": []})
    before = document(job_id)
    assert sent_one(client, an_op("undo", job=job_id, op=removal["op_id"]))["state"] == "gone"
    assert document(job_id) == before


def test_removing_what_another_device_removed_is_done(client, job_id):
    entry = document(job_id)["loads"][0]["id"]
    for device in ("Phone", "Tablet"):
        assert sent_one(client, an_op("remove", job=job_id, form="load", entry=entry), device)["state"] == "done"
    assert (
        sent_one(client, an_op("form", job=job_id, form="load", entry=entry, changes={"name": ["A", "B"]}))["state"]
        == "gone"
    )


def test_a_place_with_loads_stays(client, job_id):
    place = document(job_id)["loads"][0]["place"]
    result = sent_one(client, an_op("remove", job=job_id, form="place", entry=place))
    assert result["state"] == "refused"
    assert "still has loads" in result["general"][0]


def test_stock_is_added_and_removed(client, job_id):
    changes = {"part": ["", "FUS-10"], "count": ["", "2"]}
    result = sent_one(client, an_op("form", job=job_id, form="owned", entry=None, changes=changes))
    assert document(job_id)["owned"] == [{"part": "CBL-2_5-TW", "length_m": 3.4}, {"part": "FUS-10", "count": 3}]
    result = sent_one(client, an_op("remove", job=job_id, form="owned", entry=result["entry"]))
    assert (result["state"], document(job_id)["owned"]) == ("done", [{"part": "CBL-2_5-TW", "length_m": 3.4}])


def test_marks_are_three_way(client, job_id):
    plan_id = plans.start_plan(job_id)
    key = "measured/C1/end_v"
    assert sent_one(client, an_op("mark", plan=plan_id, key=key, old="", new="12,1"), "Tablet")["state"] == "done"
    result = sent_one(client, an_op("mark", plan=plan_id, key=key, old="", new="11.9"))
    field = result["fields"][key]
    assert (result["state"], field["yours"], field["theirs"], field["whose"]) == ("conflict", "11.9", "12.1", "Tablet")
    assert marks.marks_of(plan_id) == {key: "12.1"}


def test_lengths_that_two_measured_are_told_with_their_unit(client, job_id):
    plan_id, key = plans.start_plan(job_id), "measured/C1/run_m"
    sent_one(client, an_op("mark", plan=plan_id, key=key, old="", new="4.2"))
    field = sent_one(client, an_op("mark", plan=plan_id, key=key, old="", new="15 ft"))["fields"][key]
    assert (field["yours_words"], field["theirs_words"], field["theirs"]) == ("15 ft", "4.2 m", "4.2")


def test_a_plan_asked_for_twice_is_one(client, job_id):
    op = an_op("plan", job=job_id)
    assert sent_one(client, op) == sent_one(client, op)
    assert len(plans.plans_of(job_id)) == 1


def test_a_search_begins_only_once_it_is_stored(client, job_id, database, monkeypatch):
    seen = []
    monkeypatch.setattr(database.plan_queued, "set", lambda: seen.append(len(plans.plans_of(job_id))))
    sent_one(client, an_op("plan", job=job_id))
    assert seen == [1]


def test_a_plan_that_has_to_wait_has_no_result_and_is_sent_again(client, job_id, monkeypatch):
    monkeypatch.setattr(plans, "MOST_QUEUED", 0)
    ops = [an_op("plan", job=job_id), limits(job_id, drop_pct=("5", "4"))]
    assert [result["op_id"] for result in sent(client, ops)] == [ops[1]["op_id"]]
    monkeypatch.setattr(plans, "MOST_QUEUED", 50)
    assert [result["state"] for result in sent(client, ops)] == ["done", "done"]


def test_a_full_disk_leaves_the_rest_to_the_device(client, job_id, monkeypatch):
    def full(*_args, **_kwargs):
        raise OperationalError("INSERT", {}, Exception("database or disk is full"))

    ops = [limits(job_id, drop_pct=("5", "4")), a_place(job_id, "Stern"), limits(job_id, headroom_pct=("20", "30"))]
    monkeypatch.setattr(sync_service.ops, "once", full)
    assert sent(client, ops) == []
    monkeypatch.undo()
    assert [result["state"] for result in sent(client, ops)] == ["done"] * 3


def test_a_fault_of_ours_in_one_change_stops_no_other(client, job_id, monkeypatch):
    before = document(job_id)["places"]
    from webapp.services import statements

    def broken(*_args, **_kwargs):
        jobs.change_job(job_id, lambda job: {**job, "title": "half done"})  # a step before the one that breaks
        raise RuntimeError("a bug")

    monkeypatch.setattr(statements, "add_entry", broken)
    results = sent(client, [a_place(job_id, "Stern"), limits(job_id, drop_pct=("5", "4"))])
    assert [result["state"] for result in results] == ["refused", "done"]
    assert document(job_id)["places"] == before
    assert document(job_id)["title"] != "half done"


GOOD = {"op_id": "6a2f41a3-c54c-4b0e-8b5e-0a1b2c3d4e5f", "kind": "delete", "at": AT, "job": "x"}
BAD = (
    None,
    7,
    "op",
    [],
    {},
    {**GOOD, "op_id": None},
    {**GOOD, "op_id": "1"},
    {**GOOD, "op_id": "6a2f41a3-c54c-1b0e-8b5e-0a1b2c3d4e5f"},
    {**GOOD, "op_id": "\ud800"},
    {**GOOD, "kind": None},
    {**GOOD, "kind": ["form"]},
    {**GOOD, "kind": "steal"},
    {**GOOD, "at": "yesterday"},
    {**GOOD, "at": None},
    {**GOOD, "job": None},
    {**GOOD, "job": "x" * 5000},
    {**GOOD, "job": "\x00"},
    {**GOOD, "more": 1},
    {**GOOD, "kind": "start", "job": "short", "changes": {"title": ["", "A"]}},
    {**GOOD, "kind": "start", "job": NEW_JOB, "changes": {}},
    {**GOOD, "kind": "start", "job": NEW_JOB, "changes": {"colour": ["", "red"]}},
    {**GOOD, "kind": "start", "job": NEW_JOB, "changes": {"title": "A"}},
    {**GOOD, "kind": "start", "job": NEW_JOB, "changes": {"title": ["", None]}},
    {**GOOD, "kind": "start", "job": NEW_JOB, "changes": {"title": ["", "A"] * 3}},
    {**GOOD, "kind": "start", "job": NEW_JOB, "changes": {f"f{n}": ["", ""] for n in range(61)}},
    {**GOOD, "kind": "mark", "plan": "x", "key": "buy/1", "old": "", "new": 7},
)


@pytest.mark.parametrize("bad", BAD, ids=range(len(BAD)))
def test_nonsense_is_refused_and_blocks_nothing(client, job_id, bad):
    good = limits(job_id, drop_pct=("5", "4"))
    results = sent(client, [bad, good])
    assert [result["state"] for result in results] == ["refused", "done"]
    assert results[0]["errors"] or results[0]["general"]


IN_JOB = (
    {"kind": "form", "form": "limits", "entry": None, "changes": {"colour": ["", "red"]}},
    {"kind": "form", "form": "limits", "entry": None, "changes": {"drop_pct": ["5", "\x00"]}},
    {"kind": "form", "form": "limits", "entry": None, "changes": {"drop_pct": ["5", "9" * 999]}},
    {"kind": "form", "form": "limits", "entry": None, "changes": {"drop_pct": ["5", "9" * 1001]}},
    {"kind": "form", "form": "limits", "entry": None, "changes": {"drop_pct": ["5", "1e308"]}},
    {"kind": "form", "form": "place", "entry": None, "changes": {"name": ["", "Bow"]}},
    {"kind": "form", "form": "owned", "entry": "{}", "changes": {"count": ["1", "2"]}},
    {"kind": "form", "form": "owned", "entry": None, "changes": {"part": ["", "none"], "count": ["", "2"]}},
    {"kind": "form", "form": "sky", "entry": None, "changes": {"name": ["", "Bow"]}},
    {"kind": "preset", "preset": "kettle", "where": "P0"},
    {"kind": "output", "output": "INPUT 230V ~", "what": "", "where": "P0"},
    {"kind": "output", "output": "", "what": "", "where": "P0"},
    {"kind": "remove", "form": "limits", "entry": "L1"},
    {"kind": "form", "form": "place", "entry": None, "handle": "mine", "changes": {"name": ["", "Bow"]}},
)


@pytest.mark.parametrize("says", IN_JOB, ids=range(len(IN_JOB)))
def test_a_change_that_cannot_be_is_refused_with_words(client, job_id, says):
    before = document(job_id)
    result = sent_one(client, an_op(job=job_id, **says))
    assert result["state"] == "refused"
    assert result["errors"] or result["general"]
    assert document(job_id) == before


NO_HANDLE = "new-00000000-0000-0000-0000-000000000000"
GONE = (
    {"kind": "form", "form": "load", "entry": "L99", "changes": {"name": ["A", "B"]}},
    {
        "kind": "form",
        "form": "load",
        "entry": "new-00000000-0000-0000-0000-000000000000",
        "changes": {"name": ["A", "B"]},
    },
    {"kind": "duplicate", "entry": "L99"},
    {"kind": "undo", "op": "6a2f41a3-c54c-4b0e-8b5e-0a1b2c3d4e5f"},
)


@pytest.mark.parametrize("says", GONE, ids=range(len(GONE)))
def test_a_change_of_what_is_not_there_is_gone(client, job_id, says):
    before = document(job_id)
    assert sent_one(client, an_op(job=job_id, **says))["state"] == "gone"
    assert document(job_id) == before


LOADS = ({"kind": "preset", "preset": "router"}, {"kind": "output", "output": "19.5V 3.34A", "what": "Laptop"})


@pytest.mark.parametrize("where", ["P99", NO_HANDLE])
@pytest.mark.parametrize("says", LOADS, ids=lambda says: says["kind"])
def test_a_load_whose_place_is_gone_can_be_mended(client, job_id, says, where):
    result = sent_one(client, an_op(job=job_id, where=where, **says))
    assert result["state"] == "refused"
    assert result["errors"] == {"where": "This place is not there any more. Choose another."}
    for array in ("loads", "places"):
        for entry in document(job_id)[array]:
            statements.remove_entry(job_id, array, entry["id"])
    result = sent_one(client, an_op(job=job_id, where=where, **says))
    assert result["errors"]["where"].endswith("no other is stated. Add a place first.")


@pytest.mark.parametrize("kind", ["delete", "restore", "plan"])
def test_a_job_that_never_was_is_gone(client, in_app, kind):
    assert sent_one(client, an_op(kind, job="none"))["state"] == "gone"


def test_a_handle_is_used_once(client, job_id):
    handle = a_handle()
    results = sent(client, [a_place(job_id, "Bow", handle=handle), a_place(job_id, "Stern", handle=handle)])
    assert [result["state"] for result in results] == ["done", "refused"]


def test_a_handle_of_a_form_that_adds_nothing_is_free(client, job_id, posted):
    handle = a_handle()
    posted(f"/jobs/{job_id}/limits", op_id=a_handle()[4:], handle=handle)
    added = posted(f"/jobs/{job_id}/places", name="Bow", run_m="3", op_id=a_handle()[4:], handle=handle)
    assert added.status_code == 303
    assert sent_one(client, an_op("remove", job=job_id, form="place", entry=handle))["state"] == "done"


def test_a_job_id_is_used_once(client, job_id):
    op = an_op("start", job=NEW_JOB, changes={name: ["", text] for name, text in FIRST.items()})
    assert [r["state"] for r in sent(client, [op, {**op, "op_id": GOOD["op_id"]}])] == ["done", "refused"]
    assert jobs.get_job(NEW_JOB).revision == 1


def test_no_job_has_the_id_that_stands_for_any_job(client, in_app, posted):
    op = an_op("start", job=ANY_JOB, changes={name: ["", text] for name, text in FIRST.items()})
    assert sent_one(client, op)["state"] == "refused"
    assert posted("/jobs/new", made=ANY_JOB, **FIRST).status_code == 303
    assert [job.id != ANY_JOB for job in jobs.list_jobs()] == [True]


@pytest.mark.parametrize("at", ["0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00", "2031-01-01T00:00:00", AT])
def test_a_clock_that_is_off_does_no_harm(client, database, job_id, at):
    plan_id = plans.start_plan(job_id)
    op = an_op("mark", plan=plan_id, key="buy/OF-1", old="", new="yes") | {"at": at}
    assert sent_one(client, op)["state"] == "done"
    assert changes_of(database, plan_id, "buy/OF-1")[0].made_at.year > 2000


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"", 422),
        (b"[]", 422),
        (b"{}", 422),
        (b'{"device": 1, "ops": []}', 422),
        (b'{"device": "x", "ops": {}}', 422),
        (b'{"device": "x", "ops": [' + b",".join([b"1"] * 51) + b"]}", 422),
        (b'{"device": "x", "ops": [' + b"[" * 2000 + b"]" * 2000 + b"]}", 422),
        (b'{"device": "x", "ops": ["' + b"x" * 1_000_000 + b'"]}', 413),
        (b'{"device": "\xff", "ops": []}', 422),
    ],
)
def test_no_batch_at_all(client, body, status):
    answer = client.post("/sync", data=body, content_type="application/json")
    assert (answer.status_code, bool(answer.get_json()["faults"])) == (status, True)


def test_only_json_of_our_own_pages_is_taken(client):
    assert client.post("/sync", data={"device": "x"}).status_code == 415
    foreign = {"Origin": "https://elsewhere.example"}
    assert client.post("/sync", json={"device": "x", "ops": []}, headers=foreign).status_code == 403
    assert client.post("/sync", json={"device": "x", "ops": []}).get_json() == {"results": []}
    assert client.get("/sync").status_code == 405


@pytest.fixture
def posted(client, app):
    """Sends a form as a page does."""
    app.config["WTF_CSRF_ENABLED"] = False
    return lambda path, **answers: client.post(path, data=answers)


def test_changes_behind_a_form_whose_answer_was_lost_find_what_it_added(client, job_id, posted):
    where, copied = a_handle(), a_handle()
    place = a_place(job_id, "Stern", handle=where)
    preset = an_op("preset", job=job_id, preset="router", where=where, handle=a_handle())
    twin = an_op("duplicate", job=job_id, entry=preset["handle"], handle=copied)
    rename = an_op("form", job=job_id, form="load", entry=preset["handle"], changes={"name": ["Router", "Wifi"]})
    less = an_op("remove", job=job_id, form="load", entry=copied)
    posted(f"/jobs/{job_id}/places", name="Stern", run_m="4", op_id=place["op_id"], handle=where)
    added = document(job_id)["places"][-1]["id"]
    assert sent_one(client, place) == {"op_id": place["op_id"], "state": "done", "entry": added}
    answers = {"preset": "router", "where": added}
    posted(f"/jobs/{job_id}/loads", op_id=preset["op_id"], handle=preset["handle"], **answers)
    source = document(job_id)["loads"][-1]["id"]
    posted(f"/jobs/{job_id}/loads/duplicate", entry=source, op_id=twin["op_id"], handle=copied)
    assert [result["state"] for result in sent(client, [place, preset, twin, rename, less])] == ["done"] * 5
    assert [load["name"] for load in document(job_id)["loads"] if load["place"] == added] == ["Wifi"]


def test_a_job_whose_answer_was_lost_has_the_id_of_the_device(client, in_app, posted):
    start = an_op("start", job=NEW_JOB, changes={name: ["", text] for name, text in FIRST.items()})
    posted("/jobs/new", made=NEW_JOB, op_id=start["op_id"], **FIRST)
    assert sent_one(client, start)["job"] == NEW_JOB
    assert sent_one(client, a_place(NEW_JOB, "Bow"))["state"] == "done"
    assert posted("/jobs/new", made=NEW_JOB, op_id=a_handle()[4:], **FIRST).status_code == 303
    assert [job.title for job in jobs.list_jobs()].count("Hut") == 2


def test_a_form_that_came_to_nothing_is_tried_again_as_a_change(client, job_id, posted):
    place = document(job_id)["loads"][0]["place"]
    removal = an_op("remove", job=job_id, form="place", entry=place)
    assert posted(f"/jobs/{job_id}/places/remove", entry=place, op_id=removal["op_id"]).status_code == 303
    assert sent_one(client, removal)["state"] == "refused"  # it has loads, and the page that said so never came


def test_a_removal_by_a_form_is_undone_by_a_change(client, job_id, posted):
    before = document(job_id)["loads"]
    removal = a_handle()[4:]
    posted(f"/jobs/{job_id}/loads/remove", entry=before[0]["id"], op_id=removal)
    page = client.get(f"/jobs/{job_id}/loads").get_data(as_text=True)
    assert f'data-removal="{removal}"' in page
    assert len(document(job_id)["loads"]) == len(before) - 1
    assert sent_one(client, an_op("undo", job=job_id, op=removal))["state"] == "done"
    assert document(job_id)["loads"] == before
