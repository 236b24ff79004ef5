"""The forecast of one side broken one way, as its page and its sheet show it; kept in memory by what it is made of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache

import numpy as np

from gambrel.breakdown import Forecast, forecast_side
from gambrel.catalog.animal import Animal as Carcass
from gambrel.catalog.cuts import Cut, shipped_cuts
from gambrel.catalog.ways import shipped_tree
from gambrel.files.drawing.inputs import SideCutout
from gambrel.files.shop_sheets import LEAST_SHOWN_KG, group_name, minutes_of_work, side_cutout
from gambrel.hang.loss import LossModel
from gambrel.hang.window import ready_window
from gambrel.journey import SideOnRail
from gambrel.measures import Estimate
from gambrel.plan.week import Hanging
from gambrel.shop.records.list_prices import ListPrices
from gambrel.shop.records.shop_yields import Taught, models_of

DRAWS, SEED = 2000, 1
"""So many put the ends of an interval within a twentieth of its width."""


@dataclass(frozen=True)
class Asked:
    """All that a forecast depends on. `ways` are lawful for the animal."""

    tag: str
    half: str
    carcass: Carcass
    killed: date
    hot_kg: float
    loss: LossModel
    on: date
    ways: tuple[tuple[str, str], ...]
    trim: str
    edition: str
    supplier: str
    known: Taught = field(compare=False, hash=False, repr=False)
    """What `edition` names."""


@dataclass(frozen=True, slots=True)
class Piece:
    """What comes of a side of one cut: `group` is the primal it is listed under, `use` how it is sold."""

    slug: str
    group: str
    use: str
    kg: Estimate
    lean_pct: float | None


@dataclass(frozen=True, slots=True)
class Broken:
    """One side broken one way: pieces heaviest first, totals and primals by name, minutes by sort of work."""

    hung_kg: Estimate
    pieces: tuple[Piece, ...]
    totals: Mapping[str, Estimate]
    cutout: SideCutout
    used: tuple[tuple[str, str], ...]
    minutes: Mapping[str, float]
    balance_error_kg: float

    def kg_by_slug(self) -> dict[str, float]:
        return {piece.slug: piece.kg.mean for piece in self.pieces}


@lru_cache(maxsize=64)
def broken(asked: Asked) -> Broken:
    """The forecast. `CannotDo` for a day that the loss figures do not cover."""
    tree, cuts = shipped_tree().trimmed(asked.trim), shipped_cuts()
    day = max(0, (asked.on - asked.killed).days)
    hung_kg = asked.hot_kg * asked.loss.draw_remaining(day, DRAWS, np.random.default_rng((SEED, 3)))
    models = models_of(asked.known, asked.carcass, supplier=asked.supplier)
    forecast = forecast_side(
        asked.carcass, dict(asked.ways), tree=tree, cuts=cuts, hung_kg=hung_kg, seed=SEED, learned=models
    )
    return Broken(
        hung_kg=Estimate.from_draws(forecast.hung_kg),
        pieces=_pieces(forecast, cuts),
        totals=forecast.totals(),
        cutout=side_cutout(on_rail(asked), forecast),
        used=tuple((way.piece, way.name) for way in forecast.ways),
        minutes=minutes_of_work(forecast),
        balance_error_kg=forecast.balance_error_kg,
    )


def _pieces(forecast: Forecast, cuts: Mapping[str, Cut]) -> tuple[Piece, ...]:
    return tuple(
        Piece(slug, group_name(cuts[slug]), cuts[slug].use, kg, cuts[slug].lean_pct)
        for slug, kg in forecast.pieces().items()
        if kg.mean >= LEAST_SHOWN_KG
    )


def on_rail(asked: Asked) -> SideOnRail:
    """The side as drawings and sheets take it."""
    hanging = Hanging(asked.tag, asked.carcass, asked.killed, {asked.half: asked.hot_kg})
    window = ready_window(asked.carcass.kind, asked.killed)
    share = asked.loss.remaining_share(max(0, (asked.on - asked.killed).days))
    return SideOnRail(
        hanging.side_id(asked.half), hanging, asked.half, window, share.times(asked.hot_kg), None
    )


@dataclass(frozen=True, slots=True)
class Worth:
    """What the side would bring at list price [cents] if all of it sold so; `unpriced_kg` has no price.

    Trims count as the ground product that all of them together make: `trim_kg` of `trim_lean_pct`.
    """

    cents: int
    by_slug: Mapping[str, int]
    unpriced_kg: float
    trim_kg: float
    trim_lean_pct: float | None


def worth_of(side: Broken, prices: ListPrices) -> Worth:
    """Mean weight times list price, piece by piece."""
    trims = [piece for piece in side.pieces if piece.lean_pct is not None]
    trim_kg = sum(piece.kg.mean for piece in trims)
    lean_kg = sum(piece.kg.mean * (piece.lean_pct or 0.0) / 100.0 for piece in trims)
    lean_pct = 100.0 * lean_kg / trim_kg if trim_kg > 0 else None
    ground = prices.of_trims(lean_pct) if lean_pct is not None else None
    by_slug: dict[str, int] = {}
    unpriced_kg = 0.0
    for piece in side.pieces:
        price = ground if piece.lean_pct is not None else prices.cuts.get(piece.slug)
        if price is None:
            unpriced_kg += piece.kg.mean
        else:
            by_slug[piece.slug] = round(piece.kg.mean * price)
    return Worth(sum(by_slug.values()), by_slug, unpriced_kg, trim_kg, lean_pct)
