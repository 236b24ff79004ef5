"""The kinds of a week apart: bounds that hold, and plans put together from kinds solved by themselves."""

from __future__ import annotations

import time
import tomllib
from dataclasses import replace

import numpy as np
import pytest

from gambrel.catalog.ways import shipped_tree
from gambrel.measures import Entry, Findings
from gambrel.optimize import Problem, Watch
from gambrel.plan import Week, example_week, read_week
from gambrel.plan.answer import sold_anew
from gambrel.plan.bound import relaxed
from gambrel.plan.decompose.kinds import KindsApart, Part, kinds_apart, parts_of, priced, problem_of, within
from gambrel.plan.likely import likely_ways
from gambrel.plan.market import origin_of
from gambrel.plan.model import PlanModel
from gambrel.plan.search import Search, near_target
from gambrel.plan.shares import forecast_shares
from gambrel.plan.sides import side_groups


@pytest.fixture(scope="module")
def week() -> Week:
    """One side of each of four kinds, and orders that more than one of them may fill."""
    text = example_week(sides=8, days=14, seed=2)
    found = read_week(Entry(tomllib.loads(text), "", Findings()))
    one_side = [replace(one, side_hot_kg={"left": one.side_hot_kg["left"]}) for one in found.animals]
    return replace(found, animals=tuple(one_side))


@pytest.fixture(scope="module")
def search(week: Week) -> Search:
    tree = shipped_tree().trimmed(week.shop.trim)
    shares_of = {one.id: forecast_shares(one.animal, tree) for one in week.animals}
    groups = tuple(near_target(group, 2) for group in side_groups(week, Findings()))
    return Search(week, tree, groups, shares_of, 1e-4, time.perf_counter(), 600.0, 1)


@pytest.fixture(scope="module")
def model(search: Search) -> PlanModel:
    """The week with two days a side, and of each piece the likely ways alone."""
    return search.built(
        narrowed=lambda one: likely_ways(one, search.week, search.tree, search.shares_of[one.id])
    )


@pytest.fixture(scope="module")
def parts(model: PlanModel) -> tuple[tuple[int, ...], tuple[Part, ...]]:
    return parts_of(model)


def alone(model: PlanModel, part: Part, gains: np.ndarray, links: tuple[int, ...]) -> Problem:
    """The part whatever other kinds do."""
    return problem_of(model.problem, part, gains, links, model.problem.lows, model.problem.highs)


def test_every_column_is_in_one_part_and_every_rule_in_one_or_a_link(
    model: PlanModel, parts: tuple[tuple[int, ...], tuple[Part, ...]]
) -> None:
    links, found = parts
    columns = [column for part in found for column in part.columns]
    assert sorted(columns) == list(range(len(model.problem.gains)))
    rules = [rule for part in found for rule in part.rules]
    there = [number for number, row in enumerate(model.problem.rows) if row.columns]
    assert sorted([*rules, *links]) == there
    for part in found:
        inside = set(part.columns)
        for rule in part.rules:
            assert inside.issuperset(model.problem.rows[rule].columns)


def test_a_side_and_its_meat_are_in_the_part_of_its_kind(
    model: PlanModel, parts: tuple[tuple[int, ...], tuple[Part, ...]]
) -> None:
    _, found = parts
    of = {column: part.name for part in found for column in part.columns}
    assert len({part.name for part in found if part.name}) == 4
    for (group, _), column in model.cut.items():
        assert of[column].startswith(model.groups[group].hanging.kind.slug)
    for lot in model.lots:
        if lot.origin.ground is None and lot.origin in {origin_of(group.hanging) for group in model.groups}:
            assert of[model.surplus[lot.number]].startswith(next(iter(lot.origin.kinds)))


def test_links_are_what_several_kinds_share(
    model: PlanModel, parts: tuple[tuple[int, ...], tuple[Part, ...]]
) -> None:
    links, _ = parts
    sentences = [model.problem.rows[number].sentence for number in links]
    assert sentences
    assert all(any(word in one for word in ("hours on", "metres of rail", "order")) for one in sentences), (
        sentences
    )
    of_group = {column: group for (group, _), column in model.cut.items()}
    for number in links:
        kinds = {
            model.groups[of_group[column]].hanging.kind.slug
            for column in model.problem.rows[number].columns
            if column in of_group
        }
        assert "rail" not in model.problem.rows[number].sentence or len(kinds) > 1


def test_the_split_parts_add_up_to_the_split_week(
    model: PlanModel, parts: tuple[tuple[int, ...], tuple[Part, ...]]
) -> None:
    """Strong duality: at the prices of the whole linear program nothing is lost by taking it apart."""
    links, found = parts
    whole = relaxed(model.problem).solve()
    gains, brings = priced(model.problem, links, whole.row_prices)
    total = brings
    for part in found:
        answer = relaxed(alone(model, part, gains, links)).solve()
        assert answer.status == "optimal", part.name
        total += answer.objective
    assert total == pytest.approx(whole.objective, rel=1e-6)


@pytest.mark.parametrize("seed", range(3))
def test_at_any_prices_of_the_links_the_parts_bound_the_week(
    model: PlanModel, parts: tuple[tuple[int, ...], tuple[Part, ...]], seed: int
) -> None:
    links, found = parts
    whole = relaxed(model.problem).solve()
    rng = np.random.default_rng(seed)
    prices = whole.row_prices.copy()
    for number in links:
        row = model.problem.rows[number]
        drawn = float(rng.uniform(0.0, 40.0))
        # A rule with an upper side alone is worth something to raise; one that must be met may be worth either sign.
        prices[number] = drawn if np.isinf(row.low) else prices[number] + drawn - 20.0
    gains, total = priced(model.problem, links, prices)
    for part in found:
        total += relaxed(alone(model, part, gains, links)).solve().objective
    assert total >= whole.objective * (1.0 - 1e-9)


def test_whole_kinds_bound_every_plan_and_are_nearer_than_the_split_week(
    search: Search, model: PlanModel
) -> None:
    """The week with so few days is solved whole as well: the kinds' bound lies between it and the split week's."""
    found = next(
        kinds_apart(model, gap=1e-3, seconds_left=lambda: 300.0, threads=1, watch=Watch(), start=None)
    )
    whole = model.problem.solve(gap=5e-3, seconds=120.0, threads=1)
    split = relaxed(model.problem).solve()
    assert found.bound_cents >= whole.objective - 1e-6 * abs(whole.objective)
    assert found.bound_cents <= split.objective * (1.0 + 1e-7)
    sold = sold_anew(model, found.values)
    if sold is not None:
        gain_cents = float(np.dot(model.problem.gains, sold))
        assert gain_cents <= whole.bound + 1e-6 * abs(whole.bound)
        assert gain_cents <= found.bound_cents + 1e-6 * abs(found.bound_cents)


def test_one_kind_alone_is_not_taken_apart(search: Search) -> None:
    first = search.groups[0].hanging.kind.slug
    groups = tuple(group for group in search.groups if group.hanging.kind.slug == first)
    alone = tuple(replace(group, number=number) for number, group in enumerate(groups))
    model = search.built(groups=alone)
    assert not list(
        kinds_apart(model, gap=1e-3, seconds_left=lambda: 60.0, threads=1, watch=Watch(), start=None)
    )


def keeps_every_rule(problem: Problem, values: np.ndarray) -> bool:
    """Added up rule by rule, to a millionth."""
    for row in problem.rows:
        total = float(np.dot(values[list(row.columns)], row.coefficients)) if row.columns else 0.0
        slack = 1e-6 * max(1.0, abs(total))
        if not row.low - slack <= total <= row.high + slack:
            return False
    return True


@pytest.fixture(scope="module")
def known(model: PlanModel) -> np.ndarray:
    """A plan that is not the best."""
    return model.problem.solve(gap=0.03, seconds=120.0, threads=1).values


def test_a_kind_within_what_the_others_leave_makes_a_plan_that_gains_no_less(
    model: PlanModel, parts: tuple[tuple[int, ...], tuple[Part, ...]], known: np.ndarray
) -> None:
    links, found = parts
    assert keeps_every_rule(model.problem, known)
    before = float(np.dot(model.problem.gains, known))
    part = min((part for part in found if part.name), key=lambda one: len(one.columns))
    answer = within(model.problem, part, links, known).solve(gap=1e-5, seconds=120.0, threads=1)
    together = known.copy()
    together[list(part.columns)] = answer.values
    assert keeps_every_rule(model.problem, together)
    gain_cents = float(np.dot(model.problem.gains, together))
    assert gain_cents >= before - 1e-5 * abs(before)
    assert gain_cents <= relaxed(model.problem).solve().objective * (1.0 + 1e-7)


def test_a_kind_that_does_not_fit_the_plan_is_solved_anew_within_it(
    search: Search, model: PlanModel, parts: tuple[tuple[int, ...], tuple[Part, ...]], known: np.ndarray
) -> None:
    """Nothing of a kind is cut: that is no plan. What comes of it is one, and gains no less than the one known."""
    links, found = parts
    own = replace(search, began_seconds=time.perf_counter())
    before = float(np.dot(model.problem.gains, known))
    own.keep(model, known, before)
    part = min((part for part in found if part.name), key=lambda one: len(one.columns))
    values = known.copy()
    values[list(part.columns)] = 0.0
    assert sold_anew(model, values) is None
    own._swap_in(model, KindsApart(before, values, (part,), links))
    assert own.values is not None and keeps_every_rule(model.problem, own.values)
    gained = float(np.dot(model.problem.gains, own.values))
    assert own.gain_cents == pytest.approx(gained, rel=1e-9) and gained >= before - 1e-6
    alone_best = within(model.problem, part, links, known).solve(gap=1e-4, seconds=120.0, threads=1)
    others = before - float(
        np.dot(np.asarray(model.problem.gains)[list(part.columns)], known[list(part.columns)])
    )
    assert gained >= (others + alone_best.objective) * (1.0 - 2e-4)
