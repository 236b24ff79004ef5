"""Suppliers, kinds and animals beside each other: real differences are found, others are not called so."""

from __future__ import annotations

import numpy as np
import pytest

from gambrel.learn import scorecard
from gambrel.learn.scorecard import (
    Score,
    animal_cards,
    bid_cents_per_kg,
    comparable,
    kind_cards,
    real_differences,
    real_ones,
    supplier_cards,
)

NAMES = ("ash", "elm", "fir", "oak", "yew")


def scores(seed: int, effects: dict[str, float], each: int = 8) -> list[Score]:
    rng = np.random.default_rng(seed)
    kinds = {"bison": 0.60, "grain": 0.66}
    return [
        Score(name, kind, kinds[kind] + effects.get(name, 0.0) + float(rng.normal(0.0, 0.02)))
        for name in NAMES
        for number in range(each)
        for kind in [("bison", "grain")[(number + len(name)) % 2]]
    ]


def test_real_ones_by_hand() -> None:
    """Bounds 0.0125, 0.025, 0.0375, 0.05: the third of the sorted lies under its own, so all before it count."""
    assert real_ones([0.30, 0.030, 0.001, 0.026], false_share=0.05) == [False, True, True, True]
    assert real_ones([0.2, 0.06], false_share=0.05) == [False, False]


def test_suppliers_alike_are_seldom_told_apart() -> None:
    false = sum(any(card.is_real for card in supplier_cards(scores(seed, {}))) for seed in range(100))
    assert (
        false <= 5 + 2 * (100 * 0.05 * 0.95) ** 0.5
    )  # the stated share, and two standard errors of the count


def test_three_of_five_are_found() -> None:
    effects = {"ash": 0.05, "elm": -0.05, "oak": 0.05}
    found = [
        {card.name for card in supplier_cards(scores(seed, effects)) if card.is_real} for seed in range(40)
    ]
    assert np.mean([len(one & effects.keys()) for one in found]) > 2.7
    assert np.mean([len(one - effects.keys()) / max(len(one), 1) for one in found]) <= 0.05


def test_effects_are_shrunk_and_in_order() -> None:
    cards = supplier_cards(scores(1, {"ash": 0.05, "elm": -0.05}))
    assert (cards[0].name, cards[-1].name) == ("ash", "elm")
    assert 0.02 < cards[0].beyond.mean < 0.065
    assert cards[0].beyond.p05 < cards[0].beyond.mean < cards[0].beyond.p95
    assert cards[0].animals == 8


def test_a_supplier_of_a_lower_yielding_kind_is_not_blamed() -> None:
    rng = np.random.default_rng(3)
    of = [("ash", "bison")] * 12 + [("ash", "grain")] * 3 + [("elm", "grain")] * 12 + [("elm", "bison")] * 3
    usual = {"bison": 0.60, "grain": 0.66}
    cards = supplier_cards([Score(name, kind, usual[kind] + rng.normal(0, 0.01)) for name, kind in of])
    assert not any(card.is_real for card in cards)


def test_too_little_to_compare_gives_no_cards() -> None:
    assert supplier_cards([]) == ()
    assert supplier_cards([Score("ash", "bison", 0.6)] * 9) == ()
    assert supplier_cards([Score("ash", "bison", 0.6), Score("elm", "bison", 0.7)]) == ()


def test_the_bid_moves_by_the_profit_beyond() -> None:
    card = supplier_cards(
        [Score(one.supplier, one.kind, 1000 * one.value) for one in scores(1, {"ash": 0.05})]
    )[0]
    bid = bid_cents_per_kg(800.0, card)
    assert bid.mean - 800.0 == pytest.approx(card.beyond.mean)
    assert bid.p05 < bid.mean < bid.p95


def test_kinds_are_told_apart_with_suppliers_made_equal() -> None:
    """Bison yields 0.06 less; half of that lies to each side of the middle of the two."""
    cards = kind_cards(scores(2, {"ash": 0.05}))
    assert [card.name for card in cards] == ["grain", "bison"]
    assert all(card.is_real for card in cards)
    assert cards[0].beyond.mean - cards[1].beyond.mean == pytest.approx(0.06, abs=0.015)
    assert cards[0].animals + cards[1].animals == 40


def test_the_usual_has_students_interval() -> None:
    """Of 0.60, 0.62 and 0.64 by hand: mean 0.62, standard error 0.02 / sqrt 3, t 2.920 (NIST, section 1.3.6.7.2)."""
    of = [Score("ash", "grain", value) for value in (0.60, 0.62, 0.64)]
    of += [Score("elm", "grain", value) for value in (0.61, 0.63)]
    card = next(card for card in supplier_cards(of) if card.name == "ash")
    assert card.usual.mean == pytest.approx(0.62)
    assert card.usual.p95 - card.usual.mean == pytest.approx(2.920 * 0.02 / 3**0.5, rel=1e-3)


def test_two_suppliers_differ_as_the_two_sample_t_test_says() -> None:
    """By hand: means 2 and 5, pooled variance 1, standard error sqrt(2 / 3), t = -3.674 with 4 df: p = 0.02131."""
    of = [Score("ash", "grain", value) for value in (1.0, 2.0, 3.0)]
    of += [Score("elm", "grain", value) for value in (4.0, 5.0, 6.0)]
    (only,) = real_differences(of)
    assert only.more.mean == pytest.approx(-3.0)
    assert only.more.p95 - only.more.mean == pytest.approx(2.132 * (2 / 3) ** 0.5, rel=1e-3)
    assert only.probability == pytest.approx(0.02131, abs=1e-5)
    assert only.is_real


def test_differences_between_every_two_hold_the_stated_share_of_false_ones() -> None:
    effects = {"ash": 0.05, "elm": -0.05, "oak": 0.05}
    false, true = [], []
    for seed in range(40):
        real = [one for one in real_differences(scores(seed, effects)) if one.is_real]
        wrong = [one for one in real if effects.get(one.first, 0.0) == effects.get(one.second, 0.0)]
        false.append(len(wrong) / max(len(real), 1))
        true.append(len(real) - len(wrong))
    assert np.mean(false) <= 0.05
    assert np.mean(true) > 0.9 * 8  # of the ten pairs eight differ


def test_what_is_given_is_made_equal() -> None:
    """Ash brings fat animals, and fat alone makes their meat less."""
    rng = np.random.default_rng(4)
    fat = {"ash": 16.0, "elm": 9.0, "oak": 10.0}
    of = [(name, fat[name] + float(rng.normal(0.0, 3.0))) for name in fat for _ in range(12)]
    plain = [Score(name, "grain", 0.72 - 0.006 * mm + float(rng.normal(0.0, 0.004))) for name, mm in of]
    assert any(card.is_real for card in supplier_cards(plain) if card.name == "ash")
    at_like_fat = [Score(one.supplier, one.kind, one.value, given=(mm,)) for one, (_, mm) in
                   zip(plain, of, strict=True)]  # fmt: skip
    assert not any(card.is_real for card in supplier_cards(at_like_fat))


def test_an_odd_animal_stands_out_of_its_own_kind_alone() -> None:
    rng = np.random.default_rng(6)
    of = [Score("ash", kind, usual + float(rng.normal(0.0, 0.01)), f"{kind} {number}")
          for kind, usual in (("bison", 0.60), ("grain", 0.66)) for number in range(10)]  # fmt: skip
    of[3] = Score("ash", "bison", 0.68, "bison 3")
    of.append(Score("ash", "wagyu", 0.50, "only one"))
    cards = animal_cards(of)
    assert [card.name for card in cards if card.is_real] == ["bison 3"]
    assert cards[0].name == "bison 3" and cards[0].beyond.mean == pytest.approx(0.08, abs=0.01)
    assert len(cards) == 20


def test_an_animal_by_hand() -> None:
    """5 beside 1, 2 and 3: off by 3, spread 1, t = 3 / sqrt(1 + 1 / 3) = 2.598 with 2 df: p = 1 - t / sqrt(2 + t2)."""
    cards = animal_cards([Score("", "grain", value, str(value)) for value in (1.0, 2.0, 3.0, 5.0)])
    assert cards[0].name == "5.0" and cards[0].beyond.mean == pytest.approx(3.0)
    assert cards[0].probability == pytest.approx(1.0 - 2.598 / (2.0 + 2.598**2) ** 0.5, abs=1e-4)
    assert cards[0].beyond.p05 == pytest.approx(3.0 - 2.920 / 3**0.5, rel=1e-3)


def test_who_alone_brings_a_kind_is_set_beside_nobody() -> None:
    """Bison from one herd and from nobody else: what is the herd's and what the kind's nobody can say. The others are
    compared as if it were not there."""
    rng = np.random.default_rng(5)
    cattle = [Score(name, kind, usual + float(rng.normal(0.0, 0.01)))
              for name in ("ash", "elm") for kind, usual in (("grain", 0.7), ("grass", 0.68))
              for _ in range(4)]  # fmt: skip
    herd = [Score("own", "bison", 0.6 + float(rng.normal(0.0, 0.01))) for _ in range(5)]
    assert comparable([*cattle, *herd], "supplier") == tuple(cattle)
    assert supplier_cards([*cattle, *herd]) == supplier_cards(cattle)
    assert real_differences([*cattle, *herd], by="kind") == real_differences(cattle, by="kind")


def test_suppliers_hang_together_by_a_kind_that_both_bring() -> None:
    ash, elm, oak = Score("ash", "grain", 1.0), Score("elm", "grain", 2.0), Score("elm", "grass", 3.0)
    fir = Score("fir", "grass", 4.0)
    assert comparable([ash, elm, oak, fir], "supplier") == (ash, elm, oak, fir)  # ash and fir through elm
    assert comparable([ash, oak, fir], "supplier") == (oak, fir)
    assert comparable([], "supplier") == ()
    assert comparable([Score("", "grain", 1.0)], "supplier") == ()


# NIST/SEMATECH e-Handbook of Statistical Methods, section 7.4.3.3, 2012: resistivity at three levels, F = 9.59.
PRINTED_LEVELS = {
    "1": (6.9, 5.4, 5.8, 4.6, 4.0),
    "2": (8.3, 6.8, 7.8, 9.2, 6.5),
    "3": (8.0, 10.5, 8.1, 6.9, 9.3),
}


def test_all_together_are_told_apart_by_the_printed_analysis_of_variance() -> None:
    """F of 9.59 with 2 and 12 degrees of freedom; with 2 above, its chance is (1 + 2 F / 12) ** -6 exactly."""
    of = [Score(level, "grain", value) for level, values in PRINTED_LEVELS.items() for value in values]
    fit = scorecard._fit(of, "supplier")
    assert fit is not None and fit.df == 12
    assert fit.alike == pytest.approx((1.0 + 2.0 * 9.59 / 12.0) ** -6, rel=0.003)
    cards = {card.name: card for card in supplier_cards(of)}
    assert cards["2"].usual.mean == pytest.approx(7.72) and cards["1"].is_real
    assert not cards["2"].is_real and not cards["3"].is_real


def test_where_all_together_are_not_told_apart_nobody_is_called_real() -> None:
    """A difference that would pass alone, among five of which the rest are the same."""
    told = 0
    for seed in range(200):
        cards = supplier_cards(scores(seed, {}))
        fit = scorecard._fit(scores(seed, {}), "supplier")
        assert fit is not None
        told += fit.alike <= 0.05
        assert fit.alike <= 0.05 or not any(card.is_real for card in cards)
    assert told == pytest.approx(10, abs=4 * (200 * 0.05 * 0.95) ** 0.5)
