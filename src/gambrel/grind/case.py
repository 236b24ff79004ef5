"""A grinding case as values: the trims on hand, the products wanted, and what to aim for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from gambrel.catalog.cuts import Cut, shipped_cuts
from gambrel.catalog.kinds import SPECIES
from gambrel.grind.names import GROUND_NAMES, PRIMALS, GroundName
from gambrel.measures import Entry
from gambrel.measures.entry import read_each
from gambrel.measures.units import MASS

OBJECTIVES = ("most-earned", "least-cost", "most-used")
INSPECTED = ("federal", "state", "custom")
WEIGHT_KG_LIMITS = (0.01, 5000.0)
TOLERANCE_PCT = 2.0
"""Points of lean that may be given away above the target when the product does not say. From memory: what a
small grinder holds."""

_MUSCLE_OFFAL = ("cheek-meat", "weasand")
"""Variety meats that are muscle and may be ground. Weasand from memory of 9 CFR 301.2."""


@dataclass(frozen=True, slots=True)
class Trim:
    """One tub of trim: its weight, lean point and what the rules ask of it. `owner` is "" unless custom.

    `mixed` is each species with its share of the weight, where a tub is of more than one; empty: all is `species`.
    """

    id: str
    weight_kg: float
    lean_pct: float
    species: str = "cattle"
    inspected: str = "federal"
    owner: str = ""
    primal: str = ""
    fat_class: bool = False
    cheek: bool = False
    age_days: int | None = None
    cost_cents_per_kg: float = 0.0
    lot: str = ""
    mixed: tuple[tuple[str, float], ...] = ()

    @property
    def fat_pct(self) -> float:
        return 100.0 - self.lean_pct

    @property
    def species_share(self) -> dict[str, float]:
        """Every species in it and its share of the weight."""
        return dict(self.mixed) or {self.species: 1.0}


@dataclass(frozen=True, slots=True)
class GroundProduct:
    """One product wanted: stated lean, how much, at what price.

    `tolerance_pct` is the most lean given away above the target, in points. `first_species_pct` is the share
    of the species named first, for a name with two; None otherwise. `most_kg` None: all the trims give.
    """

    id: str
    name: GroundName
    lean_pct: float
    least_kg: float = 0.0
    most_kg: float | None = None
    price_cents_per_kg: float | None = None
    tolerance_pct: float = TOLERANCE_PCT
    inspected: str = "federal"
    owner: str = ""
    first_species_pct: float | None = None
    fat_tested: bool = False

    @property
    def is_custom(self) -> bool:
        return self.inspected == "custom"


@dataclass(frozen=True, slots=True)
class GrindCase:
    """Everything `blend` needs; trims older than `age_limit_days` are left out."""

    trims: tuple[Trim, ...]
    products: tuple[GroundProduct, ...]
    objective: str = "most-earned"
    age_limit_days: int | None = None


def read_case(entry: Entry) -> GrindCase:
    """The case of a file; every slip is a finding and `CannotDo` carries them all."""
    entry.text("title")
    objective = entry.word("objective", OBJECTIVES) or "most-earned"
    age_limit = entry.whole("age_limit_days", low=0, high=400, what="days since the trim was cut")
    species = entry.word("species", SPECIES)
    inspected = entry.word("inspected", INSPECTED)
    cuts = shipped_cuts()
    trims = read_each(
        entry.tables("trim", required=True), lambda row: _read_trim(row, species, inspected, cuts)
    )
    products = read_each(
        entry.tables("product", required=True), lambda row: _read_product(row, objective, inspected)
    )
    entry.no_more()
    _each_once(entry, "trim", (trim.id for trim in trims))
    _each_once(entry, "product", (product.id for product in products))
    if objective == "least-cost" and products and not any(product.least_kg for product in products):
        entry.wrong(
            "objective",
            "least-cost with no order",
            "at least one product with min",
            'Give a product min = "100lb".',
        )
    entry.findings.stop_if_any()
    return GrindCase(tuple(trims), tuple(products), objective, age_limit)


def _each_once(entry: Entry, name: str, ids: Iterable[str]) -> None:
    seen: set[str] = set()
    for id_ in ids:
        if id_ in seen:
            entry.wrong(
                name, f"{id_} twice", f"each {name} with an id of its own", "Give one of them another id."
            )
        seen.add(id_)


def _read_trim(row: Entry, species: str | None, inspected: str | None, cuts: dict[str, Cut]) -> Trim | None:
    before = len(row.findings)
    id_ = row.text("id", required=True, longest=40) or ""
    if id_:
        row.where = f"trim {id_}"
    weight = row.quantity("weight", MASS, low=WEIGHT_KG_LIMITS[0], high=WEIGHT_KG_LIMITS[1], required=True)
    cut = _cut_of(row, cuts)
    lean = row.number("lean", low=0.0, high=100.0, required=cut is None or cut.lean_pct is None,
                      what="lean in percent, such as 85")  # fmt: skip
    if lean is None and cut is not None:
        lean = cut.lean_pct
    species = row.word("species", SPECIES, required=species is None) or species or SPECIES[0]
    if cut is not None and cut.species == "bison" != species:
        row.wrong("species", species, f"bison, as {cut.name} is", 'Write species = "bison" or another cut.')
    inspected = row.word("inspected", INSPECTED, required=inspected is None) or inspected or INSPECTED[0]
    owner = _owner(row, inspected)
    primal = row.word("from", PRIMALS) or (cut.primal if cut and cut.primal in PRIMALS else "")
    fat_class = row.yes("fat_class", default=cut is not None and cut.primal == "fat")
    cheek = row.yes("cheek", default=cut is not None and cut.slug == "cheek-meat")
    age = row.whole("age_days", low=0, high=400, what="days since the trim was cut")
    cost = row.price_cents_per_kg("cost")
    if inspected == "custom" and cost is not None:
        row.wrong(
            "cost",
            row.raw("cost"),
            "no cost: custom trim is its owner's and is never bought or sold",
            "Take it out.",
        )
    lot = row.text("lot", longest=60) or ""
    row.no_more()
    if weight is None or lean is None or len(row.findings) > before:
        return None
    return Trim(id=id_, weight_kg=weight, lean_pct=lean, species=species, inspected=inspected, owner=owner,
                primal=primal, fat_class=fat_class, cheek=cheek, age_days=age,
                cost_cents_per_kg=cost or 0.0, lot=lot)  # fmt: skip


def _cut_of(row: Entry, cuts: dict[str, Cut]) -> Cut | None:
    """The catalogue cut a trim says it is; a finding for organs, bone and risk material."""
    if not row.has("cut"):
        row.raw("cut")
        return None
    slug = row.text("cut") or ""
    cut = cuts.get(slug)
    if cut is None:
        row.word("cut", cuts)  # for its finding, with the nearest slug
    elif cut.primal == "variety" and slug not in _MUSCLE_OFFAL:
        row.wrong("cut", cut.name, "muscle meat: organs may not go in under these names (9 CFR 319.15)",
                  "Take this line out; sell it under its own name.")  # fmt: skip
    elif cut.bone == "in" or cut.primal == "bone" or cut.srm == "any":
        row.wrong("cut", cut.name, "boneless meat", "Bone it first and enter the boneless trim.")
    return cut


def _owner(row: Entry, inspected: str) -> str:
    owner = row.text("owner", required=inspected == "custom", longest=60) or ""
    if owner and inspected != "custom":
        row.wrong(
            "owner",
            owner,
            "an owner only where inspected is custom",
            'Take it out or write inspected = "custom".',
        )
    return owner


def _read_product(row: Entry, objective: str, inspected: str | None) -> GroundProduct | None:
    before = len(row.findings)
    slug = row.word("name", GROUND_NAMES, required=True)
    name = GROUND_NAMES.get(slug or "", GROUND_NAMES["ground-beef"])
    lean = row.number("lean", low=1.0, high=99.0, required=True, what="the lean stated, such as 85")
    if lean is not None and lean < name.leanest_pct:
        wanted = f"{name.leanest_pct:g} or more: at most {name.fat_ceiling_pct:g} % fat ({name.cite})"
        row.wrong("lean", f"{lean:g}", wanted, "State it leaner.")
    id_ = row.text("id", longest=40) or f"{(slug or '').replace('-', ' ')} {lean or 0:g}"
    if slug:
        row.where = f"product {id_}"
    least = row.quantity("min", MASS, low=WEIGHT_KG_LIMITS[0], high=WEIGHT_KG_LIMITS[1])
    most = row.quantity("max", MASS, low=WEIGHT_KG_LIMITS[0], high=WEIGHT_KG_LIMITS[1])
    if least is not None and most is not None and least > most:
        row.wrong("min", row.raw("min"), f"no more than max, {row.raw('max')}", "Change one of them.")
    tolerance = row.number("tolerance", low=0.0, high=30.0, what="points of lean above the target, such as 2")
    inspected = row.word("inspected", INSPECTED, required=inspected is None) or inspected or INSPECTED[0]
    owner = _owner(row, inspected)
    price = _price(row, objective, inspected)
    first = _first_species(row, name)
    tested = row.yes("fat_test", default=False)
    row.no_more()
    if slug is None or lean is None or len(row.findings) > before:
        return None
    return GroundProduct(id=id_, name=name, lean_pct=lean, least_kg=least or 0.0, most_kg=most,
                         price_cents_per_kg=price, inspected=inspected, owner=owner,
                         tolerance_pct=TOLERANCE_PCT if tolerance is None else tolerance,
                         first_species_pct=first, fat_tested=tested)  # fmt: skip


def _price(row: Entry, objective: str, inspected: str) -> float | None:
    custom = inspected == "custom"
    price = row.price_cents_per_kg("price", required=objective == "most-earned" and not custom)
    if custom and price is not None:
        row.wrong(
            "price",
            row.raw("price"),
            "no price: custom-exempt meat is never sold (9 CFR 303.1(a)(2))",
            "Take it out.",
        )
        return None
    return price


def _first_species(row: Entry, name: GroundName) -> float | None:
    if name.is_mixed:
        return row.number("first_species", low=50.0, high=99.0, required=True,
                          what=f"percent of {name.species[0]}, named first and so the larger")  # fmt: skip
    if row.has("first_species"):
        row.wrong("first_species", row.raw("first_species"), "a name with two species for a mixed batch",
                  "Take it out, or call it ground bison and beef.")  # fmt: skip
    row.raw("first_species")
    return None
