"""`gambrel plan`: which side is cut when and into what, or why no plan keeps every promise."""

from __future__ import annotations

from pathlib import Path

import click

from gambrel.cli.report import answers, as_json, complain, print_json
from gambrel.measures import Entry, Findings


@click.command("plan")
@click.argument("week_file", type=click.Path(path_type=Path), required=False)
@click.option("--example", metavar="N", help="Print a week file of an invented shop with N sides, and stop.")
@click.option("--days", metavar="D", help="With --example: days of the plan (14).")
@click.option("--seed", metavar="S", help="With --example: another seed, another week (1).")
@click.option("--gap", metavar="SHARE", help="How near to the best possible is near enough (0.005).")
@click.option("--seconds", metavar="S", help="Longest time to search (60).")
@click.option("--ways", "ways_file", type=click.Path(path_type=Path), help="The shop's own ways (TOML).")
@as_json
@answers
def command(
    week_file: Path | None,
    example: str | None,
    days: str | None,
    seed: str | None,
    gap: str | None,
    seconds: str | None,
    ways_file: Path | None,
    as_json: bool,
) -> int:
    """Plan the week described in WEEK_FILE: the most profit, and how near that is to the best possible."""
    if (week_file is None) == (example is None):
        raise click.UsageError("give a WEEK_FILE, or --example N to print one")
    findings = Findings()
    options = {"example": example, "days": days, "seed": seed, "gap": gap, "seconds": seconds}
    entry = Entry({name: value for name, value in options.items() if value is not None}, "", findings)
    sides = entry.whole("example", low=1, high=400, what="a number of sides")
    length = entry.whole("days", low=1, high=60, what="a number of days")
    seed_number = entry.whole("seed", low=0, high=10**9, what="a whole number")
    share = entry.number("gap", low=0.0, high=1.0, what="a share such as 0.005")
    limit = entry.number("seconds", low=1.0, high=86_400.0, what="a number of seconds")
    findings.stop_if_any()
    if week_file is None:
        from gambrel.plan.example import example_week

        print(example_week(sides=sides or 1, days=14 if length is None else length,
                           seed=1 if seed_number is None else seed_number), end="")  # fmt: skip
        return 0
    return _plan(
        week_file, ways_file, 0.005 if share is None else share, 60.0 if limit is None else limit, as_json
    )


def _plan(week_file: Path, ways_file: Path | None, gap: float, seconds: float, as_json: bool) -> int:
    from gambrel.cli.plan_page import print_plan
    from gambrel.files.reading import read_case
    from gambrel.files.shop_data import own_tree
    from gambrel.plan import read_week, solve_week
    from gambrel.plan.tell import to_json

    week = read_week(read_case(week_file, Findings()))
    plan = solve_week(week, tree=own_tree(ways_file), gap=gap, seconds=seconds)
    if as_json:
        print_json(to_json(week, plan))
    elif plan.has_plan:
        print_plan(week, plan)
    complain(plan.findings, word="note" if plan.has_plan else "no plan")
    return 0 if plan.has_plan else 1
