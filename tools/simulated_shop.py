"""An invented shop whose truth is known: animals of five suppliers, two cutters, a scale, and the slips of people.

Written apart from the model that learns from it: pieces fall as gamma variates about shares of the shop's own, fat
moves fat by a straight line, sides of one animal are more alike than two animals, the shop's manner drifts, a new
cutter trims otherwise, a wet scale reads high, and one side in twenty carries a slip. Only the tree of ways and the
kinds are the catalogue's.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import Cut, shipped_cuts
from gambrel.catalog.kinds import Kind, shipped_kinds
from gambrel.catalog.ways import LOSS, ROOT, Tree, shipped_tree
from gambrel.learn.mistakes import Line, Mistake
from gambrel.measures.units import KG_PER_LB

SUPPLIERS = ("oak", "elm", "ash", "fir", "yew")
CUTTERS = ("ana", "ben")
KINDS = ("grain-finished", "grass-finished", "bison", "wagyu")
TUBS_KG = (1.1, 2.3)
DIGIT_KG = 0.05
STYLE = "boneless"
TUB_FROM_KG, LOT_KG = 5.0, 12.0


@dataclass(frozen=True)
class World:
    """What is true of one shop. Factors by leaf slug; `supplier_lean` by supplier: relative lean on top of the kind's.

    `drift` is what trims gain in a year, as a share of themselves; `wet_kg` what a wet pan adds at most, on
    `wet_share` of the days: drawn, for a wet day that came round like a supplier's turn would pass for the supplier.
    """

    manner: Mapping[str, float]
    supplier_lean: Mapping[str, float]
    new_cutter_day: int = 80
    new_cutter_trim: float = 0.15
    drift: float = 0.10
    wet_kg: float = 0.06
    wet_share: float = 0.2
    animal_sd: float = 0.06
    side_sd: float = 0.05
    lean_sd: float = 0.025
    slip_share: float = 0.05


@dataclass(frozen=True)
class Side:
    """One side as it was: true kg by slug, and what was written down. `slip` is None where nothing went wrong."""

    name: str
    animal: Animal
    supplier: str
    cutter: str
    day: int
    begun_kg: float
    ways: Mapping[str, str]
    true_kg: Mapping[str, float]
    lines: tuple[Line, ...]
    slip: Mistake | None = None

    @property
    def weighed_kg(self) -> dict[str, float]:
        weighed: dict[str, float] = {}
        for line in self.lines:
            weighed[line.slug] = weighed.get(line.slug, 0.0) + line.weight_kg
        return weighed


@dataclass(frozen=True)
class Catalogue:
    tree: Tree
    cuts: Mapping[str, Cut]
    kinds: Mapping[str, Kind]


def catalogue() -> Catalogue:
    return Catalogue(shipped_tree().trimmed("close"), shipped_cuts(), shipped_kinds())


def new_world(rng: np.random.Generator, of: Catalogue, *, apart: int = 3, effect: float = 0.05) -> World:
    """A shop of its own manner; the first `apart` suppliers bring leaner or fatter animals than the rest."""
    manner = {slug: float(rng.gamma(60.0) / 60.0) for slug in of.cuts}
    signs = rng.permutation([1.0, -1.0, 1.0])[:apart]
    lean = dict.fromkeys(SUPPLIERS, 0.0) | dict(zip(SUPPLIERS, (effect * signs).tolist(), strict=False))
    return World(manner, lean)


def animal_of(rng: np.random.Generator, kind: Kind) -> Animal:
    def near(mean: float, sd: float, low: float) -> float:
        return max(low, float(rng.normal(mean, 0.8 * sd)))

    return Animal(kind, kind.sexes[0], near(kind.hot_kg.mean, kind.hot_kg.sd, 150.0), fat_mm=near(
        kind.fat_mm.mean, kind.fat_mm.sd, 1.0), ribeye_cm2=near(kind.ribeye_cm2.mean, kind.ribeye_cm2.sd, 45.0),
        kph_pct=near(kind.kph_pct.mean, kind.kph_pct.sd, 0.5))  # fmt: skip


def cut_animal(rng: np.random.Generator, world: World, of: Catalogue, *, number: int, day: int, supplier: str,
               kind_slug: str) -> tuple[Side, Side]:  # fmt: skip
    """Both sides of an animal, cut and weighed, without slips."""
    kind = of.kinds[kind_slug]
    animal = animal_of(rng, kind)
    cutter = CUTTERS[1] if day >= world.new_cutter_day and rng.random() < 0.5 else CUTTERS[0]
    ways = of.tree.style(STYLE, animal.species)
    lean = float(rng.normal(0.0, world.lean_sd)) + world.supplier_lean[supplier]
    own = {slug: _gamma(rng, world.animal_sd) for slug in of.cuts}
    wet_kg = world.wet_kg * float(rng.random()) if rng.random() < world.wet_share else 0.0
    sides = []
    for half in ("left", "right"):
        begun = 0.5 * animal.hot_kg * float(rng.normal(0.965, 0.006))
        true_kg = _broken(rng, world, of, animal, ways, begun, own, lean, cutter, day)
        name = f"{number}-{half}"
        lines = tuple(line for slug, kg in true_kg.items() for line in _weighed(rng, name, slug, kg, wet_kg))
        sides.append(Side(name, animal, supplier, cutter, day, begun, ways, true_kg, lines))
    return sides[0], sides[1]


def _gamma(rng: np.random.Generator, sd: float) -> float:
    return float(rng.gamma(1.0 / sd**2) * sd**2)


def _broken(
    rng: np.random.Generator,
    world: World,
    of: Catalogue,
    animal: Animal,
    ways: Mapping[str, str],
    begun_kg: float,
    own: Mapping[str, float],
    lean: float,
    cutter: str,
    day: int,
) -> dict[str, float]:
    """True weights of all that comes of a side, by slug."""
    over_mm = (animal.fat_mm or 0.0) - animal.kind.fat_mm.mean
    kidney = (
        animal.kph_pct or 0.0
    ) / animal.kind.kph_pct.mean  # what was read is by its meaning the fat that is there
    at_hand = {ROOT: begun_kg}
    used = of.tree.reached(ways, animal.species)
    broken = {way.piece for way in used}
    for way in used:
        piece_kg = at_hand.pop(way.piece)
        parts = {}
        for slug, share in way.shares.items():
            if slug == LOSS:
                parts[slug] = share * _gamma(rng, 0.3)
                continue
            factor = own[slug] * _gamma(rng, world.side_sd)
            if (
                slug not in broken
            ):  # what could be broken further and is not, such as fat to render, ends here
                of_use = _of_use(world, of.cuts[slug], over_mm, lean, cutter, day)
                factor *= world.manner[slug] * (kidney if slug == "suet" else of_use)
            parts[slug] = share * factor
        whole = sum(parts.values())
        for slug, part in parts.items():
            if slug != LOSS:
                at_hand[slug] = at_hand.get(slug, 0.0) + piece_kg * part / whole
    return at_hand


def _of_use(world: World, cut: Cut, over_mm: float, lean: float, cutter: str, day: int) -> float:
    if cut.use == "fat":
        return max(0.3, 1.0 + 0.03 * over_mm - 3.0 * lean)
    if cut.use == "grind":
        more = 1.0 + world.drift * day / 365.0 + (world.new_cutter_trim if cutter == CUTTERS[1] else 0.0)
        return (1.0 + lean) * more
    return 1.0 + lean if cut.use != "bone" else 1.0


def _weighed(rng: np.random.Generator, side: str, slug: str, kg: float, wet_kg: float) -> list[Line]:
    """The lines of one piece: heavy ones in tubs of a dozen kilograms, the tub taken off by the scale."""
    lots = max(1, round(kg / LOT_KG)) if kg > LOT_KG else 1
    cut = rng.dirichlet(np.full(lots, 30.0)) * kg
    lines = []
    for number, lot in enumerate(cut.tolist()):
        read = round((lot + wet_kg) / DIGIT_KG) * DIGIT_KG
        tare = float(rng.choice(TUBS_KG)) if lot > TUB_FROM_KG else 0.0
        if read > 0.0:
            lines.append(Line(side, slug, round(read, 3), DIGIT_KG, tare, key=f"{side} {slug} {number}"))
    return lines


def spoil(rng: np.random.Generator, sides: tuple[Side, Side], mistake: Mistake) -> tuple[Side, Side]:
    """The two sides with one slip on one line that weighs enough to matter."""
    heavy_kg = 0.004 * sides[0].begun_kg
    places = [(side, line) for side in (0, 1) for line in sides[side].lines if line.weight_kg > heavy_kg]
    if mistake is Mistake.TARE:
        places = [(side, line) for side, line in places if line.tare_kg > 0.0]
    if mistake is Mistake.NEVER_WEIGHED:  # a piece, not one of several tubs of it
        places = [(s, one) for s, one in places if sum(line.slug == one.slug for line in sides[s].lines) == 1]
    at, line = places[rng.integers(len(places))]
    lines, other = list(sides[at].lines), list(sides[1 - at].lines)
    here = lines.index(line)
    if mistake is Mistake.NEVER_WEIGHED:
        del lines[here]
    elif mistake is Mistake.TWICE:
        lines.insert(here, line)
    elif mistake is Mistake.OTHER_SIDE:
        other.append(replace(lines.pop(here), side=sides[1 - at].name))
    else:
        lines[here] = _rewritten(rng, sides[at], line, mistake)
    spoiled = [
        replace(sides[at], lines=tuple(lines), slip=mistake),
        replace(sides[1 - at], lines=tuple(other)),
    ]
    return (spoiled[0], spoiled[1]) if at == 0 else (spoiled[1], spoiled[0])


def _rewritten(rng: np.random.Generator, side: Side, line: Line, mistake: Mistake) -> Line:
    kg = line.weight_kg
    if mistake is Mistake.POUNDS:
        return replace(line, weight_kg=kg / KG_PER_LB)
    if mistake is Mistake.KILOGRAMS:
        return replace(line, weight_kg=kg * KG_PER_LB)
    if mistake is Mistake.DECIMAL:
        return replace(line, weight_kg=kg * float(rng.choice([0.1, 10.0])))
    if mistake is Mistake.TARE:  # the tub left in, or taken off twice
        left_in = rng.random() < 0.5 or kg <= line.tare_kg
        return replace(line, weight_kg=kg + line.tare_kg, tare_kg=0.0) if left_in else replace(
            line, weight_kg=kg - line.tare_kg)  # fmt: skip
    others = [slug for slug in side.true_kg if slug != line.slug]
    return replace(line, slug=str(rng.choice(others)))


def season(rng: np.random.Generator, world: World, of: Catalogue, animals: int, *, days: int = 180,
           kinds: tuple[str, ...] = KINDS) -> list[Side]:  # fmt: skip
    """Sides of `animals` animals in the order they were cut; slips as often as the world has them."""
    sides: list[Side] = []
    slips = [mistake for mistake in Mistake if mistake is not Mistake.UNKNOWN]
    for number in range(animals):
        day = number * days // animals
        pair = cut_animal(rng, world, of, number=number, day=day, supplier=SUPPLIERS[number % len(SUPPLIERS)],
                          kind_slug=kinds[(number // len(SUPPLIERS)) % len(kinds)])  # fmt: skip
        if rng.random() < 2.0 * world.slip_share:
            pair = spoil(rng, pair, slips[rng.integers(len(slips))])
        sides += pair
    return sides
