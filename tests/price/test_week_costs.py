"""What a planned week's products cost: two kinds and one ground product of both, worked by hand to the cent."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gambrel.catalog.bill import Bill
from gambrel.measures import CannotDo
from gambrel.price.week_costs import costs_by_kind


def costs(planned):
    return costs_by_kind(planned.week, planned.plan)


def with_animals(planned, **changed):
    """The same week with other fields on the animals named."""
    animals = tuple(replace(one, **changed.get(one.id, {})) for one in planned.week.animals)
    return replace(planned, week=replace(planned.week, animals=animals))


def by_name(cost):
    return {cut.line.slug: cut for cut in cost.joint.cuts}


def test_only_the_shops_own_sides_that_are_cut_are_charged(planned):
    """A hangs on with its right side, C belongs to its owner: 210 of 400 kg of A and all of B are left."""
    grain, grass = costs(planned).values()
    assert (grain.kind, grain.hot_kg, grain.head) == ("grain-finished", 210.0, pytest.approx(0.525))
    assert (grass.kind, grass.hot_kg, grass.head) == ("grass-finished", 300.0, pytest.approx(1.0))


def test_a_side_carries_its_part_of_the_bill_the_kill_fee_and_the_overhead(planned):
    grain, grass = costs(planned).values()
    # 3169.76 paid and 125.00 for the kill are 3294.76; 210 / 400 of it is 1729.749, or 1729.75.
    assert grain.bills_cents == 172_975
    assert grass.bills_cents == 190_000  # 1800.00 and 100.00
    assert grain.overhead_cents == 2_625  # 0.525 of 50.00
    assert grass.overhead_cents == 5_000


def test_wages_go_by_all_that_is_cut_and_hauling_by_the_shops_own(planned):
    grain, grass = costs(planned).values()
    # Wages 860.00 over 210 + 300 + 350 kg are 1.00 a kg; hauling 51.00 over 210 + 300 kg is .10 a kg.
    assert grain.labour_cents == 23_100
    assert grass.labour_cents == 33_000


def test_left_over_meat_is_credited_and_hauling_it_away_is_charged(planned):
    grain, grass = costs(planned).values()
    # Half the ground left over is of each kind: 40.00. Bones cost 3.00 to haul; the round brings 50.00.
    assert grain.surplus_cents == 4_000 - 300
    assert grass.surplus_cents == 4_000 + 5_000


def test_grain_finished_by_hand(planned):
    """1729.75 + 26.25 + 231.00 - 37.00 is 1950.00, carried by what is left of sales after packing.

    Ribeye 20 kg: 702.00 less 2.00 is 700.00. Order R1, 5 kg at 34.10: 170.50 less .50 is 170.00.
    Of 50 kg of trim 60 in a hundred go over the counter: 30 kg at 15.10 are 453.00 less 3.00, 450.00;
    20 in a hundred to the order G1: 10 kg at 18.10 are 181.00 less 1.00, 180.00. In all 1500.00.
    So each cut carries 1.30 for every dollar: 910.00, 221.00, 585.00, 234.00.
    """
    cost = costs(planned)["grain-finished"]
    assert cost.joint.joint_cents == 195_000
    joint = {name: cut.joint_cents for name, cut in by_name(cost).items()}
    assert joint == {
        "ribeye-steak (grain-finished)": 91_000,
        "order R1": 22_100,
        "ground-beef-80 (cattle)": 58_500,
        "order G1": 23_400,
    }
    assert cost.cost_cents == 195_000 + 200 + 50 + 300 + 100  # packing at .10 a kg
    assert cost.sales_cents == 70_200 + 17_050 + 45_300 + 18_100


def test_grass_finished_by_hand(planned):
    """1900.00 + 50.00 + 330.00 - 90.00 is 2190.00.

    Round 40 kg: 834.00 less 4.00 is 830.00; the same ground as the other kind: 450.00 and 180.00; 1460.00 in
    all, so that each dollar carries 1.50.
    """
    cost = costs(planned)["grass-finished"]
    assert cost.joint.joint_cents == 219_000
    joint = {name: cut.joint_cents for name, cut in by_name(cost).items()}
    assert joint == {
        "top-round (grass-finished)": 124_500,
        "ground-beef-80 (cattle)": 67_500,
        "order G1": 27_000,
    }


def test_two_price_steps_count_at_their_mean(planned):
    ribeye = by_name(costs(planned)["grain-finished"])["ribeye-steak (grain-finished)"]
    assert ribeye.line.price_cents_per_kg == pytest.approx(3510.0)  # 10 kg at 40.00 and 10 kg at 30.20
    assert ribeye.line.sales_cents == 70_200


def test_two_trims_in_one_ground_product_are_one_line(planned):
    ground = by_name(costs(planned)["grain-finished"])["ground-beef-80 (cattle)"]
    assert ground.line.kg == pytest.approx(30.0)  # 35 + 15 kg, of which the counter takes 60 in a hundred


def test_what_sides_that_hang_on_are_worth_changes_nothing(planned):
    without = replace(planned.plan, money=replace(planned.plan.money, hanging_on_cents=0))
    assert costs(replace(planned, plan=without)) == costs(planned)


def test_the_right_side_too_makes_it_the_whole_animal(planned):
    sides = tuple(replace(side, day=planned.week.shop.start) for side in planned.plan.sides)
    grain = costs(replace(planned, plan=replace(planned.plan, sides=sides)))["grain-finished"]
    assert grain.bills_cents == 329_476
    assert grain.overhead_cents == 5_000
    assert grain.hot_kg == 400.0


def test_an_animal_that_is_cut_without_a_bill_is_named_once(planned):
    with pytest.raises(CannotDo) as refusal:
        costs(with_animals(planned, B={"bill": None}))
    assert [finding.where for finding in refusal.value.findings] == ["animal B, bill"]


def test_an_animal_that_hangs_on_needs_no_bill(planned):
    sides = tuple(replace(side, day=None) if side.animal == "A" else side for side in planned.plan.sides)
    kept = with_animals(replace(planned, plan=replace(planned.plan, sides=sides)), A={"bill": None})
    assert list(costs(kept)) == ["grass-finished"]


def test_nothing_cut_costs_nothing(planned):
    sides = tuple(replace(side, day=None) for side in planned.plan.sides)
    assert costs(replace(planned, plan=replace(planned.plan, sides=sides))) == {}


def test_only_an_owners_animal_cut_costs_the_shop_nothing(planned):
    sides = tuple(side if side.animal == "C" else replace(side, day=None) for side in planned.plan.sides)
    assert costs(replace(planned, plan=replace(planned.plan, sides=sides))) == {}


def test_a_kind_whose_meat_nobody_takes_cannot_carry_its_cost(planned):
    moves = tuple(move for move in planned.plan.moves if move.slug not in ("top-round", "trim-85"))
    with pytest.raises(CannotDo, match="brings more than it costs"):
        costs(replace(planned, plan=replace(planned.plan, moves=moves)))


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    paid=st.integers(0, 10**6), fee=st.integers(0, 50_000), wages=st.integers(0, 10**6),
    hauling=st.integers(0, 10**5), packing=st.integers(0, 300),
)  # fmt: skip
def test_every_cent_is_carried_by_what_is_sold(planned, paid, fee, wages, hauling, packing):
    animals = with_animals(planned, A={"bill": Bill("head", paid, None, fee)}).week.animals
    shop = replace(
        planned.week.shop, margin=replace(planned.week.shop.margin, packing_cents_per_kg=float(packing))
    )
    money = replace(planned.plan.money, wages_cents=-wages, hauling_cents=-hauling)
    found = costs_by_kind(
        replace(planned.week, animals=animals, shop=shop), replace(planned.plan, money=money)
    )
    for cost in found.values():
        spent = cost.bills_cents + cost.overhead_cents + cost.labour_cents - cost.surplus_cents
        own = sum(cut.line.separable_cents for cut in cost.joint.cuts)
        assert cost.joint.joint_cents == spent
        assert cost.cost_cents == spent + own
    # 510 of the 860 kg that are cut are the shop's own; each kind is rounded once.
    labour = sum(cost.labour_cents for cost in found.values())
    assert labour == pytest.approx(wages * 510 / 860 + hauling, abs=1.0)
