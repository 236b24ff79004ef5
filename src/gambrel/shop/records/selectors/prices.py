"""What the price pages show: cost, margin and the list that earns it, what if, the list that holds, the board."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from uuid import UUID

from django.utils import timezone

from gambrel.catalog.kinds import Kind
from gambrel.files.sheets.inputs import Head, ListedPrice, PriceListSheet
from gambrel.measures import CannotDo, Finding
from gambrel.price.price_list import PriceList as WorkedOut
from gambrel.price.week_costs import KindCost
from gambrel.price.week_prices import WeekPrices
from gambrel.price.what_if import WhatIf, price_what_if
from gambrel.shop.names import cut_said
from gambrel.shop.records.models import Demand, Plan, Price, PriceList, ShopProfile
from gambrel.shop.records.selectors.plan import accepted_plan, planned_by
from gambrel.shop.records.services.prices import whole_cents
from gambrel.shop.records.week import kinds_of_shop


@dataclass(frozen=True, slots=True)
class ProductLine:
    """One product: prices and cost in cents per kg. `kg` is what the plan sells of it; None where it sells none.

    `listed` is the price that holds, `suggested` what would earn the margin, `by_hand` what a person tries.
    """

    pk: int
    slug: str
    group: str
    species: str
    kg: float | None
    today_cents_per_kg: float
    listed_cents_per_kg: float | None
    suggested_cents_per_kg: float | None
    cost_cents_per_kg: float | None
    by_hand: bool

    @property
    def new_cents_per_kg(self) -> float:
        """What would be set: worked out or by hand, or else as it is."""
        return self.suggested_cents_per_kg or self.listed_cents_per_kg or self.today_cents_per_kg

    @property
    def margin_share(self) -> float | None:
        if self.cost_cents_per_kg is None or self.new_cents_per_kg <= 0:
            return None
        return 1.0 - self.cost_cents_per_kg / self.new_cents_per_kg

    @property
    def change_share(self) -> float:
        return self.new_cents_per_kg / (self.listed_cents_per_kg or self.today_cents_per_kg) - 1.0


@dataclass(frozen=True, slots=True)
class PricesPage:
    """`worked_out` is None without an accepted plan, or where a bill is missing (`findings` say so)."""

    plan: Plan | None
    lines: tuple[ProductLine, ...]
    kinds: tuple[tuple[str, KindCost], ...]
    worked_out: WorkedOut | None
    findings: tuple[Finding, ...]
    current: PriceList | None
    margin_pct: float
    sold_by: str


def prices_page(shop: ShopProfile, what_if: WhatIf) -> PricesPage:
    """Costs and prices on the plan the shop works by, with what is tried put in; nothing is stored."""
    plan, current, kinds = accepted_plan(), newest_list(), kinds_of_shop()
    found: WeekPrices | None = None
    findings: tuple[Finding, ...] = ()
    sold_by = shop.weight_unit
    if plan is not None:
        try:
            found = _worked_out(plan.key, sold_by, _key_of(what_if))
        except CannotDo as refusal:
            findings = tuple(refusal.findings)
    if found is not None:
        findings = (*findings, *found.price_list.findings)
    return PricesPage(
        plan=plan,
        lines=_lines(found, current, kinds, what_if),
        kinds=tuple((kinds[slug].name if slug in kinds else slug, cost) for slug, cost in found.kinds.items())
        if found else (),
        worked_out=found.price_list if found else None,
        findings=findings,
        current=current,
        margin_pct=100 * found.price_list.target_share if found else shop.target_margin_pct,
        sold_by=sold_by,
    )  # fmt: skip


_Key = tuple[float | None, float | None, float | None, int | None, tuple[tuple[str, float], ...]]


def _key_of(what_if: WhatIf) -> _Key:
    return (what_if.margin_pct, what_if.wage_cents_per_hour, what_if.packing_cents_per_kg, what_if.ending_cents,
            tuple(sorted(what_if.by_hand.items())))  # fmt: skip


@lru_cache(maxsize=32)
def _worked_out(plan: UUID, sold_by: str, key: _Key) -> WeekPrices:
    """Kept in memory: a done plan never changes."""
    margin_pct, wage_cents, packing_cents, ending_cents, by_hand = key
    week, result = planned_by(plan)
    # What the freezer sells has no line in the list: it stays at its price, and the list carries what is left.
    settled = {one.name: whole_cents(one.steps[0].price_cents_per_kg, sold_by=sold_by)
               for one in week.demands if one.frozen}  # fmt: skip
    what_if = WhatIf(margin_pct, wage_cents, packing_cents, ending_cents, settled | dict(by_hand))
    return price_what_if(week, result, what_if, sold_by=sold_by)


def newest_list() -> PriceList | None:
    """The list that holds."""
    return PriceList.objects.select_related("by").order_by("-at", "-pk").first()


def edition_said(current: PriceList) -> str:
    """Which list it is and since when it holds, for the foot of a sheet: an old paper is told from a new one."""
    return f"Prices: list {current.pk}, which holds from {timezone.localtime(current.at):%Y-%m-%d %H:%M}."


def recent_lists(count: int = 8) -> list[PriceList]:
    return list(PriceList.objects.select_related("by").order_by("-at", "-pk")[:count])


def _lines(
    found: WeekPrices | None, current: PriceList | None, kinds: Mapping[str, Kind], what_if: WhatIf
) -> tuple[ProductLine, ...]:
    products = {(one.slug, one.group): one for one in found.products if not one.frozen} if found else {}
    rows = Price.objects.filter(price_list=current) if current else ()
    listed = {(row.slug, row.group): row.price_cents_per_kg for row in rows}
    lines = []
    for demand in Demand.objects.all():
        if not demand.steps or demand.steps[0]["price_cents_per_kg"] <= 0:
            continue
        key = (demand.slug, demand.group)
        product, by_hand = products.get(key), what_if.by_hand.get(str(demand))
        lines.append(
            ProductLine(
                pk=demand.pk,
                slug=demand.slug,
                group=demand.group,
                species=species_of(demand.kinds, kinds),
                kg=product.kg if product else None,
                today_cents_per_kg=float(demand.steps[0]["price_cents_per_kg"]),
                listed_cents_per_kg=listed.get(key),
                suggested_cents_per_kg=product.new_cents_per_kg if product else by_hand,
                cost_cents_per_kg=product.cost_cents_per_kg if product else None,
                by_hand=by_hand is not None,
            )
        )
    return tuple(lines)


def species_of(kind_slugs: list[str], kinds: Mapping[str, Kind]) -> str:
    """Bison only where all of it is bison: what may be cattle is named as cattle is."""
    found = {kinds[slug].species for slug in kind_slugs if slug in kinds}
    return "bison" if found == {"bison"} else "cattle"


@dataclass(frozen=True, slots=True)
class BoardLine:
    name: str
    price_cents_per_kg: float


@dataclass(frozen=True, slots=True)
class BoardPage:
    """The list that holds, by group of kinds, as a customer reads it."""

    current: PriceList | None
    groups: tuple[tuple[str, tuple[BoardLine, ...]], ...]


def board_page() -> BoardPage:
    current, kinds = newest_list(), kinds_of_shop()
    if current is None:
        return BoardPage(None, ())
    kinds_of = {(demand.slug, demand.group): list(demand.kinds) for demand in Demand.objects.all()}
    groups: dict[str, list[BoardLine]] = {}
    for row in Price.objects.filter(price_list=current).order_by("group", "slug"):
        species = species_of(kinds_of.get((row.slug, row.group), [row.group]), kinds)
        line = BoardLine(cut_said(row.slug, species), row.price_cents_per_kg)
        groups.setdefault(group_name(row.group, kinds), []).append(line)
    return BoardPage(current, tuple((name, tuple(lines)) for name, lines in groups.items()))


def group_name(group: str, kinds: Mapping[str, Kind]) -> str:
    """What a group of kinds is called: the kinds' own names, or the species."""
    return ", ".join(kinds[one].name if one in kinds else one for one in group.split("+"))


def board_sheet(shop: ShopProfile, title: str, made_on: date) -> PriceListSheet:
    """The list that holds as a sheet to print, without costs."""
    board = board_page()
    lines = tuple(ListedPrice(name, line.name, line.price_cents_per_kg)
                  for name, found in board.groups for line in found)  # fmt: skip
    return PriceListSheet(_head(shop, title, made_on, board.current), lines)


def list_sheet(shop: ShopProfile, title: str, made_on: date) -> PriceListSheet:
    """The list that holds with what each product cost when it was set, for the owner."""
    current, kinds = newest_list(), kinds_of_shop()
    kinds_of = {(demand.slug, demand.group): list(demand.kinds) for demand in Demand.objects.all()}
    rows = Price.objects.filter(price_list=current).order_by("group", "slug") if current else ()
    lines = tuple(
        ListedPrice(group_name(row.group, kinds),
                    cut_said(row.slug, species_of(kinds_of.get((row.slug, row.group), [row.group]), kinds)),
                    row.price_cents_per_kg, row.cost_cents_per_kg)
        for row in rows
    )  # fmt: skip
    return PriceListSheet(_head(shop, title, made_on, current), lines)


def _head(shop: ShopProfile, title: str, made_on: date, current: PriceList | None) -> Head:
    return Head(shop.name, title, made_on, edition_said(current) if current else "")
