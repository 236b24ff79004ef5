"""The balance of every lot: what went in is packs, batches, bone, fat, loss, what waits, and what is missing.

What is missing is no line; it is what the lines leave over, so the balance always closes and a weight that nobody
wrote down shows as missing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

GOES_IN = ("hung", "bought", "trim", "carried-in")
"""What a lot is made of: a side on the rail, a box, trim of other lots, what was left in the grinder."""

COMES_OUT = ("pack", "batch", "carried-out", "bone", "fat", "thrown", "loss", "waiting")
"""What becomes of it. Packs as they were packed: a sale changes nothing here. Loss is what the rail and the grinder
take; `waiting` was weighed and is neither packed, ground nor thrown away yet."""

STAYS_OUT = ("pack", "bone", "fat", "thrown", "loss", "waiting")
"""Of these what does not go into another lot of the shop."""

NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True)
class LotLine:
    """A weight that stands for a lot, after everything that was put right."""

    lot: str
    what: str
    kg: Decimal


@dataclass(frozen=True, slots=True)
class LotBalance:
    """One lot: kg in and out by what it is."""

    lot: str
    into: Mapping[str, Decimal]
    out: Mapping[str, Decimal]

    @property
    def in_kg(self) -> Decimal:
        return sum(self.into.values(), NOTHING)

    @property
    def out_kg(self) -> Decimal:
        return sum(self.out.values(), NOTHING)

    @property
    def missing_kg(self) -> Decimal:
        """In less out: still on the block, drip and saw dust, or gone. Below nothing when more came out than in."""
        return self.in_kg - self.out_kg


def balances(lines: Iterable[LotLine]) -> dict[str, LotBalance]:
    """The balance of every lot that a line names, by lot. Raises ValueError for a line that no lot has."""
    into: dict[str, dict[str, Decimal]] = {}
    out: dict[str, dict[str, Decimal]] = {}
    for line in lines:
        if line.what not in (*GOES_IN, *COMES_OUT):
            raise ValueError(f"a line of lot {line.lot} is {line.what}, which no lot has")
        side = into if line.what in GOES_IN else out
        for each in (into, out):
            each.setdefault(line.lot, {})
        side[line.lot][line.what] = side[line.lot].get(line.what, NOTHING) + line.kg
    return {lot: LotBalance(lot, into[lot], out[lot]) for lot in sorted(into)}


@dataclass(frozen=True, slots=True)
class ShopBalance:
    """All lots together: what came into the shop, and what became of it. Trim to batches is inside the shop."""

    came_kg: Decimal
    out: Mapping[str, Decimal]
    missing_kg: Decimal

    @property
    def closes(self) -> bool:
        return self.came_kg == sum(self.out.values(), NOTHING) + self.missing_kg


def shop_balance(of: Mapping[str, LotBalance]) -> ShopBalance:
    """The whole shop: hung and bought against packs, bone, fat, what was thrown away, loss, waiting and missing.

    What a lot gave to a batch and the batch did not take, or took without anybody having given it, is missing.
    """
    came = sum((lot.into.get(what, NOTHING) for lot in of.values() for what in ("hung", "bought")), NOTHING)
    out = {what: sum((lot.out.get(what, NOTHING) for lot in of.values()), NOTHING) for what in STAYS_OUT}
    on_the_way = sum(
        (lot.out.get("batch", NOTHING) + lot.out.get("carried-out", NOTHING)
         - lot.into.get("trim", NOTHING) - lot.into.get("carried-in", NOTHING) for lot in of.values()),
        NOTHING,
    )  # fmt: skip
    missing = sum((lot.missing_kg for lot in of.values()), NOTHING) + on_the_way
    return ShopBalance(came, out, missing)
