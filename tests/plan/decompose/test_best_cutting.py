"""The best cutting of a side at given prices, against every cutting there is."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from datetime import date

import numpy as np
import pytest

from gambrel.plan.decompose.family import families_of
from gambrel.plan.decompose.losses import losses_at
from gambrel.plan.decompose.shared import Shared, lay_down_shared
from gambrel.plan.decompose.taken_apart import Apart, take_apart
from gambrel.plan.model import PlanModel
from gambrel.plan.search import Search

MakeSearch = Callable[..., Search]


def split_model(search: Search) -> PlanModel:
    """Every piece pooled and shared rules only: what is taken apart."""
    return search.built(split=True, lay_down=lay_down_shared)


def every_cutting(model: PlanModel, group: int, day: date) -> Iterator[dict[int, float]]:
    """Columns and amounts of every cutting of one side on a day: one choice at each place, whatever it is worth."""
    options = model.options[group]
    below = options.below()
    for picked in itertools.product(*(place.choices for place in options.places)):
        amounts = {0: 1.0}
        columns = {model.cut[group, day]: 1.0}
        for place, choice in enumerate(picked):
            here = amounts.get(place, 0.0)
            if here > 0.0:
                columns[model.chosen[group, day, choice]] = here
                for one, share in below.get(choice, ()):
                    amounts[one] = amounts.get(one, 0.0) + here * share
        yield columns


def pays(model: PlanModel, prices: np.ndarray, columns: dict[int, float]) -> float:
    """What the columns gain less what they take of the shared rules at these prices, rule by rule."""
    worth = sum(model.problem.gains[column] * much for column, much in columns.items())
    for price, row in zip(prices, model.problem.rows, strict=True):
        for column, entry in zip(row.columns, row.coefficients, strict=True):
            worth -= price * entry * columns.get(column, 0.0)
    return worth


def drawn_prices(model: PlanModel, seed: int) -> np.ndarray:
    """Prices of the size that meat, minutes and rail have."""
    rng = np.random.default_rng(seed)
    return rng.uniform(-2500.0, 300.0, len(model.problem.rows))


@pytest.mark.parametrize("seed", range(6))
def test_no_cutting_brings_more_than_the_best(small_search: MakeSearch, seed: int) -> None:
    model = split_model(small_search(seed, animals=2, minutes=200.0))
    shared = Shared(model)
    prices = drawn_prices(model, seed)
    gains = shared.gains_at(prices)
    looked_at = 0
    for family in families_of(model):
        best = family.best(gains)
        for pair, (group, day) in enumerate(family.pairs):
            all_of_them = [pays(model, prices, one) for one in every_cutting(model, group, day)]
            assert best.worth[pair] == pytest.approx(max(all_of_them), rel=1e-9, abs=1e-6)
            looked_at += len(all_of_them)
    assert looked_at >= 20, "there is something to choose from"


@pytest.mark.parametrize("seed", range(4))
def test_the_cutting_handed_out_is_the_one_that_brings_it(small_search: MakeSearch, seed: int) -> None:
    model = split_model(small_search(seed, animals=2, minutes=200.0, sides=3.0))
    shared = Shared(model)
    prices = drawn_prices(model, 50 + seed)
    for family in families_of(model):
        best = family.best(shared.gains_at(prices))
        for pair in range(len(family.pairs)):
            choices, columns, amounts = family.taken(best, pair)
            assert len(choices) + 1 == len(columns)
            taken = dict(zip(columns.tolist(), amounts.tolist(), strict=True))
            assert pays(model, prices, taken) == pytest.approx(best.worth[pair], rel=1e-9, abs=1e-6)
            one = shared.column(columns, amounts)
            left = one.gain - float(one.entries @ prices[one.rules])
            assert left == pytest.approx(best.worth[pair], rel=1e-9, abs=1e-6)


def test_a_cutting_takes_one_way_of_each_piece_and_every_piece_that_comes_about(real_search: Search) -> None:
    model = split_model(real_search)
    apart = take_apart(model, threads=1)
    gains = apart.shared.gains_at(drawn_prices(model, 1))
    for family in apart.families:
        best = family.best(gains)
        for pair, (group, day) in enumerate(family.pairs):
            cutting = apart.cutting(family, best, pair)
            options = model.options[group]
            places = [options.choices[choice].place for choice in cutting.choices]
            assert len(set(places)) == len(places)
            reached = {place for choice in cutting.choices for place, _ in options.below().get(choice, ())}
            assert reached | {0} == set(places)
            assert (cutting.group, cutting.day) == (group, day)
            assert {piece for piece, _ in cutting.pooled} <= options.gathered


def test_like_trees_are_one_family_and_every_pair_is_in_one(small_search: MakeSearch) -> None:
    model = split_model(small_search(1, animals=4))
    families = families_of(model)
    pairs = [pair for family in families for pair in family.pairs]
    assert sorted(pairs) == sorted((group.number, day) for group in model.groups for day in group.days)
    assert len(families) < len(model.groups)
    for family in families:
        choices = {len(model.options[group].choices) for group, _ in family.pairs}
        assert choices == {len(family.options.choices)}


def priced(search: Search, seed: int) -> tuple[Apart, np.ndarray]:
    model = split_model(search)
    return take_apart(model, threads=1), drawn_prices(model, seed)


@pytest.mark.parametrize("seed", range(4))
def test_what_a_cutting_loses_is_the_sum_of_what_its_ways_lose(small_search: MakeSearch, seed: int) -> None:
    """Every cutting, its losses added up by hand, falls short of the group's best by just so much."""
    apart, prices = priced(small_search(seed, animals=1, minutes=150.0), seed)
    model = apart.model
    gains, bests, worth = apart.priced(prices)
    losses = losses_at(model, apart.families, gains, bests, worth)
    for group in model.groups:
        options, mine = model.options[group.number], losses[group.number]
        of_column = {
            column: number for (one, _, number), column in model.chosen.items() if one == group.number
        }
        for at, day in enumerate(group.days):
            for columns in itertools.islice(every_cutting(model, group.number, day), 40):
                lost = mine.at_start[at]
                for column, much in columns.items():
                    if column in of_column:
                        choice = options.choices[of_column[column]]
                        piece = options.places[choice.place].piece
                        lost += much * mine.by_way[piece, choice.ways[piece]][at]
                short = worth[group.number] - pays(model, prices, columns)
                assert lost == pytest.approx(short, rel=1e-9, abs=1e-6)
                assert lost >= -1e-9
