"""The command line: thriftloom plan, check, cut, serve, seed.

Exit 0 done, 2 bad input, 3 no plan exists or none was found in time, 4 out of memory, 1 our fault. A plan that waits
for a qualified person is a plan: 0, and standard error says what it waits for.
"""

from __future__ import annotations

import argparse
import math
import os
import re
import sys
import threading
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import TypeAlias

from optimizer.catalogue import Catalogue
from optimizer.cutting.answer import CutListAnswer
from optimizer.errors import OptimizerError
from optimizer.job import Job
from optimizer.plan import Check, Plan
from webapp import schemas
from webapp.files import BadInput, load, refuse, refuse_unwritable, write
from webapp.present.answering import person_lines, with_person
from webapp.present.cut_list import cut_list_text
from webapp.present.ways_out import limit_lines, lines
from webapp.present.why import why_lines
from webapp.progress import display
from webapp.searching import apart, search, what_limits_cost, why_this

LIMITS_S = 30.0  # for what limits cost and for why each part, where no time limit is given
_NO_ROOM = re.compile("cannot map|failed to map|cannot allocate", re.IGNORECASE)  # a library that found none to load in
DONE, OUR_FAULT, BAD_INPUT, NO_PLAN, NO_MEMORY, STOPPED = 0, 1, 2, 3, 4, 130
WRITTEN = (DONE, NO_PLAN)  # of `plan`: there is a document, with a plan or with why there is none


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command. Whatever goes wrong ends in a plain sentence and an exit code."""
    options = _parser().parse_args(arguments)
    try:
        code = int(options.run(options))
        sys.stdout.flush()
        return code
    except BadInput as error:
        return _end(str(error), BAD_INPUT)
    except OptimizerError as error:
        return _end(error.user_message, BAD_INPUT)
    except (MemoryError, ImportError) as error:
        if isinstance(error, ImportError) and not _NO_ROOM.search(str(error)):
            return _broken(error)
        return _end("This needs more memory than it may use. Fewer loads or fewer offers may help.", NO_MEMORY)
    except KeyboardInterrupt:
        return _end("Stopped.", STOPPED)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # whoever read has gone: no complaint at exit
        return DONE
    except Exception as error:
        return _broken(error)


def _broken(error: Exception) -> int:
    if os.environ.get("THRIFTLOOM_DEBUG") == "1":
        raise error
    return _end(f"This is our fault ({type(error).__name__}). THRIFTLOOM_DEBUG=1 shows where.", OUR_FAULT)


def _end(sentence: str, code: int) -> int:
    print(sentence, file=sys.stderr)
    return code


def _plan(options: argparse.Namespace) -> int:
    refuse_unwritable(options.out)
    job, catalogue = _job_and_catalogue(options.job, options.catalogue)
    plan, stopped = _searched_or_read(job, catalogue, options)
    if plan.has_answer and not stopped:
        plan = _explained(job, catalogue, plan, options)
    if plan.has_answer:
        plan = _answered_for(job, catalogue, plan, options.person)
    write(schemas.dump_plan(plan), options.out)
    if not plan.has_answer:
        return _no_plan(plan)
    if stopped and plan.status != "optimal":
        print("Stopped early: this plan holds everything, but a cheaper one may exist.", file=sys.stderr)
    return DONE


def _answered_for(job: Job, catalogue: Catalogue, plan: Plan, person: str | None) -> Plan:
    """Says why a qualified person has to answer for the plan; the plan with their name, where there is one."""
    plan = with_person(job, catalogue, plan, person)
    print("".join(f"{line}\n" for line in person_lines(job, catalogue, plan)), end="", file=sys.stderr)
    return plan


def _searched_or_read(job: Job, catalogue: Catalogue, options: argparse.Namespace) -> tuple[Plan, bool]:
    """A plan and whether the search for it was stopped; one that is finished already where it is named."""
    if options.finished is None:
        return search(job, catalogue, options.time_limit, display(options.progress))
    (plan,) = load((options.finished, schemas.read_plan))
    from optimizer.checks import check_plan

    fails = _failing(check_plan(job, catalogue, plan))
    if fails:
        raise BadInput([f"The plan is none of this job and catalogue: {fails} checks fail (see `thriftloom check`)."])
    return plan, False


def _explained(job: Job, catalogue: Catalogue, plan: Plan, options: argparse.Namespace) -> Plan:
    """The plan with why each part and what its limits cost, as asked; with what there is where somebody stops that."""
    shown = display(options.progress)
    began_s, limit_s = time.monotonic(), options.time_limit or LIMITS_S
    if options.why:
        found, stopped = why_this(job, catalogue, plan, limit_s / 2 if options.limits else limit_s, shown)
        plan = replace(plan, alternatives=found)
        print("\n".join(why_lines(plan)), file=sys.stderr)
        if stopped:
            return plan
    if options.limits:
        left_s = max(1.0, limit_s - (time.monotonic() - began_s))
        worth, _ = what_limits_cost(job, catalogue, plan, left_s, shown)
        plan = replace(plan, binding=worth)
        print("\n".join(limit_lines(plan)), file=sys.stderr)
    return plan


def _no_plan(plan: Plan) -> int:
    sentence = "No plan exists." if plan.status == "infeasible" else "No plan was found."
    return _end("\n".join([sentence, *(reason.text for reason in plan.reasons), *lines(plan)]), NO_PLAN)


def _job_and_catalogue(job_path: str, catalogue_path: str) -> tuple[Job, Catalogue]:
    job, catalogue = load((job_path, schemas.read_job), (catalogue_path, schemas.read_catalogue))
    refuse([(job_path, schemas.cross_faults(job, catalogue))])
    return job, catalogue


def _check(options: argparse.Namespace) -> int:
    if options.plan is not None:
        return _check_plan(options)
    if options.catalogue is not None:
        _job_and_catalogue(options.job, options.catalogue)
    else:
        load((options.job, schemas.read_job))
    print("No faults found.")
    return DONE


def _check_plan(options: argparse.Namespace) -> int:
    job, catalogue, plan = load(
        (options.job, schemas.read_job),
        (options.catalogue, schemas.read_catalogue),
        (options.plan, schemas.read_plan),
    )
    refuse([(options.job, schemas.cross_faults(job, catalogue))])
    from optimizer.checks import check_plan

    checks = check_plan(job, catalogue, plan)
    for check in checks:
        print(_line(check))
    fails = _failing(checks)
    for line in person_lines(job, catalogue, plan):
        print(line)
    print(f"{len(checks)} checks, {fails} fail." if fails else f"{len(checks)} checks, none fails.")
    if fails or not checks:
        return BAD_INPUT
    return DONE if plan.has_answer else _no_plan(plan)


def _failing(checks: Iterable[Check]) -> int:
    return sum(check.state == "fails" for check in checks)


def _line(check: Check) -> str:
    """One check on one line, the verdict first; where it fails, also how the figures came about."""
    verdict = check.state.replace("_", " ").capitalize()
    figures = [
        f"{says} {value:.6g} {check.unit}".rstrip()
        for says, value in (("value", check.value), ("limit", check.limit), ("margin", check.margin))
        if value is not None
    ]
    how = [check.formula] if check.state == "fails" and check.formula else []
    return " | ".join([verdict, check.rule, check.subject, *figures, *how, check.source])


def _cut(options: argparse.Namespace) -> int:
    (request,) = load((options.cutlist, schemas.read_cutlist))
    shown = display("none" if options.json else "auto")

    def find(stop: threading.Event) -> CutListAnswer:
        from optimizer import cutting  # loads the solver: not for commands that do without

        return cutting.cut_list(request, time_limit_s=options.time_limit, on_progress=shown.report, stop=stop)

    answer, _ = apart(find, shown)
    if not answer.has_list:
        return _end("\n".join(answer.reasons), NO_PLAN)
    if options.json:
        write(schemas.dump_cuts(answer), None)
    else:
        print(cut_list_text(answer))
    return DONE


def _serve(options: argparse.Namespace) -> int:
    from webapp.serve import serve

    return int(serve(host=options.host, port=options.port, database=options.database) or DONE)


def _seed(options: argparse.Namespace) -> int:
    from webapp.seeding import seed

    return int(seed(database=options.database) or DONE)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="thriftloom", description="From loads and a battery to a parts list and a cut list.", allow_abbrev=False
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    _add_plan(commands)
    _add_check(commands)
    _add_cut(commands)
    serve = _command(commands, "serve", _serve, "serve the app")
    serve.add_argument("--host", default="127.0.0.1", help="address to listen on (default: this machine only)")
    serve.add_argument("--port", type=_port, default=8000, help="port to listen on (default: 8000)")
    seed = _command(commands, "seed", _seed, "fill a database with the seed catalogue and the demo jobs")
    for command in (serve, seed):
        command.add_argument(
            "--database", metavar="URL", help="SQLite file to use (default: DATABASE_URL, or in the data folder)"
        )
    return parser


_Commands: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"


def _command(
    commands: _Commands, name: str, run: Callable[[argparse.Namespace], int], says: str
) -> argparse.ArgumentParser:
    command: argparse.ArgumentParser = commands.add_parser(name, help=says, description=says, allow_abbrev=False)
    command.set_defaults(run=run)
    return command


def _add_plan(commands: _Commands) -> None:
    plan = _command(commands, "plan", _plan, "find the cheapest plan for a job")
    plan.add_argument("job", metavar="JOB", help="a job/1 document; - for standard input")
    plan.add_argument("catalogue", metavar="CATALOGUE", help="a catalogue/1 document")
    plan.add_argument("--out", metavar="PLAN", help="file for the plan/1 document (default: standard output)")
    plan.add_argument("--time-limit", type=_seconds, metavar="S", help="seconds to search (default: until proven)")
    plan.add_argument("--limits", action="store_true", help="also what each limit costs (takes as long again, or 30 s)")
    plan.add_argument("--why", action="store_true", help="also why each part was chosen (likewise; shared)")
    plan.add_argument(
        "--person", type=_person, metavar="NAME", help="the qualified person who answers for a plan that asks for one"
    )
    plan.add_argument(
        "--finished", metavar="PLAN", help="a plan/1 document of this job: explain it instead of searching"
    )
    plan.add_argument(
        "--progress",
        choices=("auto", "json", "none"),
        default="auto",
        help="on standard error: one line on a terminal, a JSON object a line, or nothing",
    )


def _add_check(commands: _Commands) -> None:
    check = _command(commands, "check", _check, "check documents, or a finished plan against job and catalogue")
    check.add_argument("job", metavar="JOB", help="a job/1 document; - for standard input")
    check.add_argument("catalogue", metavar="CATALOGUE", nargs="?", help="a catalogue/1 document")
    check.add_argument("plan", metavar="PLAN", nargs="?", help="a plan/1 document")


def _add_cut(commands: _Commands) -> None:
    cut = _command(commands, "cut", _cut, "find the cheapest spools for a list of cuts, and what to cut from each")
    cut.add_argument("cutlist", metavar="CUTLIST", help="a cutlist/1 document; - for standard input")
    cut.add_argument("--time-limit", type=_seconds, metavar="S", help="seconds to search (default: until proven)")
    cut.add_argument("--json", action="store_true", help="a cuts/1 document instead of words")


def _seconds(text: str) -> float:
    try:
        seconds = float(text)
    except ValueError:
        seconds = math.nan
    if not 0 < seconds < math.inf:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number of seconds above 0")
    return seconds


def _person(text: str) -> str:
    reading = schemas.read_person(text)
    if reading.value is None:
        raise argparse.ArgumentTypeError("; ".join(fault.message for fault in reading.faults))
    return reading.value


def _port(text: str) -> int:
    if not text.isascii() or not text.isdigit() or not 0 < int(text[:9]) < 65536:
        raise argparse.ArgumentTypeError(f"{text!r} is not a port: a number from 1 to 65535")
    return int(text)


if __name__ == "__main__":
    sys.exit(main())
