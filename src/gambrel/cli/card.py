"""`gambrel card --out card.pdf`: the scale card to print, 1:1."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from gambrel.cli.report import answers, as_json, print_json
from gambrel.measures import Entry, Findings


@click.command("card")
@click.option("--out", type=click.Path(path_type=Path), required=True, help="File to write, card.pdf.")
@click.option("--paper", default="letter", show_default=True, help="letter or a4.")
@click.option("--count", default="2", show_default=True, help="How many cards; two fit a page.")
@as_json
@answers
def command(out: Path, paper: str, count: str, as_json: bool) -> None:
    """Write the scale card as PDF at its true size, with how to print and keep it."""
    from gambrel.files.scale_card import MOST_CARDS, card_pdf
    from gambrel.files.sheets.typeset import PAPERS
    from gambrel.files.writing import write_whole

    findings = Findings()
    entry = Entry({"paper": paper, "count": count}, "", findings)
    paper_known = entry.word("paper", PAPERS, required=True)
    cards_count = entry.whole("count", low=1, high=MOST_CARDS, required=True)
    findings.stop_if_any()
    if paper_known is None or cards_count is None:
        raise AssertionError("options without findings are options")
    write_whole(out, card_pdf(paper=paper_known, count=cards_count, made_on=date.today()))
    if as_json:
        print_json({"file": str(out), "cards": cards_count, "paper": paper_known})
        return
    print(f"{out}: {cards_count} card{'' if cards_count == 1 else 's'} on {paper_known} paper.")
    print("Print at 100 % and lay a ruler on the black bar: it must be 50 mm long.")
