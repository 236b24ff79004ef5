"""The rule on specified risk material, 9 CFR 310.22, cut by cut; and the ways it leaves open.

Expected values are the text of the section (public law) and the bones of the Institutional Meat Purchase
Specifications, Series 100 (USDA AMS, 2014): which items keep chine or feather bones.
"""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import SPECIES, shipped_kinds
from gambrel.catalog.law import (
    NO_FOOD_USES,
    age_in_months,
    bison_notice,
    forbidden_leaf,
    inedible,
    is_older,
    shipped_rule,
)
from gambrel.catalog.lawful_ways import boneless_alternative, lawful_choice, lawful_ways
from gambrel.catalog.tree_totals import leaf_shares
from gambrel.catalog.ways import LOSS, ROOT, WHOLE, shipped_tree

FORBIDDEN_FROM_30_MONTHS = (
    "t-bone-steak", "porterhouse-steak", "short-loin", "short-loin-short-cut", "strip-loin-bone-in",
    "strip-steak-bone-in", "sirloin-bone-in", "top-sirloin-bone-in", "sirloin-steak-bone-in",
    "rib-primal", "rib-regular", "rib-oven-prepared-regular", "rib-oven-prepared",
    "rib-oven-prepared-blade-in", "rib-roast-ready", "seven-bone-roast", "blade-roast", "neck-bones",
    "chine-bones", "feather-bones", "back-bones", "sacrum", "spinal-cord", "skull", "brain",
)  # fmt: skip
OPEN_TO_OLDER_CATTLE = (
    "rib-roast-ready-special", "rib-roast-ready-cover-off", "rib-export-style", "ribeye-bone-in-lip-on",
    "back-ribs", "short-ribs", "chuck-short-ribs", "foreshank", "hindshank", "shank-cross-cut",
    "marrow-bones", "aitch-bone", "blade-bone", "brisket-bones", "oxtail", "chuck-roll", "strip-loin",
    "trim-85", "tenderloin-bone-in",
)  # fmt: skip


# ---- age ----


@pytest.mark.parametrize(
    ("age_months", "older"), [(1, False), (29, False), (30, True), (31, True), (120, True), (None, True)]
)
def test_thirty_months_and_over_and_unknown_count_as_older(animal, age_months, older):
    """9 CFR 310.22(a)(1): 30 months of age and older."""
    assert is_older(animal(age_months=age_months)) is older


def test_teeth_speak_where_the_age_is_not_recorded(animal):
    """More than two permanent incisors is older: recalled, so this holds the code to its own row of data."""
    assert not is_older(animal(age_months=None), permanent_incisors=0)
    assert not is_older(animal(age_months=None), permanent_incisors=2)
    assert is_older(animal(age_months=None), permanent_incisors=3)
    assert not is_older(animal(age_months=24), permanent_incisors=8), "a recorded age goes before the teeth"


@pytest.mark.parametrize(
    ("born", "killed", "months"),
    [
        (date(2023, 3, 15), date(2025, 9, 14), 29),
        (date(2023, 3, 15), date(2025, 9, 15), 30),
        (date(2023, 8, 31), date(2026, 2, 28), 29),
        (date(2024, 2, 29), date(2024, 2, 29), 0),
    ],
)
def test_age_is_whole_calendar_months(born, killed, months):
    assert age_in_months(born=born, killed=killed) == months


def test_nothing_is_killed_before_it_is_born():
    with pytest.raises(ValueError, match="before"):
        age_in_months(born=date(2025, 2, 1), killed=date(2025, 1, 1))


# ---- cuts ----


@pytest.mark.parametrize("slug", FORBIDDEN_FROM_30_MONTHS)
def test_backbone_of_older_cattle_is_no_food(animal, cuts, slug):
    for age_months in (30, 72, None):
        found = forbidden_leaf(cuts[slug], animal(age_months=age_months))
        assert found is not None and found.where == slug
        assert "9 CFR 310.22" in found.wanted and "inspector in charge" in found.do
    assert forbidden_leaf(cuts[slug], animal(age_months=29)) is None


@pytest.mark.parametrize("slug", OPEN_TO_OLDER_CATTLE)
def test_what_stays_open_to_older_cattle(animal, cuts, slug):
    assert forbidden_leaf(cuts[slug], animal(age_months=72)) is None


@pytest.mark.parametrize("slug", ["tonsils", "distal-ileum"])
def test_what_is_no_food_at_any_age(animal, cuts, slug):
    assert forbidden_leaf(cuts[slug], animal(age_months=10)) is not None


def test_the_sentence_in_full(animal, cuts):
    found = forbidden_leaf(cuts["t-bone-steak"], animal(age_months=None))
    assert found is not None
    assert found.sentence() == (
        "t-bone-steak: given beef loin, t-bone steak, backbone in it, from cattle of unknown age, which "
        "counts as older; wanted no backbone or other risk material as food from 30 months on "
        "(9 CFR 310.22). Bone it out. Ask the inspector in charge."
    )


def test_bones_that_may_not_be_sold_weigh_as_inedible(animal, cuts):
    bones = ["neck-bones", "chine-bones", "marrow-bones", "shank-bones", LOSS]
    assert inedible(bones, cuts, animal(age_months=40)) == {"neck-bones", "chine-bones"}
    assert inedible(bones, cuts, animal(age_months=20)) == set()
    found = forbidden_leaf(cuts["neck-bones"], animal(age_months=40))
    assert found is not None and found.do.startswith("Weigh it as inedible")


def test_the_rule_can_be_switched_off_or_replaced(animal, cuts):
    """Where other law holds: another age, or no such rule."""
    rule = shipped_rule()
    assert rule.applied and rule.citation == "9 CFR 310.22"
    off, later = replace(rule, applied=False), replace(rule, older_from_months=36)
    assert forbidden_leaf(cuts["t-bone-steak"], animal(age_months=40), rule=off) is None
    assert forbidden_leaf(cuts["t-bone-steak"], animal(age_months=33), rule=later) is None
    assert forbidden_leaf(cuts["t-bone-steak"], animal(age_months=36), rule=later) is not None


# ---- bison ----


def test_bison_as_the_shop_decided(animal, cuts):
    bison = animal("bison", 36)
    found = forbidden_leaf(cuts["t-bone-steak"], bison)
    assert found is not None
    assert "The rule names cattle: ask the inspector in charge." in found.do
    assert forbidden_leaf(cuts["t-bone-steak"], bison, srm_policy_bison="not_applied") is None
    assert (
        forbidden_leaf(cuts["t-bone-steak"], animal(age_months=36), srm_policy_bison="not_applied")
        is not None
    )


def test_a_policy_there_is_not(animal, cuts):
    with pytest.raises(ValueError, match="as_cattle, not_applied"):
        forbidden_leaf(cuts["t-bone-steak"], animal(), srm_policy_bison="maybe")


def test_every_older_bison_gets_the_notice(animal):
    for policy, words in (("as_cattle", "applied as to cattle"), ("not_applied", "not applied")):
        notice = bison_notice(animal("bison", 31), srm_policy_bison=policy)
        assert notice is not None and words in notice.given and "inspector in charge" in notice.do
    assert bison_notice(animal("bison", 29)) is None
    assert bison_notice(animal(age_months=60)) is None


# ---- ways ----


def test_a_young_animal_has_every_way_open(tree, cuts, animal):
    for kind, species in (("grain-finished", "cattle"), ("bison", "bison")):
        for piece, names in lawful_ways(tree, cuts, animal(kind, 20)).items():
            assert set(names) >= set(tree.ways_of(piece, species)), piece


@pytest.mark.parametrize(
    ("piece", "closed", "open_way"),
    [
        ("forequarter", "whole", "primals"),
        ("chuck-square-cut", "bone-in", "boneless"),
        ("rib-roast-ready", "roasts", "feather bones off"),
        ("rib-roast-ready", "whole", "boneless"),
        ("short-loin-short-cut", "t-bones", "boneless"),
        ("sirloin-bone-in", "bone-in", "boneless"),
        ("strip-loin-bone-in", "steaks", "boneless"),
    ],
)
def test_ways_that_close_at_thirty_months(tree, cuts, animal, piece, closed, open_way):
    older = lawful_ways(tree, cuts, animal(age_months=30))
    assert closed not in older[piece]
    assert open_way in older[piece]
    assert boneless_alternative(tree, cuts, piece, closed, animal(age_months=30)) in older[piece]


def test_a_way_stays_open_when_what_it_gives_can_still_be_boned(tree, cuts, animal):
    """An older rib may be made roast-ready, as long as the feather bones then come off."""
    assert "bone-in" in lawful_ways(tree, cuts, animal(age_months=50))["rib-primal"]


@pytest.mark.parametrize(
    ("piece", "way", "instead"),
    [
        ("chuck-square-cut", "bone-in", "boneless"),
        ("short-loin", "strip and tenderloin", "boneless"),
        ("sirloin-bone-in", "bone-in", "boneless"),
        ("forequarter", "whole", "primals"),
    ],
)
def test_the_alternative_is_the_boneless_way(tree, cuts, animal, piece, way, instead):
    assert boneless_alternative(tree, cuts, piece, way, animal(age_months=None)) == instead


def test_a_leaf_has_no_alternative(tree, cuts, animal):
    assert boneless_alternative(tree, cuts, "t-bone-steak", WHOLE, animal(age_months=None)) is None


def test_bone_in_of_an_older_animal_is_made_lawful_and_said(tree, cuts, animal):
    chosen = tree.style("bone-in", "cattle")
    mended, changed, refused = lawful_choice(tree, cuts, animal(age_months=41), chosen)
    assert refused == []
    moved = {piece for piece in mended if mended[piece] != chosen.get(piece)}
    assert {piece: (chosen[piece], mended[piece]) for piece in moved} == {
        "chuck-square-cut": ("bone-in", "boneless"), "rib-roast-ready": ("roasts", "boneless"),
        "short-loin-short-cut": ("t-bones", "boneless"), "sirloin-bone-in": ("bone-in", "boneless"),
    }  # fmt: skip
    assert len(changed) == 4
    assert all("Take the way boneless" in finding.do for finding in changed)
    leaves = leaf_shares(tree, mended, "cattle")
    assert "shank-cross-cut" in leaves and "round-steak-bone-in" in leaves


def test_a_young_animal_is_left_alone(tree, cuts, animal):
    chosen = tree.style("bone-in", "cattle")
    assert lawful_choice(tree, cuts, animal(age_months=17), chosen) == (chosen, [], [])


def test_a_way_that_was_asked_for_is_refused(tree, cuts, animal):
    asked = {"short-loin-short-cut": "t-bones"}
    chosen = {**tree.style("boneless", "cattle"), "hindquarter": "primals", "short-loin": "bone-in",
              "sirloin-bone-in": "boneless", **asked}  # fmt: skip
    mended, changed, refused = lawful_choice(
        tree, cuts, animal(age_months=30), chosen, asked={**asked, "short-loin": "bone-in"}
    )
    assert mended["short-loin-short-cut"] == "t-bones"
    assert changed == []
    assert refused and refused[0].where == "short-loin-short-cut: t-bones"
    assert "Take the way boneless of short-loin-short-cut instead." in refused[0].do


def test_an_older_quarter_is_not_sold_whole(tree, cuts, animal):
    asked = {"forequarter": WHOLE}
    chosen = {**tree.style("boneless", "cattle"), **asked}
    _, _, refused = lawful_choice(tree, cuts, animal(age_months=30), chosen, asked=asked)
    assert [finding.where for finding in refused][:1] == ["forequarter: whole"]


@settings(max_examples=40, deadline=None)
@given(
    seed=st.integers(0, 2**32 - 1), species=st.sampled_from(SPECIES), age=st.sampled_from([12, 29, 30, None])
)
def test_whatever_is_chosen_nothing_forbidden_is_left_as_food(seed, species, age):
    tree, cuts, dice = shipped_tree(), shipped_cuts(), random.Random(seed)
    kind = shipped_kinds()["bison" if species == "bison" else "wagyu"]
    old = Animal(kind=kind, sex="heifer", hot_kg=300.0, age_months=age)
    chosen = {piece: dice.choice(sorted(tree.ways_of(piece, species)) or [WHOLE]) for piece in tree.ways}
    chosen[ROOT] = next(iter(tree.ways_of(ROOT, species)))
    mended, changed, refused = lawful_choice(tree, cuts, old, chosen)
    assert refused == []
    food = [cuts[slug] for slug in leaf_shares(tree, mended, species)
            if slug != LOSS and cuts[slug].use not in NO_FOOD_USES]  # fmt: skip
    assert [cut.slug for cut in food if forbidden_leaf(cut, old)] == []
    assert changed or mended == chosen
