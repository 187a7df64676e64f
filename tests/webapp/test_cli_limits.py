"""The command line on what limits cost, with the planner as it is."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.webapp.schemas.documents import CASES
from webapp import cli
from webapp.schemas import read_plan


@pytest.fixture
def case(tmp_path: Path) -> tuple[str, str, Path]:
    stated = json.loads((CASES / "case-033.json").read_text())
    job, catalogue = tmp_path / "job.json", tmp_path / "catalogue.json"
    job.write_text(json.dumps(stated["job"]))
    catalogue.write_text((CASES / stated["catalogue"]).read_text())
    return str(job), str(catalogue), tmp_path / "plan.json"


def test_limits_are_in_the_plan_and_on_the_terminal(
    case: tuple[str, str, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    job, catalogue, out = case
    assert (
        cli.main(["plan", job, catalogue, "--limits", "--time-limit", "60", "--progress", "none", "--out", str(out)])
        == 0
    )
    plan = read_plan(json.loads(out.read_text())).value
    assert plan is not None
    assert plan.binding
    said = capsys.readouterr().err
    assert "What limits cost:" in said
    assert all(each.text in said.replace("\u00a0", " ") for each in plan.binding)


def test_limits_are_left_out_unless_asked_for(case: tuple[str, str, Path]) -> None:
    job, catalogue, out = case
    assert cli.main(["plan", job, catalogue, "--progress", "none", "--out", str(out)]) == 0
    assert "binding" not in json.loads(out.read_text())


def test_a_finished_plan_is_explained_without_a_search(
    case: tuple[str, str, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job, catalogue, finished = case
    assert cli.main(["plan", job, catalogue, "--progress", "none", "--out", str(finished)]) == 0
    out = tmp_path / "explained.json"
    asked = ["--why", "--limits", "--time-limit", "60", "--progress", "none"]
    assert cli.main(["plan", job, catalogue, "--finished", str(finished), *asked, "--out", str(out)]) == 0
    explained, before = json.loads(out.read_text()), json.loads(finished.read_text())
    plan = read_plan(explained).value
    assert plan is not None
    assert {"feed " + feed.load for feed in plan.feeds} <= {each.subject for each in plan.alternatives}
    said = capsys.readouterr().err.replace("\u00a0", " ").replace("\u202f", ",")
    assert "Why these parts:" in said
    assert all(each.text in said for each in plan.alternatives)
    assert explained.pop("alternatives")
    assert explained.pop("binding")
    assert explained == before


def test_a_plan_of_another_job_is_neither_explained_nor_answered_for(
    case: tuple[str, str, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    job, catalogue, out = case
    out.write_text((CASES / "plan-062.json").read_text())
    for asked in ("--why", "--person=Ada Finch"):
        assert cli.main(["plan", job, catalogue, "--finished", str(out), asked, "--progress", "none"]) == 2
        assert "none of this job and catalogue" in capsys.readouterr().err
