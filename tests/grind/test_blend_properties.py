"""What must hold for every blend, whatever the trims."""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gambrel.grind import GROUND_NAMES, GrindCase, GrindPlan, GroundProduct, Trim, blend, pearson_square
from gambrel.grind.rules import why_not
from gambrel.measures.units import kg_from_lb, lb_from_kg

LEAN = st.integers(0, 100).map(float)
TRIM = st.builds(
    Trim,
    id=st.just(""),
    weight_kg=st.floats(0.5, 200),
    lean_pct=LEAN,
    species=st.sampled_from(["cattle", "cattle", "bison"]),
    inspected=st.sampled_from(["federal", "federal", "state"]),
    primal=st.sampled_from(["", "chuck", "round", "foreshank", "hindshank", "sirloin"]),
    fat_class=st.booleans(),
    cheek=st.booleans(),
    age_days=st.none() | st.integers(0, 10),
    cost_cents_per_kg=st.floats(0, 2000),
)
PRODUCT = st.builds(
    GroundProduct,
    id=st.just(""),
    name=st.sampled_from([name for name in GROUND_NAMES.values() if not name.is_mixed]),
    lean_pct=st.integers(70, 95).map(float),
    most_kg=st.none() | st.floats(1, 100),
    price_cents_per_kg=st.floats(0, 3000),
    tolerance_pct=st.sampled_from([0.0, 1.0, 2.0, 5.0]),
    inspected=st.sampled_from(["federal", "federal", "state"]),
)


@st.composite
def cases(draw: st.DrawFn) -> GrindCase:
    from dataclasses import replace

    trims = [replace(trim, id=f"t{n}") for n, trim in enumerate(draw(st.lists(TRIM, min_size=1, max_size=6)))]
    products = [replace(product, id=f"p{n}") for n, product in
                enumerate(draw(st.lists(PRODUCT, min_size=1, max_size=4)))]  # fmt: skip
    return GrindCase(tuple(trims), tuple(products), draw(st.sampled_from(["most-earned", "most-used"])),
                     draw(st.none() | st.integers(0, 8)))  # fmt: skip


@settings(max_examples=120, deadline=None)
@given(cases())
def test_every_batch_keeps_every_rule(case: GrindCase) -> None:
    plan = blend(case)
    for batch in plan.batches:
        product, name = batch.product, batch.product.name
        assert batch.fat_pct <= 30.0 + 1e-4
        assert product.lean_pct - 1e-4 <= batch.lean_pct <= product.lean_pct + product.tolerance_pct + 1e-4
        assert product.most_kg is None or batch.kg <= product.most_kg + 1e-6
        assert {line.trim.species for line in batch.lines} == set(name.species)
        assert {line.trim.inspected for line in batch.lines} == {product.inspected}
        assert name.added_fat or not any(line.trim.fat_class for line in batch.lines)
        assert sum(line.kg for line in batch.lines if line.trim.cheek) <= 0.25 * batch.kg + 1e-6
        if name.primal:
            assert {line.trim.primal for line in batch.lines} <= {name.primal, name.shank}
        if case.age_limit_days is not None:
            ages = [line.trim.age_days for line in batch.lines]
            assert all(age is not None and age <= case.age_limit_days for age in ages)
        assert not any(why_not(line.trim, product) for line in batch.lines)


@settings(max_examples=120, deadline=None)
@given(cases())
def test_every_gram_of_trim_is_in_a_batch_or_left_over(case: GrindCase) -> None:
    plan = blend(case)
    for trim in case.trims:
        used_kg = sum(line.kg for batch in plan.batches for line in batch.lines if line.trim.id == trim.id)
        left_kg = sum(left.kg for left in plan.leftovers if left.trim.id == trim.id)
        assert used_kg + left_kg == pytest.approx(
            trim.weight_kg, abs=0.02
        )  # below ten grams no line is shown
    said = {batch.product.id for batch in plan.batches} | {product.id for product, _ in plan.not_made}
    assert said == {product.id for product in case.products}


@settings(max_examples=60, deadline=None)
@given(cases(), st.integers(0, 1000))
def test_the_order_of_the_file_does_not_matter(case: GrindCase, seed: int) -> None:
    trims, products = list(case.trims), list(case.products)
    random.Random(seed).shuffle(trims)
    random.Random(seed + 1).shuffle(products)
    other = blend(GrindCase(tuple(trims), tuple(products), case.objective, case.age_limit_days))

    def weights(plan: GrindPlan) -> dict[tuple[str, str], float]:
        return {(batch.product.id, line.trim.id): line.kg for batch in plan.batches for line in batch.lines}

    assert weights(other) == weights(blend(case))


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 44), st.integers(1, 40), st.floats(0.05, 0.95), st.floats(10, 1000))
def test_two_trims_come_out_as_the_square_says(
    lean_fat: int, apart: int, part: float, order_kg: float
) -> None:
    first_fat, second_fat = float(lean_fat), float(lean_fat + apart)
    target_fat = first_fat + part * apart
    if target_fat > 30:
        target_fat = max(first_fat, 30.0)
    if not first_fat <= target_fat <= second_fat or target_fat > 30:
        return
    square = pearson_square(first_fat_pct=first_fat, second_fat_pct=second_fat, target_fat_pct=target_fat)
    trims = (Trim("a", order_kg * 2, 100 - first_fat), Trim("b", order_kg * 2, 100 - second_fat))
    product = GroundProduct("beef", GROUND_NAMES["ground-beef"], 100 - target_fat, least_kg=order_kg,
                            most_kg=order_kg, tolerance_pct=0.0)  # fmt: skip
    (batch,) = blend(GrindCase(trims, (product,), "most-used")).batches
    kg = {line.trim.id: line.kg for line in batch.lines}
    assert kg.get("a", 0.0) == pytest.approx(order_kg * square.first_share, rel=1e-4, abs=1e-4)
    assert kg.get("b", 0.0) == pytest.approx(order_kg * square.second_share, rel=1e-4, abs=1e-4)


def test_the_published_blend_by_least_cost(
    trim: Callable[..., Trim], product: Callable[..., GroundProduct], plan: Callable[..., GrindPlan]
) -> None:
    # Meat Calculations (teaching slides): 10 % fat at $0.99/lb and 25 % fat at $0.79/lb to 20 % fat, 1000 lb:
    # 333.3 and 666.7 lb at $0.8567/lb.
    per_kg = 1 / kg_from_lb(1)
    trims = [trim("boneless cow", kg_from_lb(2000), 90, cost_cents_per_kg=99 * per_kg),
             trim("75s", kg_from_lb(2000), 75, cost_cents_per_kg=79 * per_kg)]  # fmt: skip
    (batch,) = plan(
        trims, [product("ground-beef", 80, least_kg=kg_from_lb(1000))], objective="least-cost"
    ).batches
    pounds = {line.trim.id: lb_from_kg(line.kg) for line in batch.lines}
    assert pounds["boneless cow"] == pytest.approx(333.3, abs=0.1)
    assert pounds["75s"] == pytest.approx(666.7, abs=0.1)
    assert batch.cost_cents / 100 / 1000 == pytest.approx(0.8567, abs=0.0005)
    assert lb_from_kg(batch.kg * batch.fat_pct / 100) == pytest.approx(200, abs=0.01)
