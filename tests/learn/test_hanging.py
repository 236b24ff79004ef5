"""The loss of hanging sides learned by kind and cooler, from invented weighings."""

from __future__ import annotations

import numpy as np
import pytest

from gambrel.catalog.kinds import shipped_kinds
from gambrel.hang.loss import LossModel
from gambrel.hang.weighings import Weighing
from gambrel.learn.hanging import HungSide, learn_hanging

KIND = shipped_kinds()["grain-finished"]
DAYS = (1.0, 7.0, 14.0)


def side(rng: np.random.Generator, cooler: str = "north", more: float = 0.0) -> HungSide:
    """A side that loses as the book says and `more` of its hot weight a day."""
    book = LossModel.prior(KIND, fat_mm=10.0, side_hot_kg=180.0)
    own = float(rng.normal(0.0, 0.003))
    weighings = tuple(
        Weighing(day, 180.0 * (book.remaining_mean(day) - more * day + own + float(rng.normal(0.0, 0.001))),
                 f"day {day:g}")
        for day in DAYS
    )  # fmt: skip
    return HungSide(cooler, 180.0, 10.0, weighings)


def sides(number: int, **given: object) -> list[HungSide]:
    rng = np.random.default_rng(1)
    return [side(rng, **given) for _ in range(number)]  # type: ignore[arg-type]


def left(model: LossModel, day: float = 14.0) -> float:
    return model.remaining_mean(day)


def test_without_weighings_it_is_the_book() -> None:
    learned = learn_hanging(KIND, [])
    assert learned.keys() == {""}
    assert learned[""].both == learned[""].book


def test_a_dry_cooler_is_learned() -> None:
    learned = learn_hanging(KIND, sides(12, more=0.001))["north"]
    assert left(learned.both) == pytest.approx(left(learned.book) - 0.014, abs=0.004)
    assert learned.both.remaining_sd(14.0) < learned.book.remaining_sd(14.0)
    assert (learned.sides, learned.set_aside) == (12, 0)


def test_coolers_are_told_apart_and_all_lie_between() -> None:
    learned = learn_hanging(KIND, sides(10, more=0.0015) + sides(10, cooler="south"))
    north, south, both = (left(learned[name].both) for name in ("north", "south", ""))
    assert north < both < south


def test_a_weighing_that_cannot_be_true_teaches_nothing() -> None:
    good = sides(8)
    slip = HungSide("north", 180.0, 10.0, (Weighing(7.0, 80.0, "pounds for kilograms"),))
    with_slip = learn_hanging(KIND, [*good, slip])["north"]
    assert with_slip.set_aside == 1
    assert left(with_slip.both) == pytest.approx(left(learn_hanging(KIND, good)["north"].both), abs=1e-9)


def test_an_odd_weighing_counts_for_little() -> None:
    good = sides(8)
    odd = HungSide("north", 180.0, 10.0, (Weighing(14.0, 160.0, "hook left off"),))
    moved = left(learn_hanging(KIND, [*good, odd])["north"].both) - left(
        learn_hanging(KIND, good)["north"].both
    )
    assert abs(moved) < 0.0015


def test_several_weighings_of_one_side_are_not_several_sides() -> None:
    rng = np.random.default_rng(3)
    one = side(rng)
    many = learn_hanging(KIND, [one])["north"].both
    few = learn_hanging(KIND, [HungSide("north", 180.0, 10.0, one.weighings[-1:])])["north"].both
    assert many.remaining_sd(14.0) > 0.5 * few.remaining_sd(14.0)


def test_the_next_side_lies_as_far_beside_its_own_book_as_the_shop_was_seen_to() -> None:
    learned = learn_hanging(KIND, sides(12, more=0.001))["north"]
    for fat_mm, hot_kg in ((5.0, 150.0), (10.0, 180.0), (20.0, 210.0)):
        own = LossModel.prior(KIND, fat_mm=fat_mm, side_hot_kg=hot_kg)
        moved = left(own) - left(learned.of_side(own))
        assert moved == pytest.approx(left(learned.book) - left(learned.both), abs=1e-9)
        assert learned.of_side(own).noise_share == own.noise_share


def test_the_next_side_is_less_sure_than_the_mean_of_the_cooler_and_surer_than_the_book() -> None:
    """Sides differ by 0.4 % of hot weight (SIDE_SHARE_SD); variances of what is independent add up."""
    learned = learn_hanging(KIND, sides(30))["north"]
    own = LossModel.prior(KIND, fat_mm=None, side_hot_kg=180.0)
    side_sd, mean_sd = learned.of_side(own).remaining_sd(14.0), learned.both.remaining_sd(14.0)
    assert side_sd == pytest.approx((mean_sd**2 + 0.004**2) ** 0.5, rel=1e-9)
    assert side_sd < own.remaining_sd(14.0)


def test_the_next_side_of_a_cooler_without_sides_is_the_books() -> None:
    own = LossModel.prior(KIND, fat_mm=8.0, side_hot_kg=180.0)
    assert learn_hanging(KIND, [])[""].of_side(own) is own


def test_one_weighing_is_worth_what_the_closed_form_says() -> None:
    """One weighing on the first day: the normal posterior [Bishop, Pattern Recognition and Machine Learning, section
    3.3.1, 2006], by hand for the loss at day 1, where only the chill counts: precision adds up, means are weighted."""
    book = LossModel.prior(KIND, fat_mm=None)
    lost = 1.0 - book.remaining_mean(1.0) + 0.002
    own_book = LossModel.prior(KIND, fat_mm=10.0, side_hot_kg=180.0)
    moved = own_book.remaining_mean(1.0) - book.remaining_mean(1.0)
    weight_kg = 180.0 * (1.0 - lost + moved)
    both = learn_hanging(KIND, [HungSide("n", 180.0, 10.0, (Weighing(1.0, weight_kg, "day 1"),))])["n"].both
    noise = (book.noise_share**2 + 0.004**2) ** 0.5
    prior_precision, seen_precision = 1.0 / book.covariance[0][0], 1.0 / noise**2
    told = (prior_precision * book.mean[0] + seen_precision * lost) / (prior_precision + seen_precision)
    assert both.mean[0] == pytest.approx(told, abs=1e-12)
    assert both.covariance[0][0] == pytest.approx(1.0 / (prior_precision + seen_precision))
