"""Slips in weighings, with the likely cause; oddities are named and kept."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.catalog.kinds import shipped_kinds
from gambrel.hang.loss import LossModel
from gambrel.hang.weighings import Weighing, learn, weighing_oddities, weighing_slips
from gambrel.measures.units import KG_PER_LB

HOT_KG = 170.0
MODEL = LossModel.prior(shipped_kinds()["grain-finished"], fat_mm=12.0, side_hot_kg=HOT_KG)


def weighed(*rows: tuple[float, float]) -> list[Weighing]:
    return [Weighing(day, kg, f"weighing {number}") for number, (day, kg) in enumerate(rows, 1)]


def slips(*rows: tuple[float, float]):
    return list(weighing_slips(weighed(*rows), side_hot_kg=HOT_KG, model=MODEL))


def oddities(*rows: tuple[float, float]):
    return list(weighing_oddities(weighed(*rows), side_hot_kg=HOT_KG, model=MODEL))


GOOD = [(1.0, 167.5), (7.0, 164.8), (14.0, 162.2)]


def test_good_weighings_pass():
    assert not slips(*GOOD) and not oddities(*GOOD)


def test_the_same_weighing_twice():
    (finding,) = slips(*GOOD, (7.0, 164.8))
    assert finding.where == "weighing 4" and "repeats weighing 2" in finding.do


def test_two_weights_of_one_day_that_cannot_both_be():
    (finding,) = slips((7.0, 164.8), (7.0, 159.0))
    assert "too far apart" in finding.do
    assert not slips((7.0, 164.8), (7.0, 164.4))


def test_more_than_the_hot_weight_beyond_the_scale():
    (finding,) = slips((1.0, 175.0))
    assert "does not gain" in finding.do and "170.0 kg" in finding.wanted
    assert not slips((0.5, 170.5))  # within what the scale may be off


@pytest.mark.parametrize(
    ("factor", "cause"),
    [
        (1 / KG_PER_LB, "pounds typed as kilograms"),
        (KG_PER_LB, "kilograms typed as pounds"),
        (2.0, "both sides weighed"),
        (0.5, "hot weight is that of the carcass"),
    ],
)
@given(day=st.floats(0.0, 28.0), off=st.floats(-0.015, 0.015))
def test_the_likely_cause_is_said(factor, cause, day, off):
    weight = HOT_KG * MODEL.remaining_mean(day) * factor * (1 + off)
    (finding,) = slips((day, weight))
    assert cause in finding.do


def test_a_day_beyond_the_figures():
    (finding,) = slips((80.0, 150.0))
    assert "0 to 55 days" in finding.wanted


def test_five_percent_on_the_first_day_is_taken_for_a_fault():
    (finding,) = oddities((1.0, HOT_KG * 0.945))
    assert "measured chill loss" in finding.do


def test_a_weight_far_from_the_usual_is_said():
    (finding,) = oddities((14.0, HOT_KG * 0.85))
    assert finding.given.startswith("15.0%") and "Weigh again" in finding.do


def test_a_side_that_gains_between_weighings_is_said():
    (finding,) = oddities((3.0, 164.0), (6.0, 166.0))
    assert finding.where == "weighing 2" and "no more than" in finding.wanted
    assert [one.where for one in oddities((6.0, 166.0), (3.0, 164.0))] == ["weighing 1"]


@given(
    st.lists(
        st.tuples(st.floats(0.0, 28.0), st.floats(-3.0, 3.0)),
        min_size=1,
        max_size=5,
        unique_by=lambda r: r[0],
    )
)
def test_weighings_within_the_scale_of_the_usual_are_no_slips(rows):
    table = [(day, HOT_KG * (MODEL.remaining_mean(day) + sds * MODEL.noise_share * 0.9)) for day, sds in rows]
    assert not slips(*table)


def test_learning_moves_towards_the_weighings():
    light = learn(MODEL, weighed((7.0, 160.0), (10.0, 158.0)), side_hot_kg=HOT_KG)
    assert light.remaining_mean(14.0) < MODEL.remaining_mean(14.0)
    assert light.weighings == 2
