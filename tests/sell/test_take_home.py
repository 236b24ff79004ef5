"""What owners take home, against what extension services print, and what their choices change."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gambrel.breakdown.forecast import book_model
from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import shipped_kinds
from gambrel.catalog.portions import PORTIONS
from gambrel.catalog.ways import shipped_tree
from gambrel.measures import CannotDo
from gambrel.measures.units import kg_from_lb
from gambrel.sell.take_home import OwnerWishes, ShareAsked, take_home, usual_choices

TREE, CUTS = shipped_tree(), shipped_cuts()
DRAWS = 1500


def share(
    kind: str = "grain-finished", portion: str = "half", carcass_lb: float = 750.0, **more: object
) -> ShareAsked:
    animal = Animal(shipped_kinds()[kind], "steer", kg_from_lb(carcass_lb), **{"age_months": 17, **more})
    side = np.full(DRAWS, kg_from_lb(carcass_lb) / 2)
    return ShareAsked(animal, PORTIONS[portion], side, seed=1)


def taken(asked: ShareAsked, **wishes: object):
    return take_home(asked, OwnerWishes(**wishes), tree=TREE, cuts=CUTS)


def test_boneless_and_trimmed_as_printed() -> None:
    """A carcass of 750 lb with half an inch of fat gives 490 lb boneless and trimmed, 65 %; any carcass 55 to 75 %.

    [How Much Meat Can You Expect from a Fed Steer?, South Dakota State University, undated copy]
    """
    found = taken(share(portion="whole", fat_mm=12.7))
    assert found.share.p05 <= 490 / 750 <= found.share.p95
    assert 0.55 <= found.share.mean <= 0.75
    assert np.allclose(found.hung_kg, kg_from_lb(750.0))


def test_bones_on_the_cuts_and_in_the_bag_weigh() -> None:
    """Bone-in, with the bones taken, and with 3/16 in of fat left on, weigh more each, in every single draw."""
    asked = share()
    boneless, bone_in = taken(asked), taken(asked, style="bone-in")
    with_bones, with_cover = taken(asked, takes_bones=True), taken(asked, cover_mm=4.8)
    assert np.mean(bone_in.taken_kg - boneless.taken_kg) > 0
    assert (with_bones.taken_kg > boneless.taken_kg).all()
    assert (with_cover.taken_kg > boneless.taken_kg).all()


def test_a_leaner_grind_weighs_less() -> None:
    """Packed weight of the grind is fat-free lean over the lean wanted, so 80 to 90 % takes off a ninth at most."""
    asked = share()
    fatter, leaner = taken(asked, grind_lean_pct=80.0), taken(asked, grind_lean_pct=90.0)
    ratio = leaner.ground_kg / fatter.ground_kg
    assert (ratio < 1.0).all() and (ratio >= 8 / 9 - 1e-9).all()
    assert np.allclose(fatter.taken_kg - leaner.taken_kg, fatter.ground_kg - leaner.ground_kg)


@pytest.mark.parametrize("portion", sorted(PORTIONS))
def test_portions_are_parts_of_the_same_animal(portion: str) -> None:
    whole, part = taken(share(portion="whole")), taken(share(portion=portion))
    assert np.allclose(part.taken_kg * 2 / PORTIONS[portion], whole.taken_kg)
    assert PORTIONS["whole"] == 2 * PORTIONS["half"] == 4 * PORTIONS["quarter"] == 8 * PORTIONS["eighth"]


def test_pieces_add_up_to_what_is_taken_and_never_above_what_hung() -> None:
    for wishes in (OwnerWishes(), OwnerWishes(style="bone-in", takes_bones=True, takes_fat=True)):
        found = take_home(share(), wishes, tree=TREE, cuts=CUTS)
        assert np.allclose(sum(found.pieces_kg.values()), found.taken_kg)
        assert (found.taken_kg < found.hung_kg).all()
        assert next(iter(found.pieces().values())).mean == max(np.mean(kg) for kg in found.pieces_kg.values())


def test_an_older_animal_keeps_its_backbone_to_itself() -> None:
    """9 CFR 310.22: from 30 months nothing with backbone is food, so it is not handed to the owner as bones either."""
    young, old = share(age_months=17), share(age_months=40)
    wishes = OwnerWishes(takes_bones=True)
    of_young, of_old = (take_home(asked, wishes, tree=TREE, cuts=CUTS) for asked in (young, old))
    kept_back = set(of_young.pieces_kg) - set(of_old.pieces_kg)
    assert kept_back and all(CUTS[slug].contains_vertebra or CUTS[slug].srm != "none" for slug in kept_back)
    bone_in = take_home(old, OwnerWishes(style="bone-in"), tree=TREE, cuts=CUTS)
    assert bone_in.changed
    assert not any(CUTS[slug].contains_vertebra for slug in bone_in.pieces_kg)


def test_the_same_seed_draws_the_same_animal_whatever_is_chosen() -> None:
    """The difference of two choices is far narrower than either: the draws go up and down together."""
    boneless, with_bones = taken(share()), taken(share(), takes_bones=True)
    more = with_bones.taken_kg - boneless.taken_kg
    assert np.std(more) < 0.8 * np.std(boneless.taken_kg)
    assert np.array_equal(boneless.ground_kg, with_bones.ground_kg)


def test_what_owners_are_asked() -> None:
    asked = usual_choices(OwnerWishes(style="boneless", grind_lean_pct=85.0), TREE)
    assert "style bone-in" in asked and "style boneless" not in asked
    assert "ground at 90 % lean" in asked and "ground at 85 % lean" not in asked
    assert asked["take the bones"].takes_bones and "leave the bones" not in asked
    assert "leave the fat" in usual_choices(OwnerWishes(takes_fat=True), TREE)
    assert all(one != OwnerWishes(style="boneless", grind_lean_pct=85.0) for one in asked.values())


@pytest.mark.parametrize("kind", ["bison", "grass-finished", "wagyu"])
def test_every_kind_can_be_shared(kind: str) -> None:
    found = taken(share(kind, "quarter", 700.0))
    assert 0.45 < found.share.mean < 0.8
    assert not any(slug == "loss" for slug in found.pieces_kg)


def test_styles_and_ways_that_are_none_are_findings() -> None:
    with pytest.raises(CannotDo) as caught:
        taken(share(), style="upside-down", ways={"chuck": "thrown", "brisket-x": "whole"})
    assert [finding.where for finding in caught.value.findings] == [
        "style",
        "way of chuck",
        "way of brisket-x",
    ]


def test_a_way_named_outright_that_the_law_closes_is_refused() -> None:
    t_bones = {"short-loin-short-cut": "t-bones"}
    assert taken(share(age_months=20), style="bone-in", ways=t_bones).changed == ()
    with pytest.raises(CannotDo):
        taken(share(age_months=40), style="bone-in", ways=t_bones)


def test_what_the_shop_has_learned_of_a_way_is_what_is_taken_home() -> None:
    """The first part of one way doubled against the others: its ratio to each other part doubles [Aitchison, The
    Statistical Analysis of Compositional Data, 1986], and nothing comes out that did not hang."""
    asked = share()
    way = TREE.ways["rib-primal"]["boneless"]
    book = book_model(way, asked.animal)
    mean = np.array(book.mean_shares)
    mean[0] *= 2.0
    own = replace(asked, learned={("rib-primal", "boneless"): replace(book, mean_shares=mean / mean.sum())})
    first = next(slug for slug in book.parts if slug in taken(asked).pieces_kg)
    before, after = taken(asked), taken(own)
    assert np.mean(after.pieces_kg[first]) > 1.3 * np.mean(before.pieces_kg[first])
    assert np.array_equal(after.hung_kg, before.hung_kg) and (after.taken_kg < after.hung_kg).all()
    assert np.array_equal(taken(replace(asked, learned={})).taken_kg, before.taken_kg)
