"""The week's file read into values; everything that is wrong with it is listed at once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from datetime import date

from gambrel.catalog.kinds import SPECIES, Kind, read_kinds, shipped_kinds
from gambrel.measures import Entry
from gambrel.measures.entry import read_each
from gambrel.measures.units import MASS
from gambrel.plan.owners import with_owners
from gambrel.plan.read_animals import read_hanging
from gambrel.plan.read_owners import read_share
from gambrel.plan.read_shop import read_shop
from gambrel.plan.week import INSPECTIONS, Demand, Group, Order, Step, Stock, Week

HEAVIEST_KG = 100_000.0
LONGEST_SHELF_DAYS = 400
SHELF_DAYS = {(False, False): 5, (True, False): 3, (False, True): 120, (True, True): 90}
"""How long meat keeps where nothing is said, by (ground, frozen). Frozen: the low ends of four to twelve months for
steaks and roasts and three to four for ground meat [cold food storage chart, FoodSafety.gov, from memory]."""
MOST = {"animal": 500, "demand": 1000, "ground": 1000, "order": 1000, "stock": 2000, "share": 2000}
"""More of them than any shop has in one plan: refused at once, since nothing would come of the reckoning."""


def read_week(entry: Entry) -> Week:
    """The whole file as a `Week`; raises `CannotDo` with every finding when anything in it is wrong."""
    findings = entry.findings
    kinds = read_kinds(entry.table("kinds").fields, shipped_kinds(), findings)
    shop = read_shop(entry)
    animal_tables, order_tables = not_too_many(entry, "animal", required=True), not_too_many(entry, "order")
    animals = read_each(animal_tables, lambda one: read_hanging(one, kinds, shop.start if shop else None))
    demands = read_each(not_too_many(entry, "demand"), lambda one: read_demand(one, kinds))
    grounds = read_each(not_too_many(entry, "ground"), lambda one: read_demand(one, kinds, ground=True))
    orders = read_each(order_tables, lambda one: _read_order(one, kinds))
    stock = read_each(not_too_many(entry, "stock"), lambda one: _read_stock(one, kinds))
    share_tables = not_too_many(entry, "share")
    ids = {str(one.fields["id"]) for one in animal_tables if one.has("id")}
    shares = read_each(share_tables, lambda one: read_share(one, ids, shop))
    entry.no_more()
    # By what was typed: two of one name are a slip even where something else is wrong with them too.
    each_once(entry, "animal", (str(one.fields["id"]) for one in animal_tables if one.has("id")))
    each_once(entry, "order", (str(one.fields["id"]) for one in order_tables if one.has("id")))
    each_once(entry, "share", (str(one.fields["id"]) for one in share_tables if one.has("id")))
    each_once(entry, "demand", (one.name for one in (*demands, *grounds)))
    if shop is not None:
        for order in orders:
            if not shop.start <= order.by <= shop.end:
                span = f"a day of the plan, {shop.start} to {shop.end}"
                findings.add(f"order {order.id}, by", order.by, span,
                             "Change the day, or take the order out of this file.")  # fmt: skip
    dealt = with_owners(animals, shares, findings)
    findings.stop_if_any()
    assert shop is not None, "a shop that could not be read has left a finding"
    return Week(shop, dealt, (*demands, *grounds), tuple(orders), kinds, tuple(stock), tuple(shares))


def not_too_many(entry: Entry, name: str, *, required: bool = False) -> list[Entry]:
    """The tables of that name; a finding, and none of them, when they are more than a plan can hold."""
    tables = entry.tables(name, required=required)
    if len(tables) <= MOST[name]:
        return tables
    entry.wrong(name, f"{len(tables)} of them", f"at most {MOST[name]} in one plan",
                "Plan fewer at a time, or look for a slip: a file copied into itself.")  # fmt: skip
    return []


def each_once(entry: Entry, what: str, names: Iterable[str]) -> None:
    """A finding for every name that comes more than once."""
    for name, count in Counter(names).items():
        if count > 1:
            entry.wrong(what, f"{name} {count} times", f"each {what} once", "Rename or take out all but one.")


def read_group(entry: Entry, kinds: Mapping[str, Kind]) -> Group | None:
    """Whose meat it may be: `kind` (one or a list) or `species`; any animal when neither is given."""
    species = entry.word("species", SPECIES)
    raw = entry.raw("kind")
    named = raw if isinstance(raw, list) else [raw] if raw is not None else []
    unknown = [one for one in named if not isinstance(one, str) or one not in kinds]
    if unknown or (isinstance(raw, list) and not raw):
        given = ", ".join(str(one) for one in unknown) or "an empty list"
        entry.wrong(
            "kind", given, "kinds out of " + ", ".join(kinds), "Mend the name, or leave kind out for any."
        )
        return None
    if species and named:
        entry.wrong("species", species, "either kind or species", "Take one of the two out.")
        return None
    if named:
        return group_of(named)
    taken = [kind.slug for kind in kinds.values() if species is None or kind.species == species]
    return Group(species or "any", frozenset(taken))


def group_of(kind_slugs: Iterable[str]) -> Group:
    """A group named after its kinds, in order of the alphabet."""
    slugs = frozenset(kind_slugs)
    return Group("+".join(sorted(slugs)), slugs)


def read_demand(entry: Entry, kinds: Mapping[str, Kind], *, ground: bool = False) -> Demand | None:
    """A product of the counter with its price steps; None when anything was wrong with it."""
    before = len(entry.findings)
    slug = entry.text("name" if ground else "cut", required=True, longest=60)
    if slug:
        entry.where = f"{entry.where} ({slug})"
    group = read_group(entry, kinds)
    lean_pct = (
        entry.number("lean", low=0.0, high=100.0, required=True, what="lean in percent such as 85")
        if ground
        else None
    )
    steps = _read_steps(entry)
    frozen = entry.yes("frozen", default=False)
    kept = entry.price_cents_per_kg("kept")
    if kept is not None and not frozen:
        entry.wrong("kept", entry.fields["kept"], "a frozen product: only that keeps beyond the plan",
                    "Write frozen = true, or take it out.")  # fmt: skip
    shelf = entry.whole("shelf_days", low=0, high=LONGEST_SHELF_DAYS)
    salvage = entry.price_cents_per_kg("salvage") or 0.0
    if steps and salvage > steps[-1].price_cents_per_kg:
        entry.wrong(
            "salvage",
            entry.fields["salvage"],
            "no more than the last step's price",
            "Prices fall with volume.",
        )
    if lean_pct is not None and lean_pct < 70.0:
        entry.wrong(
            "lean",
            f"{lean_pct:g}",
            "70 or more: ground beef and hamburger hold at most 30 % fat",
            "Raise it.",
        )
    if ground and group is not None and len({kinds[one].species for one in group.kinds}) > 1:
        entry.wrong(
            "kind",
            group.name,
            "animals of one species",
            "Say kind or species: species are not ground together.",
        )
    entry.no_more()
    if len(entry.findings) > before or not slug or group is None:
        return None
    return Demand(
        slug,
        group,
        steps,
        SHELF_DAYS[ground, frozen] if shelf is None else shelf,
        salvage,
        lean_pct,
        frozen,
        kept or 0.0,
    )


def _read_steps(entry: Entry) -> tuple[Step, ...]:
    steps: list[Step] = []
    for one in entry.tables("steps", required=True):
        upto_kg = one.quantity("upto", MASS, low=0.001, high=HEAVIEST_KG, required=True)
        price = one.price_cents_per_kg("price", required=True)
        one.no_more()
        if upto_kg is None or price is None:
            continue
        if steps and upto_kg <= steps[-1].upto_kg:
            one.wrong(
                "upto", one.fields["upto"], "more than the step before: upto counts from nothing", "Raise it."
            )
        if steps and price > steps[-1].price_cents_per_kg:
            one.wrong(
                "price", one.fields["price"], "no more than the step before", "Prices fall with volume."
            )
        steps.append(Step(upto_kg, price))
    return tuple(steps)


def _read_stock(entry: Entry, kinds: Mapping[str, Kind]) -> Stock | None:
    """A line of what is on hand: a cut, whose meat, how much, and its last day or that it is frozen."""
    before = len(entry.findings)
    slug = entry.text("cut", required=True, longest=60)
    if slug:
        entry.where = f"{entry.where} ({slug})"
    group = read_group(entry, kinds)
    weight_kg = entry.quantity("weight", MASS, low=0.001, high=HEAVIEST_KG, required=True)
    frozen = entry.yes("frozen", default=False)
    use_by: date | None = entry.day("use_by", required=not frozen)
    inspected = entry.word("inspected", INSPECTIONS[:2]) or INSPECTIONS[0]
    entry.no_more()
    if group is not None and len({kinds[one].species for one in group.kinds}) > 1:
        entry.wrong(
            "kind", group.name, "animals of one species", "Say kind or species: species are never mixed."
        )
    if len(entry.findings) > before or not slug or group is None or weight_kg is None:
        return None
    return Stock(slug, group, weight_kg, use_by, frozen, inspected)


def _read_order(entry: Entry, kinds: Mapping[str, Kind]) -> Order | None:
    before = len(entry.findings)
    name = entry.text("id", required=True, longest=40)
    if name:
        entry.where = f"order {name}"
    slug = entry.text("cut", required=True, longest=60)
    group = read_group(entry, kinds)
    weight_kg = entry.quantity("weight", MASS, low=0.001, high=HEAVIEST_KG, required=True)
    by: date | None = entry.day("by", required=True)
    price = entry.price_cents_per_kg("price", required=True)
    must = entry.yes("must", default=True)
    shelf = entry.whole("shelf_days", low=0, high=LONGEST_SHELF_DAYS)
    away = entry.yes("out_of_state", default=False)
    entry.no_more()
    # Asked of the values too: a finding that is there already, of an order of the same name, adds none.
    if not (name and slug and group) or weight_kg is None or by is None or price is None:
        return None
    if len(entry.findings) > before:
        return None
    return Order(name, slug, group, weight_kg, by, price, must, 5 if shelf is None else shelf, away)
