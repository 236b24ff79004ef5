"""The cutout forecast: mass, the published equation over its range, honesty about what is not known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gambrel.breakdown import ShareModel, Wishes, expected_shares, forecast_side
from gambrel.breakdown.forecast import Forecast, book_model
from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import shipped_kinds
from gambrel.catalog.tree_totals import is_four_primal_cut, totals
from gambrel.catalog.ways import shipped_tree
from gambrel.measures.units import cm2_from_in2, kg_from_lb, mm_from_in
from gambrel.standards.usda_yield import retail_cut_pct

KINDS, TREE, CUTS = shipped_kinds(), shipped_tree(), shipped_cuts()


def steer(
    fat_in: float | None = 0.5,
    ribeye_in2: float | None = 12.5,
    hot_lb: float = 750,
    kph_pct: float | None = 2.5,
) -> Animal:
    return Animal(
        kind=KINDS["grain-finished"], sex="steer", hot_kg=kg_from_lb(hot_lb),
        fat_mm=None if fat_in is None else mm_from_in(fat_in),
        ribeye_cm2=None if ribeye_in2 is None else cm2_from_in2(ribeye_in2), kph_pct=kph_pct,
    )  # fmt: skip


def forecast(
    animal: Animal, style: str = "boneless", *, draws: int = 600, seed: int = 1, **more: object
) -> Forecast:
    return forecast_side(animal, TREE.style(style, animal.species), tree=TREE, cuts=CUTS,
                         hung_kg=np.full(draws, 100.0), seed=seed, **more)  # type: ignore[arg-type]  # fmt: skip


def four_primals_pct(made: Forecast) -> float:
    return sum(kg.mean() for slug, kg in made.kg.items() if is_four_primal_cut(CUTS[slug]))


@pytest.mark.parametrize("fat_in", [0.2, 0.6, 1.0])
@pytest.mark.parametrize("hot_lb", [550, 775, 1000])
@pytest.mark.parametrize("ribeye_in2", [10, 13, 16])
@pytest.mark.parametrize("kph_pct", [1, 4])
def test_boneless_cuts_agree_with_the_retail_cut_equation(
    fat_in: float, hot_lb: float, ribeye_in2: float, kph_pct: float
) -> None:
    """Within 1.5 points over the range. Equation: Montana State University extension, 2017; checked on the lot means
    of Florida Agricultural Experiment Station mimeographs, 1960s (see tests/standards)."""
    published = retail_cut_pct(fat_in=fat_in, ribeye_in2=ribeye_in2, hot_lb=hot_lb, kph_pct=kph_pct)
    made = forecast(steer(fat_in, ribeye_in2, hot_lb, kph_pct))
    assert four_primals_pct(made) == pytest.approx(published, abs=1.5)


@pytest.mark.parametrize("kind", list(KINDS))
@pytest.mark.parametrize("style", list(TREE.styles))
def test_every_draw_adds_up_to_the_hung_weight(kind: str, style: str) -> None:
    animal = Animal(kind=KINDS[kind], sex=KINDS[kind].sexes[0], hot_kg=KINDS[kind].hot_kg.mean)
    made = forecast(animal, style)
    assert made.balance_error_kg < 1e-9
    assert all(np.all(kg >= 0.0) for kg in made.kg.values())
    parts = made.total_draws()
    np.testing.assert_allclose(
        parts["saleable_kg"] + parts["trim_fat_kg"] + parts["bone_kg"] + parts["loss_kg"], 100.0
    )
    assert np.all(parts["ground_kg"] <= parts["saleable_kg"] + 1e-9)


@settings(max_examples=30, deadline=None)
@given(data=st.data())
def test_mass_balances_whichever_ways_are_chosen(data: st.DataObject) -> None:
    species = data.draw(st.sampled_from(["cattle", "bison"]))
    kind = KINDS["bison" if species == "bison" else "wagyu"]
    chosen = {
        piece: data.draw(st.sampled_from(sorted(TREE.ways_of(piece, species)) or ["whole"]), label=piece)
        for piece in TREE.ways
    }
    animal = Animal(
        kind=kind, sex="heifer", hot_kg=data.draw(st.floats(150, 500)), fat_mm=data.draw(st.floats(0, 40))
    )
    wishes = Wishes(
        cover_mm=data.draw(st.floats(0, 25)), grind_lean_pct=data.draw(st.sampled_from([None, 70, 90]))
    )
    made = forecast_side(
        animal, chosen, tree=TREE, cuts=CUTS, hung_kg=np.full(60, 80.0), seed=3, wishes=wishes
    )
    assert made.balance_error_kg < 1e-8
    assert all(np.all(kg >= -1e-9) for kg in made.kg.values())


def test_middle_of_the_forecast_is_the_tree_at_the_reference() -> None:
    made = forecast(steer(), draws=4000)
    book = totals(TREE, CUTS, TREE.style("boneless", "cattle"), "cattle")
    mean = {name: total.mean / 100 for name, total in made.totals().items()}
    assert mean["saleable_kg"] == pytest.approx(book.saleable_share, abs=0.005)
    assert mean["bone_kg"] == pytest.approx(book.bone_share, abs=0.003)


def test_leaving_things_out_widens_the_interval() -> None:
    def width(animal: Animal) -> float:
        total = forecast(animal, draws=3000).totals()["saleable_kg"]
        return total.p95 - total.p05

    all_known, no_fat, nothing = (
        width(steer()),
        width(steer(fat_in=None)),
        width(steer(None, None, kph_pct=None)),
    )
    assert all_known < no_fat < nothing


def test_the_middle_hardly_depends_on_the_seed_and_the_draws_do() -> None:
    one, two = forecast(steer(), draws=3000, seed=1), forecast(steer(), draws=3000, seed=2)
    assert one.totals()["saleable_kg"].mean == pytest.approx(two.totals()["saleable_kg"].mean, abs=0.2)
    again = forecast(steer(), draws=3000, seed=1)
    assert all(np.array_equal(again.kg[slug], kg) for slug, kg in one.kg.items())


def test_cover_left_on_takes_fat_off_the_trim_and_nothing_else() -> None:
    bare, covered = forecast(steer()), forecast(steer(), wishes=Wishes(cover_mm=6.35))
    gained = covered.totals()["saleable_kg"].mean - bare.totals()["saleable_kg"].mean
    assert gained == pytest.approx(
        bare.totals()["trim_fat_kg"].mean - covered.totals()["trim_fat_kg"].mean, abs=0.4
    )
    # Griffin et al., 1992: at a quarter of an inch 15.6 % of the carcass comes off, kidney fat not among it here.
    assert covered.totals()["trim_fat_kg"].mean - 2.5 == pytest.approx(15.6 - 2.5, abs=1.5)


@pytest.mark.parametrize("lean_pct", [75, 90])
def test_grind_made_up_to_a_lean_point_keeps_its_lean(lean_pct: float) -> None:
    plain, made_up = (
        forecast(steer(), "steak-and-grind"),
        forecast(steer(), "steak-and-grind", wishes=Wishes(grind_lean_pct=lean_pct)),
    )
    lean_kg = sum(
        kg * (CUTS[slug].lean_pct or 0) / 100 for slug, kg in plain.kg.items() if CUTS[slug].lean_pct
    )
    np.testing.assert_allclose(made_up.kg["ground-beef"] * lean_pct / 100, lean_kg, rtol=1e-9)
    assert made_up.balance_error_kg < 1e-9


def test_lean_grind_costs_take_home_as_the_arithmetic_says() -> None:
    # 100 lb of 75-lean trim is 93.75 lb at 80/20 and 83.33 lb at 90/10: fat-free lean over the target (derived).
    at = {
        pct: forecast(steer(), "steak-and-grind", wishes=Wishes(grind_lean_pct=pct)).kg["ground-beef"].mean()
        for pct in (80, 90)
    }
    assert at[90] / at[80] == pytest.approx(83.33 / 93.75, rel=1e-3)


def test_what_the_shop_has_learned_replaces_the_book() -> None:
    animal = steer()
    way = TREE.ways["rib-primal"]["boneless"]
    book = book_model(way, animal)
    own = book.mean_shares.copy()
    ribeye = book.parts.index("ribeye-roll-lip-on")
    own[ribeye] += 0.05
    own[book.parts.index("trim-fat")] -= 0.05
    covariates = np.tile([[12.7, 23.7, 2.5]], (40, 1)) + np.random.default_rng(1).normal(
        0, [3, 1, 0.3], (40, 3)
    )
    taught = book.update(np.tile(own, (40, 1)), covariates)
    plain, learned = (expected_shares(animal, tree=TREE, cuts=CUTS, learned=known)["rib-primal", "boneless"]
                      for known in (None, {("rib-primal", "boneless"): taught}))  # fmt: skip
    assert learned["ribeye-roll-lip-on"] > plain["ribeye-roll-lip-on"] + 0.03
    assert isinstance(taught, ShareModel) and taught.tests == 40


def test_without_tests_the_share_models_say_what_the_book_says_directly() -> None:
    animal = steer(0.9)
    untaught = {
        (piece, name): book_model(way, animal)
        for piece in ("side", "rib-primal", "short-loin")
        for name, way in TREE.ways_of(piece, animal.species).items()
        if not way.is_whole
    }
    direct = expected_shares(animal, tree=TREE, cuts=CUTS)
    modelled = expected_shares(animal, tree=TREE, cuts=CUTS, learned=untaught)
    assert untaught
    for way in untaught:
        assert modelled[way] == pytest.approx(direct[way], rel=1e-9), way


@pytest.mark.parametrize("kind", list(KINDS))
def test_expected_shares_of_every_way_add_to_one(kind: str) -> None:
    animal = Animal(kind=KINDS[kind], sex=KINDS[kind].sexes[0], hot_kg=KINDS[kind].hot_kg.mean)
    shares = expected_shares(animal, tree=TREE, cuts=CUTS)
    assert shares
    for way, of in shares.items():
        assert sum(of.values()) == pytest.approx(1.0), way


def test_a_fatter_animal_gives_less_and_a_shop_kind_follows_the_kind_it_is_like() -> None:
    lean, fat = forecast(steer(0.2)), forecast(steer(1.0))
    assert lean.totals()["saleable_kg"].mean > fat.totals()["saleable_kg"].mean + 3
    own = replace(KINDS["grass-finished"], slug="heritage-cross")
    animal = Animal(kind=own, sex="steer", hot_kg=290.0, fat_mm=6.0, ribeye_cm2=73.0, kph_pct=1.6)
    twin = replace(animal, kind=KINDS["grass-finished"])
    assert forecast(animal).totals() == forecast(twin).totals()
