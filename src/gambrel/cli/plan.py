"""`gambrel plan`: which side is cut when and into what, or why no plan keeps every promise."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Any

import click

from gambrel.cli.plan_questions import FINE_GAP, Questions, questions, read_questions
from gambrel.cli.report import answers, as_json, complain, print_json
from gambrel.measures import Entry, Findings

CLASH_SECONDS = 10.0
"""Longest time for each question while the promises that clash are narrowed down."""


@click.command("plan")
@click.argument("week_files", metavar="WEEK_FILE...", type=click.Path(path_type=Path), nargs=-1)
@click.option("--example", metavar="N", help="Print a week file of an invented shop with N sides, and stop.")
@click.option("--days", metavar="D", help="With --example: days of the plan (14).")
@click.option("--seed", metavar="S", help="With --example: another seed, another week (1).")
@click.option("--gap", metavar="SHARE", help="How near to the best possible is near enough (0.005).")
@click.option("--seconds", metavar="S", help="Longest time to search (60).")
@click.option("--ways", "ways_file", type=click.Path(path_type=Path), help="The shop's own ways (TOML).")
@click.option(
    "--scheduler", help="Address of a Dask scheduler, to plan the weeks of many shops side by side."
)
@questions
@as_json
@answers
def command(
    week_files: tuple[Path, ...],
    example: str | None,
    days: str | None,
    seed: str | None,
    gap: str | None,
    seconds: str | None,
    ways_file: Path | None,
    scheduler: str | None,
    as_json: bool,
    **asked: Any,
) -> int:
    """Plan the week described in WEEK_FILE: the most profit, and how near that is to the best possible.

    Several files are the weeks of several shops, each planned by itself.
    """
    if bool(week_files) == (example is not None):
        raise click.UsageError("give a WEEK_FILE, or --example N to print one")
    findings = Findings()
    options = {"example": example, "days": days, "seed": seed, "gap": gap, "seconds": seconds}
    entry = Entry({name: value for name, value in options.items() if value is not None}, "", findings)
    sides = entry.whole("example", low=1, high=400, what="a number of sides")
    length = entry.whole("days", low=1, high=60, what="a number of days")
    seed_number = entry.whole("seed", low=0, high=10**9, what="a whole number")
    share = entry.number("gap", low=0.0, high=1.0, what="a share such as 0.005")
    limit = entry.number("seconds", low=1.0, high=86_400.0, what="a number of seconds")
    asked_of = read_questions(asked, findings)
    findings.stop_if_any()
    if not week_files:
        from gambrel.plan.example import example_week

        print(example_week(sides=sides or 1, days=14 if length is None else length,
                           seed=1 if seed_number is None else seed_number), end="")  # fmt: skip
        return 0
    usual = FINE_GAP if asked_of.plans_anew else 0.005
    limits = (usual if share is None else share, 60.0 if limit is None else limit)
    if len(week_files) > 1 or scheduler is not None:
        if asked_of.asks_anything:
            raise click.UsageError("put questions to the plan of one WEEK_FILE, without --scheduler")
        from gambrel.cli.plan_many import plan_many

        return plan_many(
            week_files, ways_file, gap=limits[0], seconds=limits[1], scheduler=scheduler, as_json=as_json
        )
    return _plan(week_files[0], ways_file, limits, asked_of, as_json)


def _plan(
    week_file: Path, ways_file: Path | None, limits: tuple[float, float], asked: Questions, as_json: bool
) -> int:
    """Plan to a gap within so many seconds (`limits`), then answer what was asked of the plan."""
    from gambrel.catalog.cuts import shipped_cuts
    from gambrel.cli.plan_answers import answer_lines, answer_questions, answers_json, clash_json
    from gambrel.cli.plan_page import print_plan
    from gambrel.cli.plan_watch import watching
    from gambrel.files.reading import read_case, read_json_object
    from gambrel.files.shop_data import own_tree
    from gambrel.plan import PlanResult, Week, read_week, solve_week
    from gambrel.plan.questions.clash_set import clash_finding, smallest_clash
    from gambrel.plan.questions.draws import forecast_source
    from gambrel.plan.questions.near_last import near_last
    from gambrel.plan.questions.safety import solve_safely
    from gambrel.plan.questions.since import read_seen
    from gambrel.plan.tell import to_json

    week = read_week(read_case(week_file, Findings()))
    last = None if asked.last is None else read_seen(read_json_object(asked.last), str(asked.last))
    tree = own_tree(ways_file)
    source = forecast_source(tree.trimmed(week.shop.trim), shipped_cuts())

    def solve(one: Week) -> PlanResult:
        return solve_week(one, tree=tree, gap=limits[0], seconds=limits[1])

    with watching() as watch:
        plan = solve_week(
            week, tree=tree, gap=limits[0], seconds=limits[1], progress=watch.progress, stop=watch.stop,
            start=last.sides if last else (),
        )  # fmt: skip
    near = None
    if plan.has_plan and last is not None and asked.keep_last_cents is not None:
        near = near_last(week, plan, last.sides, solve, least_cents=asked.keep_last_cents)
        plan = near.plan
    safe = None
    if plan.has_plan and asked.safety_share is not None:
        safe = solve_safely(
            week, plan, safety_share=asked.safety_share, solve=solve, source=source, draws=asked.draws
        )
        plan = safe.plan
    if not plan.has_plan:
        clash = smallest_clash(week, partial(solve_week, tree=tree, gap=1.0, seconds=CLASH_SECONDS))
        if as_json:
            print_json({**to_json(week, plan), "clash": clash_json(clash)})
        complain((*plan.findings, *([clash_finding(clash)] if clash else [])), word="no plan")
        return 1
    found = answer_questions(
        asked, week, plan, tree=tree, solve=solve, source=source, last=last, safe=safe, near=near
    )
    if as_json:
        print_json({**to_json(week, plan), **answers_json(found)})
    else:
        print_plan(week, plan)
        print("\n".join(answer_lines(found)))
    complain(plan.findings, word="note")
    complain(safe.findings if safe else (), word="not safe")
    return 1 if safe is not None and not safe.is_safe else 0
