"""The bid for the next animal of a kind, on a tree so small that its value is known without a forecast."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import numpy as np
import pytest

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import Spread
from gambrel.catalog.ways import read_tree
from gambrel.hang.loss import LossModel
from gambrel.measures import Findings
from gambrel.plan.result import Surplus
from gambrel.price.week_bid import bid_for_kind
from gambrel.price.week_costs import costs_by_kind

TREE = """
[[way]]
piece = "side"
name = "quarters"
[way.out]
forequarter = 0.5
hindquarter = 0.5

[[way]]
piece = "forequarter"
name = "boneless"
[way.out]
ribeye-steak = 0.3
trim-85 = 0.2
trim-65 = 0.2
trim-fat = 0.1
neck-bones = 0.2

[[way]]
piece = "hindquarter"
name = "boneless"
[way.out]
ribeye-steak = 0.4
trim-85 = 0.2
trim-65 = 0.2
suet = 0.04
neck-bones = 0.16
"""
"""Nothing is lost on the block and all of it is sold, so equal prices make the value certain."""

WAYS = {"side": "quarters", "forequarter": "boneless", "hindquarter": "boneless"}


@pytest.fixture(scope="module")
def tree():
    findings = Findings()
    read = read_tree((("bid", tomllib.loads(TREE)),), findings)
    findings.stop_if_any()
    return read


@pytest.fixture
def level(planned):
    """The planned week with every kilogram of the grain-finished steer bringing 15.00, promises too.

    No packing, so that the bid does not hang on what of it is packed.
    """
    shop = replace(planned.week.shop, margin=replace(planned.week.shop.margin, packing_cents_per_kg=0.0))
    week, plan = replace(planned.week, shop=shop), planned.plan
    grain = plan.moves[0].origin
    rest = tuple(Surplus(slug, grain, 1.0, 1500.0, 1500) for slug in ("suet", "trim-fat", "neck-bones"))
    moves = tuple(move for move in plan.moves if move.slug != "neck-bones")
    sales = tuple(replace(one, price_cents_per_kg=1500.0, cents=round(one.kg * 1500)) for one in plan.sales)
    surplus = tuple(replace(one, cents=round(one.kg * 1500)) for one in plan.surplus
                    if one.slug != "neck-bones")  # fmt: skip
    orders = tuple(replace(order, price_cents_per_kg=1500.0) for order in week.orders)
    return replace(planned, week=replace(week, orders=orders),
                   plan=replace(plan, moves=moves, sales=sales, surplus=surplus + rest))  # fmt: skip


def kind_of(planned, *, sure=True):
    """The grain-finished kind; with `sure` the next one weighs and dresses as usual, to the kilogram."""
    kind = planned.week.kinds["grain-finished"]
    if not sure:
        return kind
    return replace(kind, hot_kg=Spread(400.0, 0.0, "test", "test"),
                   dressing_share=Spread(0.62, 0.0, "test", "test"))  # fmt: skip


def bid(planned, tree, *, kind=None, draws=2000, seed=1, ways=WAYS):
    cost = costs_by_kind(planned.week, planned.plan)["grain-finished"]
    return bid_for_kind(
        kind or kind_of(planned), cost, planned.week, planned.plan, ways=ways, tree=tree,
        cuts=shipped_cuts(), draws=draws, seed=seed,
    )  # fmt: skip


def test_the_usual_animal_by_hand(level, tree):
    """A hung kilogram brings 15.00; r of each hot kilogram is left on the target day.

    Off that come a tenth for the margin, labour 1.10 a hot kg (worked in the tests of the costs), and 50.00
    overhead and 125.00 for the kill over 400 kg: 43.75 cents a hot kg.
    """
    kind = kind_of(level)
    model = LossModel.prior(kind, fat_mm=None, side_hot_kg=200.0)
    left = model.remaining_share(kind.hang_days[1])
    found = bid(level, tree)
    by_hand = left.mean * 0.9 * 1500 - 110 - 17_500 / 400
    assert float(np.mean(found.rail_limit_cents_per_kg)) == pytest.approx(by_hand, abs=2.0)
    surer = left.p05 * 0.9 * 1500 - 110 - 17_500 / 400
    assert found.at_probability(0.95, on="rail") == pytest.approx(surer, abs=4.0)
    assert found.at_probability(0.5, on="live") == pytest.approx(0.62 * found.at_probability(0.5, on="rail"))


def test_money_lost_is_the_margin_further_up(level, tree):
    """What loses nothing is what earns the margin and the margin itself: a tenth of 15.00 on what is left."""
    found = bid(level, tree)
    between = found.rail_even_cents_per_kg - found.rail_limit_cents_per_kg
    left = LossModel.prior(kind_of(level), fat_mm=None, side_hot_kg=200.0).remaining_share(14)
    assert float(np.mean(between)) == pytest.approx(150.0 * left.mean, abs=0.5)


def test_meat_of_other_kinds_does_not_count(level, tree):
    """The grass-finished round at any price leaves the grain-finished bid as it is."""
    sales = tuple(replace(one, cents=10 * one.cents) if one.demand == 2 else one for one in level.plan.sales)
    dearer = replace(level, plan=replace(level.plan, sales=sales))
    assert bid(dearer, tree).at_probability(0.9, on="rail") == bid(level, tree).at_probability(0.9, on="rail")


def test_trim_brings_what_its_ground_product_brings_left_over_and_promises_too(level, tree):
    """Ground left over at nothing: a fifth of the trims' 15.00 is gone, the ribeyes' stays.

    So a hung kilogram brings between 15.00 and 12.00, and less the more trim there is in the animal.
    """
    surplus = tuple(replace(one, cents=0) if one.origin.ground == 1 else one for one in level.plan.surplus)
    poorer = replace(level, plan=replace(level.plan, surplus=surplus))
    # The limit alone: costs of the kind only enter by labour, which stays.
    less = float(
        np.mean(bid(level, tree).rail_limit_cents_per_kg - bid(poorer, tree).rail_limit_cents_per_kg)
    )
    left = LossModel.prior(kind_of(level), fat_mm=None, side_hot_kg=200.0).remaining_share(14).mean
    trim_share = less / (0.9 * left * 300.0)
    assert 0.25 < trim_share < 0.6  # the tree gives 40 in a hundred, before the animal's own fat and ribeye


def test_surplus_of_a_cut_is_part_of_its_mean_price(level, tree):
    """20 + 5 kg of ribeye at 15.00 and 25 kg left over at nothing: ribeye brings 7.50."""
    grain = level.plan.moves[0].origin
    over = replace(level.plan.surplus[0], slug="ribeye-steak", origin=grain, kg=25.0, cents=0)
    poorer = replace(level, plan=replace(level.plan, surplus=(*level.plan.surplus, over)))
    less = float(
        np.mean(bid(level, tree).rail_limit_cents_per_kg - bid(poorer, tree).rail_limit_cents_per_kg)
    )
    left = LossModel.prior(kind_of(level), fat_mm=None, side_hot_kg=200.0).remaining_share(14).mean
    assert 0.1 < less / (0.9 * left * 750.0) < 0.6  # ribeye is 35 in a hundred of the tree


def test_a_cut_the_plan_does_not_have_brings_nothing(level, tree):
    """Without a move of ribeye, only the trims count."""
    moves = tuple(move for move in level.plan.moves if move.slug != "ribeye-steak")
    sales = tuple(one for one in level.plan.sales if one.demand != 0)
    poorer = replace(level, plan=replace(level.plan, moves=moves, sales=sales))
    assert bid(poorer, tree).at_probability(0.5, on="rail") < bid(level, tree).at_probability(0.5, on="rail")


def test_kill_fees_are_the_mean_of_the_kinds_own_animals(level, tree):
    """125.00 and 325.00 are 225.00 on average: 100.00 more over 400 kg is a quarter a kilogram."""
    one = level.week.animals[0]
    other = replace(one, id="D", bill=replace(one.bill, kill_fee_cents=32_500))
    week = replace(level.week, animals=(*level.week.animals, other))
    dearer = bid(replace(level, week=week), tree).at_probability(0.9, on="rail")
    assert bid(level, tree).at_probability(0.9, on="rail") - dearer == pytest.approx(25.0)


def test_an_owners_kill_fee_is_not_the_shops(level, tree):
    animals = [replace(one, bill=replace(level.week.animals[0].bill, kill_fee_cents=90_000))
               if one.id == "C" else one for one in level.week.animals]  # fmt: skip
    same = replace(level, week=replace(level.week, animals=tuple(animals)))
    assert bid(same, tree).at_probability(0.9, on="rail") == bid(level, tree).at_probability(0.9, on="rail")


def test_packing_is_charged_on_what_is_packed(level, tree):
    """A dollar a kilogram on the food alone: bones and fat of this tree, about a quarter, are not packed."""
    shop = replace(level.week.shop, margin=replace(level.week.shop.margin, packing_cents_per_kg=100.0))
    packed = replace(level, week=replace(level.week, shop=shop))
    less = bid(level, tree).at_probability(0.5, on="rail") - bid(packed, tree).at_probability(0.5, on="rail")
    left = LossModel.prior(kind_of(level), fat_mm=None, side_hot_kg=200.0).remaining_share(14).mean
    assert 0.6 < less / (100.0 * left) < 0.9


def test_a_higher_margin_bids_less(level, tree):
    shop = level.week.shop
    found = []
    for target in (0.0, 20.0, 40.0):
        week = replace(level.week, shop=replace(shop, margin=replace(shop.margin, target_pct=target)))
        found.append(bid(replace(level, week=week), tree).at_probability(0.8, on="rail"))
    assert found[0] > found[1] > found[2]
    assert found[0] - found[1] == pytest.approx(found[1] - found[2], abs=0.01)


def test_what_is_not_known_of_the_animal_lowers_the_sure_bid(level, tree):
    """With dressing and weight uncertain too, 90 in 100 live is less, and an even chance about the same."""
    sure, unsure = (bid(level, tree, kind=kind_of(level, sure=one)) for one in (True, False))
    spread = [
        one.at_probability(0.5, on="live") - one.at_probability(0.9, on="live") for one in (sure, unsure)
    ]
    assert spread[1] > 1.5 * spread[0]
    dressing = 0.62 / 0.6324  # the sure kind dresses a little less than the usual one
    assert unsure.at_probability(0.5, on="live") * dressing == pytest.approx(
        sure.at_probability(0.5, on="live"), rel=0.02
    )


def test_every_draw_is_an_animal_that_can_be(level, tree):
    found = bid(level, tree, kind=kind_of(level, sure=False), draws=5000)
    dressed = found.live_even_cents_per_kg / found.rail_even_cents_per_kg
    assert dressed.min() >= 0.3 and dressed.max() <= 0.8
    assert len(found.rail_limit_cents_per_kg) == 5000
    assert np.isfinite(found.live_limit_cents_per_kg).all()


def test_the_same_seed_gives_the_same_bid(level, tree):
    kind = kind_of(level, sure=False)
    one, same, other = (bid(level, tree, kind=kind, draws=200, seed=seed) for seed in (3, 3, 4))
    assert (one.live_limit_cents_per_kg == same.live_limit_cents_per_kg).all()
    assert (one.live_limit_cents_per_kg != other.live_limit_cents_per_kg).any()
