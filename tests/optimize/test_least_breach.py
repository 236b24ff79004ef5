"""When the rules clash: the sentences that must give way, and by how much."""

from __future__ import annotations

import numpy as np
import pytest

from gambrel.optimize import Problem


def orders(*, made_kg: float, asked_kg: list[float]) -> Problem:
    """Short ribs out of what hangs, and orders that each want some."""
    problem = Problem()
    sold = [problem.variable(gain=1.0) for _ in asked_kg]
    problem.rule("short ribs on hand", dict.fromkeys(sold, 1.0), high=made_kg)
    for number, (column, asked) in enumerate(zip(sold, asked_kg, strict=True), 1):
        problem.rule(f"order {number} wants {asked:g} kg", {column: 1.0}, low=asked, soft=True)
    return problem


def test_the_one_order_that_cannot_be_met_is_named() -> None:
    ((row, short_kg),) = orders(made_kg=11.6, asked_kg=[40.0]).least_breach()
    assert row.sentence == "order 1 wants 40 kg"
    assert short_kg == pytest.approx(28.4)


def test_orders_that_can_be_met_are_not_named() -> None:
    problem = orders(made_kg=50.0, asked_kg=[40.0])
    mince = problem.variable(gain=1.0, high=3.0)
    problem.rule("order 2 wants 5 kg of mince", {mince: 1.0}, low=5.0, soft=True)
    breaches = [(row.sentence, amount) for row, amount in problem.least_breach()]
    assert breaches == [("order 2 wants 5 kg of mince", pytest.approx(2.0))]


def test_rules_that_do_not_clash() -> None:
    problem = orders(made_kg=100.0, asked_kg=[40.0, 20.0])
    assert problem.least_breach() == []
    assert problem.solve().status == "optimal"


def test_giving_way_by_that_much_is_enough_and_less_is_not() -> None:
    """Solved again with the named promises cut by the amounts given, and by a little less."""
    rng = np.random.default_rng(3)
    for _ in range(25):
        asked = [float(kg) for kg in rng.integers(5, 40, 4)]
        made = float(rng.integers(5, 80))
        problem = orders(made_kg=made, asked_kg=asked)
        short = {row.sentence: amount for row, amount in problem.least_breach()}
        assert sum(short.values()) == pytest.approx(max(0.0, sum(asked) - made), abs=1e-5)
        for cut, status in ((1e-6, "optimal"), (-0.01, "no-plan")):
            eased = [kg - short.get(f"order {i} wants {kg:g} kg", 0.0) - cut for i, kg in enumerate(asked, 1)]
            if short:
                assert orders(made_kg=made, asked_kg=eased).solve().status == status


def test_a_breach_is_weighed_against_what_its_rule_asks() -> None:
    """Two promises on one column: neither wins by being counted in smaller units."""
    problem = Problem()
    kilos = problem.variable(high=5.0)
    problem.rule("order of 10 kg", {kilos: 1.0}, low=10.0, soft=True)
    problem.rule("order of 9000 g", {kilos: 1000.0}, low=9000.0, soft=True)
    breaches = {row.sentence: amount for row, amount in problem.least_breach()}
    assert breaches == {
        "order of 10 kg": pytest.approx(5.0),
        "order of 9000 g": pytest.approx(4000.0),
    }


def test_an_equality_may_give_way_on_either_side() -> None:
    for low, high, amount in ((5.0, 9.0, 2.0), (0.0, 2.0, 1.0)):
        problem = Problem()
        column = problem.variable(low=low, high=high)
        problem.rule("three sides a day", {column: 1.0}, low=3.0, high=3.0, soft=True)
        ((row, breach),) = problem.least_breach()
        assert row.sentence == "three sides a day"
        assert breach == pytest.approx(amount)


def test_whole_choices_are_kept_whole() -> None:
    problem = Problem()
    sides = [problem.choice() for _ in range(3)]
    problem.rule("sides cut on Monday", dict.fromkeys(sides, 1.0), low=1.5, soft=True)
    problem.rule("hours on Monday", dict.fromkeys(sides, 4.0), high=7.0)
    ((row, amount),) = problem.least_breach()
    assert row.sentence == "sides cut on Monday"
    assert amount == pytest.approx(0.5)


def test_rules_nobody_can_give_way_on() -> None:
    problem = Problem()
    column = problem.variable(high=1.0)
    problem.rule("law", {column: 1.0}, low=2.0)
    problem.rule("order", {column: 1.0}, low=3.0, soft=True)
    with pytest.raises(ValueError, match="nobody can give way"):
        problem.least_breach()
