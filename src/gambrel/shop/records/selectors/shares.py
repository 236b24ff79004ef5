"""Shares as the pages show them: what is sold of which animal, what one takes home and pays, before and after."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.lawful_ways import lawful_choice
from gambrel.catalog.portions import PORTIONS
from gambrel.catalog.ways import shipped_tree
from gambrel.files.sheets.inputs import Head
from gambrel.files.sheets.share_invoice import share_invoice_pdf
from gambrel.hang.window import ready_window
from gambrel.measures import Estimate, Finding
from gambrel.plan.week import Hanging
from gambrel.sell.share_bill import BillForecast, Kept, ShareBill, ShareSold, ShareWeights, Terms, share_bill
from gambrel.sell.share_choices import Choice, ChoiceEffect, choice_effects, share_forecast
from gambrel.sell.take_home import OwnerWishes, ShareAsked, TakeHome, usual_choices
from gambrel.shop.records.models import Animal, AuditLine, Cutting, OrderState, Share, ShopProfile, Side
from gambrel.shop.records.selectors.forecast_ways import WayChoice, open_choices
from gambrel.shop.records.shop_yields import Taught, models_of, taught
from gambrel.shop.records.stored import restored
from gambrel.shop.records.week import faces_of, hanging_of, kinds_of_shop
from gambrel.shop.records.yields_said import yields_said

DRAWS, SEED = 800, 1
CLOSED_SHOWN = 30


@dataclass(frozen=True, slots=True)
class SharesPage:
    """Open shares, and the last that were closed."""

    open: tuple[Share, ...]
    closed: tuple[Share, ...]


@dataclass(frozen=True, slots=True)
class ShareFigures:
    """What a share is: by the hot weight that hung, how it is wanted, what it gives and costs.

    `home` and `forecast` are before, by the yields that are `known`; `bill` and `kept` after it was handed over.
    """

    share: Share
    terms: Terms
    wishes: OwnerWishes
    hot_kg: float
    cut_on: date | None
    home: TakeHome
    forecast: BillForecast
    bill: ShareBill | None
    kept: Kept | None
    known: Taught

    @property
    def taken_kg(self) -> Estimate:
        return Estimate.from_draws(self.home.taken_kg)

    @property
    def hung_kg(self) -> Estimate:
        return Estimate.from_draws(self.home.hung_kg)

    @property
    def notes(self) -> tuple[Finding, ...]:
        """What the law changed in the wishes."""
        return self.home.changed


@dataclass(frozen=True, slots=True)
class SharePage:
    """A share with what every other choice would change, and who changed what."""

    figures: ShareFigures
    effects: tuple[ChoiceEffect, ...]
    trail: tuple[AuditLine, ...]


@dataclass(frozen=True, slots=True)
class _Effects:
    """What every other choice would change: `same` says all that it follows from."""

    same: str
    work_out: Callable[[], tuple[ChoiceEffect, ...]] = field(compare=False)


@lru_cache(maxsize=32)
def _worked_out(effects: _Effects) -> tuple[ChoiceEffect, ...]:
    """A forecast for every choice: worked out once for as long as nothing that it follows from changes."""
    return effects.work_out()


def shares_page() -> SharesPage:
    rows = Share.objects.select_related("customer", "animal").order_by("-bought_on", "-pk")
    closed = rows.exclude(state=OrderState.OPEN)[:CLOSED_SHOWN]
    return SharesPage(tuple(rows.filter(state=OrderState.OPEN)), tuple(closed))


def animals_for_shares() -> list[Animal]:
    """Animals whose sides hang or are being cut: a share may be sold of them."""
    return list(Animal.objects.filter(sides__state__in=("hanging", "block")).distinct().order_by("tag"))


def share_page(share: Share, shop: ShopProfile) -> SharePage:
    hanging = _hanging(share.animal)
    figures = figures_of(share, shop, hanging)
    effects: tuple[ChoiceEffect, ...] = ()
    if share.state == OrderState.OPEN:
        tree = shipped_tree().trimmed(shop.trim)
        others = {name: Choice(one) for name, one in usual_choices(figures.wishes, tree).items()}
        asked, sold = _asked(share, shop, hanging, figures.known), sold_of(share)
        same = repr((asked.animal, asked.sides, figures.wishes, figures.terms, sold, figures.hot_kg, shop.trim,
                     asked.srm_policy_bison, asked.side_hung_kg.tobytes(), figures.known.edition,
                     _supplier(share)))  # fmt: skip
        effects = _worked_out(_Effects(same, lambda: choice_effects(
            asked, Choice(figures.wishes), others, figures.terms, sold, hot_kg=figures.hot_kg, tree=tree,
            cuts=shipped_cuts(),
        )))  # fmt: skip
    trail = AuditLine.objects.filter(record="share", record_id=str(share.pk)).order_by("-pk")[:50]
    return SharePage(figures, effects, tuple(trail))


def figures_of(share: Share, shop: ShopProfile, hanging: Hanging | None = None) -> ShareFigures:
    """Forecast and bill of one share; the same figures as its customer sees. `hanging` is its animal where known."""
    hanging, known = hanging or _hanging(share.animal), taught(shop)
    sides = PORTIONS[share.portion]
    hot_kg = _side_hot_kg(hanging) * sides
    terms, wishes = restored(Terms, share.terms), restored(OwnerWishes, share.wishes)
    home, forecast = share_forecast(
        _asked(share, shop, hanging, known), Choice(wishes), terms, sold_of(share), hot_kg=hot_kg,
        tree=shipped_tree().trimmed(shop.trim), cuts=shipped_cuts(),
    )  # fmt: skip
    bill, kept = None, None
    if share.taken_kg is not None:
        hung_kg = _cut_kg(share.animal, sides) or float(np.mean(home.hung_kg))
        weights = ShareWeights(hot_kg, hung_kg, float(share.taken_kg), float(share.ground_kg or 0), sides)
        bill = share_bill(terms, sold_of(share), weights)
        kept = Kept(restored(Estimate, share.foretold), float(share.taken_kg)) if share.foretold else None
    return ShareFigures(share, terms, wishes, hot_kg, _cut_on(hanging), home, forecast, bill, kept, known)


def way_choices(share: Share, shop: ShopProfile) -> tuple[tuple[str, tuple[WayChoice, ...]], ...]:
    """By primal, the pieces that come up as the share is wanted and leave a choice, each with its lawful ways."""
    animal, wishes = _hanging(share.animal).animal, restored(OwnerWishes, share.wishes)
    tree, policy = shipped_tree().trimmed(shop.trim), shop.srm_policy_bison
    named = {**tree.style(wishes.style, animal.species), **wishes.ways}
    chosen, _, _ = lawful_choice(tree, shipped_cuts(), animal, named, srm_policy_bison=policy)
    return open_choices(tree, animal, chosen, policy=policy)


def sold_of(share: Share) -> ShareSold:
    return ShareSold(share.customer.name, share.animal.inspected, share.bought_on, share.animal.killed_on)


def _hanging(animal: Animal) -> Hanging:
    sides = list(Side.objects.filter(animal=animal).select_related("animal", "animal__bill", "pin"))
    return hanging_of(sides, kinds_of_shop(), faces_of(sides))[0]


def _side_hot_kg(hanging: Hanging) -> float:
    return sum(hanging.side_hot_kg.values()) / len(hanging.side_hot_kg)


def _cut_on(hanging: Hanging) -> date:
    return ready_window(hanging.kind, hanging.killed).target


def _supplier(share: Share) -> str:
    supplier = share.animal.supplier
    return supplier.name if supplier else ""


def _asked(share: Share, shop: ShopProfile, hanging: Hanging, known: Taught) -> ShareAsked:
    """Its sides on the day they are best cut; draws come of a seed of their own, so that the page stays the same."""
    side_kg = _side_hot_kg(hanging)
    days = (_cut_on(hanging) - hanging.killed).days
    left: NDArray[np.float64] = hanging.loss(side_kg).draw_remaining(
        days, DRAWS, np.random.default_rng((SEED, 3))
    )
    return ShareAsked(hanging.animal, PORTIONS[share.portion], side_kg * left, SEED, shop.srm_policy_bison,
                      models_of(known, hanging.animal, supplier=_supplier(share)))  # fmt: skip


def _cut_kg(animal: Animal, sides: float) -> float | None:
    """What the share weighed off the rail, once every side of the animal was cut."""
    begun = Cutting.objects.filter(side__animal=animal).values_list("begun_kg", flat=True)
    every = Side.objects.filter(animal=animal).count()
    return float(sum(begun)) / every * sides if begun and len(begun) == every else None


def invoice_pdf(shop: ShopProfile, share: Share, *, on: date, paper: str) -> bytes:
    """The invoice, or before it is handed over what is foretold of it."""
    hanging = _hanging(share.animal)
    figures = figures_of(share, shop, hanging)
    title = f"Invoice {share.code}" if figures.bill else f"What is foretold of share {share.code}"
    # A bill is by what was weighed: no yields are in it.
    yields = "" if figures.bill else yields_said(figures.known)
    return share_invoice_pdf(
        Head(shop.name, title, on, yields), bill=figures.bill, forecast=figures.forecast, taken_kg=figures.taken_kg,
        owner=share.customer.name, animal=share.animal.tag, portion=share.portion, hot_kg=figures.hot_kg,
        deposit_cents=figures.terms.deposit_cents, custom=share.animal.inspected == "custom",
        pieces=[(shipped_cuts()[slug].shop_name(hanging.animal.species), kg)
                for slug, kg in list(figures.home.pieces().items())], paper=paper,
    )  # fmt: skip
