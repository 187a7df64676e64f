"""The command line: exit codes, clean output, every fault on standard error."""

from __future__ import annotations

import io
import json
import os
import signal
import subprocess
import sys
import time
import types
from contextlib import contextmanager
from pathlib import Path

import pytest

from optimizer.errors import Refused
from optimizer.plan import Check, Plan, Reason
from optimizer.progress import Progress
from tests.said import line_of
from tests.webapp.schemas.documents import CASES, CATALOGUE, JOB, PLAN, at, spoiled
from webapp import cli, files, progress, searching
from webapp.schemas import dump_plan, read_plan

ROOT = Path(cli.__file__).parents[1]
NO_PLAN = Plan(
    status="infeasible",
    total_cents=None,
    bound_cents=None,
    reasons=(Reason(subject="radio", text="No stage puts out 44 V to 57 V."),),
)
CHECK = Check(
    rule="drop", subject="C1", value=0.3, limit=0.36, unit="V", state="holds", margin=0.06, source="planning rules 3"
)


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A folder with a sound job, catalogue and plan, to work in."""
    monkeypatch.chdir(tmp_path)
    for name, document in (("job", JOB), ("catalogue", CATALOGUE), ("plan", PLAN)):
        Path(f"{name}.json").write_text(json.dumps(document))
    return tmp_path


@pytest.fixture
def planner(monkeypatch):
    """Stands in for the search: answers with `answer`, remembers how it was asked."""
    module = types.ModuleType("optimizer.planner")
    module.answer = read_plan(PLAN).value
    module.asked = {}

    module.works = lambda stop: None

    def plan(job, catalogue, *, time_limit_s=None, on_progress=None, stop=None):
        module.asked = {"job": job, "catalogue": catalogue, "time_limit_s": time_limit_s}
        if on_progress:
            on_progress(Progress(best_cents=None, bound_cents=None, elapsed_s=0.1))
            on_progress(Progress(best_cents=31240, bound_cents=30000, elapsed_s=1.5))
        module.works(stop)
        if isinstance(module.answer, Exception):
            raise module.answer
        return module.answer

    module.plan = plan
    monkeypatch.setitem(sys.modules, "optimizer.planner", module)
    monkeypatch.setattr("optimizer.planner", module, raising=False)
    return module


@pytest.fixture
def checker(monkeypatch):
    """Stands in for the checks."""
    module = types.ModuleType("optimizer.checks")
    module.answer = (CHECK,)
    module.check_plan = lambda job, catalogue, plan: module.answer
    monkeypatch.setitem(sys.modules, "optimizer.checks", module)
    monkeypatch.setattr("optimizer.checks", module, raising=False)
    return module


def save(name: str, document: object) -> None:
    Path(f"{name}.json").write_text(json.dumps(document))


def test_a_plan_goes_to_standard_output_as_clean_json(folder, planner, capsys):
    assert cli.main(["plan", "job.json", "catalogue.json", "--time-limit", "20"]) == 0
    out, err = capsys.readouterr()
    assert json.loads(out) == dump_plan(planner.answer)
    assert out.endswith("}\n")
    assert err == ""
    assert planner.asked["time_limit_s"] == 20
    assert planner.asked["job"].title == "Reading van"


def test_a_plan_goes_to_a_file_and_leaves_nothing_beside_it(folder, planner, capsys):
    assert cli.main(["plan", "job.json", "catalogue.json", "--out", "answer.json"]) == 0
    assert json.loads(Path("answer.json").read_text()) == dump_plan(planner.answer)
    assert sorted(os.listdir()) == ["answer.json", "catalogue.json", "job.json", "plan.json"]
    assert capsys.readouterr() == ("", "")


def test_the_same_plan_gives_the_same_bytes(folder, planner):
    for name in ("one.json", "two.json"):
        cli.main(["plan", "job.json", "catalogue.json", "--out", name])
    assert Path("one.json").read_bytes() == Path("two.json").read_bytes()


def test_a_job_is_read_from_standard_input(folder, planner, monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(Path("job.json").read_bytes())))
    assert cli.main(["plan", "-", "catalogue.json"]) == 0


def test_no_plan_is_exit_3_and_the_document_gives_the_reasons(folder, planner, capsys):
    planner.answer = NO_PLAN
    assert cli.main(["plan", "job.json", "catalogue.json", "--out", "answer.json"]) == 3
    assert json.loads(Path("answer.json").read_text())["reasons"][0]["subject"] == "radio"
    assert capsys.readouterr().err == "No plan exists.\nNo stage puts out 44 V to 57 V.\n"


def test_nothing_found_in_time_is_exit_3(folder, planner, capsys):
    planner.answer = Plan(status="unknown", total_cents=None, bound_cents=12)
    assert cli.main(["plan", "job.json", "catalogue.json"]) == 3
    out, err = capsys.readouterr()
    assert json.loads(out)["status"] == "unknown"
    assert err == "No plan was found.\n"


def test_every_fault_is_a_line_and_nothing_is_planned(folder, planner, capsys):
    save("job", spoiled(JOB, loads__0__place="shelf", places__1__run_m=900))
    assert cli.main(["plan", "job.json", "catalogue.json", "--out", "answer.json"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert [line.split(": ")[0] for line in err.splitlines()] == ["In job.json:", "places/1/run_m", "loads/0/place"]
    assert "loads/0/place: there is no place called 'shelf'\n" in err
    assert not Path("answer.json").exists()
    assert planner.asked == {}


def test_faults_of_both_documents_are_told_under_their_names(folder, planner, capsys):
    save("job", at(JOB, "title", 3))
    save("catalogue", at(CATALOGUE, "offers/0/seller", "S9"))
    assert cli.main(["plan", "job.json", "catalogue.json"]) == 2
    heads = [line.split(":")[0] for line in capsys.readouterr().err.splitlines()]
    assert heads == ["In job.json", "title", "In catalogue.json", "offers/0/seller"]


@pytest.mark.parametrize("name", ["job.json", "catalogue.json"])
def test_a_fault_of_one_document_of_two_says_which(folder, planner, capsys, name):
    Path(name).write_bytes(b"\x89PNG\r\n\x1a\n")
    assert cli.main(["check", "job.json", "catalogue.json"]) == 2
    assert capsys.readouterr().err == f"In {name}:\ndocument: this is not UTF-8 text\n"


def test_stock_that_the_catalogue_lacks_is_bad_input(folder, planner, capsys):
    save("job", at(JOB, "owned/0/part", "TWIN-9"))
    assert cli.main(["plan", "job.json", "catalogue.json"]) == 2
    assert capsys.readouterr().err == "owned/0/part: there is no part called 'TWIN-9'\n"


@pytest.mark.parametrize(
    "content", [b"", b"{", b"\xff", b"[]", b"null", b'{"format": "job/2"}', b"[" * 100_000, b" " * 5_000_001]
)
def test_a_file_that_is_no_job_is_bad_input(folder, planner, capsys, content):
    Path("job.json").write_bytes(content)
    assert cli.main(["plan", "job.json", "catalogue.json"]) == 2
    assert "Traceback" not in capsys.readouterr().err


@pytest.mark.parametrize("path", ["nowhere.json", ".", "a\x00b"])
def test_a_file_that_cannot_be_read_is_bad_input(folder, planner, capsys, path):
    assert cli.main(["plan", path, "catalogue.json"]) == 2
    assert "cannot be read" in capsys.readouterr().err


@pytest.mark.parametrize("path", ["nowhere/plan.json", "."])
def test_an_answer_that_cannot_be_written_is_refused_before_the_search(folder, planner, capsys, path):
    assert cli.main(["plan", "job.json", "catalogue.json", "--out", path]) == 2
    assert "cannot be written" in capsys.readouterr().err
    assert planner.asked == {}


@pytest.mark.parametrize("seconds", ["0", "-1", "nan", "inf", "soon"])
def test_a_time_limit_is_above_zero(folder, capsys, seconds):
    with pytest.raises(SystemExit) as end:
        cli.main(["plan", "job.json", "catalogue.json", "--time-limit", seconds])
    assert end.value.code == 2
    assert "seconds above 0" in capsys.readouterr().err


def test_what_the_planner_refuses_is_bad_input(folder, planner, capsys):
    planner.answer = Refused("Above 60 V DC: not planned here.")
    assert cli.main(["plan", "job.json", "catalogue.json"]) == 2
    assert capsys.readouterr().err == "Above 60 V DC: not planned here.\n"


def test_our_own_fault_is_one_plain_sentence(folder, planner, capsys, monkeypatch):
    monkeypatch.delenv("THRIFTLOOM_DEBUG", raising=False)
    planner.answer = ZeroDivisionError("x / 0")
    assert cli.main(["plan", "job.json", "catalogue.json"]) == 1
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)
    assert "our fault" in err


def test_our_own_fault_shows_its_trace_when_asked(folder, planner, monkeypatch):
    monkeypatch.setenv("THRIFTLOOM_DEBUG", "1")
    planner.answer = ZeroDivisionError("x / 0")
    with pytest.raises(ZeroDivisionError):
        cli.main(["plan", "job.json", "catalogue.json"])


def test_an_old_answer_stays_whole_when_writing_fails(folder, planner, capsys, monkeypatch):
    Path("answer.json").write_text("old")

    def full(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    assert cli.main(["plan", "job.json", "catalogue.json", "--out", "answer.json"]) == 2
    assert "no space left" in capsys.readouterr().err
    assert Path("answer.json").read_text() == "old"
    assert sorted(os.listdir()) == ["answer.json", "catalogue.json", "job.json", "plan.json"]


def test_progress_for_a_program_is_an_object_a_line(folder, planner, capsys):
    cli.main(["plan", "job.json", "catalogue.json", "--progress", "json"])
    lines = [json.loads(line) for line in capsys.readouterr().err.splitlines()]
    assert lines == [
        {"best_cents": None, "bound_cents": None, "elapsed_s": 0.1},
        {"best_cents": 31240, "bound_cents": 30000, "elapsed_s": 1.5},
    ]


def shows(capsys, words, seconds=60.0):
    """Waits until the terminal has shown these words; all it has shown."""
    deadline, err = time.monotonic() + seconds, ""
    while words not in err:
        assert time.monotonic() < deadline, err
        time.sleep(0.01)
        err += capsys.readouterr().err
    return err


def test_progress_for_a_person_is_one_line_that_ticks_and_goes_away(folder, planner, capsys, monkeypatch):
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    monkeypatch.setattr(searching, "TICK_S", 0.02)
    now_s, shown = [0.0], []
    monkeypatch.setattr(progress, "time", types.SimpleNamespace(monotonic=lambda: now_s[0]))  # a busy one skips seconds

    def works(_stop):
        for now_s[0], words in ((0.0, "0 s"), (1.0, "1 s")):
            shown.append(shows(capsys, words))

    planner.works = works
    cli.main(["plan", "job.json", "catalogue.json"])
    err = "".join(shown) + capsys.readouterr().err
    assert "\n" not in err
    assert "Best so far 312.40, at most 4.2\u00a0% above the best possible, 1 s" in err  # 312.40 / 300.00 = 1.0413
    assert err.endswith("\r\x1b[2K")


def test_a_line_is_never_wider_than_its_terminal(capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "20")
    progress.TerminalLine().tick()
    assert capsys.readouterr().err == "\r\x1b[2KNothing found yet, "


def test_a_terminal_says_that_a_search_is_stopping(capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    progress.TerminalLine().tick(stopping=True)
    assert capsys.readouterr().err == f"\r\x1b[2K{progress.STOPPING}"


# The command line with a search that ends when it is asked to, as ENDS says. As CP-SAT does, it puts a handler of its
# own behind Ctrl-C, which aborts the program in any other thread.
SEARCHES = """
import ctypes, os, signal, sys, time, types
import optimizer
from optimizer.plan import Plan, Reason
from webapp.schemas import read_json, read_plan
planner = types.ModuleType("optimizer.planner")
best = read_plan(read_json(open("plan.json", "rb").read()).value).value
def plan(job, catalogue, *, time_limit_s, on_progress, stop):
    libc = ctypes.CDLL(None)
    libc.signal(int(signal.SIGINT), ctypes.cast(libc.abort, ctypes.c_void_p))
    print("at work", flush=True)
    stop.wait(600)
    print("asked", flush=True)
    ENDS
planner.plan = plan
sys.modules["optimizer.planner"] = optimizer.planner = planner
from webapp import cli
sys.exit(cli.main(["plan", "job.json", "catalogue.json", "--out", "answer.json"]))
"""
BOTH_SIGNALS = pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])


@contextmanager
def searching_until_asked(ends):
    command = [sys.executable, "-c", SEARCHES.replace("ENDS", ends)]
    env, pipe = {**os.environ, "PYTHONPATH": str(ROOT)}, subprocess.PIPE
    with subprocess.Popen(command, env=env, stdout=pipe, stderr=pipe, text=True) as child:
        try:
            assert line_of(child) == "at work\n"
            yield child
        finally:
            child.kill()


@BOTH_SIGNALS
@pytest.mark.parametrize(
    ("status", "said"),
    [("feasible", "Stopped early: this plan holds everything, but a cheaper one may exist.\n"), ("optimal", "")],
)
def test_asked_to_stop_it_gives_the_best_plan_so_far(folder, number, status, said):
    save("plan", {**PLAN, "status": status})
    with searching_until_asked("return best") as child:
        child.send_signal(number)
        _, err = child.communicate(timeout=60)
    assert (child.returncode, err) == (0, said)
    assert json.loads(Path("answer.json").read_text())["status"] == status


def test_asked_to_stop_before_the_first_plan_it_says_so(folder):
    reason = "Reason(subject='search', text='Stopped after 1 s, before a first plan was found.')"
    nothing = f"return Plan(status='unknown', total_cents=None, bound_cents=None, reasons=({reason},))"
    with searching_until_asked(nothing) as child:
        child.send_signal(signal.SIGINT)
        _, err = child.communicate(timeout=60)
    assert (child.returncode, err) == (3, "No plan was found.\nStopped after 1 s, before a first plan was found.\n")


@BOTH_SIGNALS
def test_asked_twice_it_ends_at_once(folder, number):
    with searching_until_asked("time.sleep(600)") as child:
        child.send_signal(number)
        assert line_of(child) == "asked\n"
        child.send_signal(number)
        assert child.wait(timeout=60) == -number
    assert not Path("answer.json").exists()


@pytest.mark.parametrize("trouble", [MemoryError(), ImportError("index.so: cannot map zero-fill pages")])
def test_memory_that_runs_out_is_a_plain_sentence(folder, planner, capsys, trouble):
    planner.answer = trouble
    assert cli.main(["plan", "job.json", "catalogue.json", "--out", "answer.json"]) == cli.NO_MEMORY
    assert "more memory" in capsys.readouterr().err
    assert not Path("answer.json").exists()


def test_a_library_that_is_missing_is_not_called_a_lack_of_memory(folder, planner):
    planner.answer = ImportError("No module named 'ortools'")
    assert cli.main(["plan", "job.json", "catalogue.json"]) == cli.OUR_FAULT


def test_sound_documents_pass_the_check(folder, capsys):
    assert cli.main(["check", "job.json"]) == 0
    assert cli.main(["check", "job.json", "catalogue.json"]) == 0
    assert capsys.readouterr().out == "No faults found.\n" * 2


def test_a_faulty_document_fails_the_check(folder, capsys):
    save("job", at(JOB, "bus/high_v", 72))
    assert cli.main(["check", "job.json"]) == 2
    assert capsys.readouterr().err.startswith(
        "bus/high_v: the highest voltage at the panel is 72 V, above 60\u00a0V DC"
    )


def test_a_plan_that_holds_shows_every_check(folder, checker, capsys):
    assert cli.main(["check", "job.json", "catalogue.json", "plan.json"]) == 0
    out = capsys.readouterr().out
    line = "Holds | drop | C1 | value 0.3 V | limit 0.36 V | margin 0.06 V | planning rules 3"
    assert out == f"{line}\n1 checks, none fails.\n"


def test_a_plan_that_fails_a_check_is_exit_2(folder, checker, capsys):
    checker.answer = (CHECK, Check(**{name: getattr(CHECK, name) for name in CHECK.__slots__} | {"state": "fails"}))
    assert cli.main(["check", "job.json", "catalogue.json", "plan.json"]) == 2
    assert "2 checks, 1 fail." in capsys.readouterr().out


def test_a_plan_that_nothing_was_checked_on_does_not_pass(folder, checker):
    checker.answer = ()
    assert cli.main(["check", "job.json", "catalogue.json", "plan.json"]) == 2


def test_a_plan_of_another_catalogue_fails_the_check(folder, capsys):
    save("plan", at(PLAN, "circuits/0/fuse", "FUSE-99"))
    assert cli.main(["check", "job.json", "catalogue.json", "plan.json"]) == 2
    assert "the catalogue has no fuse 'FUSE-99'" in capsys.readouterr().out


def test_a_plan_that_does_not_exist_is_exit_3(folder, capsys):
    save("plan", dump_plan(NO_PLAN))
    assert cli.main(["check", "job.json", "catalogue.json", "plan.json"]) == 3
    assert "No stage puts out 44 V to 57 V." in capsys.readouterr().err


def test_the_example_plans_pass_every_check(folder, capsys):
    case = json.loads((CASES / "case-023.json").read_text())
    save("job", case["job"])
    paths = ["job.json", str(CASES / case["catalogue"]), str(CASES / "plan-023.json")]
    assert cli.main(["check", *paths]) == 0
    assert "Holds | drop" in capsys.readouterr().out


@pytest.mark.parametrize("port", ["0", "65536", "web", "-1", "²"])
def test_a_port_is_a_port(port, capsys):
    with pytest.raises(SystemExit) as end:
        cli.main(["serve", f"--port={port}"])
    assert end.value.code == 2
    assert "is not a port" in capsys.readouterr().err


def test_documents_are_checked_without_loading_the_solver(folder):
    code = "import sys; from webapp import cli; cli.main(['check', 'job.json']); sys.exit('ortools' in sys.modules)"
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    ran = subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, timeout=120)
    assert ran.returncode == 0


def test_a_reader_that_goes_away_is_no_fault_of_ours(folder):
    command = [sys.executable, "-m", "webapp.cli", "check", "job.json"]
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "wb") as gone:
        env = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": ""}
        ran = subprocess.run(command, env=env, stdout=gone, stderr=subprocess.PIPE, timeout=60)
    assert (ran.returncode, ran.stderr) == (0, b"")


def run_case(name: str, *options: str) -> tuple[int, dict]:
    case = json.loads((CASES / f"{name}.json").read_text())
    save("job", case["job"])
    catalogue = str(CASES / case["catalogue"])
    code = cli.main(["plan", "job.json", catalogue, "--out", "answer.json", *options])
    assert cli.main(["check", "job.json", catalogue, "answer.json"]) == code
    return code, json.loads(Path("answer.json").read_text())


def test_a_case_is_planned_and_its_answer_passes_the_check(folder):
    code, plan = run_case("case-016", "--time-limit", "60")
    assert code == 0
    assert (plan["status"], plan["total_cents"]) == ("optimal", 0)  # the case's own expectation
    assert plan["checks"]


def test_a_case_without_a_plan_is_exit_3_with_reasons(folder):
    code, plan = run_case("case-039", "--time-limit", "60")
    assert code == 3
    assert (plan["status"], plan["total_cents"]) == ("infeasible", None)  # the case's own expectation
    assert plan["reasons"]


def test_serve_and_seed_are_told_where(monkeypatch):
    told = []
    monkeypatch.setattr("webapp.serve.serve", lambda **options: told.append(options) or 0)
    monkeypatch.setattr("webapp.seeding.seed", lambda **options: told.append(options) or 0)
    assert cli.main(["serve", "--host", "0.0.0.0", "--port", "8080", "--database", "sqlite:///x.db"]) == 0
    assert cli.main(["seed"]) == 0
    assert told == [{"host": "0.0.0.0", "port": 8080, "database": "sqlite:///x.db"}, {"database": None}]


def a_petrol_job():
    places = [JOB["places"][0] | {"fuel": True}, *JOB["places"][1:]]
    Path("job.json").write_text(json.dumps(JOB | {"places": places}))


def test_a_plan_that_needs_a_person_says_so_and_who_it_is(folder, planner, capsys):
    a_petrol_job()
    assert cli.main(["plan", "job.json", "catalogue.json", "--out", "out.json"]) == cli.DONE == 0
    said = capsys.readouterr().err
    assert "Qualified person: Petrol or gas at desk" in said
    assert "This plan waits for a qualified person. Nobody answers for it yet: buy, cut and build nothing" in said
    assert "--finished PLAN --person NAME" in said
    unnamed = json.loads(Path("out.json").read_text())
    assert (unnamed["total_cents"], unnamed["orders"]) == (PLAN["total_cents"], PLAN["orders"])  # whole: to be checked
    assert "answered_by" not in unnamed
    assert cli.main(["plan", "job.json", "catalogue.json", "--out", "out.json", "--person", "Ada Finch"]) == cli.DONE
    said = capsys.readouterr().err
    assert "Nobody answers" not in said
    assert "Ada Finch answers for this plan." in said
    named = json.loads(Path("out.json").read_text())
    assert named == unnamed | {"answered_by": "Ada Finch"}
    assert read_plan(named).value.answered_by == "Ada Finch"


def test_a_finished_plan_is_answered_for_without_another_search(folder, planner, checker, capsys):
    a_petrol_job()
    files = ["job.json", "catalogue.json"]
    assert cli.main(["plan", *files, "--finished", "plan.json", "--out", "out.json"]) == cli.DONE
    assert (
        cli.main(["plan", *files, "--finished", "out.json", "--person", "Ada Finch", "--out", "out.json"]) == cli.DONE
    )
    assert not planner.asked
    assert cli.main(["plan", *files, "--finished", "out.json", "--out", "out.json"]) == cli.DONE
    assert json.loads(Path("out.json").read_text())["answered_by"] == "Ada Finch"


@pytest.mark.parametrize(
    ("name", "wrong"),
    [
        ("", "is empty"),
        ("  ", "is empty"),
        ("\u200b", "names nobody"),
        ("--?", "names nobody"),
        ("Ada\nFinch", "cannot be shown or printed"),
        ("Ada\x1b[2J", "cannot be shown or printed"),
        ("A" * 81, "is 81 characters long; at most 80"),
    ],
)
def test_a_name_that_names_nobody_is_refused_before_the_search(folder, planner, capsys, name, wrong):
    a_petrol_job()
    with pytest.raises(SystemExit) as end:
        cli.main(["plan", "job.json", "catalogue.json", "--out", "out.json", f"--person={name}"])
    assert end.value.code == cli.BAD_INPUT
    said = capsys.readouterr().err
    assert "--person: the name of who answers for the plan" in said
    assert wrong in said
    assert not planner.asked
    assert not Path("out.json").exists()


def test_a_caution_names_nobody(folder, checker, planner, capsys):
    """Whoever wrote it: a caution may hold the name of a place or a load."""
    a_petrol_job()
    save("plan", PLAN | {"checks": [], "cautions": ["Ada Finch answers for this plan."]})
    assert cli.main(["check", "job.json", "catalogue.json", "plan.json"]) == cli.DONE
    assert "Nobody answers for it yet" in capsys.readouterr().out
    assert cli.main(["plan", "job.json", "catalogue.json", "--finished", "plan.json"]) == cli.DONE
    assert "Nobody answers for it yet" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["", " ", "\u200b", "A" * 81])
def test_a_document_that_names_nobody_is_refused(folder, checker, capsys, name):
    save("plan", PLAN | {"answered_by": name})
    assert cli.main(["check", "job.json", "catalogue.json", "plan.json"]) == cli.BAD_INPUT
    assert "answered_by: the name of who answers for the plan" in capsys.readouterr().err


def test_a_plan_that_needs_nobody_names_nobody(folder, planner, capsys):
    assert cli.main(["plan", "job.json", "catalogue.json", "--out", "out.json", "--person", "Ada Finch"]) == cli.DONE
    assert "answers" not in capsys.readouterr().err
    assert "Ada Finch" not in Path("out.json").read_text()


def test_check_says_who_answers_for_a_plan(folder, checker, planner, capsys):
    a_petrol_job()
    assert cli.main(["check", "job.json", "catalogue.json", "plan.json"]) == cli.DONE
    assert "Nobody answers for it yet" in capsys.readouterr().out
    cli.main(["plan", "job.json", "catalogue.json", "--out", "out.json", "--person", "Ada Finch"])
    capsys.readouterr()
    assert cli.main(["check", "job.json", "catalogue.json", "out.json"]) == cli.DONE
    said = capsys.readouterr().out
    assert "Qualified person: Petrol or gas at desk" in said
    assert "Ada Finch answers for this plan." in said
    assert "Nobody" not in said
