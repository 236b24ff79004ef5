"""Where the weight went: the links of a chain, by hand and in random sides."""

from __future__ import annotations

import random

import pytest

from gambrel.breakdown.balance import Balance
from gambrel.learn.chain import STEPS, Chain, balance_chain, day_chain
from gambrel.measures import Estimate


def balance(begun_kg: float, cuts: float, trim: float, bone: float, fat: float, loss: float = 0.2) -> Balance:
    groups = {"cuts": cuts, "trim": trim, "bone": bone, "fat": fat}
    return Balance(begun_kg, groups, Estimate(loss, loss / 2, 2 * loss), 0.3)


def side(**changed: float | None) -> Chain:
    given: dict = {"hot_kg": 180.0, "chilled_kg": 177.0, "usual_chill_share": 0.015} | changed
    return balance_chain(balance=balance(172.0, 95.0, 38.0, 25.0, 12.0), **given)


def test_the_links_by_hand() -> None:
    steps = side().step_kg
    assert steps == pytest.approx(
        {"chill": 3.0, "hanging": 5.0, "cuts": 95.0, "trim": 38.0, "bone": 25.0, "fat": 12.0, "loss": 0.2,
         "missing": 1.8}
    )  # fmt: skip
    assert tuple(steps) == STEPS


def test_a_side_without_a_chilled_weight_takes_the_usual_chill() -> None:
    chain = side(chilled_kg=None)
    assert (chain.chill_kg, chain.chill_weighed) == (pytest.approx(2.7), False)
    assert chain.hanging_kg == pytest.approx(5.3)


def test_the_usual_chill_is_never_more_than_was_lost() -> None:
    chain = side(chilled_kg=None, usual_chill_share=0.10)
    assert (chain.chill_kg, chain.hanging_kg) == (pytest.approx(8.0), 0.0)


def test_a_chilled_weight_above_the_hot_one_counts_as_no_chill() -> None:
    assert side(chilled_kg=180.4).chill_kg == 0.0


@pytest.mark.parametrize(("hot_kg", "chilled_kg"), [(171.0, None), (180.0, 171.0)])
def test_weight_does_not_come_back_on_the_rail(hot_kg: float, chilled_kg: float | None) -> None:
    with pytest.raises(ValueError, match="heavier"):
        side(hot_kg=hot_kg, chilled_kg=chilled_kg)


def test_a_chain_closes_when_loss_and_digits_explain_the_rest() -> None:
    assert not side().closes
    assert balance_chain(
        hot_kg=180.0,
        balance=balance(172.0, 96.0, 38.5, 25.2, 12.0),
        chilled_kg=None,
        usual_chill_share=0.015,
    ).closes


def test_a_day_is_its_sides_added_up() -> None:
    day = day_chain([side(), side(chilled_kg=None)])
    assert (day.hot_kg, day.sides, day.chill_weighed) == (360.0, 2, False)
    assert day.balance.tolerance_kg == pytest.approx(0.3 * 2**0.5)
    assert day.balance.loss_kg == Estimate(pytest.approx(0.4), pytest.approx(0.2), pytest.approx(0.8))
    assert day.step_kg["missing"] == pytest.approx(3.6)


def test_a_day_of_days_counts_every_side() -> None:
    day = day_chain([side(), side()])
    assert day_chain([day, side()]).sides == 3


def test_a_day_without_sides_is_refused() -> None:
    with pytest.raises(ValueError, match="without a side"):
        day_chain([])


def test_every_chain_adds_up_to_the_hot_weight() -> None:
    rng = random.Random(4)
    chains = []
    for _ in range(200):
        hot = rng.uniform(80, 250)
        begun = hot * rng.uniform(0.9, 1.0)
        parts = [rng.uniform(0.05, 0.4) * begun for _ in range(4)]
        chilled = rng.choice([None, rng.uniform(begun, hot)])
        chain = balance_chain(hot_kg=hot, balance=balance(begun, *parts), chilled_kg=chilled,
                              usual_chill_share=rng.uniform(0.0, 0.05))  # fmt: skip
        assert sum(chain.step_kg.values()) == pytest.approx(hot, abs=1e-9)
        assert sum(chain.step_share.values()) == pytest.approx(1.0, abs=1e-12)
        chains.append(chain)
    assert sum(day_chain(chains).step_kg.values()) == pytest.approx(sum(c.hot_kg for c in chains), abs=1e-6)
