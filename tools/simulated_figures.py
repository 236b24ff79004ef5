"""What is reached on the simulated shop: honest intervals, slips named, suppliers told apart.

`python tools/simulated_figures.py [intervals|slips|suppliers|alarm] [SHOPS]` prints the tables of docs/learning.md.

What was settled before anything was measured: a supplier apart brings 5 % more or less lean than the rest (12 kg of
meat on a carcass of 400 kg, which nobody gives away), animals of one supplier differ among themselves by 2.5 %, and
three of the five suppliers are apart, two up and one down. Everything drawn comes from a seed, a shop a seed.
"""

from __future__ import annotations

import math
import sys
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
import simulated_shop as simulated

from gambrel.breakdown.forecast import Forecast, forecast_side
from gambrel.learn.alarm import alarms
from gambrel.learn.block import BlockTest, Book
from gambrel.learn.expected import Expected, expected_side
from gambrel.learn.mistakes import SLIPS, Explanation, Mistake, explain
from gambrel.learn.score_figures import LEAST_WEIGHED_SHARE, MOST_WEIGHED_SHARE, AnimalFigures, scores_of
from gambrel.learn.scorecard import FALSE_SHARE, Score, real_ones, supplier_cards
from gambrel.learn.shop_yields import ShopYields
from gambrel.learn.truth import SideTruth

LEARNED_SIDES, JUDGED_SIDES = 40, 40
DRAWS = 800
LEAST_BALANCED_SHARE, MOST_BALANCED_SHARE = 0.975, 1.005
EFFECT, APART = 0.05, 3
LEVEL_PCT = 90
SMALLEST_KG = 0.2

OF = simulated.catalogue()
BOOK = Book(OF.tree, OF.cuts)


def block_test(side: simulated.Side) -> BlockTest:
    """What the block has of a side."""
    return BlockTest(side.animal, side.ways, side.weighed_kg, side.supplier, side.cutter, side.day)


def balances(side: simulated.Side) -> bool:
    """What does not balance teaches nothing until it is put right."""
    return LEAST_BALANCED_SHARE <= weighed_share(side) <= MOST_BALANCED_SHARE


def weighed_share(side: simulated.Side) -> float:
    return sum(side.weighed_kg.values()) / side.begun_kg


def learned_from(sides: Iterable[simulated.Side]) -> ShopYields:
    return ShopYields.none(BOOK).learned([block_test(side) for side in sides if balances(side)])


def foretold(side: simulated.Side, yields: ShopYields | None, *, seed: int) -> Forecast:
    """The forecast of a side off the rail, by what was learned or by the book alone."""
    models = yields.models(side.animal, supplier=side.supplier, cutter=side.cutter) if yields else None
    hung_kg = np.full(DRAWS, side.begun_kg)
    return forecast_side(
        side.animal, side.ways, tree=OF.tree, cuts=OF.cuts, hung_kg=hung_kg, seed=seed, learned=models
    )


def inside_and_error(sides: Sequence[simulated.Side], yields: ShopYields | None) -> tuple[float, float]:
    """Share of the true weights inside the 90 % intervals, and their mean absolute error in kg."""
    inside, off_kg = [], []
    for number, side in enumerate(sides):
        told = foretold(side, yields, seed=number)
        for slug, kg in side.true_kg.items():
            low, high = np.percentile(told.kg[slug], (5, 95))
            inside.append(low <= kg <= high)
            off_kg.append(abs(float(told.kg[slug].mean()) - kg))
    return float(np.mean(inside)), float(np.mean(off_kg))


@dataclass(frozen=True)
class Intervals:
    """One shop after `LEARNED_SIDES`: share inside and error in kg of the next sides, and the same by the book."""

    inside_share: float
    off_kg: float
    book_inside_share: float
    book_off_kg: float


def intervals(seed: int) -> Intervals:
    rng = np.random.default_rng(seed)
    sides = simulated.season(rng, simulated.new_world(rng, OF), OF, (LEARNED_SIDES + JUDGED_SIDES) // 2)
    learned, judged = sides[:LEARNED_SIDES], sides[LEARNED_SIDES:]
    return Intervals(*inside_and_error(judged, learned_from(learned)), *inside_and_error(judged, None))


def expectation(side: simulated.Side, yields: ShopYields, *, seed: int) -> Expected:
    told = foretold(side, yields, seed=seed)
    tolerance_kg = simulated.DIGIT_KG * len(side.lines) ** 0.5
    return expected_side(told.kg, told.loss_kg, begun_kg=side.begun_kg, tolerance_kg=tolerance_kg)


def judged(pair: tuple[simulated.Side, simulated.Side], yields: ShopYields, *, seed: int) -> Explanation:
    """What the shop says of both sides of an animal."""
    sides = {side.name: expectation(side, yields, seed=seed) for side in pair}
    return explain([line for side in pair for line in side.lines], sides, tares_kg=simulated.TUBS_KG)


def slips(seed: int, each: int) -> tuple[Counter[Mistake], int, int]:
    """Of `each` planted slips of each kind in one shop: how many of each kind are named first; sides without a slip,
    and how many of them were accused."""
    rng = np.random.default_rng(seed)
    world = simulated.new_world(rng, OF)
    yields = learned_from(simulated.season(rng, world, OF, LEARNED_SIDES // 2))
    named: Counter[Mistake] = Counter()
    accused = 0

    def animal(number: int) -> tuple[simulated.Side, simulated.Side]:
        return simulated.cut_animal(
            rng, world, OF, number=number, day=180 + number % 60, supplier=simulated.SUPPLIERS[number % 5],
            kind_slug=simulated.KINDS[number % 4])  # fmt: skip

    for number in range(each):
        for mistake in SLIPS:
            found = judged(simulated.spoil(rng, animal(number), mistake), yields, seed=number).likeliest
            named[mistake] += found is not None and found.mistake is mistake
        accused += judged(animal(number), yields, seed=number).likeliest is not None
    return named, each, accused


def scores(sides: Sequence[simulated.Side]) -> tuple[Score, ...]:
    """The meat of every animal at like fat cover, from those of its sides that are fit to be compared."""
    animals = []
    for pair in zip(sides[::2], sides[1::2], strict=True):
        whole, meat = 0.0, 0.0
        for side in pair:
            if not LEAST_WEIGHED_SHARE <= weighed_share(side) <= MOST_WEIGHED_SHARE:
                continue
            for slug, kg in side.weighed_kg.items():
                whole += kg
                meat += kg if OF.cuts[slug].use not in ("fat", "bone") else 0.0
        if whole:
            of = pair[0]
            animals.append(AnimalFigures(of.name, of.supplier, of.animal.kind.slug, whole, meat / whole,
                                         of.animal.fat_mm))  # fmt: skip
    return scores_of(animals, "meat_share_at_like_fat")


def told_apart(seed: int, animals: int, *, apart: int = APART, effect: float = EFFECT) -> tuple[int, int]:
    """How many suppliers that are apart were called so, and how many that are not."""
    rng = np.random.default_rng(seed)
    world = simulated.new_world(rng, OF, apart=apart, effect=effect)
    cards = supplier_cards(scores(simulated.season(rng, world, OF, animals)))
    real = [card.name for card in cards if card.is_real]
    true = sum(world.supplier_lean[name] != 0.0 for name in real)
    return true, len(real) - true


def rings_after(seed: int, more_trim: float, *, animals: int = 20) -> int | None:
    """How many sides it takes until a trim rings, where after `LEARNED_SIDES` everybody leaves `more_trim` times as
    much of it; None where nothing rings. The shop goes on learning side by side, as it does."""
    rng = np.random.default_rng(seed)
    world = replace(
        simulated.new_world(rng, OF), new_cutter_day=10_000, drift=0.0, slip_share=0.0
    )  # nothing else may ring
    yields = learned_from(simulated.season(rng, world, OF, LEARNED_SIDES // 2))
    manner = {slug: (more_trim if OF.cuts[slug].use == "grind" else 1.0) * factor
              for slug, factor in world.manner.items()}  # fmt: skip
    told: list[SideTruth] = []
    for number, side in enumerate(simulated.season(rng, replace(world, manner=manner), OF, animals)):
        drawn = foretold(side, yields, seed=number).kg
        places = {slug: float(np.mean(drawn[slug] < kg)) for slug, kg in side.weighed_kg.items()
                  if slug in drawn and drawn[slug].mean() > SMALLEST_KG}  # fmt: skip
        day = date(2026, 1, 1) + timedelta(days=side.day)
        told.append(SideTruth(side.name, side.animal.kind.slug, day, places, {}))
        if balances(side):
            yields = yields.updated(block_test(side))
        if number % 2 and alarms(told):
            return number + 1
    return None


def best_found(animals: int, effect: float, *, shops: int = 2000) -> float:
    """How many of three suppliers apart anybody could find who knew which two are alike, how far animals differ, and
    every animal's lean without a scale: what animals differ by themselves stands in the way of every test."""
    rng = np.random.default_rng(animals)
    world = simulated.World({}, {})
    sd = world.lean_sd / (animals / len(simulated.SUPPLIERS)) ** 0.5
    lean = np.array([effect, -effect, effect, 0.0, 0.0]) + sd * rng.standard_normal((shops, 5))
    off = (lean - lean[:, 3:].mean(axis=1, keepdims=True)) / (sd * np.sqrt([1.5, 1.5, 1.5, 0.5, 0.5]))
    found = 0
    for row in off:
        found += sum(
            real_ones([math.erfc(abs(one) / math.sqrt(2.0)) for one in row], false_share=FALSE_SHARE)[:3]
        )
    return found / shops


def print_intervals(shops: int) -> None:
    found = [intervals(seed) for seed in range(shops)]
    inside = 100.0 * np.array([one.inside_share for one in found])
    in_bounds = int(np.sum((inside >= 85.0) & (inside <= 95.0)))
    print(
        f"intervals of {LEVEL_PCT} % after {LEARNED_SIDES} sides: {inside.mean():.1f} % inside, mean of {shops} shops;"
    )
    print(f"{inside.min():.1f} to {inside.max():.1f} by shop, {in_bounds} of {shops} shops from 85 to 95")
    print(f"by the book {100 * np.mean([one.book_inside_share for one in found]):.1f} % inside;")
    off_kg, book_kg = np.mean([one.off_kg for one in found]), np.mean([one.book_off_kg for one in found])
    print(f"error of a piece {off_kg:.3f} kg, by the book {book_kg:.3f} kg")


def print_slips(shops: int, each: int = 13) -> None:
    named: Counter[Mistake] = Counter()
    right = accused = 0
    for seed in range(shops):
        one, sides, wrong = slips(seed, each)
        named, right, accused = named + one, right + sides, accused + wrong
    print(f"| slip | named first, of {shops * each} | % |\n| --- | --- | --- |")
    for mistake in SLIPS:
        print(f"| {mistake.value} | {named[mistake]} | {100 * named[mistake] / (shops * each):.1f} |")
    print(f"of {right} pairs of sides without a slip {accused} were accused")


def print_alarm(shops: int) -> None:
    print(
        "| trim, times as much | shops that rang within 40 sides | after sides, median |\n| --- | --- | --- |"
    )
    for more_trim in (1.0, 1.15, 1.3, 1.6):
        after = [rings_after(seed, more_trim) for seed in range(shops)]
        rung = [sides for sides in after if sides is not None]
        print(f"| {more_trim:g} | {len(rung)} of {shops} | {np.median(rung):.0f} |" if rung else
              f"| {more_trim:g} | 0 of {shops} | - |", flush=True)  # fmt: skip


CASES = (
    (20, 0.05, 3),
    (40, 0.05, 3),
    (80, 0.05, 3),
    (20, 0.075, 3),
    (20, 0.10, 3),
    (20, 0.05, 0),
    (80, 0.05, 0),
)
"""Animals, effect, suppliers apart."""


def print_suppliers(shops: int) -> None:
    print(
        "| sides | effect, % | apart | found | all found, % | at best | a false one, % of shops | false, % of found |"
    )
    print("| --- | --- | --- | --- | --- | --- | --- | --- |")
    for animals, effect, apart in CASES:
        found = [told_apart(seed, animals, apart=apart, effect=effect) for seed in range(shops)]
        true, false = np.array(found).T
        share = 100.0 * float(np.mean(false / np.maximum(true + false, 1)))
        told = f"{true.mean():.2f} | {100 * np.mean(true == apart):.0f} | {best_found(animals, effect):.2f}"
        print(f"| {2 * animals} | {100 * effect:g} | {apart} | {told if apart else '- | - | -'} | "
              f"{100 * np.mean(false > 0):.0f} | {share:.1f} |", flush=True)  # fmt: skip


def main() -> int:
    what = sys.argv[1] if len(sys.argv) > 1 else ""
    shops = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    for name, print_table, usual in (("intervals", print_intervals, 20), ("slips", print_slips, 8),
                                     ("suppliers", print_suppliers, 100), ("alarm", print_alarm, 10)):  # fmt: skip
        if what in ("", name):
            print_table(shops or usual)
    return 0


if __name__ == "__main__":
    sys.exit(main())
