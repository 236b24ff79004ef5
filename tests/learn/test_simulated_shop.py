"""The simulated shop does what it says it does, and what is measured on it is measured rightly."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest
import simulated_figures as figures
import simulated_shop as simulated

OF = figures.OF


def still_world(**more: object) -> simulated.World:
    """A shop in which nothing varies but what is asked for."""
    quiet = simulated.World(dict.fromkeys(OF.cuts, 1.0), dict.fromkeys(simulated.SUPPLIERS, 0.0), drift=0.0,
                            wet_share=0.0, animal_sd=1e-4, side_sd=1e-4, lean_sd=0.0)  # fmt: skip
    return replace(quiet, **more)  # type: ignore[arg-type]


def one_side(world: simulated.World, *, day: int = 0, kind: str = "grain-finished") -> simulated.Side:
    rng = np.random.default_rng(5)
    return simulated.cut_animal(rng, world, OF, number=0, day=day, supplier="oak", kind_slug=kind)[0]


def tissues(kg: Mapping[str, float]) -> dict[str, float]:
    """Shares of meat, fat and bone."""
    of = {"meat": 0.0, "fat": 0.0, "bone": 0.0}
    for slug, one in kg.items():
        use = OF.cuts[slug].use
        of[use if use in of else "meat"] += one / sum(kg.values())
    return of


@pytest.mark.parametrize("kind", simulated.KINDS)
@pytest.mark.parametrize("lean", [0.05, -0.05])
def test_a_leaner_supplier_brings_as_much_more_meat_as_is_said(kind: str, lean: float) -> None:
    """A twentieth more of the lean, out of the fat: what is weighed of meat grows by about that, bone by nothing."""
    usual = tissues(one_side(still_world(), kind=kind).true_kg)
    apart = tissues(
        one_side(still_world(supplier_lean=dict.fromkeys(simulated.SUPPLIERS, lean)), kind=kind).true_kg
    )
    assert apart["meat"] / usual["meat"] - 1.0 == pytest.approx(lean, abs=0.015)
    assert apart["bone"] == pytest.approx(usual["bone"], abs=0.004)
    assert (apart["fat"] - usual["fat"]) * lean < 0.0


def test_suet_is_the_kidney_fat_that_was_read() -> None:
    """Twice the reading, twice the suet, but for the little that one part more takes from the others."""
    kind = OF.kinds["grain-finished"]
    rng = np.random.default_rng(1)
    ways = OF.tree.style(simulated.STYLE, "cattle")
    own = dict.fromkeys(OF.cuts, 1.0)
    suet = []
    for kph_pct in (1.5, 3.0):
        animal = replace(simulated.animal_of(rng, kind), fat_mm=kind.fat_mm.mean, kph_pct=kph_pct)
        kg = simulated._broken(rng, still_world(), OF, animal, ways, 180.0, own, 0.0, "ana", 0)
        suet.append(kg["suet"])
    assert suet[1] / suet[0] == pytest.approx(2.0, rel=0.05)


def test_trims_drift_and_the_new_cutter_trims_otherwise() -> None:
    """A tenth a year, and 15 % by the new cutter, less what a part that grows takes from the parts beside it."""
    rng = np.random.default_rng(6)
    animal = simulated.animal_of(rng, OF.kinds["grain-finished"])
    ways, own = OF.tree.style(simulated.STYLE, "cattle"), dict.fromkeys(OF.cuts, 1.0)

    def trim_kg(cutter: str, day: int) -> float:
        kg = simulated._broken(rng, still_world(drift=0.10), OF, animal, ways, 180.0, own, 0.0, cutter, day)
        return sum(one for slug, one in kg.items() if OF.cuts[slug].use == "grind")

    old, new = simulated.CUTTERS
    assert 1.06 < trim_kg(old, 365) / trim_kg(old, 0) < 1.10
    assert 1.09 < trim_kg(new, 0) / trim_kg(old, 0) < 1.15


def test_wet_days_do_not_come_round_with_a_supplier() -> None:
    rng = np.random.default_rng(3)
    world = still_world(wet_share=0.2, wet_kg=1.0)
    heavy: dict[str, list[bool]] = {name: [] for name in simulated.SUPPLIERS}
    for side in simulated.season(rng, replace(world, slip_share=0.0), OF, 100)[::2]:
        heavy[side.supplier].append(figures.weighed_share(side) > 1.02)
    assert all(0 < sum(wet) < len(wet) for wet in heavy.values())
    assert np.mean([wet for of in heavy.values() for wet in of]) == pytest.approx(0.2, abs=0.12)


def test_what_anybody_could_find_at_best() -> None:
    """Effects of nothing are found once in thirty at the most; huge ones always."""
    assert figures.best_found(20, 0.0) < 0.1
    assert figures.best_found(20, 1.0) == pytest.approx(3.0)
    assert figures.best_found(20, 0.05) < figures.best_found(40, 0.05) < figures.best_found(80, 0.05)


def test_suppliers_apart_are_found_in_a_hundred_and_sixty_sides_and_others_left_alone() -> None:
    found = [figures.told_apart(seed, 80) for seed in range(4)]
    assert np.mean([true for true, _ in found]) >= 2.7
    assert sum(false for _, false in found) <= 2
    alike = [figures.told_apart(seed, 20, apart=0) for seed in range(10)]
    assert [true for true, _ in alike] == [0] * 10
    assert sum(false > 0 for _, false in alike) <= 3  # one in twenty: four of ten come less than once in 900


def test_a_side_with_a_primal_missing_is_not_compared() -> None:
    rng = np.random.default_rng(4)
    world = still_world(slip_share=0.0)
    sides = simulated.season(rng, world, OF, 5)
    heaviest = max(sides[0].lines, key=lambda line: line.weight_kg)
    spoiled = [replace(side, lines=tuple(line for line in side.lines if line.slug != heaviest.slug))
               for side in sides[:2]]  # fmt: skip
    assert len(figures.scores(sides)) == 5
    assert len(figures.scores([*spoiled, *sides[2:]])) == 4


def test_a_shop_that_leaves_more_trim_rings_and_a_steady_one_does_not() -> None:
    """Sixty in a hundred more trim is seen within eight animals; the full count is in docs/learning.md."""
    after = figures.rings_after(0, 1.6, animals=8)
    assert after is not None and 4 <= after <= 16
    assert figures.rings_after(1, 1.0, animals=6) is None
