"""The forecast that a side goes to the block with, kept with the edition of yields it came from."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from django.db.models import Avg

from gambrel.catalog.cuts import shipped_cuts
from gambrel.shop.clock import now
from gambrel.shop.records.list_prices import list_prices
from gambrel.shop.records.models import Cutting, Pack, ShopProfile, SideForecast
from gambrel.shop.records.selectors.block_expected import DRAWS, SEED, hanging_animal
from gambrel.shop.records.services.lessons import catch_up
from gambrel.shop.records.shop_yields import Taught, taught, taught_by
from gambrel.shop.records.side_forecasts import ForecastAsked, forecast_told
from gambrel.shop.records.stored import plain, restored

ASKED_LATELY = timedelta(days=60)
"""A price on packs older than that says nothing of today's."""


def tell(cutting: Cutting) -> SideForecast:
    """What the side is to give as it is broken now, by all that the shop has learned, at today's list prices."""
    shop, side, hanging = ShopProfile.objects.get(), cutting.side, hanging_animal(cutting.side)
    catch_up()
    known, supplier = taught(shop), side.animal.supplier
    asked = ForecastAsked(
        animal=hanging.animal, ways=cutting.ways, trim=shop.trim, hung_kg=float(cutting.begun_kg),
        supplier=supplier.name if supplier else "", cutter=cutting.begun_by.name if cutting.begun_by else "",
        prices=_prices(side.animal.kind) if hanging.is_sold else {}, draws=DRAWS, seed=SEED,
    )  # fmt: skip
    return _keep(cutting, asked, known)


def tell_again(cutting: Cutting) -> SideForecast | None:
    """The same once more for the ways and the weight off the rail as they are now, by what was known the first time;
    None where no forecast was kept when it came to the block."""
    last = SideForecast.objects.filter(side=cutting.side_id, at__gte=cutting.begun_at).order_by("-pk").first()
    if last is None:
        return None
    asked = replace(restored(ForecastAsked, last.asked), ways=cutting.ways, hung_kg=float(cutting.begun_kg))
    return _keep(cutting, asked, taught_by(last.lesson_id, asked.trim))


def _keep(cutting: Cutting, asked: ForecastAsked, known: Taught) -> SideForecast:
    return SideForecast.objects.create(
        side_id=cutting.side_id, at=now(), edition=known.edition, lesson_id=known.lesson_id, asked=plain(asked),
        told=plain(forecast_told(asked, known)),
    )  # fmt: skip


def _prices(kind: str) -> dict[str, float]:
    """What a kilogram of each cut brings [cents]; trims what the ground meat of their lean point brings, and what is
    on no list what its packs were last asked for."""
    listed = list_prices(kind)
    packs = Pack.objects.filter(
        lot__kind=kind, at__gte=now() - ASKED_LATELY, price_cents_per_kg__isnull=False
    )
    asked = dict(packs.values_list("slug").annotate(Avg("price_cents_per_kg")))
    trims = {
        slug: listed.of_trims(cut.lean_pct)
        for slug, cut in shipped_cuts().items()
        if cut.lean_pct is not None
    }
    return {**asked, **listed.cuts, **{slug: price for slug, price in trims.items() if price is not None}}
