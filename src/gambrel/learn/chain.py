"""Where the weight of a side went, from the hot scale to the last piece, by side and by day.

Chill, hanging, cuts, trim, bone, fat, cutting loss and what is missing add up to the hot weight, to the gram.
`balance_chain` makes the chain of one side, `day_chain` adds sides up. The mistake behind a chain that does not
close is looked for in `learn.mistakes`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from gambrel.breakdown.balance import GROUPS, Balance
from gambrel.measures import Estimate

STEPS = ("chill", "hanging", *GROUPS, "loss", "missing")
"""The links of a chain in their order; loss is what saw, drip and air were expected to take at the block."""


@dataclass(frozen=True, slots=True)
class Chain:
    """A side, or several: its weights in kg. `chill_weighed` says that a weighing told the chill from the hanging.

    `sides` counts the sides in it.
    """

    hot_kg: float
    chill_kg: float
    hanging_kg: float
    balance: Balance
    chill_weighed: bool
    sides: int = 1

    @property
    def step_kg(self) -> dict[str, float]:
        """Every link of `STEPS`. Below 0, `missing` says that more was weighed than there was."""
        loss_kg = self.balance.loss_kg.mean
        missing_kg = self.balance.missing_kg - loss_kg
        links = (self.chill_kg, self.hanging_kg, *(self.balance.group_kg[name] for name in GROUPS))
        return dict(zip(STEPS, (*links, loss_kg, missing_kg), strict=True))

    @property
    def step_share(self) -> dict[str, float]:
        """The same as shares of the hot weight; they add to 1."""
        return {name: kg / self.hot_kg for name, kg in self.step_kg.items()}

    @property
    def closes(self) -> bool:
        """What is missing is no more than the cutting loss and the scale's digits explain."""
        return self.balance.holds


def balance_chain(
    *, hot_kg: float, balance: Balance, chilled_kg: float | None, usual_chill_share: float
) -> Chain:
    """The chain of one side that was hung at `hot_kg` and came off the rail at `balance.begun_kg`.

    `chilled_kg` is a weighing of its first or second day; where there is none, the chill is `usual_chill_share`
    of the hot weight, as far as so much was lost at all. ValueError for a side that came off heavier than its
    chilled weight or the hot one: `hang.weighings` finds such slips before.
    """
    top_kg = hot_kg if chilled_kg is None else min(hot_kg, chilled_kg)
    if not 0.0 < balance.begun_kg <= top_kg:
        raise ValueError("a side cannot come off the rail heavier than it was hung")
    lost_kg = hot_kg - balance.begun_kg
    chill_kg = min(usual_chill_share * hot_kg, lost_kg) if chilled_kg is None else hot_kg - top_kg
    return Chain(hot_kg, chill_kg, lost_kg - chill_kg, balance, chilled_kg is not None)


def day_chain(chains: Sequence[Chain]) -> Chain:
    """All sides of a day as one. Digits of the scale add as squares; the ends of the expected losses add as they
    are, for what the book does not know of the loss is the same for every side."""
    if not chains:
        raise ValueError("a day without a side has no chain")
    balances = [chain.balance for chain in chains]
    losses = [balance.loss_kg for balance in balances]
    total = Balance(
        begun_kg=math.fsum(balance.begun_kg for balance in balances),
        group_kg=_added([balance.group_kg for balance in balances]),
        loss_kg=Estimate(
            mean=math.fsum(loss.mean for loss in losses),
            p05=math.fsum(loss.p05 for loss in losses),
            p95=math.fsum(loss.p95 for loss in losses),
        ),
        tolerance_kg=math.hypot(*(balance.tolerance_kg for balance in balances)),
    )
    return Chain(
        hot_kg=math.fsum(chain.hot_kg for chain in chains),
        chill_kg=math.fsum(chain.chill_kg for chain in chains),
        hanging_kg=math.fsum(chain.hanging_kg for chain in chains),
        balance=total,
        chill_weighed=all(chain.chill_weighed for chain in chains),
        sides=sum(chain.sides for chain in chains),
    )


def _added(rows: Sequence[Mapping[str, float]]) -> dict[str, float]:
    return {name: math.fsum(row[name] for row in rows) for name in GROUPS}
