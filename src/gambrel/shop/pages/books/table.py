"""The accounts as a table that a spreadsheet opens."""

from __future__ import annotations

from collections.abc import Iterable

from gambrel.files.sheets.table import Column, Table, kg, money, share, text
from gambrel.shop.records.selectors.books import Account


def accounts_table(accounts: Iterable[Account]) -> Table:
    """A line an animal; a cost that is not in the records is an empty cell."""
    columns: tuple[Column, ...] = (
        text("animal"), text("kind"), text("supplier"), kg("hot"), money("cost"), kg("packed"), kg("sold"),
        money("sold for"), money("earned"), share("margin"), kg("on the shelf"), money("at its price"),
    )  # fmt: skip
    rows = tuple(
        (one.name, one.kind, one.supplier, one.hot_kg, one.cost_cents, one.packed_kg, one.sold_kg, one.sold_cents,
         one.earned_cents, one.margin_share, one.shelf_kg, one.shelf_cents)
        for one in accounts
    )  # fmt: skip
    return Table("books", columns, rows)
