"""`make bench`, or `python -m tests.benchmarks [--quick]`: everything side by side, then report, plot and README."""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path
from typing import Any

from tests.benchmarks import cutting, plot, report
from tests.benchmarks.measure import measure
from tests.benchmarks.suite import groups, run_group, run_irrelevant

ROOT = Path(__file__).parents[2]
RESULTS = Path(__file__).parent / "results"


def main(arguments: list[str] | None = None) -> int:
    asked = _parser().parse_args(arguments)
    start_s = time.monotonic()

    def say(text: str) -> None:
        print(f"{time.monotonic() - start_s:7.1f} s  {text}", file=sys.stderr, flush=True)

    about = report.surroundings() | {"scope": "quick" if asked.quick else "full"}
    about["seconds"] = "processor" if asked.shared else "wall"

    def measured(task: dict[str, Any]) -> dict[str, Any]:
        return measure({**task, "by_processor": asked.shared})

    # cut lists first: they are quick, so that a fault in them is seen before the long part
    lists = cutting.rows(quick=asked.quick, say=say) if asked.only in (None, "cutting") else []
    chosen = [group for group in groups(quick=asked.quick) if asked.only in (None, "planning", group.key)]
    records = [record for group in chosen for record in run_group(group, measured, say)]
    if asked.only in (None, "planning", "irrelevant"):
        records += run_irrelevant(measured, say, quick=asked.quick)
    about["took"] = f"{time.monotonic() - start_s:.0f} s"
    text = report.markdown(chosen, records, about, lists)
    print(text)
    if asked.only is None or asked.out is not None:
        _write(asked.out or RESULTS, about, text, report.as_json(chosen, records, about, lists))
    if asked.only is None and (asked.publish or not asked.quick):
        section = report.readme_section(chosen, records, about, lists)
        _publish(section, plot.svg(plot.series_of(chosen, records), _caption(about)))
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("--quick", action="store_true", help="one seed of the smaller sizes, in about two minutes")
    parser.add_argument(
        "--only", help='one part: "planning", "irrelevant", "cutting", "cases" or a size such as "12/4"'
    )
    parser.add_argument(
        "--shared", action="store_true", help="other work shares the machine: count seconds of the processor"
    )
    parser.add_argument("--publish", action="store_true", help="put a quick run into the README, too")
    parser.add_argument("--out", type=Path, help="folder for the report, instead of tests/benchmarks/results")
    return parser


def _caption(about: dict[str, str]) -> str:
    return f"{about['seconds']} seconds, medians of {about['date']}; hollow: not reached in that time"


def _write(folder: Path, about: dict[str, str], text: str, document: str) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    name = about["date"] + ("-quick" if about["scope"] == "quick" else "")
    (folder / f"{name}.md").write_text(text, encoding="utf-8")
    (folder / f"{name}.json").write_text(document, encoding="utf-8")


def _publish(section: str, picture: str) -> None:
    (ROOT / "docs" / "bench.svg").write_text(picture, encoding="utf-8")
    if not report.rewrite_readme(ROOT / "README.md", section):
        print(f"README.md has no {report.BEGIN} ... {report.END}: nothing written there", file=sys.stderr)


if __name__ == "__main__":
    sys.exit(main())
