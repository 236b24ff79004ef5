"""The cuts of a price case and the relations between their prices, as the owner typed them."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from gambrel.catalog.cuts import Cut
from gambrel.measures import Entry
from gambrel.measures.money import cents_per_kg
from gambrel.measures.units import MASS
from gambrel.price.endings import prices_with_ending, read_endings
from gambrel.price.joint_cost import JointLine
from gambrel.price.labour import Packing, labour_cents, missing_wages, read_work
from gambrel.price.price_line import SOLD_BY, PriceLine, Relation, UnitLine

USES = ("sell", "by-product", "waste")
"""sell carries cost and is priced; a by-product's net value goes to the animal; waste is worth nothing."""

DEAREST_CENTS_PER_KG = cents_per_kg(100_000.0)
"""A thousand a pound: dearer than any meat, so a slip."""


@dataclass(frozen=True, slots=True)
class CaseCut:
    """One [[cut]]: its weight, today's price, what the new price may be, and the work that goes into it."""

    slug: str
    name: str
    kg: float
    use: str
    today_cents_per_kg: float
    floor_cents_per_kg: float | None
    ceiling_cents_per_kg: float | None
    endings: tuple[int, ...]
    work_min: Mapping[str, float]
    packs: int

    def joint_line(self, *, wages_cents_per_h: Mapping[str, int], packing: Packing) -> JointLine:
        """The cut with its own cost: labour, packs, and wrapping by weight for what is sold."""
        own_cents = labour_cents(self.work_min, wages_cents_per_h=wages_cents_per_h)
        own_cents += packing.cost_cents(packs=self.packs, weight_kg=self.kg if self.use == "sell" else 0.0)
        return JointLine(self.slug, self.kg, self.today_cents_per_kg, own_cents)

    def price_line(self) -> PriceLine:
        return PriceLine(
            self.slug,
            self.kg,
            self.today_cents_per_kg,
            self.floor_cents_per_kg,
            self.ceiling_cents_per_kg,
            self.endings,
        )


def read_cuts(
    entries: Sequence[Entry],
    *,
    catalogue: Mapping[str, Cut],
    species: str | None,
    endings: tuple[int, ...],
    wages_cents_per_h: Mapping[str, int],
    sold_by: str,
) -> list[CaseCut]:
    """The [[cut]] tables; every slip is a finding of its table."""
    cuts: list[CaseCut] = []
    seen: set[str] = set()
    for entry in entries:
        slug = entry.text("slug", required=True)
        if slug:
            entry.where = f"{entry.where} ({slug})"
            if slug in seen:
                entry.wrong("slug", slug, "each cut once", "Add the weights together, or rename one.")
            seen.add(slug)
        name = _name(entry, slug, catalogue, species)
        cut = _read_cut(entry, slug or "", name, endings, sold_by)
        for work in missing_wages(cut.work_min, wages_cents_per_h) if cut else []:
            entry.wrong(
                "work",
                f"{work} minutes without a wage",
                f"a wage for {work}",
                f'Add {work} = "$25.00" to [wages].',
            )
        if cut:
            cuts.append(cut)
    if cuts and not any(cut.use == "sell" for cut in cuts):
        entries[0].wrong(
            "use",
            "no cut that is sold",
            'at least one cut with use = "sell"',
            "Price what goes over the counter.",
        )
    return cuts


def _name(entry: Entry, slug: str | None, catalogue: Mapping[str, Cut], species: str | None) -> str:
    own = entry.text("name", longest=60)
    known = catalogue.get(slug or "")
    if known is None and slug and not own:
        close = difflib.get_close_matches(slug, catalogue, n=1)
        entry.wrong(
            "slug",
            slug,
            "a cut of the catalogue, or a name for one of the shop's own",
            f"Did you mean {close[0]}?" if close else 'Add name = "..." for what the shop calls it.',
        )
    if known and species and known.species not in ("any", species):
        entry.wrong(
            "slug", slug, f"a cut that {species} has", f"{known.name} comes from {known.species} only."
        )
    return own or (known.name if known else slug or "")


def _read_cut(entry: Entry, slug: str, name: str, endings: tuple[int, ...], sold_by: str) -> CaseCut | None:
    before = len(entry.findings)
    use = entry.word("use", USES) or "sell"
    weight_kg = entry.quantity("weight", MASS, low=0.001, high=900.0, required=True)
    price = entry.price_cents_per_kg("price", low=0.01 if use == "sell" else None, required=use != "waste")
    floor = entry.price_cents_per_kg("floor", low=0.0)
    ceiling = entry.price_cents_per_kg("ceiling", low=0.0)
    for field, cents in (("price", price), ("floor", floor), ("ceiling", ceiling)):
        if cents is not None and cents > DEAREST_CENTS_PER_KG:
            entry.wrong(field, entry.fields[field], "at most 1000.00/lb", "Check the figure and its unit.")
    own_endings = read_endings(entry, "ending")
    work = read_work(entry.table("work"))
    packs = entry.whole("packs", low=0, high=100_000) or 0
    entry.no_more()
    if use != "sell":
        for field in ("floor", "ceiling", "ending"):
            if entry.has(field):
                entry.wrong(
                    field,
                    entry.fields[field],
                    f"nothing for {use}",
                    "Only what is sold has a price to choose.",
                )
    if len(entry.findings) > before or weight_kg is None or not slug:
        return None
    cut = CaseCut(
        slug,
        name,
        weight_kg,
        use,
        price or 0.0,
        floor,
        ceiling,
        endings if own_endings is None else own_endings,
        work,
        packs,
    )
    if use == "sell":
        _check_room(entry, cut, sold_by)
    return cut if len(entry.findings) == before else None


def _check_room(entry: Entry, cut: CaseCut, sold_by: str) -> None:
    """A ceiling under the floor, or no writable price between them, is a slip of this cut alone."""
    unit = UnitLine.of(cut.price_line(), SOLD_BY[sold_by])
    if unit.high_cents is None:
        return
    if unit.high_cents < unit.low_cents:
        entry.wrong(
            "ceiling",
            entry.fields["ceiling"],
            "a ceiling that is not under the floor",
            "Change one of the two.",
        )
    elif not prices_with_ending(unit.endings, low_cents=unit.low_cents, high_cents=unit.high_cents):
        entry.wrong(
            "ceiling",
            entry.fields["ceiling"],
            f"a price by the {sold_by} with the ending asked for between floor and ceiling",
            "Widen floor or ceiling, or allow another ending.",
        )


def read_relations(entries: Sequence[Entry], sold: Sequence[str]) -> list[Relation]:
    """The [[relation]] tables: above, below and ratio between cuts that are sold."""
    relations = []
    for entry in entries:
        above = entry.word("above", sold, required=True) if sold else None
        below = entry.word("below", sold, required=True) if sold else None
        ratio = entry.number("ratio", low=0.1, high=20.0, required=True, what="a ratio such as 1.15")
        if sold:
            entry.no_more()
        if above is not None and above == below:
            entry.wrong("below", below, "another cut than above", "Name the two cuts that stand in relation.")
        elif above and below and ratio:
            relations.append(Relation(above, below, ratio))
    return relations
