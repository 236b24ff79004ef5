"""Whole animals of published texts, from what was paid to what the counter must ask, through every step at once."""

from __future__ import annotations

import json

import pytest

from gambrel.measures.money import cents_per_lb
from gambrel.price.fees import LiveChain
from gambrel.price.margin import margin_from_markup, markup_share
from gambrel.price.sheet import price_animal, sheet_json

SURE = {"dressing": {"sd": 0.0}, "hanging_loss": {"mean": 0.0, "sd": 0.0}, "value_sd_share": 0.0}


@pytest.fixture
def heifer(tables):
    """Meat Retailing, 1920s: a heifer of 407.5 lb at .10; .1276 a saleable lb; it must bring 59.78."""
    return {
        "kind": "grain-finished",
        "hot": "407.5lb",
        "hung": "407.5lb",
        "bill": {"rail": "0.10/lb"},
        "list": {"endings": "any"},
        "cut": [{"slug": "whole", "name": "all of it", "weight": "319.4lb", "price": "0.1276/lb"}],
        "margin": {"target": 0.318},
        "bid": {**SURE, "hot": {"mean": "407.5lb", "sd": "0lb"}, "prices": "new"},
    }


@pytest.fixture
def penn_state(tables):
    """Pricing your meat cuts, Penn State Extension, 2011: 1.35 live, 58 % dressed, fees by hanging weight,
    the take-home share, the margin. The first figure is printed; the rest is its own steps done by hand.
    """
    return {
        "kind": "grass-finished",
        "hot": "580lb",
        "hung": "580lb",
        "bill": {"live": "1.35/lb", "live_weight": "1000lb"},
        "fees": {"cut_wrap": "0.90/lb"},
        "list": {"endings": "any"},
        "cut": [{"slug": "take-home", "name": "take-home meat", "weight": "377lb", "price": "6.00/lb"}],
        "margin": {"target": 0.30},
        "bid": {
            **SURE,
            "dressing": {"mean": 0.58, "sd": 0.0},
            "hot": {"mean": "580lb", "sd": "0lb"},
            "prices": "new",
        },
    }


def test_the_heifer_costs_what_is_printed(heifer, read):
    sheet = price_animal(read(heifer))
    assert sheet.cost.bill_cents == 4075
    assert cents_per_lb(sheet.cost.total_cents / sheet.sold_kg) == pytest.approx(12.76, abs=0.005)
    assert sheet.sold_kg / sheet.case.hot_kg == pytest.approx(0.784, abs=0.0005)


def test_the_heifer_must_bring_what_is_printed(heifer, read):
    """59.78 on 40.75 is 46.7 % on cost or 31.8 % of sales; 40.75 over 0.682 is 59.75, for the share is rounded."""
    sheet = price_animal(read(heifer))
    assert sheet.price_list.needed_cents == pytest.approx(5978, abs=5)
    assert markup_share(sales_cents=5978, cost_cents=4075) == pytest.approx(0.467, abs=0.0005)
    assert margin_from_markup(0.467) == pytest.approx(0.318, abs=0.0005)
    # 59.75 over 319.4 lb is 18.7 cents: the first whole cent that earns it is 19.
    assert sheet.price_list.lines[0].label_cents == 19
    assert sheet.price_list.met


def test_the_bid_for_the_heifer_is_not_below_what_was_paid(heifer, read):
    """At 19 cents the list earns a little more than was asked, so a little more than .10 could be paid."""
    bid = price_animal(read(heifer)).bid
    # 319.4 lb at .19 is 60.69; 68.2 % of it over 407.5 lb is 10.16 cents.
    assert cents_per_lb(bid.at_probability(0.9, on="rail")) == pytest.approx(10.16, abs=0.005)


def test_the_live_chain_through_the_whole_sheet(penn_state, read):
    """1.35 over 0.58 is 2.328 (printed); with fees 3.228; over 0.65 it is 4.966."""
    sheet = price_animal(read(penn_state))
    answer = sheet_json(sheet)
    assert answer["dressing_share"] == pytest.approx(0.58)
    assert cents_per_lb(sheet.cost.bill_cents / sheet.case.hot_kg) == pytest.approx(232.8, abs=0.1)
    assert cents_per_lb(sheet.shrink.cents_per_hot_kg) == pytest.approx(322.8, abs=0.1)
    assert cents_per_lb(answer["cost"]["cents_per_sold_kg"]) == pytest.approx(496.6, abs=0.1)


def test_the_counter_price_is_the_chains_to_the_cent(penn_state, read):
    """4.966 over 0.70 is 7.094: the sign says 7.10, for 7.09 would be short of the margin."""
    chain = LiveChain(135, 0.58, 90, 0.65, 0.30)
    sheet = price_animal(read(penn_state))
    assert chain.retail_cents_per_kg == pytest.approx(709.4, abs=0.1)
    assert [line.label_cents for line in sheet.price_list.lines] == [710]
    # 1350.00 and 522.00 are 1872.00; over 0.7 they are 2674.29; 377 lb at 7.10 are 2676.70.
    assert sheet.cost.total_cents == 187_200
    assert sheet.price_list.needed_cents == 267_429
    assert sheet.price_list.new_cents == 267_670


def test_the_bid_leads_back_to_the_live_price(penn_state, read):
    """What may be paid at 7.10 is the 1.35 that was, and what the last cent of the sign leaves over."""
    bid = price_animal(read(penn_state)).bid
    # 2676.70 less 30 % less 522.00 is 1351.69, over 1000 lb live.
    for probability in (0.5, 0.99):
        assert cents_per_lb(bid.at_probability(probability, on="live")) == pytest.approx(135.169, abs=0.001)


def test_shrink_on_the_rail_makes_the_same_animal_dearer(penn_state, read):
    """The same chain with 5 % lost before cutting: what is taken home is 5 % less and costs 1 / 0.95 as much."""
    before = price_animal(read(penn_state))
    penn_state |= {"hung": "551lb"}
    penn_state["cut"][0]["weight"] = "358.15lb"
    after = price_animal(read(penn_state))
    assert after.cost.total_cents == before.cost.total_cents  # fees go by the hot weight
    rise = (after.cost.total_cents / after.sold_kg) / (before.cost.total_cents / before.sold_kg)
    assert rise == pytest.approx(1 / 0.95)
    # 2674.29 over 358.15 lb is 7.467: 7.47.
    assert [line.label_cents for line in after.price_list.lines] == [747]


def test_fees_charged_on_the_hung_weight_are_less(penn_state, read):
    penn_state["hung"] = "551lb"
    penn_state["fees"]["charged_on"] = "hung"
    assert price_animal(read(penn_state)).cost.fees_cents == 49_590  # 551 lb at .90


def test_the_published_cutting_tests_stand_beside_the_animal(heifer, run):
    """The Butcher's Yield Test (kitchen-costing page, undated): 28.40 for 16 lb, 1.775/lb, factor 1.365."""
    heifer["cutting_test"] = [{
        "name": "rib 103 to 109", "bought": "28lb", "price": "1.30/lb",
        "by_part": [
            {"name": "fat", "weight": "3lb", "price": "0.10/lb"},
            {"name": "bone", "weight": "4lb", "price": "0.30/lb"},
            {"name": "trim", "weight": "5lb", "price": "1.30/lb"},
        ],
    }]  # fmt: skip
    done = run(heifer, "--json")
    assert done.returncode == 0
    (test,) = json.loads(done.stdout)["cutting_tests"]
    assert (test["bought_cents"], test["by_part_cents"], test["usable_cents"]) == (3640, 800, 2840)
    assert cents_per_lb(test["cost_cents_per_usable_kg"]) == pytest.approx(177.5, abs=0.1)
    assert test["cost_factor"] == pytest.approx(1.365, abs=0.001)


def test_poultry_shared_out_through_the_whole_sheet(heifer, read):
    """Cost accounting, chapter 16 (undated): 100.00 on 110, 8, 28, 16 and 1; printed to 3 places of the share.

    A bird as a carcass of the table's weights: only the sharing out is asked of it.
    """
    rows = [("breasts", 100, 1.10, 67.50), ("wings", 20, 0.40, 4.90), ("thighs", 40, 0.70, 17.20),
            ("bones", 80, 0.20, 9.80), ("feathers", 10, 0.10, 0.60)]  # fmt: skip
    heifer |= {"hot": "250lb", "hung": "250lb", "bill": {"head": "$100.00"}, "method": "relative-sales-value"}
    heifer["cut"] = [{"slug": name, "name": name, "weight": f"{lb}lb", "price": f"{price:.2f}/lb"}
                     for name, lb, price, _ in rows]  # fmt: skip
    sheet = price_animal(read(heifer))
    for cut, (name, _, _, printed) in zip(sheet.joint.cuts, rows, strict=True):
        assert cut.line.slug == name
        assert cut.joint_cents / 100 == pytest.approx(printed, abs=0.03)
    assert sheet.price_list.today_cents == 16_300
