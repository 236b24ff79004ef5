"""The ways that bring most at prices nobody has asked a plan for: what the first plan is made of, before any search."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.ways import LOSS, Tree, Way
from gambrel.plan.lawful import lawful_names
from gambrel.plan.market import origin_of
from gambrel.plan.shares import Shares
from gambrel.plan.week import Hanging, Week


def likely_ways(hanging: Hanging, week: Week, tree: Tree, shares: Shares) -> Hanging:
    """The animal left only the way of each piece that looks best, and those that promised cuts come from.

    What the animal's own entry settles, allows or forbids stays as it is, and so does the law.
    """
    worth = _Worth(hanging, week, tree, shares)
    lawful = lawful_names(tree, hanging, week.shop)
    allowed = dict(hanging.ways_allowed)
    for piece in tree.ways:
        there = {
            name: way
            for name, way in tree.ways_of(piece, hanging.animal.species).items()
            if name in allowed.get(piece, (name,))
            and name not in hanging.ways_forbidden.get(piece, ())
            and name in lawful.get(piece, (name,))
        }
        best = max(there, key=lambda name: worth.of_way(there[name]), default=None)
        kept = [name for name, way in there.items() if name == best or worth.is_promised_from(way)]
        if kept:
            allowed[piece] = tuple(kept)
    return replace(hanging, ways_allowed=allowed)


@dataclass
class _Worth:
    """What a kilogram of each piece brings, in cents, when it is broken its best way; wages are taken off."""

    hanging: Hanging
    week: Week
    tree: Tree
    shares: Shares
    prices: Mapping[str, float] = field(init=False)
    promised: frozenset[str] = field(init=False)
    _of_piece: dict[str, float] = field(default_factory=dict)
    _promised_from: dict[str, bool] = field(default_factory=dict)

    def __post_init__(self) -> None:
        kinds = origin_of(self.hanging).kinds
        taken = [one for one in self.week.demands if kinds <= one.group.kinds]
        self.prices = {one.slug: one.steps[len(one.steps) // 2].price_cents_per_kg for one in taken}
        ground = max((self.prices[one.slug] for one in taken if one.is_ground), default=0.0)
        for slug, cut in shipped_cuts().items():
            if cut.lean_pct is not None:
                self.prices.setdefault(slug, ground * cut.lean_pct / 100.0)
        self.promised = frozenset(
            one.slug for one in self.week.orders if one.must and kinds <= one.group.kinds
        )

    def of_way(self, way: Way) -> float:
        wages = sum(way.minutes_per_100kg.values()) / 100.0 * self.week.shop.wage_cents_per_hour / 60.0
        if way.is_whole:
            return self.prices.get(way.piece, 0.0) - wages
        parts = self.shares[way.piece, way.name].items()
        return sum(share * self.of_piece(slug) for slug, share in parts if slug != LOSS) - wages

    def of_piece(self, piece: str) -> float:
        if piece not in self._of_piece:
            ways = self.tree.ways_of(piece, self.hanging.animal.species).values()
            self._of_piece[piece] = max(
                (self.of_way(way) for way in ways), default=self.prices.get(piece, 0.0)
            )
        return self._of_piece[piece]

    def is_promised_from(self, way: Way) -> bool:
        """Whether a promised cut comes about below this way."""
        if way.is_whole:
            return way.piece in self.promised
        return any(slug in self.promised or self._leads(slug) for slug in way.outputs)

    def _leads(self, piece: str) -> bool:
        if piece not in self._promised_from:
            ways = self.tree.ways_of(piece, self.hanging.animal.species).values()
            self._promised_from[piece] = any(self.is_promised_from(way) for way in ways)
        return self._promised_from[piece]
