"""`gambrel price`: cost of every cut, the price list at the margin, and the bid for the next animal."""

from __future__ import annotations

from pathlib import Path

import click

from gambrel.cli.report import answers, as_json, complain, print_json


@click.command("price")
@click.argument("case", metavar="CASE.toml")
@as_json
@answers
def command(case: str, as_json: bool) -> int:
    """Cost every cut, price the list, and say what may be bid.

    CASE.toml holds one animal: kind, weights, bill, fees, wages, the cuts with today's prices, and the margin
    wanted. docs/price.md shows one. Where the list cannot earn the margin, the dearest list that the ceilings
    allow is given, the findings say what holds it, and the exit status is 1.
    """
    from gambrel.catalog.cuts import shipped_cuts
    from gambrel.catalog.kinds import shipped_kinds
    from gambrel.cli.price_text import sheet_lines
    from gambrel.files.reading import read_case
    from gambrel.measures import Findings
    from gambrel.price.case import read_price_case
    from gambrel.price.sheet import price_animal, sheet_json

    entry = read_case(Path(case), Findings())
    sheet = price_animal(read_price_case(entry, kinds=shipped_kinds(), catalogue=shipped_cuts()))
    if as_json:
        print_json(sheet_json(sheet))
    else:
        print("\n".join(sheet_lines(sheet)))
    complain(sheet.findings)
    return 1 if sheet.findings else 0
