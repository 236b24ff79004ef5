"""Shares of the week's file: who takes how much of which animal home, cut how, by when, for how much."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date

from gambrel.catalog.portions import PORTIONS
from gambrel.measures import Entry
from gambrel.plan.week import Share, Shop

USUAL_STYLE = "boneless"


def read_share(entry: Entry, animals: Collection[str], shop: Shop | None) -> Share | None:
    """One [[share]]; None when anything in it was wrong."""
    before = len(entry.findings)
    name = entry.text("id", required=True, longest=40)
    if name:
        entry.where = f"share {name}"
    animal = entry.text("animal", required=True, longest=40)
    if animal and animal not in animals:
        entry.wrong("animal", animal, "an animal of this file", "Mend its name.")
    portion = entry.word("portion", PORTIONS, required=True)
    owner = entry.text("owner", required=True)
    style = entry.text("style", longest=60) or USUAL_STYLE
    by: date | None = entry.day("by")
    if by is not None and shop is not None and not shop.start <= by <= shop.end:
        entry.wrong(
            "by", by, f"a day of the plan, {shop.start} to {shop.end}", "Change the day, or leave it out."
        )
    price = entry.price_cents_per_kg("price") or 0.0
    ways = {}
    for piece, raw in entry.table("ways").fields.items():
        if isinstance(raw, str):
            ways[str(piece)] = raw
        else:
            entry.wrong(
                "ways", f"{piece} = {raw}", "a piece and the name of one way", f'Write {piece} = "...".'
            )
    entry.no_more()
    if len(entry.findings) > before or not (name and animal and portion and owner):
        return None
    return Share(name, animal, PORTIONS[portion], owner, style, ways, by, price)
