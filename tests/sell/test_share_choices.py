"""Choices of an owner with their effect on weight and bill at once."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import shipped_kinds
from gambrel.catalog.ways import shipped_tree
from gambrel.measures import CannotDo
from gambrel.sell.share_bill import Extra, ShareSold, Terms, share_bill
from gambrel.sell.share_choices import BILLS, Choice, choice_effects, likely_weights, share_forecast
from gambrel.sell.take_home import OwnerWishes, ShareAsked, take_home

TREE, CUTS = shipped_tree(), shipped_cuts()
SOLD = ShareSold("R. Aldous", "federal", date(2026, 2, 1), None)
TERMS = Terms(
    hanging_cents_per_kg=937.0, charged_on="hot", cut_wrap_cents_per_kg=209.0, head_fee_cents=12_000
)
VACUUM = Extra("vacuum packs", cents_per_kg=55.0)
PATTIES = Extra("patties", cents_per_kg=110.0, on="ground")
NOW = Choice(OwnerWishes(takes_bones=False))
HOT_KG = 170.0


def asked(draws: int = 1000) -> ShareAsked:
    animal = Animal(shipped_kinds()["grain-finished"], "steer", 2 * HOT_KG, 18)
    spread = np.random.default_rng(4).normal(0.965, 0.004, draws)
    return ShareAsked(animal, 1.0, HOT_KG * spread, seed=2)


OTHERS = {
    "bones": Choice(OwnerWishes(takes_bones=True)),
    "vacuum": Choice(NOW.wishes, (VACUUM,)),
    "patties": Choice(NOW.wishes, (PATTIES,)),
}


def effects(terms: Terms = TERMS):
    found = choice_effects(asked(), NOW, OTHERS, terms, SOLD, hot_kg=HOT_KG, tree=TREE, cuts=CUTS)
    return {effect.name: effect for effect in found}


def test_bones_weigh_and_cost_nothing_where_hanging_weight_is_charged() -> None:
    """170 kg at 937 and 209 cents and half of $120: 159,290 + 35,530 + 6,000 cents, bones or not."""
    bones = effects()["bones"]
    assert bones.more_kg.p05 > 0
    assert bones.more_cents.mean == bones.more_cents.p95 == 0
    assert bones.charged_cents.mean == 159_290 + 35_530 + 6_000
    assert bones.cents_per_taken_kg.mean < 200_820 / np.mean(
        take_home(asked(), NOW.wishes, tree=TREE, cuts=CUTS).taken_kg
    )


def test_an_extra_costs_by_its_own_weight_and_changes_no_weight() -> None:
    home = take_home(asked(), NOW.wishes, tree=TREE, cuts=CUTS)
    found = effects()
    assert found["vacuum"].more_kg.mean == found["patties"].more_kg.mean == 0
    assert found["vacuum"].more_cents.mean == pytest.approx(55.0 * np.mean(home.taken_kg[::5]), abs=1)
    assert found["patties"].more_cents.mean == pytest.approx(110.0 * np.mean(home.ground_kg[::5]), abs=1)
    assert found["patties"].more_cents.p05 > 0


def test_charged_on_the_hung_weight_the_bill_has_an_interval() -> None:
    _, fixed = share_forecast(asked(), NOW, TERMS, SOLD, hot_kg=HOT_KG, tree=TREE, cuts=CUTS)
    hung = replace(TERMS, charged_on="hung")
    home, bill = share_forecast(asked(), NOW, hung, SOLD, hot_kg=HOT_KG, tree=TREE, cuts=CUTS)
    assert fixed.charged_cents.p05 == fixed.charged_cents.p95
    assert bill.charged_cents.p05 < bill.charged_cents.mean < bill.charged_cents.p95
    assert bill.charged_cents.mean == pytest.approx(
        np.mean(home.hung_kg[::5]) * (937 + 209) + 6_000, rel=1e-5
    )


def test_the_bill_of_each_draw_is_the_bill_itself() -> None:
    home = take_home(asked(), NOW.wishes, tree=TREE, cuts=CUTS)
    weights = likely_weights(home, hot_kg=HOT_KG, sides=1.0)
    assert len(weights) == BILLS
    assert weights[3].taken_kg == home.taken_kg[15] and weights[3].hung_kg == home.hung_kg[15]
    assert (
        len(likely_weights(take_home(asked(50), NOW.wishes, tree=TREE, cuts=CUTS), hot_kg=HOT_KG, sides=1.0))
        == 50
    )
    charged = [share_bill(TERMS, SOLD, one).charged_cents for one in weights]
    assert effects()["bones"].charged_cents.mean == np.mean(charged)


def test_a_forbidden_sale_is_refused_before_anything_is_shown() -> None:
    late = replace(SOLD, inspected="custom", killed_on=date(2026, 1, 20))
    with pytest.raises(CannotDo, match="before it is killed"):
        choice_effects(asked(100), NOW, OTHERS, TERMS, late, hot_kg=HOT_KG, tree=TREE, cuts=CUTS)


def test_more_bones_and_leaner_mince_together() -> None:
    both = {"both": Choice(OwnerWishes(takes_bones=True, grind_lean_pct=90.0), (VACUUM, PATTIES))}
    (found,) = choice_effects(asked(), NOW, both, TERMS, SOLD, hot_kg=HOT_KG, tree=TREE, cuts=CUTS)
    apart = effects()
    assert found.more_kg.mean < apart["bones"].more_kg.mean
    assert found.more_cents.mean > apart["vacuum"].more_cents.mean
    assert found.choice.extras == (VACUUM, PATTIES)
