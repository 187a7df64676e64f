"""`thriftloom cut`: a cutlist/1 document in, a list in words or a cuts/1 document out."""

from __future__ import annotations

import json

import pytest

from webapp import cli, schemas

_DOCUMENT = {
    "format": "cutlist/1",
    "title": "Two cabins",
    "runs": [
        {"id": "mast", "length_m": 7.2, "quantity": 3, "cables": ["twin-2.5", "twin-4"]},
        {"id": "galley", "length_m": 2.85, "quantity": 4, "cables": ["twin-2.5"]},
    ],
    "spools": [
        {"id": "s10", "cable": "twin-2.5", "length_m": 10, "price_cents": 1550},
        {"id": "s30", "cable": "twin-2.5", "length_m": 30, "price_cents": 4100},
    ],
    "by_the_metre": [{"id": "m", "cable": "twin-2.5", "step_m": 0.5, "step_cents": 105}],
    "owned": [{"id": "old", "cable": "twin-4", "length_m": 8}],
    "settings": {"kerf_mm": 2, "least_offcut_mm": 400},
}


def cut(tmp_path, document, *options):
    path = tmp_path / "list.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    return cli.main(["cut", str(path), *options])


def test_the_list_in_words_names_every_cut_and_what_to_keep(tmp_path, capsys):
    # 3 x 7.2 m and 4 x 2.85 m: 33 m with kerfs. One mast run comes from the 8 m on hand, 25.8 m from one 30 m spool;
    # three 10 m spools cost 46.50, 26 m by the metre 54.60
    assert cut(tmp_path, _DOCUMENT) == cli.DONE
    said = capsys.readouterr().out
    assert "Total 41.00, and nothing is cheaper (proven)." in said
    assert "7.200 m  mast no. 1 to 2" in said
    assert "0.798 m of twin-4, from old (on hand)" in said  # 8 - 7.2 - one kerf


def test_json_holds_the_same_list(tmp_path, capsys):
    assert cut(tmp_path, _DOCUMENT, "--json") == cli.DONE
    document = json.loads(capsys.readouterr().out)
    assert (document["status"], document["total_cents"], document["bound_cents"]) == ("optimal", 4100, 4100)
    assert sum(len(length["cuts"]) for length in document["lengths"]) == 7


def test_a_run_too_long_for_everything_is_named(tmp_path, capsys):
    document = {**_DOCUMENT, "spools": [], "by_the_metre": []}
    assert cut(tmp_path, document) == cli.NO_PLAN
    assert "Run 'galley' needs 2.85 m in one piece" in capsys.readouterr().err


def test_every_fault_is_said_at_once(tmp_path, capsys):
    document = {
        "format": "cutlist/1",
        "runs": [
            {"id": "a", "length_m": -1, "cables": []},
            {"id": "a", "length_m": 5, "quantity": 0, "cables": ["x", "x"]},
        ],
        "spools": [{"id": "q", "cable": "x", "length_m": 4}],
        "zap": 1,
    }
    assert cut(tmp_path, document) == cli.BAD_INPUT
    said = capsys.readouterr().err
    for pointer in ("runs/0/length_m", "runs/1/quantity", "spools/0/price_cents", "zap", "runs/1/id", "runs/0/cables"):
        assert f"{pointer}: " in said


@pytest.mark.parametrize("limit", ["0", "-1", "nan", "soon"])
def test_a_time_limit_is_above_zero(tmp_path, limit):
    with pytest.raises(SystemExit) as ended:
        cut(tmp_path, _DOCUMENT, "--time-limit", limit)
    assert ended.value.code == cli.BAD_INPUT


def test_lengths_round_against_us():
    document = {**_DOCUMENT, "runs": [{"id": "r", "length_m": 1.0004, "cables": ["twin-2.5"]}]}
    document["spools"] = [{"id": "s", "cable": "twin-2.5", "length_m": 1.0009, "price_cents": 1}]
    request = schemas.read_cutlist(document).value
    assert (request.runs[0].length_mm, request.spools[0].length_mm) == (1001, 1000)
