"""What a kind yields by the book, by the shop's own block, and by both together, cut by cut."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from gambrel.breakdown import ShareModel, forecast_side
from gambrel.catalog.animal import Animal as Carcass
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import Kind
from gambrel.catalog.lawful_ways import lawful_choice
from gambrel.catalog.ways import shipped_tree
from gambrel.files.drawing.yields import CutYield, yields_svg
from gambrel.journey import USUAL_STYLE
from gambrel.learn.block import BlockTest
from gambrel.measures import Estimate
from gambrel.shop.names import cut_said
from gambrel.shop.records.models import ShopProfile
from gambrel.shop.records.shop_yields import Taught, taught, yields_of
from gambrel.shop.records.week import kinds_of_shop

DRAWS, SEED = 1000, 1
LEAST_SHARE = 0.002
"""Pieces of less than a fifth of a percent of the side are left to the forecast page."""
LEAST_DRAWN_SHARE = 0.01
"""What is less stands in the table and not in the drawing."""
FEWEST_FOR_INTERVAL = 3


@dataclass(frozen=True, slots=True)
class YieldLine:
    """One cut as shares of what comes off the rail: by the book, of the shop's own sides, and by both.

    `own` is None where the shop never weighed it; with fewer than three sides it has no interval of its own.
    """

    slug: str
    name: str
    book: Estimate
    own: Estimate | None
    own_count: int
    both: Estimate

    @property
    def moved_share(self) -> float:
        """How far the shop's own tests have moved the book."""
        return self.both.mean - self.book.mean


@dataclass(frozen=True, slots=True)
class YieldsPage:
    """`edition` names what the yields were learned from; `svg` is the drawing of the same lines."""

    kind: Kind
    kinds: Mapping[str, Kind]
    lines: tuple[YieldLine, ...]
    edition: str
    sides_count: int
    of_kind_count: int
    left_out_count: int
    half_life_days: float | None
    svg: str


def yields_page(shop: ShopProfile, kind_slug: str) -> YieldsPage:
    """The yields of one kind, broken as its newest side was, or the usual way."""
    kinds, known = kinds_of_shop(), taught(shop)
    seen = [test.animal.kind.slug for test in known.tests]
    slug = kind_slug if kind_slug in kinds else (seen[-1] if seen else next(iter(kinds)))
    kind = kinds[slug]
    own = [test for test in known.tests if test.animal.kind.slug == slug]
    lines = _lines(kind, own, known, shop)
    title = f"{kind.name}: share of the side, by the book, own, and both"
    drawn = tuple(CutYield(line.name, line.book, line.own, line.both) for line in lines
                  if line.both.mean >= LEAST_DRAWN_SHARE)  # fmt: skip
    return YieldsPage(
        kind=kind, kinds=kinds, lines=lines, edition=known.edition, sides_count=len(known.tests),
        of_kind_count=len(own), left_out_count=known.left_out_count,
        half_life_days=yields_of(known).half_life_days if known.tests else None,
        svg=yields_svg(drawn, title=title),
    )  # fmt: skip


def _lines(kind: Kind, own: list[BlockTest], known: Taught, shop: ShopProfile) -> tuple[YieldLine, ...]:
    carcass = usual_carcass(kind, [test.animal for test in own])
    ways = dict(own[-1].ways) if own else {}
    if not ways:
        tree = shipped_tree().trimmed(shop.trim)
        usual = tree.style(USUAL_STYLE, kind.species)
        ways, _, _ = lawful_choice(
            tree, shipped_cuts(), carcass, usual, srm_policy_bison=shop.srm_policy_bison
        )
    book = _forecast(kind.slug, tuple(sorted(ways.items())), known.trim, "book", carcass, None)
    models = yields_of(known).models(carcass) if known.tests else None
    both = _forecast(kind.slug, tuple(sorted(ways.items())), known.trim, known.edition, carcass, models)
    lines = [
        YieldLine(slug, cut_said(slug, kind.species), of_book, *_own(slug, own), both[slug])
        for slug, of_book in book.items()
        if max(of_book.mean, both[slug].mean) >= LEAST_SHARE
    ]
    return tuple(sorted(lines, key=lambda line: -line.both.mean))


def usual_carcass(kind: Kind, seen: Sequence[Carcass]) -> Carcass:
    """The mean of the carcasses that the shop has cut, figure by figure, so that book, own and both speak of the same
    one: a shop whose animals carry more kidney fat than the kind does finds more suet, whatever way it cuts."""
    if not seen:
        return Carcass(kind=kind, sex=kind.sexes[0], hot_kg=kind.hot_kg.mean)

    def mean(figure: str) -> float | None:
        known = [value for one in seen if (value := getattr(one, figure)) is not None]
        return sum(known) / len(known) if known else None

    hot_kg = sum(one.hot_kg for one in seen) / len(seen)
    return Carcass(kind=kind, sex=seen[-1].sex, hot_kg=hot_kg, fat_mm=mean("fat_mm"),
                   ribeye_cm2=mean("ribeye_cm2"), kph_pct=mean("kph_pct"))  # fmt: skip


_shown: dict[tuple[object, ...], dict[str, Estimate]] = {}


def _forecast(
    kind: str, ways: tuple[tuple[str, str], ...], trim: str, edition: str, carcass: Carcass,
    models: Mapping[tuple[str, str], ShareModel] | None,
) -> dict[str, Estimate]:  # fmt: skip
    """Shares of the side by slug; the same seed stands behind both, so that they differ by the yields alone."""
    figures = (carcass.sex, carcass.hot_kg, carcass.fat_mm, carcass.ribeye_cm2, carcass.kph_pct)
    asked = (kind, ways, trim, edition, figures)
    found = _shown.get(asked)  # held here: another thread may clear what is shown
    if found is None:
        if len(_shown) > 32:
            _shown.clear()
        forecast = forecast_side(
            carcass, dict(ways), tree=shipped_tree().trimmed(trim), cuts=shipped_cuts(), hung_kg=np.ones(DRAWS),
            seed=SEED, learned=models,
        )  # fmt: skip
        found = _shown[asked] = {slug: Estimate.from_draws(kg) for slug, kg in forecast.kg.items()}
    return found


def _own(slug: str, tests: list[BlockTest]) -> tuple[Estimate | None, int]:
    """Mean share of the sides that weighed it, and where nine in ten of the next sides would lie by them alone.

    The interval is Student's for one more observation: mean -+ t(0.95, n - 1) s sqrt(1 + 1/n).
    """
    shares = [
        test.weighed_kg[slug] / sum(test.weighed_kg.values()) for test in tests if slug in test.weighed_kg
    ]
    count = len(shares)
    if not shares:
        return None, 0
    mean = float(np.mean(shares))
    if count < FEWEST_FOR_INTERVAL:
        return Estimate(mean, mean, mean), count
    half = _t95(count - 1) * float(np.std(shares, ddof=1)) * math.sqrt(1 + 1 / count)
    return Estimate(mean, max(0.0, mean - half), mean + half), count


_T95 = {2: 2.920, 3: 2.353, 4: 2.132, 5: 2.015, 6: 1.943, 7: 1.895, 8: 1.860, 9: 1.833, 10: 1.812, 15: 1.753,
        20: 1.725, 30: 1.697, 60: 1.671}  # fmt: skip
"""Student's t with 5 % above it, by degrees of freedom [NIST/SEMATECH e-Handbook of Statistical Methods, section
1.3.6.7.2, 2012; written down from memory, and checked by its own integral in the tests]."""


def _t95(df: int) -> float:
    """The table's entry, or that of the next smaller one, which is the wider."""
    return _T95[max(known for known in _T95 if known <= df)]
