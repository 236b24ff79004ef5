"""A walked week turned into what the sheets are made from: plan, forecasts, prices and the kinds beside each other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date

import numpy as np

from gambrel.breakdown import Forecast
from gambrel.catalog.cuts import Cut
from gambrel.files.drawing.inputs import (
    HangingSide,
    KindFace,
    PieceInterval,
    RailCurve,
    RailDay,
    RailPoint,
    Region,
    SideCutout,
    WeekPlan,
    WorkDay,
    YieldSplit,
)
from gambrel.files.sheets.inputs import (
    CutJob,
    CutPiece,
    ForecastSheet,
    Head,
    KindsSheet,
    ListedPrice,
    PlanSheet,
    PriceListSheet,
)
from gambrel.files.speech import finding_spoken, spoken
from gambrel.journey import Journey, SideOnRail
from gambrel.measures import Estimate
from gambrel.measures.money import show_money
from gambrel.plan.result import Binding
from gambrel.price.week_prices import ProductPrice
from gambrel.standards.marbling import words

_REGION_NAMES = {"chuck": "chuck", "rib": "rib", "loin": "loin", "round": "round", "brisket": "brisket",
                 "foreshank": "foreshank", "plate": "plate", "flank": "flank", "suet": "kidney fat",
                 "hanging tender": "hanging tender"}  # fmt: skip
_REGION_SLUGS = {"suet": "kidney-fat", "hanging tender": "hanging-tender"}
_PART_OF = {"hindshank": ("round", "hindshank"), "bison-hump": ("chuck", "hump")}
_GROUPS = {"multi": "stew, strips and ground", "trim": "trims", "variety": "offal"}
LEAST_SHOWN_KG = 0.005


def plan_sheet(journey: Journey, cuts: Mapping[str, Cut]) -> PlanSheet:
    """Calendar and cut lists of the plan."""
    plan = journey.plan
    facts = (
        [
            ("profit", show_money(plan.profit_cents)),
            ("no plan earns more than", show_money(plan.bound_cents)),
            ("gap", f"{100 * plan.gap:.2f} %"),
        ]
        if plan.has_plan
        else [("plan", "none that keeps every promise")]
    )
    notes = [finding_spoken(finding) for finding in (*plan.findings, *journey.findings)]
    notes += [_worth(one) for one in plan.binding]
    return PlanSheet(
        head=_head(journey, "The plan"),
        week=week_plan(journey),
        jobs=tuple(_jobs(journey, cuts)),
        facts=tuple(facts),
        notes=tuple(notes),
    )


def _worth(one: Binding) -> str:
    """What easing a rule by one unit would earn."""
    earns = spoken(f"{one.unit} would earn {show_money(one.worth_cents)}.")
    return f"{spoken(one.rule)}: {earns}"


def week_plan(journey: Journey) -> WeekPlan:
    """The days across, every side with its window and cutting day, rail and hours."""
    shop = journey.week.shop
    sides = tuple(
        HangingSide(side.id, side.hanging.kind.name, side.today_kg, side.window.earliest, side.window.target,
                    side.window.latest, side.cut_on)
        for side in journey.sides
    )  # fmt: skip
    rail = tuple(RailDay(use.day, use.rail_m, use.rail_limit_m) for use in journey.plan.days
                 if use.rail_limit_m is not None)  # fmt: skip
    work = tuple(WorkDay(use.day, name, use.minutes.get(name, 0.0), limit)
                 for use in journey.plan.days for name, limit in use.limits.items())  # fmt: skip
    return WeekPlan(
        f"{shop.name}, {shop.days} days from {shop.start}", shop.start, shop.calendar(), sides, rail, work
    )


def _jobs(journey: Journey, cuts: Mapping[str, Cut]) -> Iterator[CutJob]:
    for side in journey.sides:
        if side.plan is None or side.plan.day is None:
            continue
        forecast = journey.forecasts[side.id]
        species = side.hanging.animal.species
        pieces = tuple(CutPiece(cuts[slug].shop_name(species), cuts[slug].use, kg)
                       for slug, kg in forecast.pieces().items() if kg.mean >= LEAST_SHOWN_KG)  # fmt: skip
        ways = tuple((cuts[way.piece].shop_name(species), way.name) for way in forecast.ways)
        minutes = minutes_of_work(forecast)
        yield CutJob(
            side.plan.day,
            side.id,
            side.hanging.kind.name,
            Estimate.from_draws(forecast.hung_kg),
            ways,
            pieces,
            tuple(minutes.items()),
        )


def minutes_of_work(forecast: Forecast) -> dict[str, float]:
    """Minutes of work by kind over everything that is broken."""
    minutes: dict[str, float] = {}
    for way in forecast.ways:
        kg = float(np.mean(forecast.broken_kg[way.piece]))
        for work, per_100kg in way.minutes_per_100kg.items():
            minutes[work] = minutes.get(work, 0.0) + per_100kg * kg / 100.0
    return minutes


def forecast_sheet(journey: Journey, side: SideOnRail, cuts: Mapping[str, Cut]) -> ForecastSheet:
    """One side: drawing, pieces with intervals, totals, weight on the rail, what is known of it."""
    forecast = journey.forecasts[side.id]
    pieces = tuple(
        PieceInterval(
            group_name(cuts[slug]),
            cuts[slug].shop_name(side.hanging.animal.species),
            kg,
        )
        for slug, kg in forecast.pieces().items()
        if kg.mean >= LEAST_SHOWN_KG
    )
    totals = tuple(
        (name.removesuffix("_kg").replace("_", " "), total) for name, total in forecast.totals().items()
    )
    return ForecastSheet(
        head=_head(journey, f"Side {side.id}"), cutout=side_cutout(side, forecast),
        pieces=tuple(sorted(pieces, key=lambda piece: (piece.group, -piece.kg.mean))), totals=totals,
        facts=tuple(_known(journey, side)), curve=rail_curve(side, journey.week.shop.start),
    )  # fmt: skip


def group_name(cut: Cut) -> str:
    """What a piece is listed under: its primal, or what it is where it comes of several."""
    return _GROUPS.get(cut.primal, cut.primal)


def side_cutout(side: SideOnRail, forecast: Forecast) -> SideCutout:
    """The primals of a side as regions of its drawing."""
    kind = side.hanging.kind
    draws = {
        (_REGION_SLUGS.get(primal, primal), _REGION_NAMES[primal]): kg
        for primal, kg in forecast.primal_kg.items()
    }
    made = {**forecast.kg, **forecast.broken_kg}
    for piece, (primal, region) in _PART_OF.items():
        if piece in made and (primal, primal) in draws:
            draws[(region, region)] = made[piece]
            draws[(primal, primal)] = draws[(primal, primal)] - made[piece]
    regions = tuple(Region(slug, name, Estimate.from_draws(kg)) for (slug, name), kg in draws.items())
    return SideCutout(f"{side.id}, {kind.name}", kind.species, kind.rib_pairs, kind.ribbed_between,
                      Estimate.from_draws(forecast.hung_kg), regions, side.half)  # fmt: skip


def rail_curve(side: SideOnRail, today: date) -> RailCurve:
    """Weight day by day from the kill to the latest cutting day."""
    hanging = side.hanging
    hot_kg = hanging.side_hot_kg[side.half]
    loss = hanging.loss(hot_kg)
    window = tuple(
        (day - hanging.killed).days for day in (side.window.earliest, side.window.target, side.window.latest)
    )
    last = min(int(loss.last_day), max(window[2], (today - hanging.killed).days))
    points = tuple(RailPoint(day, loss.remaining_share(day).times(hot_kg)) for day in range(last + 1))
    return RailCurve(f"{side.id} on the rail", points, window_days=(window[0], window[1], window[2]),
                     today_days=max(0, (today - hanging.killed).days))  # fmt: skip


def _known(journey: Journey, side: SideOnRail) -> Iterator[tuple[str, str]]:
    animal = side.hanging.animal
    yield "kind", animal.kind.name
    yield (
        "age",
        f"{animal.age_months} months"
        if animal.age_months is not None
        else "not known: counts as 30 months or more",
    )
    grades = journey.grades.get(side.hanging.id)
    if grades is not None:
        guide = "" if animal.species == "cattle" else " (a guide only: no USDA grade covers bison)"
        yield "yield grade, estimate", f"{grades.yield_grade:.2f}{guide}"
        if grades.quality_grade:
            yield "quality, estimate", grades.quality_grade
    if animal.marbling_score is not None:
        yield "marbling", f"{words(animal.marbling_score)}"


def price_sheet(journey: Journey, cuts: Mapping[str, Cut]) -> PriceListSheet | None:
    """The new list beside costs; None where there is no plan to price."""
    prices = journey.prices
    if prices is None:
        return None
    lines = tuple(
        ListedPrice(
            product.group,
            product_name(journey, product, cuts),
            product.new_cents_per_kg,
            product.cost_cents_per_kg,
            product.kg,
        )
        for product in prices.products
    )
    target = prices.price_list
    facts = [
        ("cost of all that is cut", show_money(prices.cost_cents)),
        ("sales needed", show_money(target.needed_cents)),
        ("sales at today's prices", show_money(target.today_cents)),
    ]
    chance = 1.0 - journey.week.shop.margin.may_lose_pct / 100.0
    facts += [(f"bid for {kind}, {100 * chance:.0f} % sure", _bid_words(bid.at_probability(chance, on="rail"),
               bid.at_probability(chance, on="live"))) for kind, bid in journey.bids.items()]  # fmt: skip
    notes = [finding_spoken(finding) for finding in target.findings]
    return PriceListSheet(_head(journey, "Prices"), lines, tuple(facts), tuple(notes))


def product_name(journey: Journey, product: ProductPrice, cuts: Mapping[str, Cut]) -> str:
    """Name of a product for the people who buy it: of bison alone it is never called beef."""
    kinds = [kind for kind in journey.week.kinds.values() if product.group in (kind.slug, kind.species)]
    bison = bool(kinds) and all(kind.species == "bison" for kind in kinds)
    return cuts[product.slug].shop_name("bison" if bison else "cattle")


def _bid_words(rail_cents_per_kg: float, live_cents_per_kg: float) -> str:
    from gambrel.files.drawing.say import per_lb

    return f"{per_lb(rail_cents_per_kg)} on the rail, {per_lb(live_cents_per_kg)} live"


def kinds_sheet(journey: Journey, marbling_pct: Mapping[str, float] | None = None) -> KindsSheet:
    """The kinds that hang, each by the mean of its sides.

    `marbling_pct`: animal to the share of fat in its eye, where a photograph was read.
    """
    faces = []
    for slug in dict.fromkeys(side.hanging.kind.slug for side in journey.sides):
        sides = [side for side in journey.sides if side.hanging.kind.slug == slug]
        faces.append(_kind_face(journey, sides, marbling_pct or {}))
    return KindsSheet(_head(journey, "The kinds side by side"), tuple(faces))


def _kind_face(journey: Journey, sides: list[SideOnRail], marbling_pct: Mapping[str, float]) -> KindFace:
    kind = sides[0].hanging.kind
    forecasts = [journey.forecasts[side.id] for side in sides]
    hung = sum(float(f.hung_kg.mean()) for f in forecasts)
    totals = {name: sum(f.totals()[name].mean for f in forecasts) / hung for name in forecasts[0].totals()}
    rest = 1.0 - totals["saleable_kg"] - totals["trim_fat_kg"] - totals["bone_kg"]
    split = YieldSplit(
        totals["saleable_kg"] - totals["ground_kg"],
        totals["ground_kg"],
        totals["trim_fat_kg"],
        totals["bone_kg"],
        rest,
    )
    animals = {side.hanging.id: side.hanging.animal for side in sides}.values()
    marbling = [
        marbling_pct[name]
        for name in dict.fromkeys(side.hanging.id for side in sides)
        if name in marbling_pct
    ]
    sold = [p.new_cents_per_kg for p in (journey.prices.products if journey.prices else ())
            if p.group == kind.slug]  # fmt: skip
    return KindFace(
        kind.name,
        _mean_or_usual([a.ribeye_cm2 for a in animals], kind.ribeye_cm2.mean, kind.ribeye_cm2.sd),
        _mean_or_usual([a.fat_mm for a in animals], kind.fat_mm.mean, kind.fat_mm.sd),
        Estimate(
            *(
                float(np.mean([getattr(side.today_kg, end) for side in sides]))
                for end in ("mean", "p05", "p95")
            )
        ),
        kind.hang_days,
        split,
        marbling_pct=float(np.mean(marbling)) if marbling else None,
        low_cents_per_kg=min(sold, default=None),
        high_cents_per_kg=max(sold, default=None),
    )


def _mean_or_usual(known: list[float | None], usual: float, usual_sd: float) -> Estimate:
    read = [value for value in known if value is not None]
    return Estimate.exact(float(np.mean(read))) if read else Estimate.normal(usual, usual_sd)


def _head(journey: Journey, title: str) -> Head:
    return Head(journey.week.shop.name, title, journey.week.shop.start)
