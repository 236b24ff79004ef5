"""Suppliers, kinds and animals beside each other, and what the bid should become."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from gambrel.learn.score_figures import FIGURES, AnimalFigures, scores_of
from gambrel.learn.scorecard import (
    Card,
    Difference,
    Score,
    animal_cards,
    bid_cents_per_kg,
    kind_cards,
    real_differences,
    supplier_cards,
    usual_of,
)  # fmt: skip
from gambrel.measures import Estimate
from gambrel.shop.records.animals_learned import animals_learned
from gambrel.shop.records.models import Plan, ShopProfile
from gambrel.shop.records.selectors.bid import bid_page
from gambrel.shop.records.selectors.plan import accepted_plan
from gambrel.shop.records.sides_learned import sides_compared, state_now

BY = ("supplier", "kind", "animal")
BID_FIGURE = "profit_cents_per_kg"
SURELY_SHARE = 0.9
"""The bid is the one that earns the margin so often."""

MOST_DIFFERENCES = 12


@dataclass(frozen=True, slots=True)
class ScoreLine:
    """One supplier, kind or animal. Without a `card` it cannot be set beside the others: too few animals, or nobody
    else brings its kind."""

    name: str
    animals_count: int
    usual: Estimate
    card: Card | None
    animal_id: int | None = None


@dataclass(frozen=True, slots=True)
class BidLine:
    """A kind from a supplier: the bid on the rail now, and what it should become."""

    supplier: str
    kind: str
    now_cents_per_kg: float
    becomes: Estimate


@dataclass(frozen=True, slots=True)
class ScoresPage:
    """One figure, by supplier, kind or animal. `figures` are those that enough animals have."""

    by: str
    figure: str
    animals: tuple[AnimalFigures, ...]
    figures: tuple[str, ...]
    lines: tuple[ScoreLine, ...] = ()
    differences: tuple[Difference, ...] = ()
    bids: tuple[BidLine, ...] = ()
    has_plan: bool = False


def scores_page(shop: ShopProfile, *, by: str, figure: str) -> ScoresPage:
    """The newest animals all of whose sides were weighed whole. `by` and `figure` that are none give the first."""
    by = by if by in BY else BY[0]
    learned = animals_learned(shop, sides_compared(state_now()))
    animals = tuple(one.figures for one in learned)
    figures = tuple(name for name in FIGURES if len(scores_of(animals, name)) >= 2)
    if not figures:
        return ScoresPage(by, FIGURES[0], animals, ())
    figure = figure if figure in figures else figures[0]
    scores = scores_of(animals, figure)
    differences = () if by == "animal" else real_differences(scores, by=by)
    plan, numbers = accepted_plan(), {one.first.tag: one.first.animal_id for one in learned}
    return ScoresPage(
        by=by, figure=figure, animals=animals, figures=figures, lines=_lines(scores, by, numbers),
        differences=differences[:MOST_DIFFERENCES],
        bids=_bids(animals, plan) if plan is not None and by == "supplier" else (), has_plan=plan is not None,
    )  # fmt: skip


def _lines(scores: Sequence[Score], by: str, numbers: Mapping[str, int]) -> tuple[ScoreLine, ...]:
    """Those that can be compared, the best first, then the others, the best first."""
    found = {"supplier": supplier_cards, "kind": kind_cards, "animal": animal_cards}[by](scores)
    cards = {card.name: card for card in found}
    values: dict[str, list[float]] = {}
    for one in scores:
        if getattr(one, by):
            values.setdefault(getattr(one, by), []).append(one.value)
    lines = [
        ScoreLine(name, len(of), usual_of(of), cards.get(name), numbers[name] if by == "animal" else None)
        for name, of in values.items()
    ]
    order = {name: at for at, name in enumerate(cards)}
    return tuple(sorted(lines, key=lambda line: (order.get(line.name, len(order)), -line.usual.mean)))


def _bids(animals: Sequence[AnimalFigures], plan: Plan) -> tuple[BidLine, ...]:
    """Every kind that a supplier has brought and that the plan breaks."""
    cards = {card.name: card for card in supplier_cards(scores_of(animals, BID_FIGURE))}
    now: dict[str, float | None] = {}
    lines = []
    for supplier, kind in sorted({(one.supplier, one.kind) for one in animals if one.supplier in cards}):
        if kind not in now:
            now[kind] = _bid_now(kind, plan)
        cents = now[kind]
        if cents is not None:
            lines.append(BidLine(supplier, kind, cents, bid_cents_per_kg(cents, cards[supplier])))
    return tuple(lines)


def _bid_now(kind: str, plan: Plan) -> float | None:
    """What may be bid on the rail for the middle supplier's animals, by the plan; None for a kind it does not break."""
    page = bid_page(kind=kind, offer_cents_per_kg=None, on="rail", plan=plan)
    if page.kind != kind:
        return None
    line = min(page.lines, key=lambda one: abs(one.chance_share - SURELY_SHARE))
    return line.rail_cents_per_kg
