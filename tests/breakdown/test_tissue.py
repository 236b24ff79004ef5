"""Tissues of a side against the published equation, steer and steps."""

from __future__ import annotations

import numpy as np
import pytest

from gambrel.breakdown.tissue import (
    FaceDraws,
    contents,
    draw_face,
    fat_left_share,
    reference_face,
    tissue_factors,
    usual_face,
)
from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import shipped_kinds
from gambrel.catalog.ways import ROOT, Way, shipped_tree
from gambrel.measures.units import cm2_from_in2, kg_from_lb, mm_from_in

KINDS = shipped_kinds()


def face(fat_in: float, ribeye_in2: float, hot_lb: float, kph_pct: float) -> FaceDraws:
    values = (kg_from_lb(hot_lb), mm_from_in(fat_in), cm2_from_in2(ribeye_in2), kph_pct)
    return FaceDraws(*(np.array([value]) for value in values))


def side(species: str = "cattle") -> np.ndarray:
    return contents(shipped_tree(), shipped_cuts(), species)[ROOT]


def test_reference_steer_as_published() -> None:
    # South Dakota State University, How Much Meat Can You Expect from a Fed Steer?: 750 lb gives 490 boneless
    # trimmed, 150 fat and 110 bone. Lean and loss stand together in the first tissue, trims hold a little fat.
    lean, fat, bone, kidney = side() * 750
    assert lean == pytest.approx(490, abs=12)
    assert fat + kidney == pytest.approx(150, abs=8)
    assert bone == pytest.approx(110, abs=5)


@pytest.mark.parametrize("species", ["cattle", "bison"])
def test_every_piece_is_made_of_tissues_that_add_to_one(species: str) -> None:
    for slug, tissues in contents(shipped_tree(), shipped_cuts(), species).items():
        assert tissues.sum() == pytest.approx(1.0, abs=1e-9), slug
        assert np.all(tissues >= 0.0), slug


@pytest.mark.parametrize("kind", list(KINDS))
def test_tissues_of_any_animal_add_to_one(kind: str) -> None:
    rng = np.random.default_rng(1)
    draws = 500
    wild = FaceDraws(rng.uniform(150, 500, draws), rng.uniform(0, 60, draws), rng.uniform(40, 130, draws),
                   rng.uniform(0.2, 8, draws))  # fmt: skip
    tissues = side(KINDS[kind].species)
    factors = tissue_factors(KINDS[kind], wild, tissues, rng.normal(0, 0.05, draws))
    np.testing.assert_allclose(factors @ tissues, 1.0, atol=1e-12)
    assert np.all(factors > 0.0)


def test_one_yield_grade_moves_the_four_primals_by_the_published_step() -> None:
    # Bands of boneless closely trimmed cuts step by 2.3 points a grade (guide ASWeb-121, Texas A&M extension).
    # A whole grade is 0.4 in of fat there.
    lean = side()[0]
    thin, thick = (
        tissue_factors(KINDS["grain-finished"], face(fat, 12.5, 750, 2.5), side())[0, 0] for fat in (0.3, 0.7)
    )
    assert 49.57 * (thin - thick) == pytest.approx(2.3, abs=0.05)
    # Fat trim rises and retail product falls with it: directions of Kansas State report 262, 1976, n = 1121.
    assert thin * lean > thick * lean


def test_kidney_fat_is_what_was_read() -> None:
    tissues = side()
    factors = tissue_factors(KINDS["grain-finished"], face(0.5, 12.5, 750, 4.0), tissues)
    assert factors[0, 3] * tissues[3] == pytest.approx(0.04)


def test_bison_does_not_take_the_cattle_slope() -> None:
    # Koch et al., J. Anim. Sci. 73:1271, 1995: thick rib fat on a leaner carcass; the slope must not carry over.
    def fall(kind: str) -> float:
        reference = reference_face(KINDS[kind].species)
        fatter = FaceDraws(reference.hot_kg, reference.fat_mm + 5, reference.ribeye_cm2, reference.kph_pct)
        tissues = side(KINDS[kind].species)
        return float(1 - tissue_factors(KINDS[kind], fatter, tissues)[0, 0])

    assert 0 < fall("bison") < 0.6 * fall("grain-finished")


def test_what_is_not_known_is_the_kinds_usual_and_spreads() -> None:
    kind = KINDS["grain-finished"]
    animal = Animal(kind=kind, sex="steer", hot_kg=kind.hot_kg.mean, fat_mm=10.0)
    assert usual_face(animal).ribeye_cm2[0] == pytest.approx(kind.ribeye_cm2.mean)
    drawn = draw_face(animal, 4000, np.random.default_rng(2))
    assert np.ptp(drawn.fat_mm) == 0.0
    assert drawn.ribeye_cm2.std() == pytest.approx(kind.ribeye_cm2.sd, rel=0.1)


def test_fat_left_on_the_cuts_as_published() -> None:
    # Griffin et al., trim level study, 1992, n = 100: 7.9 % of the carcass comes off at 25.4 mm, 15.6 % at 6.4 mm.
    off_at_none_pct = 15.6 / (1.0 - fat_left_share(6.35))
    assert off_at_none_pct * (1.0 - fat_left_share(25.4)) == pytest.approx(7.9, abs=1.0)
    # The fully trimmed steer of South Dakota State University loses 20 %.
    assert off_at_none_pct == pytest.approx(20.0, abs=1.0)
    assert fat_left_share(0.0) == 0.0


@pytest.mark.parametrize("cover_mm", [-0.1, 25.5])
def test_cover_outside_the_study_is_refused(cover_mm: float) -> None:
    with pytest.raises(ValueError, match="cover"):
        fat_left_share(cover_mm)


def test_ways_have_the_tissues_they_divide() -> None:
    """In the boneless style no way makes or loses lean, fat or bone but for the part left as loss."""
    tree, cuts = shipped_tree(), shipped_cuts()
    made_of = contents(tree, cuts, "cattle")
    for way in tree.reached(tree.style("boneless", "cattle"), "cattle"):
        assert isinstance(way, Way)
        if way.piece in cuts and cuts[way.piece].use in ("bone", "fat"):
            continue  # rendering and splitting of bones and fat
        inside = sum(share * made_of[slug] for slug, share in way.shares.items())
        np.testing.assert_allclose(inside, made_of[way.piece], atol=1e-9, err_msg=way.piece)
