"""The shipped ways files as a whole, and the reading of a shop's own."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gambrel.catalog.kinds import SPECIES
from gambrel.catalog.tree_totals import leaf_shares
from gambrel.catalog.ways import LOSS, ROOT, WHOLE, Tree, read_tree, shipped_tree
from gambrel.measures import Findings


def all_ways(tree):
    return [way for named in tree.ways.values() for way in named.values()]


# ---- what is shipped ----


def test_there_is_enough_of_it(tree, cuts):
    """At least 60 pieces, 120 ways and 150 leaves: things that are sold or thrown away as they are."""
    broken = {way.piece for way in all_ways(tree) if not way.is_whole}
    ends = {slug for way in all_ways(tree) for slug in way.outputs
            if slug not in tree.ways or cuts[slug].use != "break"}  # fmt: skip
    assert len(broken) >= 60
    assert len([way for way in all_ways(tree) if not way.is_whole]) >= 120
    assert len(ends) >= 150


@pytest.mark.parametrize("piece", [
    "side", "forequarter", "hindquarter", "chuck-square-cut", "rib-primal", "brisket-bone-in",
    "foreshank", "short-plate", "short-loin", "sirloin-bone-in", "round-primal", "flank-primal",
    "hindshank", "suet", "hanging-tender",
])  # fmt: skip
def test_the_named_pieces_have_ways(tree, piece):
    for species in SPECIES:
        assert tree.ways_of(piece, species)


@pytest.mark.parametrize("slug", [
    "top-blade-steak", "denver-steak", "chuck-complexus-steak", "ranch-steak",
    "petite-tender-medallion", "western-griller", "tip-center-steak", "tip-side-steak",
    "top-round-front-side-steak", "jerky-strips", "stew-beef", "diced-beef", "kabob-beef",
    "stir-fry-beef", "femur-canoe", "soup-bones", "edible-tallow", "trim-50", "trim-94",
    "bison-hump-roast", "t-bone-steak", "tomahawk-steak", "cubed-steak", "swiss-steak",
    "short-ribs-flanken",
])  # fmt: skip
def test_the_named_products_can_be_made(tree, slug):
    assert any(slug in way.outputs for way in all_ways(tree))


@pytest.mark.parametrize("quarter", ["forequarter", "hindquarter"])
def test_quarters_can_be_sold_whole(tree, quarter):
    assert tree.ways[quarter][WHOLE].minutes_per_100kg["packer"] > 0


def test_every_way_says_where_it_comes_from(tree):
    for way in all_ways(tree):
        assert way.mark in ("read", "derived", "practice", "memory")
        assert len(way.source) > 10


def test_pieces_get_smaller_at_every_cut(tree):
    for way in all_ways(tree):
        assert way.piece not in way.shares
        assert 0.0 <= way.shares.get(LOSS, 0.0) <= (0.27 if way.name == "tallow" else 0.02), way


def test_one_piece_holds_the_same_bone_whichever_way_it_is_boned(tree, cuts):
    """Two boneless ways of a primal may trim closer or not; the bone that comes out is the same."""
    for piece in (
        "chuck-square-cut",
        "full-loin",
        "sirloin-bone-in",
        "short-plate",
        "brisket-bone-in",
        "flank-primal",
    ):
        for species in SPECIES:
            boned = [
                way for way in tree.ways_of(piece, species).values()
                if not way.is_whole
                and all(cuts[s].bone == "out" or cuts[s].use == "bone" for s in way.outputs)
            ]  # fmt: skip
            bone = [sum(way.shares[s] for s in way.outputs if cuts[s].use == "bone") for way in boned]
            assert max(bone) - min(bone) < 0.01, (piece, species, bone)


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), species=st.sampled_from(SPECIES))
def test_whatever_ways_are_chosen_the_side_adds_up(seed, species):
    tree, dice = shipped_tree(), random.Random(seed)
    chosen = {piece: dice.choice(sorted(tree.ways_of(piece, species)) or [WHOLE]) for piece in tree.ways}
    chosen[ROOT] = next(name for name in tree.ways_of(ROOT, species))
    leaves = leaf_shares(tree, chosen, species)
    assert sum(leaves.values()) == pytest.approx(1.0, abs=1e-9)
    assert min(leaves.values()) >= 0.0


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), species=st.sampled_from(SPECIES))
def test_pieces_come_after_everything_that_makes_them(seed, species):
    tree, dice = shipped_tree(), random.Random(seed)
    chosen = {piece: dice.choice(sorted(tree.ways_of(piece, species)) or [WHOLE]) for piece in tree.ways}
    chosen[ROOT] = next(name for name in tree.ways_of(ROOT, species))
    seen: set[str] = set()
    for way in tree.reached(chosen, species):
        assert not set(way.outputs) & seen
        seen.add(way.piece)


# ---- styles ----


def test_a_style_takes_the_first_way_that_the_species_has(tree):
    assert tree.style("boneless", "cattle")["side"] == "quarters"
    assert tree.style("boneless", "bison")["side"] == "quarters, 14 ribs"
    assert "bison-hump" in [way.piece for way in tree.reached(tree.style("boneless", "bison"), "bison")]
    assert "bison-hump" not in [way.piece for way in tree.reached(tree.style("boneless", "cattle"), "cattle")]


def test_a_style_there_is_not(tree):
    with pytest.raises(KeyError):
        tree.style("no-such-style", "cattle")


@pytest.mark.parametrize("species", SPECIES)
def test_boneless_leaves_no_bone_in_food(tree, cuts, species):
    leaves = leaf_shares(tree, tree.style("boneless", species), species)
    assert [slug for slug in leaves
            if slug != LOSS and cuts[slug].bone == "in" and cuts[slug].use != "bone"] == []  # fmt: skip


@pytest.mark.parametrize("species", SPECIES)
def test_every_way_that_a_style_names_is_used(tree, species):
    """Nothing in a style is idle, apart from pieces that only the other species has."""
    for name in tree.styles:
        chosen = tree.style(name, species)
        made = {ROOT} | {slug for way in tree.reached(chosen, species) for slug in way.outputs}
        assert set(chosen) - made <= {"bison-hump", "bison-hump-roast"}, name


# ---- reading a shop's own file ----


def own_way(**fields):
    return {"piece": "top-round", "name": "house",
            "out": {"top-round-steak": 0.9, "trim-90": 0.09, LOSS: 0.01},
            "minutes_per_100kg": {"knife": 20}, **fields}  # fmt: skip


def read(tables, base=None):
    findings = Findings()
    return read_tree([("own.toml", tables)], findings, base=base), findings


def test_a_shop_adds_its_own_way(tree):
    own, findings = read({"way": [own_way()]}, base=tree)
    assert not findings
    assert own.ways["top-round"]["house"].mark == "shop"
    assert own.ways["top-round"]["steaks"] == tree.ways["top-round"]["steaks"]
    assert "house" not in tree.ways["top-round"]


def test_a_shop_overrides_a_way_and_a_style(tree):
    own, findings = read(
        {"way": [own_way(name="steaks")], "style": {"boneless": {"top-round": "steaks"}}}, base=tree
    )
    assert not findings
    assert own.ways["top-round"]["steaks"].shares["trim-90"] == pytest.approx(0.09)
    assert own.style("boneless", "cattle")["top-round"] == "steaks"
    assert own.style("boneless", "cattle")["side"] == "quarters"
    assert "top-round" not in tree.style("boneless", "cattle")


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"out": {"top-round-steak": 0.9, "trim-90": 0.09}}, "Change one of them by +0.0100."),
        ({"out": {"top-round-steak": 1.2, "trim-90": -0.2}}, "Check the figure and its unit."),
        ({"out": {"top-round-steak": "most"}}, "Write it as a number without a unit."),
        ({"out": {}}, "Fill it in."),
        ({"out": "everything"}, "Write it as [out] with its fields below."),
        ({"minutes_per_100kg": {"knife": -3}}, "Check the figure and its unit."),
        ({"minutes_per_100kg": {"axe": 3}}, "Take it out or mend its name."),
        ({"species": "horse"}, "Choose one of these."),
        ({"mark": "guess"}, "Choose one of these."),
        ({"piece": None}, "Fill it in."),
        ({"name": ""}, "Fill it in."),
        ({"nmae": "x"}, "Did you mean name?"),
        ({"ribs": {"rib-primal": 7}}, "Take it out."),
        ({"ribs": {"top-round-steak": 7.5}}, "Leave the fraction out."),
    ],
)
def test_slips_in_a_way_are_findings(fields, said):
    tree, findings = read({"way": [own_way(**fields)]})
    assert [finding.do for finding in findings][:1] == [said]
    assert all("own.toml, way 1" in finding.where for finding in findings)
    assert tree.ways == {}


def test_all_slips_are_told_at_once():
    _, findings = read({"way": [own_way(species="horse"), own_way(out={"a": 0.5}), own_way(mark="guess")]})
    assert len(findings) == 3


def test_a_way_twice_in_one_file():
    _, findings = read({"way": [own_way(), own_way()]})
    assert [finding.do for finding in findings] == ["Rename or take out one of them."]


@pytest.mark.parametrize("value", [3, [], ["", "x"], [1], {"a": "b"}])
def test_slips_in_a_style_are_findings(value):
    tree, findings = read({"style": {"mine": {"top-round": value}}})
    assert len(findings) == 1
    assert "style, mine, top-round" in next(iter(findings)).where
    assert tree.styles == {"mine": {}}


def test_a_style_that_is_no_table_and_a_field_nobody_knows():
    _, findings = read({"style": {"mine": "boneless"}, "wey": []})
    assert len(findings) == 2


def test_small_rounding_is_put_right():
    tree, findings = read({"way": [own_way(out={"top-round-steak": 0.9004, "trim-90": 0.1})]})
    assert not findings
    assert sum(tree.ways["top-round"]["house"].shares.values()) == pytest.approx(1.0, abs=1e-15)


def test_a_circle_is_a_mistake_of_the_program_by_then():
    """`check_tree` tells people; walking such a tree raises."""
    tables = {"way": [
        {"piece": "side", "name": "a", "out": {"top-round": 1.0}},
        {"piece": "top-round", "name": "b", "out": {"eye-of-round": 1.0}},
        {"piece": "eye-of-round", "name": "c", "out": {"top-round": 1.0}},
    ]}  # fmt: skip
    tree, findings = read(tables)
    assert not findings
    with pytest.raises(ValueError, match="circle"):
        tree.reached({"side": "a", "top-round": "b", "eye-of-round": "c"}, "cattle")


def test_an_empty_tree_leaves_the_side_whole():
    assert leaf_shares(Tree(ways={}), {}, "cattle") == {ROOT: 1.0}
