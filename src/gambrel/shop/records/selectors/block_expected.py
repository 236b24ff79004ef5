"""What a side on the block is expected to give: the ways it is broken, every piece with its interval, the loss."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from gambrel.breakdown import Forecast
from gambrel.breakdown.balance import group_of
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.lawful_ways import lawful_choice
from gambrel.catalog.ways import WHOLE, Tree, Way, shipped_tree
from gambrel.journey import USUAL_STYLE
from gambrel.measures import Estimate, Finding
from gambrel.plan.week import Hanging
from gambrel.shop.records.models import Cutting, PlannedSide, ShopProfile, Side, SideForecast
from gambrel.shop.records.selectors.plan import accepted_plan
from gambrel.shop.records.shop_yields import Taught, taught_by
from gambrel.shop.records.side_forecasts import ForecastAsked, drawn, together_kg
from gambrel.shop.records.week import faces_of, hanging_of, kinds_of_shop

DRAWS, SEED = 800, 1
"""So many draws put the ends of an interval within a few hundredths of its width."""

BY_USE = {"trim": "trim", "bone": "bone", "fat": "fat"}
"""Groups that pieces of any primal go to, after the primals."""


@dataclass(frozen=True, slots=True)
class Expected:
    """What the ways give: `groups` in the order of the work, each with its pieces; estimates in kg.

    `together_kg`: all bones, and all fat, since many a shop weighs each in one tub. `known`: the yields it goes by.
    """

    groups: tuple[tuple[str, tuple[str, ...]], ...]
    pieces: Mapping[str, Estimate]
    together_kg: Mapping[str, Estimate]
    loss_kg: Estimate
    known: Taught = field(compare=False, repr=False)


@dataclass(frozen=True)
class _Asked:
    """What an expectation depends on; the first line tells them apart, and stands for the rest."""

    told_apart: tuple[object, ...]
    asked: ForecastAsked = field(compare=False, hash=False, repr=False)
    known: Taught = field(compare=False, hash=False, repr=False)


def hanging_animal(side: Side) -> Hanging:
    """The animal of a side as the steps see it, both sides with what was read of them."""
    sides = list(
        Side.objects.filter(animal_id=side.animal_id).select_related(
            "animal", "animal__bill", "pin", "rail__room"
        )
    )
    return hanging_of(sides, kinds_of_shop(), faces_of(sides))[0]


def ways_for(
    side: Side, hanging: Hanging, shop: ShopProfile, *, style: str = ""
) -> tuple[dict[str, str], str, tuple[Finding, ...]]:
    """Piece to way for a side, where they come from, and what the law changed in them.

    A named style, or else what was chosen for the side (which every plan keeps), the plan that the shop works by,
    the usual style.
    """
    tree, species = shipped_tree().trimmed(shop.trim), hanging.animal.species
    chosen, origin = _chosen(side, tree, species, style)
    lawful, changed, refused = lawful_choice(
        tree, shipped_cuts(), hanging.animal, chosen, srm_policy_bison=shop.srm_policy_bison
    )
    return lawful, origin, (*changed, *refused)


def _chosen(side: Side, tree: Tree, species: str, style: str) -> tuple[Mapping[str, str], str]:
    if style:
        return tree.style(style, species), style
    if side.style or side.ways:
        return {**tree.style(side.style or USUAL_STYLE, species), **side.ways}, side.style or "side"
    plan = accepted_plan()
    planned = PlannedSide.objects.filter(plan=plan, side=side).first() if plan else None
    if planned is not None and planned.ways:
        return planned.ways, "plan"
    return tree.style(USUAL_STYLE, species), USUAL_STYLE


def expected_of(cutting: Cutting, hanging: Hanging, *, trim: str) -> Expected:
    """Every piece that the cutting's ways give of what came off the rail, by what the shop knew when it came to the
    block; kept in memory."""
    line = (
        SideForecast.objects.filter(side=cutting.side_id).order_by("-pk").only("lesson_id", "asked").first()
    )
    names = line.asked if line is not None else {}
    known = taught_by(line.lesson_id if line is not None else None, trim)
    return _expected(_asked(cutting, hanging, known, names.get("supplier", ""), names.get("cutter", "")))


def by_the_book(cutting: Cutting, hanging: Hanging, *, trim: str) -> Expected:
    """The same before anything was learned."""
    return _expected(_asked(cutting, hanging, taught_by(None, trim), "", ""))


def drawn_of(cutting: Cutting, hanging: Hanging, known: Taught) -> Forecast:
    """The draws of an expectation by other yields, for whoever judges single weights by them."""
    supplier = cutting.side.animal.supplier
    return _forecast(_asked(cutting, hanging, known, supplier.name if supplier else "",
                            cutting.begun_by.name if cutting.begun_by else ""))  # fmt: skip


def _asked(cutting: Cutting, hanging: Hanging, known: Taught, supplier: str, cutter: str) -> _Asked:
    carcass, hung_kg = hanging.animal, float(cutting.begun_kg)
    asked = ForecastAsked(carcass, cutting.ways, known.trim, hung_kg, supplier, cutter, {}, DRAWS, SEED)
    figures = (carcass.kind.slug, carcass.hot_kg, carcass.fat_mm, carcass.ribeye_cm2, carcass.kph_pct)
    ways = tuple(sorted(cutting.ways.items()))
    return _Asked((known.edition, known.trim, hung_kg, supplier, cutter, ways, figures), asked, known)


@lru_cache(maxsize=8)
def _forecast(asked: _Asked) -> Forecast:
    return drawn(asked.asked, asked.known)


@lru_cache(maxsize=256)
def _expected(asked: _Asked) -> Expected:
    forecast = _forecast(asked)
    return Expected(
        groups=_in_order(forecast.ways, frozenset(forecast.kg)),
        pieces={slug: Estimate.from_draws(kg) for slug, kg in forecast.kg.items()},
        together_kg={name: Estimate.from_draws(kg) for name, kg in together_kg(forecast.kg).items()},
        loss_kg=Estimate.from_draws(forecast.loss_kg),
        known=asked.known,
    )


def _in_order(ways: tuple[Way, ...], leaves: frozenset[str]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Leaves by primal as the primals come off the side, then trims, bones and fat that come from all over."""
    cuts = shipped_cuts()
    groups: dict[str, dict[str, None]] = {}
    last: dict[str, dict[str, None]] = {name: {} for name in BY_USE.values()}
    for way in ways:
        for slug in way.outputs:
            if slug not in leaves:
                continue
            use = BY_USE.get(group_of(cuts[slug]))
            (last[use] if use else groups.setdefault(cuts[slug].primal, {}))[slug] = None
    found = {**groups, **last}
    return tuple((name, tuple(slugs)) for name, slugs in found.items() if slugs)


def ways_open(cutting: Cutting, hanging: Hanging, shop: ShopProfile) -> dict[str, tuple[str, ...]]:
    """The ways that each piece of this side may be broken, for the pieces that come up and have a choice."""
    tree, species = shipped_tree().trimmed(shop.trim), hanging.animal.species
    cuts = shipped_cuts()
    used = tree.reached(cutting.ways, species)
    pieces = dict.fromkeys([way.piece for way in used] + [slug for way in used for slug in way.outputs])
    found = {}
    for piece in pieces:
        names = [name for name in tree.ways_of(piece, species) if name != WHOLE]
        whole = [WHOLE] if piece in cuts and cuts[piece].use != "break" else []
        if len(names) + len(whole) > 1:
            found[piece] = (*names, *whole)
    return found
