"""A shop's sides as tests of its ways, and what it learns from them, on the simulated shop."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import simulated_figures as figures
import simulated_shop as simulated

from gambrel.breakdown import ShareModel
from gambrel.breakdown.forecast import expected_shares
from gambrel.catalog.animal import Animal
from gambrel.catalog.ways import LOSS, ROOT
from gambrel.learn.block import TUBS, BlockTest, Book, collect, covariates_of, departures
from gambrel.learn.drift import choose_half_life_days
from gambrel.learn.shop_yields import ShopYields
from gambrel.learn.way_tests import way_tests
from gambrel.learn.yields import YieldModel

OF = simulated.catalogue()
BOOK = Book(OF.tree, OF.cuts)


def usual_animal(kind: str = "grain-finished") -> Animal:
    row = OF.kinds[kind]
    return Animal(row, row.sexes[0], row.hot_kg.mean, fat_mm=row.fat_mm.mean, ribeye_cm2=row.ribeye_cm2.mean,
                  kph_pct=row.kph_pct.mean)  # fmt: skip


def by_the_book(animal: Animal, begun_kg: float = 170.0) -> dict[str, float]:
    """What a side gives when everything goes as the book says [kg]."""
    shares = expected_shares(animal, tree=OF.tree, cuts=OF.cuts)
    at_hand = {ROOT: begun_kg}
    for way in OF.tree.reached(OF.tree.style(simulated.STYLE, animal.species), animal.species):
        piece_kg = at_hand.pop(way.piece)
        for slug, share in shares[way.piece, way.name].items():
            if slug != LOSS:
                at_hand[slug] = at_hand.get(slug, 0.0) + piece_kg * share
    return at_hand


def block(animal: Animal, weighed_kg: dict[str, float], **names: str) -> BlockTest:
    given = {"supplier": "", "cutter": "", **names}
    return BlockTest(animal, OF.tree.style(simulated.STYLE, animal.species), weighed_kg, day=1.0, **given)


@pytest.mark.parametrize("kind", ["grain-finished", "bison"])
def test_a_side_by_the_book_departs_from_nothing(kind: str) -> None:
    animal = usual_animal(kind)
    found = departures(block(animal, by_the_book(animal)), BOOK)
    assert len(found) > 8
    for row in found.values():
        known = row[np.isfinite(row)]
        assert known - known[0] == pytest.approx(0.0, abs=1e-9)


def test_more_of_one_cut_shows_in_its_own_way_and_above() -> None:
    animal = usual_animal()
    kg = by_the_book(animal)
    kg["mock-tender"] *= 1.5
    found = departures(block(animal, kg), BOOK)
    chuck = next(key for key in found if key[0] == "chuck-square-cut")
    parts = collect([block(animal, kg)], BOOK)[chuck].parts
    row = found[chuck] - found[chuck][parts.index("chuck-roll")]
    assert row[parts.index("mock-tender")] == pytest.approx(np.log(1.5))
    round_row = next(row for key, row in found.items() if key[0] == "round-primal")
    known = round_row[np.isfinite(round_row)]
    assert known - known[0] == pytest.approx(0.0, abs=1e-9)


def test_a_piece_not_weighed_is_a_gap() -> None:
    animal = usual_animal()
    kg = by_the_book(animal)
    del kg["mock-tender"]
    tests = collect([block(animal, kg)], BOOK)
    chuck = tests[next(key for key in tests if key[0] == "chuck-square-cut")]
    assert np.isnan(chuck.departure[0, chuck.parts.index("mock-tender")])
    quarter = tests[next(key for key in tests if key[0] == "forequarter")]
    at = quarter.parts.index("chuck-square-cut")
    assert quarter.departure[0, at] == pytest.approx(
        quarter.departure[0, quarter.parts.index("rib-primal")], abs=1e-6
    )


def test_a_half_weighed_primal_is_no_weight_of_it() -> None:
    animal = usual_animal()
    kg = by_the_book(animal)
    chuck = [
        slug for slug in OF.tree.ways["chuck-square-cut"]["boneless"].outputs if slug.startswith("chuck")
    ]
    for slug in chuck:
        kg.pop(slug, None)
    quarter = next(row for key, row in collect([block(animal, kg)], BOOK).items() if key[0] == "forequarter")
    assert np.isnan(quarter.departure[0, quarter.parts.index("chuck-square-cut")])


def test_bones_and_fat_in_one_tub_are_shared_out() -> None:
    animal = usual_animal()
    kg = by_the_book(animal)
    for use, tub in TUBS.items():
        together = [slug for slug in kg if OF.cuts[slug].use == use]
        kg[tub] = sum(kg.pop(slug) for slug in together)
    for row in departures(block(animal, kg), BOOK).values():
        known = row[np.isfinite(row)]
        assert known - known[0] == pytest.approx(0.0, abs=1e-6)


def test_covariates_are_from_the_kinds_usual() -> None:
    assert covariates_of(usual_animal())[[0, 2]] == pytest.approx(0.0)
    fat = replace(
        usual_animal(), fat_mm=OF.kinds["grain-finished"].fat_mm.mean + OF.kinds["grain-finished"].fat_mm.sd
    )
    assert covariates_of(fat)[0] == pytest.approx(1.0)


@pytest.fixture(scope="module")
def shop() -> tuple[list[simulated.Side], ShopYields]:
    rng = np.random.default_rng(3)
    sides = simulated.season(rng, simulated.new_world(rng, OF), OF, 34, kinds=("grain-finished", "bison"))
    return sides, ShopYields.none(BOOK).learned([figures.block_test(side) for side in sides[:40]])


def test_after_forty_sides_the_forecast_is_nearer_and_honest(
    shop: tuple[list[simulated.Side], ShopYields],
) -> None:
    """The full count over many shops is in docs/learning.md."""
    sides, yields = shop
    held, error = figures.inside_and_error(sides[40:60], yields)
    assert 0.83 <= held <= 0.97
    assert error < 0.9 * figures.inside_and_error(sides[40:60], None)[1]


def test_a_side_more_is_taken_at_once(shop: tuple[list[simulated.Side], ShopYields]) -> None:
    sides, yields = shop
    more = yields.updated(figures.block_test(sides[41]))
    assert more.sides == 41
    before = yields.models(sides[41].animal)
    after = more.models(sides[41].animal)
    assert before.keys() == after.keys()
    assert any(not np.array_equal(before[key].mean(), after[key].mean()) for key in after)


def test_the_first_side_teaches_an_empty_shop(shop: tuple[list[simulated.Side], ShopYields]) -> None:
    sides, _ = shop
    yields = ShopYields.none(BOOK).updated(figures.block_test(sides[0]))
    assert yields.sides == 1
    assert yields.models(sides[0].animal)


def test_ways_of_another_species_are_not_offered(shop: tuple[list[simulated.Side], ShopYields]) -> None:
    _, yields = shop
    of_cattle, of_bison = yields.models(usual_animal()), yields.models(usual_animal("bison"))
    assert ("side", "quarters") in of_cattle and ("side", "quarters") not in of_bison
    assert ("side", "quarters, 14 ribs") in of_bison


def test_no_sides_are_the_book() -> None:
    assert ShopYields.none(BOOK).learned([]).models(usual_animal()) == {}


def _drifting(drift: float) -> float | None:
    """The half-life chosen where the share of one part grows over two years."""
    rng = np.random.default_rng(2)
    day = np.linspace(0.0, 730.0, 96)
    kg = np.array([0.4, 0.3, 0.2, 0.1]) * rng.gamma(100.0, size=(96, 4)) / 100.0
    kg[:, 0] *= np.exp(drift * day / 730.0)
    book = ShareModel.from_prior(("a", "b", "c", "d"), [0.4, 0.3, 0.2, 0.1])
    return choose_half_life_days([(YieldModel.book(book), way_tests("abcd", kg, book.mean_shares, day=day))])


def test_a_steady_shop_forgets_nothing_and_a_drifting_one_does() -> None:
    assert _drifting(0.0) is None
    chosen = _drifting(1.0)
    assert chosen is not None and chosen <= 360.0
