"""The counter: one customer's ticket, the takings of a day, and what sold at which step of the price."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from uuid import UUID

from django.db.models import Count, F, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce
from django.utils import timezone

from gambrel.files.sheets.table import Column, Table, day, kg, lb, money, text, whole
from gambrel.measures.units import lb_from_kg
from gambrel.shop.records.models import Demand, Item, PackEnd, PackEvent, Place

MONEY_LINES = (PackEnd.SOLD, PackEnd.RETURNED)
MOST_SHOWN = 60
STEP_DAYS = 7
SAME_PRICE_SHARE = 0.01
"""A pack's own price is rounded to the cent: within a hundredth it is the step's."""


@dataclass(frozen=True, slots=True)
class TicketPage:
    """What one customer took, newest first."""

    ticket: UUID
    lines: tuple[PackEvent, ...]

    @property
    def total_cents(self) -> int:
        return sum(paid_cents(line) for line in self.lines)

    @property
    def count(self) -> int:
        return sum(1 if line.what == PackEnd.SOLD else -1 for line in self.lines)


def paid_cents(line: PackEvent) -> int:
    """Into the till where it was sold, out of it where it came back."""
    return line.cents if line.what == PackEnd.SOLD else -line.cents


def ticket_page(ticket: UUID) -> TicketPage:
    rows = PackEvent.objects.filter(ticket=ticket, what__in=MONEY_LINES).select_related(
        "pack__lot", "customer"
    )
    return TicketPage(ticket, tuple(rows.order_by("-at", "-pk")))


@dataclass(frozen=True, slots=True)
class ProductSold:
    """One product of one species in the day: sold less what came back."""

    slug: str
    species: str
    count: int
    weight_kg: float
    cents: int


@dataclass(frozen=True, slots=True)
class DayPage:
    """Takings of one day in the shop's zone. `given_less_cents` is what the labels asked above what was paid."""

    on: date
    tickets_count: int
    sold_cents: int
    returned_cents: int
    products: tuple[ProductSold, ...]
    people: tuple[tuple[str, int, int], ...]
    overrides: tuple[PackEvent, ...]
    lost: tuple[tuple[str, int, float], ...]
    given_less_cents: int

    @property
    def taken_cents(self) -> int:
        return self.sold_cents - self.returned_cents


def day_bounds(on: date) -> tuple[datetime, datetime]:
    """Midnight to midnight in the shop's zone."""
    return tuple(timezone.make_aware(datetime.combine(one, time.min)) for one in (on, on + timedelta(days=1)))  # type: ignore[return-value]


def _of_day(on: date) -> QuerySet[PackEvent]:
    begins, ends = day_bounds(on)
    return PackEvent.objects.filter(at__gte=begins, at__lt=ends)


def day_page(on: date) -> DayPage:
    """The takings, in five queries."""
    rows = _of_day(on)
    money = rows.filter(what__in=MONEY_LINES)
    sums = money.aggregate(
        tickets=Count("ticket", distinct=True, filter=Q(what=PackEnd.SOLD)),
        sold=Sum("cents", filter=Q(what=PackEnd.SOLD), default=0),
        returned=Sum("cents", filter=Q(what=PackEnd.RETURNED), default=0),
        less=Sum(F("asked_cents") - F("cents"), default=0),
    )
    people = money.values_list("by__name", "what").annotate(Count("pk"), Sum("cents"))
    lost = rows.filter(what__in=(PackEnd.SPOILED, PackEnd.EATEN, PackEnd.MISSING)).values_list("what")
    overrides = money.filter(asked_cents__isnull=False).select_related("pack__lot", "by").order_by("at", "pk")
    return DayPage(
        on=on,
        tickets_count=sums["tickets"],
        sold_cents=sums["sold"],
        returned_cents=sums["returned"],
        products=_products(money),
        people=_people(people),
        overrides=tuple(overrides[:MOST_SHOWN]),
        lost=tuple((what, count, float(lost_kg))
                   for what, count, lost_kg in lost.annotate(Count("pk"), Sum("pack__net_kg")).order_by("what")),
        given_less_cents=sums["less"],
    )  # fmt: skip


def _products(money: QuerySet[PackEvent]) -> tuple[ProductSold, ...]:
    found: dict[tuple[str, str], list[float]] = defaultdict(lambda: [0, 0.0, 0])
    rows = money.values_list("pack__slug", "pack__lot__species", "what")
    totals = rows.annotate(Count("pk"), Sum("pack__net_kg"), Sum("cents"))
    for slug, species, what, count, net_kg, cents in totals:
        sign, sums = (1 if what == PackEnd.SOLD else -1), found[slug, species]
        sums[0] += sign * count
        sums[1] += sign * float(net_kg)
        sums[2] += sign * cents
    lines = (
        ProductSold(*key, int(count), net_kg, int(cents)) for key, (count, net_kg, cents) in found.items()
    )
    return tuple(sorted(lines, key=lambda one: (-one.cents, one.slug)))


def _people(rows: Iterable[tuple[str | None, str, int, int]]) -> tuple[tuple[str, int, int], ...]:
    """Name, packs sold, and money in less money out."""
    found: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    for name, what, count, cents in rows:
        sold = what == PackEnd.SOLD
        found[name or ""][0] += count if sold else 0
        found[name or ""][1] += cents if sold else -cents
    return tuple((name, count, cents) for name, (count, cents) in sorted(found.items()))


def till_table(first: date, last: date) -> Table:
    """Every line of money from `first` to `last`, both counted, as a till's program takes it in."""
    begins, _ = day_bounds(first)
    _, ends = day_bounds(last)
    rows = PackEvent.objects.filter(at__gte=begins, at__lt=ends, what__in=MONEY_LINES).select_related(
        "pack__lot", "by", "customer"
    )
    numbers = {(one.slug, one.species): one.number for one in Item.objects.all()}
    columns: tuple[Column, ...] = (
        day("day"), text("time"), text("ticket"), text("what"), whole("item"), text("product"), text("pack"),
        text("lot"), kg("net"), lb("net"), money("paid"), money("label asked"), text("why"),
        text("customer"), text("by"),
    )  # fmt: skip
    return Table(
        "till", columns, tuple(_till_row(line, numbers) for line in rows.order_by("at", "pk").iterator())
    )


def _till_row(
    line: PackEvent, numbers: dict[tuple[str, str], int]
) -> tuple[str | float | int | date | None, ...]:
    at, pack = timezone.localtime(line.at), line.pack
    net_kg = float(pack.net_kg)
    return (
        at.date(), f"{at:%H:%M:%S}", str(line.ticket or ""), line.what, numbers.get((pack.slug, pack.lot.species)),
        pack.slug, str(pack.pk), pack.lot.code, net_kg, lb_from_kg(net_kg), paid_cents(line),
        line.cents if line.asked_cents is None else line.asked_cents, line.why,
        line.customer.name if line.customer else "", line.by.name if line.by else "",
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class StepSold:
    """One step of a product's price: what the shop expects of it in a week, and what sold at it [kg]."""

    price_cents_per_kg: float
    upto_kg: float
    expected_kg: float
    sold_kg: float


@dataclass(frozen=True, slots=True)
class DemandSold:
    """A product's steps with what sold at each in the last seven days; `below_kg` went for less than the last step.

    The steps are of what is sold fresh; `frozen_kg` was sold out of the freezer, at whatever price.
    """

    demand: Demand
    steps: tuple[StepSold, ...]
    below_kg: float
    frozen_kg: float

    @property
    def fresh_kg(self) -> float:
        return sum(step.sold_kg for step in self.steps) + self.below_kg

    @property
    def sold_kg(self) -> float:
        return self.fresh_kg + self.frozen_kg


def sold_at_steps(at: datetime, demands: Sequence[Demand]) -> list[DemandSold]:
    """What sold in the seven days before `at`, step by step; what came back is taken off at the price it was sold."""
    rows = PackEvent.objects.filter(what__in=MONEY_LINES, at__gt=at - timedelta(days=STEP_DAYS), at__lte=at)
    by_product: dict[tuple[str, str], list[tuple[float, float, bool]]] = defaultdict(list)
    for slug, kind, net_kg, cents, what, lay in rows.annotate(lay=_where_it_lay()).values_list(
        "pack__slug", "pack__lot__kind", "pack__net_kg", "cents", "what", "lay"
    ):
        sign = 1 if what == PackEnd.SOLD else -1
        by_product[slug, kind].append((cents / float(net_kg), sign * float(net_kg), lay == Place.FREEZER))
    return [
        _at_steps(demand, [one for kind in demand.kinds for one in by_product.get((demand.slug, kind), ())])
        for demand in demands
    ]


def _where_it_lay() -> Coalesce:
    """Where a pack lay before the event: where it was laid last, or else first. A sale says no place of its own, so
    that what comes back counts as it was sold."""
    before = Q(at__lt=OuterRef("at")) | Q(at=OuterRef("at"), pk__lt=OuterRef("pk"))
    laid = PackEvent.objects.filter(before, pack=OuterRef("pack")).exclude(place="").order_by("-at", "-pk")
    return Coalesce(Subquery(laid.values("place")[:1]), F("pack__place"))


def _at_steps(demand: Demand, sales: Iterable[tuple[float, float, bool]]) -> DemandSold:
    """Each fresh sale [cents/kg, kg, whether frozen] to the first step that asks no more than was paid."""
    prices = [float(step["price_cents_per_kg"]) for step in demand.steps]
    sold, below_kg, frozen_kg = [0.0] * len(prices), 0.0, 0.0
    for paid, weight_kg, frozen in sales:
        place = next((n for n, price in enumerate(prices) if paid >= price * (1 - SAME_PRICE_SHARE)), None)
        if frozen:
            frozen_kg += weight_kg
        elif place is None:
            below_kg += weight_kg
        else:
            sold[place] += weight_kg
    upto = [float(step["upto_kg"]) for step in demand.steps]
    before = [0.0, *upto]
    steps = (StepSold(price, most, most - start, kg_)
             for price, most, start, kg_ in zip(prices, upto, before, sold, strict=False))  # fmt: skip
    return DemandSold(demand, tuple(steps), below_kg, frozen_kg)
